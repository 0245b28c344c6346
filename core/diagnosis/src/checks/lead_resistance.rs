//! Resistance of the three lead pairs at the controller end: the lowest, the highest over the lowest, and where
//! the middle one lies.
//!
//! An open lead leaves two pairs open (1e6 ohm); a bad joint raises two pairs and leaves one; shorted turns
//! lower two and leave one; a thin cable raises all three. Copper is brought to the temperature of the leads.
//! Error: a low-ohm meter and its clips 1 % and 15 mohm; pairs of sound leads lie within 2 % of their mean
//! (trade journal, in reproduction); motor 4 %, cable 3.5 % (the record's tolerances), temperature 2 %.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::conductor::copper_factor;
use wellwright_physics::plant::{CABLE_RISE_K, Plant, WINDING_RISE_K};

use super::{CannotBe, CheckModel, Foreseen, Prediction};
use crate::nuisance::WINDING;

/// See the module.
pub struct LeadResistance;

/// From this ratio of the highest pair to the lowest on, the middle one tells something.
const UNEQUAL: f64 = 1.06;

/// What an open pair is told as (contract), ohm.
const OPEN_OHM: f64 = 1e6;

/// Two pairs read open so often because a clip does not bite, and because a bad joint opens when it is moved
/// (engineering judgement).
const NO_CONTACT: f64 = 0.004;
const OPENS: f64 = 0.04;

/// No motor that fits this well has so many times the resistance, or so small a part of it (engineering judgement).
const FAR: f64 = 20.0;

/// Temperature of copper where none is told, degC.
const USUAL_C: f64 = 20.0;

/// Resistance of motor and cable, ohm a phase, as cold as the water and the leads. The plant stands for a working
/// motor.
fn at_rest(plant: &Plant, water_c: f64, lead_c: f64) -> (f64, f64) {
    let motor = plant.motor.phase_ohm * copper_factor(water_c) / copper_factor(water_c + WINDING_RISE_K);
    let lead = plant.condition.lead.cable_ratio * copper_factor(0.5 * (water_c + lead_c));
    (motor, plant.cable_ohm * lead / copper_factor(water_c + CABLE_RISE_K))
}

/// The three pairs, lowest first, ohm.
fn pairs(made: &CheckMade) -> Option<[f64; 3]> {
    let mut sorted =
        [made.number("uv_ohm")?, made.number("vw_ohm")?, made.number("wu_ohm")?].map(|r| r.max(1e-3));
    sorted.sort_by(f64::total_cmp);
    Some(sorted)
}

/// Some lead carries nothing.
pub fn is_open(made: &CheckMade) -> bool {
    pairs(made).is_some_and(|[_, _, high]| reads_open(high))
}

fn reads_open(ohm: f64) -> bool {
    ohm >= 0.1 * OPEN_OHM
}

impl CheckModel for LeadResistance {
    fn check(&self) -> Check {
        Check::LeadResistance
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let lead = &p.plant.condition.lead;
        let water = p.water_c();
        let lead_c = p.made.and_then(|m| m.number("lead_c")).unwrap_or(water);
        let (motor, cable) = at_rest(p.plant, water, lead_c);
        let pair = (2.0 * (motor + cable)).max(1e-3);
        let shorted = (lead.shorted_turns * motor).min(0.9 * pair);
        let (low, high, middle) = match p.cause() {
            Cause::OpenPhase => (pair, OPEN_OHM, 1.0),
            _ if shorted > 0.0 => (pair - shorted, pair, 0.0),
            _ => (pair, pair + lead.one_lead_ohm, 1.0),
        };
        let clips = 0.015 / low;
        // the contract's tolerances of motor and cable, wide where the record holds none
        let known = p.system().motor.line_resistance_ohm.is_some();
        let of_motor = if known { WINDING } else { 0.3 } * 2.0 * motor;
        let record = (of_motor.hypot(0.035 * 2.0 * cable) / pair).hypot(0.02).hypot(clips);
        let lowest = match p.cause() {
            // more than one lead may be open
            Cause::OpenPhase => Foreseen::either(0.85, (low.ln(), record), (OPEN_OHM.ln(), 1.0)),
            // another motor has another resistance, or happens to have the same
            Cause::EquipmentMismatch => Foreseen::either(0.4, (low.ln(), record), (low.ln(), 0.5)),
            _ => Foreseen::number(low.ln(), record),
        };
        let ratio = (high / low).ln();
        let unequal = ratio > UNEQUAL.ln();
        let middle = if unequal { Foreseen::number(middle, 0.15) } else { Foreseen::number(0.5, 0.35) };
        let sound = (ratio, 0.018f64.hypot(clips).hypot(0.1 * ratio));
        let opens = match p.cause() {
            Cause::OpenPhase => 0.0,
            Cause::HighResistanceJoint | Cause::Unknown => OPENS,
            _ => NO_CONTACT,
        };
        vec![lowest, Foreseen::either(1.0 - opens, sound, ((OPEN_OHM / low).ln(), 1.0)), middle]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let Some([low, mid, high]) = pairs(made) else { return vec![None; 3] };
        let middle = (high > UNEQUAL * low).then(|| (mid - low) / (high - low));
        vec![Some(low.ln()), Some((high / low).ln()), middle]
    }

    fn cannot_be(&self, made: &CheckMade, healthy: &Plant) -> Option<CannotBe> {
        let [low, mid, high] = pairs(made)?;
        let (motor, cable) = at_rest(healthy, USUAL_C, USUAL_C);
        let expected = 2.0 * (motor + cable);
        if reads_open(high) && !reads_open(mid) {
            return Some(CannotBe { id: "one_pair_open", values: [high, expected] });
        }
        let far = !reads_open(low) && !(expected / FAR..=expected * FAR).contains(&low);
        far.then_some(CannotBe { id: "another_unit", values: [low, expected] })
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("ohm", true))
    }
}
