//! Clouds: how much of the clear-sky light comes through, as a process in time.

use super::dice::Dice;

/// Kind of sky.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SkyKind {
    /// Nearly all the light, drifting slowly.
    Clear,
    /// A steady veil.
    Hazy,
    /// Single clouds with sharp edges, brighter than clear between them.
    Broken,
    /// Closed cover.
    Overcast,
}

/// The process.
#[derive(Debug)]
pub struct Sky {
    kind: SkyKind,
    /// Mean share of clear-sky light between clouds.
    level: f64,
    drift: f64,
    cloud: bool,
    until_change_s: f64,
    depth: f64,
    edge: f64,
    dice: Dice,
}

impl Sky {
    /// A sky whose open part lets `level` of the light through.
    pub fn new(kind: SkyKind, level: f64, dice: Dice) -> Sky {
        let mut sky = Sky {
            kind,
            level,
            drift: 0.0,
            cloud: false,
            until_change_s: 60.0,
            depth: 0.3,
            edge: level,
            dice,
        };
        sky.depth = sky.dice.uniform(0.2, 0.55);
        sky
    }

    /// Moves on by `dt` seconds and tells the share of clear-sky light.
    pub fn step(&mut self, dt: f64) -> f64 {
        let (sigma, tau) = match self.kind {
            SkyKind::Clear => (0.012, 1200.0),
            SkyKind::Hazy => (0.06, 600.0),
            SkyKind::Broken => (0.05, 300.0),
            SkyKind::Overcast => (0.12, 500.0),
        };
        let keep = (-dt / tau).exp();
        self.drift = self.drift * keep + self.dice.normal(0.0, sigma) * (1.0 - keep * keep).sqrt();
        let mut target = self.level * (1.0 + self.drift);
        if self.kind == SkyKind::Broken {
            self.until_change_s -= dt;
            if self.until_change_s <= 0.0 {
                self.cloud = !self.cloud;
                self.until_change_s = if self.cloud {
                    self.dice.log_uniform(20.0, 240.0)
                } else {
                    self.dice.log_uniform(40.0, 600.0)
                };
                self.depth = self.dice.uniform(0.2, 0.6);
            }
            // Light scattered from cloud edges: open sky between clouds is a little brighter than clear.
            target *= if self.cloud { self.depth } else { 1.06 };
        }
        let follow = 1.0 - (-dt / 6.0).exp();
        self.edge += (target - self.edge) * follow;
        self.edge.clamp(0.02, 1.25)
    }
}
