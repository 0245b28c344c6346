//! Open-circuit voltage of each string with the isolator open: the highest, and how far the lowest lies below.
//!
//! A string without one of its substrings, modules in series other than recorded, or a string that is open
//! inside. Voltage hardly hangs on the sun, so neither dust nor shade shows. Error: the meter 0.5 %, modules
//! 1 %, the cell temperature at 0.33 %/K; strings of one build within 5 % (field standard, from memory).

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct StringOpenVoltage;

/// Meter and modules together, 1 sigma of the voltage.
const METER_AND_MODULES: f64 = 0.012;

impl CheckModel for StringOpenVoltage {
    fn check(&self) -> Check {
        Check::StringOpenVoltage
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let array = &p.plant.array;
        let sun = p.sun();
        let (cell, cell_k) = p.cell_c(sun.w_m2);
        let mut alone = p.plant.condition.array;
        // missing substrings mostly sit in one string, and the best of several is whole
        let several = array.strings > 1;
        if several {
            alone.missing_substrings = 0.0;
        }
        alone.open_strings = 0;
        let voc = array.curve(sun.w_m2, cell, &alone).voc();
        let known = p.system().array.series.is_some() && p.system().array.module.voc_v.is_some();
        let record = if known { 0.0 } else { 0.15 };
        let sigma = voc * METER_AND_MODULES.hypot(0.0033 * cell_k).hypot(0.04 * sun.spread).hypot(record);
        let best = match p.cause() {
            // open before the place where it is measured, or behind it
            Cause::NoDcSupply => Foreseen::either(0.3, (1.0, 2.0), (voc, sigma)),
            _ => Foreseen::number(voc, sigma),
        };
        let alike = (0.006, 0.012);
        let in_one = p.plant.condition.array.missing_substrings / f64::from(array.substrings * array.series);
        let lower = match p.cause() {
            Cause::ShortedBypass if several => {
                let in_some = if p.plant.condition.array.missing_gathered { 0.95 } else { 0.4 };
                Foreseen::either(in_some, (in_one.min(1.0), 0.02), alike)
            }
            // open inside, or at a fuse behind the place where it is measured
            Cause::OpenString => Foreseen::either(0.6, (1.0, 0.1), alike),
            _ => Foreseen::number(alike.0, alike.1),
        };
        vec![best, lower]
    }

    fn needs_sun(&self) -> bool {
        true
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let Some(Answer::List(volts)) = made.answers.get("volts") else { return vec![None; 2] };
        let best = volts.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let least = volts.iter().copied().fold(f64::INFINITY, f64::min);
        let lower = (volts.len() > 1 && best > 1.0).then(|| (best - least) / best);
        vec![Some(best), lower]
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("V", false))
    }
}
