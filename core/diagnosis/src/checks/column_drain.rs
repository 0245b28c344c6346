//! After a stop: does the shaft spin back, and how late is the next water?
//!
//! A sound check valve keeps the column, so water comes as soon as the pump is up to speed. Where the column has
//! run back, it must be filled again: its volume over the flow. A leak in the riser drains it to the leak's
//! depth. No water at all is told as 999 s. Error: the rest before the start is not told and is taken as a few
//! minutes; a helical rotor's friction mostly keeps the shaft from spinning.

use std::f64::consts::FRAC_PI_4;

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::record::PumpKind;

use super::{CheckModel, Foreseen, Prediction, yes_no};

/// See the module.
pub struct ColumnDrain;

/// From switch to water with a full column, s (ramp and the last of the pipe).
const PROMPT_S: f64 = 15.0;

/// Rest between stop and start, min.
const REST_MIN: f64 = 7.0;

/// As no water is told, s.
const NEVER_S: f64 = 999.0;

/// Time to fill a riser that has run empty to the resting level, s.
fn fill_s(p: &Prediction, flow_m3_h: f64) -> f64 {
    let water = &p.plant.water;
    let area = FRAC_PI_4 * (water.pipes.riser.inner_mm / 1000.0).powi(2);
    3600.0 * area * water.well.static_m / flow_m3_h.max(0.02)
}

/// Time in which a leaking check valve lets the column run back, min.
fn drain_min(p: &Prediction) -> f64 {
    let h = p.hypothesis;
    h.drains_in_min.or(h.severity).unwrap_or(5.0).max(0.1)
}

/// Share of the column that has run back before the next start.
fn drained(p: &Prediction) -> Option<f64> {
    let fitted = p.system().delivery.check_valve != Some(false);
    match p.cause() {
        Cause::CheckValveLeak => Some((REST_MIN / drain_min(p)).min(1.0)),
        Cause::RiserLeak if p.plant.condition.water.riser_leak_m3_h > 0.0 => Some(0.5),
        _ if !fitted => Some(1.0),
        _ => None,
    }
}

fn spins(p: &Prediction) -> f64 {
    let fitted = p.system().delivery.check_valve != Some(false);
    let fast = match p.cause() {
        Cause::CheckValveLeak => (4.0 / drain_min(p)).min(1.0),
        _ if !fitted => 0.9,
        // water that runs out of a hole is heard too
        Cause::RiserLeak => 0.15,
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
        let prompt = match drained(p) {
            Some(share) => ((PROMPT_S + share * fill_s(p, flow)).min(900.0).ln(), 0.5),
            None => (PROMPT_S.ln(), 0.6),
        };
        let delay = Foreseen::either(comes * p.runs_when_watched(), prompt, never);
        vec![delay, Foreseen::yes(spins(p))]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("water_delay_s").map(|s| s.clamp(3.0, NEVER_S).ln()), yes_no(made, "spins_back")]
    }

    fn starts_pump(&self) -> bool {
        true
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("s", true))
    }
}
