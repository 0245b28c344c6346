//! Modules counted in series and strings, nameplates read.
//!
//! Settles whether the array, or the motor, is the one in the record. A ratio of the array's voltage may be
//! another number in series or another module; a ratio of its current may be strings, module, tilt or azimuth.
//! Error: one in two hundred counts is wrong; a nameplate gives the type's value, 1 %.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct RecordCount;

/// Spread of a count that is written down.
const COUNTED: f64 = 0.2;

/// Of so many that differ, the count tells it.
const RIGHT: f64 = 0.995;

/// A count: as recorded, or `other` with a share. What the record does not hold is wide.
fn count(recorded: bool, usual: f64, other: f64, share: f64) -> Foreseen {
    let sigma = if recorded { COUNTED } else { 0.35 * usual };
    Foreseen::either(if (other - usual).abs() < 0.5 { 0.0 } else { share }, (other, sigma), (usual, sigma))
}

/// A nameplate value by its logarithm, with its spread.
fn plate(value: Option<f64>, assumed: f64, other_ratio: f64, share: f64) -> Foreseen {
    let ln = value.unwrap_or(assumed).max(0.1).ln();
    let sigma = if value.is_some() { 0.012 } else { 0.15 };
    let far = other_ratio.ln().abs() > 0.02;
    Foreseen::either(if far { share } else { 0.0 }, (ln + other_ratio.ln(), 0.03), (ln, sigma))
}

impl CheckModel for RecordCount {
    fn check(&self) -> Check {
        Check::RecordCount
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let record = &p.system().array;
        let (series, strings) = (f64::from(p.plant.array.series), f64::from(p.plant.array.strings));
        let wrong = &p.plant.condition.array;
        let (volts, amps) = match p.cause() {
            Cause::RecordMismatch => (wrong.voltage_ratio.max(0.1), wrong.current_ratio.max(0.1)),
            _ => (1.0, 1.0),
        };
        // which of the things that could differ does: known by the hypothesis, else shared out
        let share = |what: &str, open: f64| {
            p.hypothesis.of.map_or(open, |of| if of == what { RIGHT } else { 1.0 - RIGHT })
        };
        let poles = f64::from(p.plant.motor.pole_pairs);
        let poles = match p.cause() {
            Cause::EquipmentMismatch => Foreseen::either(0.35, (poles, 1.2), (poles, COUNTED)),
            _ => Foreseen::number(poles, if p.system().motor.pole_pairs.is_some() { COUNTED } else { 1.5 }),
        };
        vec![
            count(record.series.is_some(), series, (series * volts).round().max(1.0), share("series", 0.6)),
            count(
                record.strings.is_some(),
                strings,
                (strings * amps).round().max(1.0),
                share("strings", 0.4),
            ),
            plate(record.module.isc_a, 9.0, amps, share("module", 0.25)),
            plate(record.module.voc_v, 38.0, volts, share("module", 0.35)),
            poles,
        ]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let ln = |field: &str| made.number(field).filter(|x| *x > 0.0).map(f64::ln);
        let [series, strings, poles] = ["series", "strings", "pole_pairs"].map(|f| made.number(f));
        vec![series, strings, ln("isc_a"), ln("voc_v"), poles]
    }

    fn may_surprise(&self) -> bool {
        // a count is a count
        false
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        match feature {
            0 | 1 | 4 => Some(("count", false)),
            2 => Some(("A", true)),
            _ => Some(("V", true)),
        }
    }
}
