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
        // of several strings the best is whole where all that is missing sits in one, else each misses some
        let several = array.strings > 1;
        let strings = f64::from(array.strings);
        let missing = alone.missing_substrings;
        let in_each = if alone.missing_gathered { 0.0 } else { (missing / strings).floor() };
        if several {
            alone.missing_substrings = in_each * strings;
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
        let in_one = (missing - in_each * strings) / (f64::from(array.substrings * array.series) - in_each);
        let lower = match p.cause() {
            Cause::ShortedBypass if several && in_one > 0.0 => {
                let in_some = if alone.missing_gathered { 0.95 } else { 0.6 };
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

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("V", false))
    }
}
