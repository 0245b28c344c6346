//! What speaks before anything is measured: the situation, what was touched, what was noticed, the lead maps.

use wellwright_domain::lead_map::Parity;
use wellwright_domain::record::{JointMap, System};
use wellwright_domain::situation::{Noticed, Situation, Touched};

/// One joint's lead map is written down wrong this often (contract).
pub const MAP_WRONG: f64 = 0.05;

/// How much more likely a cause is after these parts were touched, as a factor; below 1 when other parts were
/// touched but none of its own, 0.8 when none was (engineering judgement: work is where faults come from).
///
/// `parts`: those whose handling can bring the cause about, each with how strongly having handled it points to the cause.
pub fn touched_factor(parts: &[(Touched, f64)], touched: &[Touched], situation: Situation) -> f64 {
    if parts.is_empty() || situation == Situation::FirstStart {
        return 1.0;
    }
    if touched.is_empty() {
        return 0.8;
    }
    let factors = touched.iter().filter_map(|t| parts.iter().find(|(p, _)| p == t).map(|(_, f)| *f));
    factors.fold(0.55, f64::max)
}

/// How likely the noticed things are when the cause leaves `flow_share` of healthy water and stops the pump again and
/// again with a chance `stops`.
///
/// Every thing noticed is a noisy word of a person, so no factor is far from 1 (engineering judgement).
pub fn noticed_log_likelihood(flow_share: f64, stops: f64, noticed: &[Noticed]) -> f64 {
    let none = 1.0 - smooth(flow_share, 0.05, 0.30);
    let full = smooth(flow_share, 0.75, 0.97);
    let less = (1.0 - none - full).max(0.0);
    let said = |n: Noticed| noticed.contains(&n);
    let water = if said(Noticed::NoWater) {
        0.72 * none + 0.12 * less + 0.015 * full
    } else if said(Noticed::LessWater) {
        0.15 * none + 0.6 * less + 0.04 * full
    } else {
        0.13 * none + 0.28 * less + 0.945 * full
    };
    // half of those who see it say it
    let told = 0.05 + 0.45 * stops;
    let cycling = if said(Noticed::StopsAndStarts) { told } else { 1.0 - told };
    f64::ln(water) + f64::ln(cycling)
}

/// What else people notice, and how often when nothing brings it (engineering judgement).
const USUAL: [(Noticed, f64); 5] = [
    (Noticed::Noise, 0.03),
    (Noticed::Hot, 0.03),
    (Noticed::WetGround, 0.02),
    (Noticed::WaterLate, 0.025),
    (Noticed::MuddyWater, 0.025),
];

/// log likelihood of the other things noticed. `signs`: those that a cause brings, each with how often.
pub fn signs_log_likelihood(signs: &[(Noticed, f64)], noticed: &[Noticed]) -> f64 {
    let of = |(sign, usual): &(Noticed, f64)| {
        let p = signs.iter().find(|(s, _)| s == sign).map_or(*usual, |(_, p)| *p);
        if noticed.contains(sign) { p.ln() } else { (1.0 - p).ln() }
    };
    USUAL.iter().map(of).sum()
}

fn smooth(x: f64, from: f64, to: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A reversal that no joint of the record shows (order of the motor's own leads, of the controller's terminals)
/// is this share of all reversals (engineering judgement).
pub const CROSSED_ELSEWHERE: f64 = 0.25;

/// Log likelihood of the parity written in the record, when the pump truly turns forwards or backwards.
///
/// Each joint's map is wrong with [`MAP_WRONG`], and every wrong map of one exchange flips the parity.
pub fn parity_log_likelihood(system: &System, reversed: bool) -> f64 {
    let Some(written) = system.cable.parity() else { return 0.0 };
    let known = system.cable.joints.iter().filter(|j| !matches!(j.map, JointMap::Unknown));
    let flipped = 0.5 * (1.0 - known.fold(1.0, |even, _| even * (1.0 - 2.0 * MAP_WRONG)));
    let odd_if_turned = (1.0 - CROSSED_ELSEWHERE) * (1.0 - flipped) + CROSSED_ELSEWHERE * flipped;
    let odd = if reversed { odd_if_turned } else { flipped };
    f64::ln(if written == Parity::Odd { odd } else { 1.0 - odd })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_written_parity_speaks_as_strongly_as_its_error_rate() {
        let system = wellwright_domain::examples::kestrel_hollow();
        // two straight joints: even on paper; an odd number of wrong maps has 2 x 0.05 x 0.95 = 0.095
        assert!((parity_log_likelihood(&system, false) - 0.905f64.ln()).abs() < 1e-12);
        // turned backwards: even on paper when one map is wrong, or when no joint shows the crossing
        let even: f64 = 0.75 * 0.095 + 0.25 * 0.905;
        assert!((parity_log_likelihood(&system, true) - even.ln()).abs() < 1e-12);
    }

    #[test]
    fn no_water_noticed_speaks_against_full_flow() {
        let full = noticed_log_likelihood(1.0, 0.0, &[Noticed::NoWater]);
        let none = noticed_log_likelihood(0.0, 0.0, &[Noticed::NoWater]);
        assert!(none - full > 3.0);
    }
}
