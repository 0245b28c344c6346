//! The well: Theis-like growth of drawdown with the logarithm of time and water stored in the casing.
//!
//! The level obeys A ds/dt = Q_pump - Q_in (storage in the casing, Papadopulos and Cooper 1967); the
//! inflow overcomes a part of B at once, the quadratic loss C Q^2 (Jacob 1947), and the cone of
//! depression, whose slow growth is a sum of first-order lags one decade apart: a staircase that
//! approximates the logarithm of Theis (1935). At two hours of steady pumping s = B Q + C Q^2.

/// Time constants of the growing cone, s.
const LAGS: [f64; 5] = [15.0, 150.0, 1500.0, 15000.0, 150_000.0];

/// Sum over the lags of what has grown after two hours, 1 - exp(-7200 / lag).
const GROWN: f64 = 3.419_853;

/// The well, as it is.
#[derive(Debug, Clone)]
pub struct Well {
    /// Resting level, m below the wellhead.
    pub rest: f64,
    /// Linear coefficient at two hours, m per m3/s.
    pub b: f64,
    /// Quadratic coefficient, m per (m3/s)^2.
    pub c: f64,
    /// Share of `b` that a decade of time adds.
    pub decade: f64,
    /// Free area of the casing around the riser, m2.
    pub area: f64,
    /// Depth of the pump's intake, m.
    pub intake: f64,
    /// Most that the ground gives, m3/s, however deep the level; infinite in a healthy well.
    pub most: f64,
}

/// Its state.
#[derive(Debug, Clone, Default)]
pub struct WellState {
    /// Drawdown in the casing, m.
    pub drawdown: f64,
    /// Drawdown of each part of the cone, m.
    cone: [f64; 5],
    /// Inflow at the last step, m3/s.
    pub inflow: f64,
}

impl Well {
    /// Drawdown after two hours at `q` m3/s, m; above what the ground gives it has no end.
    pub fn settled(&self, q: f64) -> f64 {
        self.b * q + self.c * q * q + 1e7 * (q - self.most).max(0.0)
    }

    /// Depth of the water, m below the wellhead.
    pub fn depth(&self, state: &WellState) -> f64 {
        self.rest + state.drawdown
    }

    /// Moves on by `dt` s with the pump taking `q` m3/s.
    pub fn step(&self, state: &mut WellState, q: f64, dt: f64) {
        let share = GROWN * self.decade;
        let at_once = self.b * (1.0 - share).max(0.05);
        // Lowest drawdown that reaches the intake: it cannot be pumped deeper.
        let deepest = (self.intake - self.rest).max(0.0);
        let pieces = (dt / 2.0).ceil().max(1.0);
        let h = dt / pieces;
        let follow = LAGS.map(|lag| 1.0 - (-h / lag).exp());
        for _ in 0..pieces as usize {
            let drive = (state.drawdown - state.cone.iter().sum::<f64>()).max(-5.0);
            let inflow = if drive <= 0.0 {
                drive / at_once
            } else {
                2.0 * drive / (at_once + (at_once * at_once + 4.0 * self.c * drive).sqrt())
            }
            .min(self.most);
            // Implicit in the part that acts at once, so that a large B or a small one is stable.
            let rate = 1.0 / (self.area * at_once);
            let change = (q - inflow) / self.area * h / (1.0 + rate * h);
            state.drawdown = (state.drawdown + change).min(deepest.max(state.drawdown.min(0.0)));
            state.inflow = inflow;
            for (s, follow) in state.cone.iter_mut().zip(follow) {
                let aim = self.b * self.decade * inflow;
                *s += (aim - *s) * follow;
            }
        }
    }
}
