//! Where sun, limits and load meet: the speed that the controller can hold.

use super::panel::Curve;
use super::plant::{Load, Plant, View};
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

impl Plant {
    /// Load at `n` and what forbids it.
    fn allowed(&self, n: f64, s: &Supply, view: &View) -> (Load, f64, Option<Limit>) {
        let load = self.load(n, view);
        let offered = s.curve.power(s.track) * (1.0 - s.ripple);
        let limit = if load.motor.i > self.drive.max_a {
            Some(Limit::Current)
        } else if load.motor.power_out > self.drive.max_power * s.cool {
            Some(Limit::Power)
        } else if load.dc > offered {
            Some(Limit::Sun)
        } else {
            let v = s.curve.above(s.peak.max(s.track), load.dc);
            let short = load.motor.u > self.drive.modulation * v;
            return (load, v, short.then_some(Limit::Voltage));
        };
        (load, s.track, limit)
    }

    /// Highest speed between `low` and `high` that everything allows; the error is what forbids `low`.
    pub fn hold(&self, low: f64, high: f64, s: &Supply, view: &View) -> Result<Held, Limit> {
        let (load, v, limit) = self.allowed(high, s, view);
        let Some(mut limit) = limit else {
            return Ok(Held { n: high, load, v, limit: Limit::Speed });
        };
        let (load_low, v_low, low_limit) = self.allowed(low, s, view);
        if let Some(l) = low_limit {
            return Err(l);
        }
        let mut held = Held { n: low, load: load_low, v: v_low, limit };
        let mut top = high;
        for _ in 0..16 {
            let n = f64::midpoint(held.n, top);
            match self.allowed(n, s, view) {
                (load, v, None) => held = Held { n, load, v, limit },
                (_, _, Some(l)) => {
                    top = n;
                    limit = l;
                }
            }
        }
        held.limit = limit;
        if limit == Limit::Sun {
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
        let supply = Supply { curve: &curve, peak, track: peak, ripple: 0.01, cool: 1.0 };
        let view = View { depth: None, empty: 0.0, wet: 1.0, winding_c: self.water_c + 15.0 };
        self.hold(0.05 * self.drive.max_rpm, self.drive.max_rpm, &supply, &view).ok()
    }

    /// Flow at steady light, m3/s, counting the lowest speed.
    pub fn settled_flow(&self, g: f64, air_c: f64) -> f64 {
        self.settled(g, air_c).filter(|h| h.n >= self.drive.min_rpm).map_or(0.0, |h| h.load.out)
    }
}
