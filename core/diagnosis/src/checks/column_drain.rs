//! After a stop: does the shaft spin back, and how late is the next water?
//!
//! A sound check valve keeps the column, so water comes as soon as the pump is up to speed. Where the column has
//! run back, it must be filled again: its volume over the flow. A leak in the riser drains it to the leak's
//! depth. No water at all is told as 999 s. Error: the rest before the start is not told and is taken as a few
//! minutes; a helical rotor's friction mostly keeps the shaft from spinning.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::record::PumpKind;

use super::{CheckModel, Foreseen, Prediction, yes_no};
use crate::predict::column::{PROMPT_S, drained, fill_s, valve_fitted};

/// See the module.
pub struct ColumnDrain;

/// Rest between stop and start, min.
const REST_MIN: f64 = 7.0;

/// As no water is told, s.
const NEVER_S: f64 = 999.0;

/// A shaft spins back for so long after a stop, min: a column that runs back more slowly turns nothing.
const SPINS_MIN: f64 = 4.0;

/// Share of stops after which the shaft is heard or seen to spin back.
fn spins(p: &Prediction) -> f64 {
    let fast = match (p.hypothesis.drains_in_min, p.cause()) {
        (Some(minutes), _) => (SPINS_MIN / minutes).min(1.0),
        _ if !valve_fitted(p.system()) => 0.9,
        // water that runs out of a hole is heard too
        (None, Cause::RiserLeak) => 0.15,
        _ => return 0.03,
    };
    let free = if p.plant.kind == PumpKind::HelicalRotor { 0.2 } else { 0.75 };
    0.05 + fast * free
}

impl CheckModel for ColumnDrain {
    fn check(&self) -> Check {
        Check::ColumnDrain
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let size = crate::predict::reference_flow(p.healthy);
        let never = (NEVER_S.ln(), 0.2);
        let flows = p.load().map(|l| p.flows_m3_h(&l, |l| l.water.wellhead_m3_h));
        let lifts: Vec<(f64, f64)> = flows.into_iter().flatten().filter(|(_, q)| *q >= 0.03 * size).collect();
        let comes: f64 = lifts.iter().map(|(share, _)| share).sum();
        let flow = lifts.iter().map(|(share, q)| share * q).sum::<f64>() / comes.max(1e-9);
        let prompt = match drained(p.hypothesis, valve_fitted(p.system()), REST_MIN) {
            Some(share) => ((PROMPT_S + share * fill_s(p.plant, flow)).min(900.0).ln(), 0.5),
            None => (PROMPT_S.ln(), 0.6),
        };
        let delay = Foreseen::either(comes * p.runs_when_watched(), prompt, never);
        vec![delay, Foreseen::yes(spins(p))]
    }

    fn field(&self, feature: usize) -> Option<&'static str> {
        (feature == 1).then_some("spins_back")
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("water_delay_s").map(|s| s.clamp(3.0, NEVER_S).ln()), yes_no(made, "spins_back")]
    }

    fn starts_pump(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("s", true))
    }
}
