//! A hand-held irradiance meter in the plane of the array.
//!
//! Parts a sun sensor that reads wrong from an array that gives too little: the meter agrees with the sensor, or
//! with what the array's current says under the hypothesis, or with neither. Error: the hand-held meter 5 % and
//! its angle 3 %; sensor by its class; the array's current 2 % and its module 3 %.

use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct HandheldIrradiance;

/// Hand-held meter and its angle, 1 sigma of ln.
const METER: f64 = 0.058;

/// Irradiance that would make the array of the hypothesis give the measured current at the measured voltage,
/// with its spread in ln; `None` where the current tells nothing (far right of the best point, or none).
fn by_array(p: &Prediction) -> Option<(f64, f64)> {
    let volts = p.channel(Channel::ArrayV).filter(|v| *v > 1.0)?;
    let amps = p.channel(Channel::ArrayA).filter(|a| *a > 0.1)?;
    let condition = &p.plant.condition.array;
    let at = |v: f64, i: f64, warmer: f64| {
        let current = |g: f64| p.plant.array.curve(g, p.cell_c(g).0 + warmer, condition).current_a(v);
        let (mut low, mut high) = (20.0f64, 1600.0f64);
        if current(high) < i || current(low) > i {
            return None;
        }
        for _ in 0..22 {
            let mid = (low * high).sqrt();
            if current(mid) < i { low = mid } else { high = mid }
        }
        Some((low * high).sqrt())
    };
    let g = at(volts, amps, 0.0)?;
    let apart = |moved: Option<f64>| moved.map_or(0.5, |x| (x / g).ln());
    let by_volt = apart(at(1.01 * volts, amps, 0.0));
    let by_kelvin = apart(at(volts, amps, 3.0)) / 3.0;
    let by_amp = apart(at(volts, 1.02 * amps, 0.0));
    let cell_k = p.cell_c(g).1;
    let spread = by_volt.hypot(by_amp).hypot(by_kelvin * cell_k).hypot(0.03).hypot(p.sun_of_row());
    (spread < 0.5).then_some((g.ln(), spread))
}

impl CheckModel for HandheldIrradiance {
    fn check(&self) -> Check {
        Check::HandheldIrradiance
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let sun = p.sun();
        let sky = (sun.w_m2.max(1.0).ln(), sun.spread);
        let both = [Some(sky), by_array(p)];
        let weight = |s: f64| 1.0 / (s * s);
        let total: f64 = both.iter().flatten().map(|(_, s)| weight(*s)).sum();
        let mean = both.iter().flatten().map(|(m, s)| m * weight(*s)).sum::<f64>() / total;
        vec![Foreseen::number(mean, METER.hypot(1.0 / total.sqrt()))]
    }

    fn needs_sun(&self) -> bool {
        true
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("w_m2").map(|g| g.max(1.0).ln())]
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("W/m2", true))
    }
}
