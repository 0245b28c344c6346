//! All leads together against ground, with the controller taken off.
//!
//! The only check that sees a leak above some ten kohm. What is foreseen is brought to the temperature of the reading
//! as for thermoplastic insulation (halves every 10 K), because cable and splices leak more often than windings.
//! Classes for a motor in the well with its cable at 500 V (common practice, several motor manuals): from 2 Mohm good,
//! 0.5 to 2 serviceable, below damaged, 20 kohm and less failed. A tester below 250 V may miss what a higher voltage
//! would find. Over range is the tester's top value: as good as it can tell.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::conductor::{InsulationKind, insulation_factor};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct InsulationResistance;

/// From here on an installed motor with its cable is good, Mohm as read.
pub const GOOD_MOHM: f64 = 2.0;

/// At this and less it has failed, Mohm as read.
pub const FAILED_MOHM: f64 = 0.02;

/// More than this no tester needs to tell: higher readings count as this, Mohm as read.
const TOP_MOHM: f64 = 100.0;

/// Less than this is a dead short all the same: lower readings count as this, Mohm as read.
const LEAST_MOHM: f64 = 0.001;

/// Voltage from which a tester finds a wet joint for sure, V.
const FINDS_FROM_V: f64 = 250.0;

/// Test voltage of the classes, V.
const USUAL_V: f64 = 500.0;

/// How an insulation reading is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// As new.
    Good,
    /// May stay; watch it.
    Serviceable,
    /// Locate and repair.
    Damaged,
    /// Lost.
    Failed,
}

/// Below this it is damaged, Mohm as read, by test voltage: 0.5 up to 500 V, 1 above (motor manuals draw the line
/// at one or the other; the field standard for arrays asks for the same two, from memory).
pub fn damaged_below_mohm(test_v: f64) -> f64 {
    if test_v <= USUAL_V { 0.5 } else { 1.0 }
}

/// The class of a reading of an installed motor with its cable; `mohm` as read at the temperature of the well,
/// `test_v` the tester's voltage, V.
pub fn class(mohm: f64, test_v: f64) -> Class {
    match mohm {
        m if m >= GOOD_MOHM => Class::Good,
        m if m >= damaged_below_mohm(test_v) => Class::Serviceable,
        m if m > FAILED_MOHM => Class::Damaged,
        _ => Class::Failed,
    }
}

/// ln of a reading brought from one temperature to another, Mohm, degC (-10 to 85; beyond counts as the nearer end).
pub fn brought(mohm: f64, from_c: f64, to_c: f64) -> f64 {
    let to_40c =
        |c: f64| insulation_factor(InsulationKind::Thermoplastic, c.clamp(-10.0, 85.0)).unwrap_or(1.0);
    (mohm * to_40c(from_c) / to_40c(to_c)).ln()
}

/// ln of a reading as far as it counts, Mohm.
fn counted(mohm: f64) -> f64 {
    mohm.clamp(LEAST_MOHM, TOP_MOHM).ln()
}

/// Temperature that stands for a well when nobody measured one, degC.
const LEAD_C: f64 = 20.0;

/// Middle of a class and its spread, as ln of Mohm at a temperature.
fn of_class(c: Class, test_v: f64, at_c: f64) -> (f64, f64) {
    let damaged = damaged_below_mohm(test_v);
    let (mohm, sigma) = match c {
        Class::Good => (60.0, 0.9),
        Class::Serviceable => ((GOOD_MOHM * damaged).sqrt(), 0.35),
        Class::Damaged => ((damaged * FAILED_MOHM).sqrt(), 1.2),
        Class::Failed => (0.5 * FAILED_MOHM, 1.0),
    };
    (brought(mohm, LEAD_C, at_c), sigma)
}

impl CheckModel for InsulationResistance {
    fn check(&self) -> Check {
        Check::InsulationResistance
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let tester = p.made.and_then(|m| m.number("test_v")).unwrap_or(USUAL_V);
        let at_c = p.made.and_then(|m| m.number("lead_c")).unwrap_or(LEAD_C);
        let [good, serviceable, damaged] =
            [Class::Good, Class::Serviceable, Class::Damaged].map(|c| of_class(c, tester, at_c));
        let finds = if tester < FINDS_FROM_V { 0.75 } else { 0.97 };
        let bad = |share: f64| Foreseen::either(share * finds, damaged, good);
        vec![match p.cause() {
            Cause::InsulationFault => {
                let of = |kohm: f64| (brought(kohm / 1000.0, LEAD_C, at_c), 0.6);
                Foreseen::either(finds, p.hypothesis.severity.map_or(damaged, of), good)
            }
            // a burnt winding mostly reaches the core in the end; a joint that parts lets water in
            Cause::WindingFault => bad(0.4),
            Cause::OpenPhase => bad(0.25),
            Cause::HighResistanceJoint => bad(0.15),
            Cause::Unknown => bad(0.1),
            // most sound motors are good, some old ones serviceable
            _ => Foreseen::either(0.96, good, serviceable),
        }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("mohm").map(counted)]
    }

    // a fault that nothing here describes says above how often it leaks
    fn may_surprise(&self) -> bool {
        false
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("Mohm", true))
    }
}
