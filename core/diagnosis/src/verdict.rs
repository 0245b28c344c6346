//! The verdict over all causes, stop-now, and what held the pump.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::finding::{DoFirst, Regime, Verdict};
use wellwright_domain::record::PumpKind;
use wellwright_physics::plant::Plant;

use crate::predict::speed::load_at;
use crate::running::{Running, cycles};
use crate::window::{Look, Outcome, Steady};

/// Verdict by the contract's rules. `resting`: the pump stands still.
pub fn verdict(probability: impl Fn(Cause) -> f64, ranked: &[(Cause, f64)], resting: bool) -> Verdict {
    let fine = probability(Cause::Healthy) + probability(Cause::LowSun) + probability(Cause::StandingBy);
    if fine >= 0.5 {
        let low = probability(Cause::LowSun);
        let standing = probability(Cause::StandingBy) + if resting { low } else { 0.0 };
        return if standing > 0.5 * fine { Verdict::StandingBy } else { Verdict::Healthy };
    }
    let known = ranked.iter().filter(|(c, _)| c.is_fault());
    let faults: Vec<f64> = known.map(|(_, p)| *p).collect();
    // alone, or with another; that none of the catalogue explains it is a fault too
    let first = ranked.first().filter(|(c, _)| !c.is_sound()).map_or(0.0, |(c, p)| p.max(probability(*c)));
    if first >= 0.5 || faults.iter().take(3).sum::<f64>() >= 0.8 {
        Verdict::Fault
    } else {
        Verdict::TooLittle
    }
}

/// From this probability on a pump that may run dry is not to run (contract): a helical rotor sooner than others.
const RUNS_DRY: f64 = 0.3;
const HELICAL: f64 = 0.1;

/// What stands in the way of a pump that runs, by how sure it is.
struct Ways {
    dry: f64,
    shut: f64,
    backwards: f64,
}

impl Ways {
    fn new(probability: impl Fn(Cause) -> f64) -> Ways {
        Ways {
            dry: probability(Cause::DryRunning),
            shut: probability(Cause::ClosedValve) + probability(Cause::BlockedRiser),
            backwards: probability(Cause::ReversedRotation),
        }
    }
}

/// Is it better neither run nor started to learn something? Dry, or against something shut, that does harm, and what
/// leaks to ground is dangerous; one that may turn backwards is proved by turning it the other way.
pub fn better_left_standing(probability: impl Fn(Cause) -> f64, kind: PumpKind) -> bool {
    let ways = Ways::new(&probability);
    let harm = ways.dry >= RUNS_DRY || (kind == PumpKind::HelicalRotor && ways.dry + ways.shut >= HELICAL);
    harm || probability(Cause::InsulationFault) >= LEAKS
}

/// From this probability of a leak to ground on nothing is energised to learn something (engineering judgement).
pub const LEAKS: f64 = 0.3;

/// Must it be stopped before anything else?
pub fn do_first(probability: impl Fn(Cause) -> f64, kind: PumpKind, running: Running) -> Option<DoFirst> {
    let ways = Ways::new(probability);
    let pressing = ways.dry + ways.shut + ways.backwards;
    let stop = ways.dry >= RUNS_DRY || (kind == PumpKind::HelicalRotor && pressing >= HELICAL);
    (stop && running == Running::Yes).then_some(DoFirst::StopNow)
}

/// What held the pump for most of the window. Of one that runs without a speed to tell what holds it, the sun is taken
/// to.
pub fn regime(plant: &Plant, look: &Look, running: Running) -> Regime {
    let runs = look.stops.share(Outcome::Runs);
    if look.steady.is_empty() {
        let untold = running == Running::Yes && (runs > 0.5 || look.rows == 0);
        return match cycles(look) {
            true => Regime::Cycling,
            false if untold => Regime::SunLimited,
            false => Regime::Stopped,
        };
    }
    if look.stops.trips > 1 && look.stops.starts > 1 {
        return Regime::Cycling;
    }
    if runs < 0.5 && look.stops.last != Some(Outcome::Runs) {
        return Regime::Stopped;
    }
    running_regime(plant, look).unwrap_or(Regime::Stopped)
}

/// What held the pump for most of the time in which it ran steadily; `None` when it never did.
pub fn running_regime(plant: &Plant, look: &Look) -> Option<Regime> {
    let mut counts: Vec<(Regime, usize)> = Vec::new();
    for p in &look.steady {
        let r = point_regime(plant, p);
        match counts.iter_mut().find(|c| c.0 == r) {
            Some(c) => c.1 += p.rows,
            None => counts.push((r, p.rows)),
        }
    }
    counts.into_iter().max_by_key(|c| c.1).map(|c| c.0)
}

/// What held one steady point: by what was measured where it was, else by the load of `plant`.
pub fn point_regime(plant: &Plant, p: &Steady) -> Regime {
    let c = &plant.controller;
    let Some(rpm) = p.rpm() else { return Regime::Stopped };
    let load = load_at(plant, p);
    let amps = p.phase_a().unwrap_or(load.motor.phase_a);
    let volts = p.get(Channel::OutputV).unwrap_or(load.motor.line_v);
    if rpm >= 0.985 * c.max_rpm {
        Regime::SpeedLimited
    } else if p.get(Channel::ControllerC).is_some_and(|t| t >= c.derate_from_c) {
        Regime::HeatLimited
    } else if amps >= 0.965 * c.max_phase_a {
        Regime::CurrentLimited
    } else if p.dc_w().unwrap_or(load.dc_w) >= 0.965 * c.max_power_w {
        Regime::PowerLimited
    } else if p.get(Channel::ArrayV).is_some_and(|v| volts >= 0.965 * c.voltage_ratio() * v) {
        Regime::VoltageLimited
    } else {
        Regime::SunLimited
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(list: &[(Cause, f64)], resting: bool) -> Verdict {
        let p = |c: Cause| list.iter().find(|(x, _)| *x == c).map_or(0.0, |(_, p)| *p);
        verdict(p, list, resting)
    }

    #[test]
    fn the_contracts_rules() {
        use Cause::{ClosedValve, DryRunning, Healthy, LowSun, OpenPhase, StandingBy, Unknown};
        assert_eq!(of(&[(Healthy, 0.4), (LowSun, 0.2), (OpenPhase, 0.4)], false), Verdict::Healthy);
        assert_eq!(of(&[(LowSun, 0.7), (OpenPhase, 0.3)], true), Verdict::StandingBy);
        assert_eq!(of(&[(LowSun, 0.7), (OpenPhase, 0.3)], false), Verdict::Healthy);
        assert_eq!(of(&[(StandingBy, 0.6), (OpenPhase, 0.4)], true), Verdict::StandingBy);
        assert_eq!(of(&[(OpenPhase, 0.55), (Healthy, 0.45)], false), Verdict::Fault);
        let three = [(OpenPhase, 0.3), (ClosedValve, 0.3), (DryRunning, 0.25), (Healthy, 0.15)];
        assert_eq!(of(&three, false), Verdict::Fault);
        assert_eq!(of(&[(Unknown, 0.6), (OpenPhase, 0.4)], false), Verdict::Fault);
        assert_eq!(of(&[(Unknown, 0.4), (OpenPhase, 0.3), (Healthy, 0.3)], false), Verdict::TooLittle);
    }
}
