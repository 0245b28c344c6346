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
use wellwright_physics::plant::{CABLE_RISE_K, WINDING_RISE_K};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct LeadResistance;

/// From this ratio of the highest pair to the lowest on, the middle one tells something.
const UNEQUAL: f64 = 1.06;

impl CheckModel for LeadResistance {
    fn check(&self) -> Check {
        Check::LeadResistance
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let lead = &p.plant.condition.lead;
        // the plant stands for a working motor: at rest all of it is as cold as the water
        let water = p.water_c();
        let lead_c = p.made.and_then(|m| m.number("lead_c")).unwrap_or(water);
        let motor = p.plant.motor.phase_ohm * copper_factor(water) / copper_factor(water + WINDING_RISE_K);
        let cable = p.plant.cable_ohm * lead.cable_ratio * copper_factor(0.5 * (water + lead_c))
            / copper_factor(water + CABLE_RISE_K);
        let pair = (2.0 * (motor + cable)).max(1e-3);
        let shorted = (lead.shorted_turns * motor).min(0.9 * pair);
        let (low, high, middle) = match p.cause() {
            Cause::OpenPhase => (pair, 1e6, 1.0),
            _ if shorted > 0.0 => (pair - shorted, pair, 0.0),
            _ => (pair, pair + lead.one_lead_ohm, 1.0),
        };
        let clips = 0.015 / low;
        // the contract's tolerances of motor and cable, wide where the record holds none
        let known = p.system().motor.line_resistance_ohm.is_some();
        let of_motor = if known { 0.04 } else { 0.3 } * 2.0 * motor;
        let record = (of_motor.hypot(0.035 * 2.0 * cable) / pair).hypot(0.02).hypot(clips);
        let lowest = match p.cause() {
            // another motor has another resistance, or happens to have the same
            Cause::EquipmentMismatch => Foreseen::either(0.4, (low.ln(), record), (low.ln(), 0.5)),
            _ => Foreseen::number(low.ln(), record),
        };
        let ratio = (high / low).ln();
        let unequal = ratio > UNEQUAL.ln();
        let middle = if unequal { Foreseen::number(middle, 0.15) } else { Foreseen::number(0.5, 0.35) };
        vec![lowest, Foreseen::number(ratio, 0.018f64.hypot(clips).hypot(0.1 * ratio)), middle]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let pairs = [made.number("uv_ohm"), made.number("vw_ohm"), made.number("wu_ohm")];
        let [Some(a), Some(b), Some(c)] = pairs else { return vec![None; 3] };
        let mut sorted = [a, b, c].map(|r| r.max(1e-3));
        sorted.sort_by(f64::total_cmp);
        let [low, mid, high] = sorted;
        let middle = (high > UNEQUAL * low).then(|| (mid - low) / (high - low));
        vec![Some(low.ln()), Some((high / low).ln()), middle]
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("ohm", true))
    }
}
