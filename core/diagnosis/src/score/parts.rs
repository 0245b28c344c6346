//! The parts of a score: what speaks apart is kept apart.

/// Natural-log parts of the score of one hypothesis.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Parts {
    /// Load side.
    pub load: f64,
    /// Array and sky.
    pub sun: f64,
    /// Equality of the three currents.
    pub unbalance: f64,
    /// What the controller did.
    pub outcome: f64,
    /// What the controller warns of while it runs.
    pub warned: f64,
    /// What was noticed.
    pub noticed: f64,
    /// Lead maps.
    pub parity: f64,
    /// Sun and rest: what parts healthy, low sun and standing by.
    pub resting: f64,
    /// Level and pressure while it stands, currents of a start that failed.
    pub still: f64,
    /// How much of the time it runs between protective stops.
    pub rhythm: f64,
    /// How much the readings vary at one speed.
    pub unsteady: f64,
    /// How the water comes after a rest.
    pub starts: f64,
    /// Heat of the controller.
    pub heat: f64,
    /// Readings that stop at one value, for a reason of the controller's own.
    pub held: f64,
    /// Readings that no array can give.
    pub impossible: f64,
    /// Checks made by hand.
    pub checks: f64,
}

impl Parts {
    /// Each with its name.
    pub fn named(&self) -> [(&'static str, f64); 16] {
        [
            ("load", self.load),
            ("sun", self.sun),
            ("unbalance", self.unbalance),
            ("outcome", self.outcome),
            ("warned", self.warned),
            ("noticed", self.noticed),
            ("parity", self.parity),
            ("resting", self.resting),
            ("still", self.still),
            ("rhythm", self.rhythm),
            ("unsteady", self.unsteady),
            ("starts", self.starts),
            ("heat", self.heat),
            ("held", self.held),
            ("impossible", self.impossible),
            ("checks", self.checks),
        ]
    }

    /// Sum.
    pub fn total(&self) -> f64 {
        self.named().iter().map(|part| part.1).sum()
    }
}
