//! The array, or one string, washed: does its current grow at the same sun, while the sun is what limits?
//!
//! Parts dust from every other loss of current: shade, haze, tilt and a sensor that reads too much stay as they
//! are. Error: the sun moves 3 % while the cloth dries; not all dirt comes off.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};
use crate::score::electrical::only_sun_limits;

/// How much more current, natural log, the pump takes once the dirt is gone: all that the dirt took, or less where it
/// then meets a limit.
fn gain(p: &Prediction) -> f64 {
    let whole = -p.plant.condition.array.current_ratio.clamp(0.2, 1.0).ln();
    let moment = p.moment(p.sun().w_m2, 60.0);
    let mut clean = p.plant.clone();
    clean.condition.array.current_ratio = 1.0;
    let after = clean.operating_point(&moment).dc.i;
    let before = p.operating_point().filter(|o| o.load.is_some()).map(|o| o.dc.i);
    before.filter(|i| *i > 0.1 && after > 0.1).map_or(whole, |i| (after / i).ln().clamp(0.0, whole))
}

/// See the module.
pub struct WashModules;

impl CheckModel for WashModules {
    fn check(&self) -> Check {
        Check::WashModules
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        // every array is a little dusty
        let usual = (0.012, 0.03);
        vec![match p.cause() {
            Cause::Soiling if p.steady().is_none_or(|s| only_sun_limits(p.plant, s)) => {
                let gain = gain(p);
                Foreseen::number(0.92 * gain, 0.03f64.hypot(0.12 * gain))
            }
            // a pump that a limit holds takes no more of a clean array
            _ => Foreseen::number(usual.0, usual.1),
        }]
    }

    fn needs_sun(&self) -> bool {
        true
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let amps = made.number("amps_before").zip(made.number("amps_after"));
        vec![amps.filter(|(b, a)| *b > 0.1 && *a > 0.1).map(|(b, a)| (a / b).ln())]
    }

    fn while_running(&self) -> bool {
        true
    }
}
