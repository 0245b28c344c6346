//! The three leads clamped at steady speed: their mean, and how unequal they are.
//!
//! Parts an open lead (two equal, one nothing), a bad joint on a drive that cannot keep the currents equal, and
//! shorted turns from what takes more or less torque. Unbalance as motor manuals count it: 51, 46 and 53 A are
//! 8.0 % apart. Error: a clamp on a chopped current reads 4 % off, each phase 2 %; the torque 7 %, less where the
//! controller has told its currents.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::flags::PumpState;
use wellwright_physics::load::Load;
use wellwright_physics::motor::unbalance_pct;

use super::{CheckModel, Foreseen, Prediction};
use crate::predict::speed::load_at;
use crate::window::Steady;

/// See the module.
pub struct LeadCurrent;

/// A clamp on a chopped current, 1 sigma of ln.
const CLAMP: f64 = 0.04;

/// Least current that is told as a logarithm, A.
const LEAST_A: f64 = 0.01;

/// The three currents over their mean.
fn shape(p: &Prediction, running: Option<[f64; 3]>) -> [f64; 3] {
    if let Some(fixed) = p.hypothesis.unbalance {
        return fixed;
    }
    running.unwrap_or([1.0; 3])
}

impl CheckModel for LeadCurrent {
    fn check(&self) -> Check {
        Check::LeadCurrent
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let load = p.load();
        let unequal = unbalance_pct(shape(p, load.map(|l| l.motor.unbalance))) / 100.0;
        let h = p.hypothesis;
        let loose = 0.07f64.hypot(h.loose_electrical).hypot(0.5 * h.torque_sigma).hypot(h.torque_scatter);
        // standing it is nothing, or what a start that fails draws
        let limit = p.plant.controller.max_phase_a;
        let starting = p.row().and_then(|r| r.state) == Some(PumpState::Starting);
        let standing = match p.cause() {
            Cause::SeizedPump | Cause::OpenPhase => ((0.8 * limit).ln(), 0.5),
            _ if starting => ((0.5 * limit).ln(), 0.8),
            _ => (LEAST_A.ln(), 0.8),
        };
        let point = p.steady();
        let told = point.and_then(Steady::phase_a).filter(|a| *a > 0.05).map(|a| (a.ln(), 0.03));
        // where no current is told the power is, and at one speed the current goes with it
        let by_power = |l: &Load| {
            let told = point.filter(|s| s.rpm().is_some()).and_then(Steady::dc_w)?;
            let same = load_at(p.plant, point?);
            let ratio = (told / same.dc_w.max(1.0)).clamp(0.2, 5.0);
            Some(((l.motor.phase_a.max(LEAST_A) * ratio).ln(), 0.06))
        };
        let amps = load.map_or(standing, |l| {
            let own = (l.motor.phase_a.max(LEAST_A).ln(), loose);
            // what comes and goes with the air in it is another at the clamp
            let told = told.or_else(|| by_power(&l));
            let class = f64::hypot(told.map_or(0.03, |t| t.1), h.torque_scatter);
            let (mean, sigma) = p.drawn_to(Channel::PhaseUA, told.map(|t| t.0), own, class);
            let by_speed = p.by_speed(|l| l.motor.phase_a.max(LEAST_A).ln());
            (mean, sigma.hypot(CLAMP).hypot(h.torque_scatter).hypot(by_speed))
        });
        let told = p.steady().and_then(Steady::unbalance).map(|u| unbalance_pct(u) / 100.0);
        // a lead that is open carries nothing; how unequal others are hangs on the drive
        let drive = if p.cause() == Cause::OpenPhase { 0.1 } else { 0.3 * unequal };
        let own = (unequal.max(0.012), 0.012f64.hypot(drive));
        let (apart, sigma) = p.drawn_to(Channel::PhaseUA, told, own, 0.03);
        vec![p.by_running(amps, standing), Foreseen::number(apart, sigma.hypot(0.02))]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let amps = [made.number("u_a"), made.number("v_a"), made.number("w_a")];
        let [Some(u), Some(v), Some(w)] = amps else { return vec![None, None] };
        let mean = (u + v + w) / 3.0;
        if mean <= 0.05 {
            return vec![Some(mean.max(LEAST_A).ln()), None];
        }
        vec![Some(mean.ln()), Some(unbalance_pct([u, v, w]) / 100.0)]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("A", true))
    }
}
