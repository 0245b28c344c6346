//! Where sun, limits and load meet: the speed that the controller can hold.

use std::cell::Cell;

use super::panel::Curve;
use super::path::Path;
use super::plant::{Load, Plant, View};
use super::solve::falling;
use super::sun::Light;

/// What holds the speed back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The array gives no more.
    Sun,
    /// Highest speed.
    Speed,
    /// Phase current.
    Current,
    /// Output power.
    Power,
    /// The motor's voltage meets what the DC side can give.
    Voltage,
}

/// What the DC side offers now.
#[derive(Debug, Clone, Copy)]
pub struct Supply<'a> {
    /// The curve at the controller's input.
    pub curve: &'a Curve,
    /// Voltage of the peak it sits at.
    pub peak: f64,
    /// Voltage it holds when the sun is short.
    pub track: f64,
    /// Share lost by ripple.
    pub ripple: f64,
    /// Share of power and current left by heat.
    pub cool: f64,
}

/// A held speed.
#[derive(Debug, Clone, Copy)]
pub struct Held {
    /// rpm.
    pub n: f64,
    /// Load at that speed.
    pub load: Load,
    /// DC voltage.
    pub v: f64,
    /// What holds it back.
    pub limit: Limit,
}

/// A speed that is tried.
struct Trial {
    load: Load,
    v: f64,
    /// The nearest limit and how far off it is, as a share; below 0 it forbids the speed.
    limit: Limit,
    margin: f64,
}

impl Plant {
    /// Load at `n` and how near its limits are.
    fn trial(&self, n: f64, s: &Supply, offered: f64, path: &Path, view: &View) -> Trial {
        let load = self.load_on(path, n, view);
        let over = |value: f64, most: f64| 1.0 - value / most.max(1e-9);
        let limits = [
            (Limit::Current, over(load.motor.i, self.drive.max_a)),
            (Limit::Power, over(load.motor.power_out, self.drive.max_power * s.cool)),
            (Limit::Sun, over(load.dc, offered)),
        ];
        let (mut limit, mut margin) =
            limits.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((Limit::Sun, -1.0));
        let mut v = s.track;
        if margin >= 0.0 {
            v = s.curve.above(s.peak.max(s.track), load.dc);
            // A tracker that is stuck below the peak gives the motor no more than its voltage.
            let held = if s.track < 0.9 * s.peak { s.track } else { v };
            let volts = self.drive.modulation * held / load.motor.u.max(1e-9) - 1.0;
            if volts < margin {
                (limit, margin) = (Limit::Voltage, volts);
            }
        }
        Trial { load, v, limit, margin }
    }

    /// Highest speed between `low` and `high` that everything allows; the error is what forbids `low`.
    pub fn hold(&self, low: f64, high: f64, s: &Supply, view: &View) -> Result<Held, Limit> {
        let path = Path::new(self, view);
        let offered = s.curve.power(s.track) * (1.0 - s.ripple);
        let forbids = Cell::new(Limit::Speed);
        let held = Cell::new(None);
        let margin = |n: f64| {
            let t = self.trial(n, s, offered, &path, view);
            if t.margin >= 0.0 {
                held.set(Some(Held { n, load: t.load, v: t.v, limit: Limit::Speed }));
                t.margin + 1e-12
            } else {
                forbids.set(t.limit);
                t.margin
            }
        };
        let top = margin(high);
        if top < 0.0 {
            // Mostly a little less will do; otherwise the crossing is looked for from the lowest speed.
            let near = low.max(0.97 * high);
            let there = margin(near);
            let (from, to) =
                if there > 0.0 { ((near, there), (high, top)) } else { ((low, margin(low)), (near, there)) };
            if from.1 < 0.0 {
                return Err(forbids.get());
            }
            falling(margin, from, to, 1e-4 * high);
        }
        let mut held = held.get().ok_or(Limit::Speed)?;
        held.limit = forbids.get();
        if held.limit == Limit::Sun {
            held.v = s.track;
        }
        Ok(held)
    }

    /// The settled running point at steady light, tracking perfectly, after two hours; `None` when even
    /// a twentieth of the highest speed is too much.
    pub fn settled(&self, g: f64, air_c: f64) -> Option<Held> {
        let light = Light { beam: 0.75 * g, diffuse: 0.25 * g, glass: 1.0 };
        let curve = self.panels.curve(light, air_c + self.cell_k * g);
        let (peak, _) = curve.best(self.drive.min_v);
        let track = self.drive.stuck_v.map_or(peak, |v| v.min(0.99 * curve.open_v()));
        let supply = Supply { curve: &curve, peak, track, ripple: 0.01, cool: 1.0 };
        let view = View { depth: None, empty: 0.0, wet: 1.0, winding_c: self.water_c + 15.0 };
        self.hold(0.05 * self.drive.max_rpm, self.drive.max_rpm, &supply, &view).ok()
    }

    /// Flow at steady light, m3/s, counting the lowest speed.
    pub fn settled_flow(&self, g: f64, air_c: f64) -> f64 {
        self.settled(g, air_c).filter(|h| h.n >= self.drive.min_rpm).map_or(0.0, |h| h.load.out)
    }
}
