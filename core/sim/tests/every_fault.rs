//! Both demo systems, every fault, several seeds: is what is played physically sound?

use std::sync::LazyLock;

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::record::{PumpKind, System};
use wellwright_domain::situation::Noticed;
use wellwright_sim::sensors::channels;
use wellwright_sim::{Fault, Recording, Scenario, SimError, SimSystem, Truth, Weather};

const SEEDS: std::ops::Range<u64> = 1..4;
const LENGTH_S: u32 = 1500;

/// One play, and the same person, sky, sensors and plant without the fault.
struct Played {
    system: System,
    cause: Cause,
    seed: u64,
    scenario: Scenario,
    recording: Recording,
    twin: Recording,
}

/// Everything that is looked at, played once.
static PLAYED: LazyLock<Vec<Played>> = LazyLock::new(|| {
    let all: Vec<_> = systems()
        .into_iter()
        .flat_map(|s| Fault::SIMULATED.map(|cause| (s.clone(), cause)))
        .flat_map(|(s, cause)| SEEDS.map(move |seed| (s.clone(), cause, seed)))
        .collect();
    let threads = std::thread::available_parallelism().map_or(2, usize::from).min(all.len());
    std::thread::scope(|scope| {
        let hands: Vec<_> = (0..threads)
            .map(|hand| {
                let mine: Vec<_> = all.iter().skip(hand).step_by(threads).cloned().collect();
                scope.spawn(move || mine.into_iter().map(|(s, c, seed)| play(s, c, seed)).collect::<Vec<_>>())
            })
            .collect();
        hands.into_iter().flat_map(|h| h.join().unwrap()).collect()
    })
});

fn play(system: System, cause: Cause, seed: u64) -> Played {
    let (scenario, recording) = run(&system, cause, seed);
    let twin = Scenario { fault: Fault::HEALTHY, ..scenario.clone() }.run(&system).unwrap();
    Played { system, cause, seed, scenario, recording, twin }
}

fn systems() -> [System; 2] {
    [kestrel_hollow(), dovecote_bend()]
}

fn run(system: &System, cause: Cause, seed: u64) -> (Scenario, Recording) {
    let scenario = Scenario::plan(system, Fault::of(cause), seed).unwrap().with_length_s(LENGTH_S);
    let recording = scenario.run(system).unwrap();
    (scenario, recording)
}

fn each(mut look: impl FnMut(&Played)) {
    assert_eq!(PLAYED.len(), 60);
    PLAYED.iter().for_each(&mut look);
}

fn water(truths: &[Truth]) -> f64 {
    truths.iter().map(|t| t.tank_m3_h).sum::<f64>() / 3600.0
}

fn has_flag(recording: &Recording, flags: &[Flag]) -> bool {
    recording.truths.iter().any(|t| flags.iter().any(|f| t.flags.has(*f)))
}

#[test]
fn energy_falls_along_the_chain() {
    let mut rows = 0;
    each(|p| {
        let Played { system, cause, seed, recording, .. } = p;
        for t in recording.truths.iter().filter(|t| t.point.load.is_some()) {
            let c = &t.chain;
            let chain = [c.array, c.after_dc_cable, c.controller_out, c.motor_in, c.shaft, c.hydraulic];
            for pair in chain.windows(2) {
                assert!(pair[0] >= pair[1] - 1e-6, "{} {cause:?} {seed} {}: {chain:?}", system.name, t.at);
            }
            assert!(c.hydraulic >= 0.0);
            // the array never gives more than its best point
            assert!(t.point.dc.p <= 1.002 * t.point.best.p, "{cause:?} {seed} {:?}", t.point);
            rows += 1;
        }
    });
    assert!(rows > 20_000, "{rows}");
}

#[test]
fn every_reading_is_a_plausible_number_of_a_channel_that_is_fitted() {
    each(|p| {
        let Played { system, cause, seed, scenario, recording, .. } = p;
        let fitted = channels(system);
        assert_eq!(recording.samples.len(), LENGTH_S as usize);
        for s in &recording.samples {
            for c in Channel::ALL {
                match s.raw(c) {
                    Some(v) => assert!(
                        fitted.contains(&c) && c.is_plausible(v),
                        "{} {cause:?} {seed} {} {v}",
                        system.name,
                        c.code()
                    ),
                    None => assert!(!fitted.contains(&c)),
                }
            }
        }
        for pair in recording.samples.windows(2) {
            assert_eq!((pair[1].at - pair[0].at).num_milliseconds(), 1000);
        }
        let first = &recording.samples[0];
        assert_eq!(first.state, Some(PumpState::Stopped));
        assert!(first.flags.unwrap().has(Flag::SwitchedOff));
        assert!((60.0..=120.0).contains(&scenario.switch_on_after_s));
        assert_eq!(first.at, scenario.start);
    });
}

#[test]
fn state_and_flags_follow_the_contract() {
    each(|p| {
        let Played { system, cause, seed, recording, .. } = p;
        let meant = [Flag::SwitchedOff, Flag::TankFull, Flag::DryProbe, Flag::LowPower];
        for t in &recording.truths {
            let what = format!("{} {cause:?} {seed} {}: {:?} {:?}", system.name, t.at, t.state, t.flags);
            match t.state {
                PumpState::Tripped => {
                    assert!(!t.flags.is_empty() && !meant.iter().any(|f| t.flags.has(*f)), "{what}");
                }
                PumpState::Stopped => {
                    assert!(t.flags.iter().all(|f| meant.contains(&f)), "{what}");
                    assert!(t.rpm == 0.0 && t.point.load.is_none() && t.tank_m3_h == 0.0, "{what}");
                }
                PumpState::Starting | PumpState::Running => assert!(t.flags.is_empty(), "{what}"),
            }
        }
    });
}

#[test]
fn the_same_seed_plays_the_same_and_another_does_not() {
    for system in systems() {
        for cause in Fault::SIMULATED {
            let plan = |seed| Scenario::plan(&system, Fault::of(cause), seed).unwrap().with_length_s(500);
            let scenario = plan(5);
            let once = scenario.run(&system).unwrap();
            let again = plan(5).run(&system).unwrap();
            let other = plan(6).run(&system).unwrap();
            assert_eq!(once, again);
            assert_ne!(once.samples, other.samples);
            let streamed: Vec<_> = SimSystem::play(&system, &scenario).unwrap().collect();
            assert_eq!(streamed, once.samples);
        }
    }
}

#[test]
fn healthy_lifts_water_from_a_level_that_falls() {
    for system in systems() {
        for seed in 1..13 {
            let (_, r) = run(&system, Cause::Healthy, seed);
            let last = r.truths.last().unwrap();
            assert!(water(&r.truths) > 0.3, "{} {seed}: {} m3", system.name, water(&r.truths));
            assert!(r.noticed.is_empty());
            assert!(r.truths.iter().all(|t| t.state != PumpState::Tripped), "{} {seed}", system.name);
            if last.point.load.is_some() {
                assert!(last.level_m > r.truths[0].level_m + 0.5);
                assert!(last.level_m < system.well.intake_depth_m);
            }
        }
    }
}

#[test]
fn each_fault_brings_less_water_than_its_healthy_twin() {
    each(|p| {
        let Played { system, cause, seed, recording, twin, .. } = p;
        if matches!(cause, Cause::Healthy | Cause::LowSun) {
            return;
        }
        let (came, healthy) = (water(&recording.truths), water(&twin.truths));
        let what = format!("{} {cause:?} {seed}: {came} of {healthy} m3", system.name);
        match cause {
            Cause::OpenPhase | Cause::DryRunning | Cause::StandingBy => assert_eq!(came, 0.0, "{what}"),
            Cause::ReversedRotation if system.pump.kind == PumpKind::HelicalRotor => {
                assert_eq!(came, 0.0, "{what}");
            }
            Cause::ReversedRotation | Cause::ClosedValve => assert!(came < 0.4 * healthy, "{what}"),
            // these cost water only where the sun, or the voltage, is what limits
            _ => assert!(came <= 1.001 * healthy && came > 0.0, "{what}"),
        }
        if matches!(cause, Cause::OpenPhase | Cause::DryRunning) {
            assert!(recording.noticed.contains(&Noticed::NoWater), "{what}");
        }
    });
}

#[test]
fn low_sun_lifts_next_to_nothing_and_nothing_is_wrong() {
    for system in systems() {
        for seed in 1..9 {
            let (_, r) = run(&system, Cause::LowSun, seed);
            let share = r.truths.iter().filter(|t| t.tank_m3_h > 0.0).count() as f64 / f64::from(LENGTH_S);
            assert!(share < 0.3, "{} {seed}: water for {share} of the time", system.name);
            assert!(r.truths.iter().all(|t| t.state != PumpState::Tripped));
        }
    }
}

#[test]
fn each_fault_shows_where_physics_says() {
    each(|p| {
        let Played { system, cause, seed, recording: r, twin, .. } = p;
        let what = format!("{} {cause:?} {seed}", system.name);
        let helical = system.pump.kind == PumpKind::HelicalRotor;
        match cause {
            Cause::OpenPhase => {
                assert!(has_flag(r, &[Flag::PhaseLoss, Flag::Stall, Flag::OverCurrent]), "{what}");
                let tries: Vec<_> = r.truths.iter().filter(|t| t.state == PumpState::Starting).collect();
                assert!(!tries.is_empty());
                for t in tries {
                    let mut amps = t.phase_a;
                    amps.sort_by(f64::total_cmp);
                    assert!(amps[0] == 0.0 && amps[1] == amps[2] && amps[2] > 1.0, "{what}: {amps:?}");
                }
            }
            Cause::DryRunning if system.protection.as_ref().unwrap().dry_probe_depth_m.is_some() => {
                assert!(has_flag(r, &[Flag::DryProbe]), "{what}");
                assert!(r.truths.iter().all(|t| t.point.load.is_none()), "{what}");
            }
            Cause::DryRunning => assert!(has_flag(r, &[Flag::UnderLoad]), "{what}"),
            Cause::ReversedRotation if helical => assert!(has_flag(r, &[Flag::UnderLoad]), "{what}"),
            Cause::ClosedValve if helical && r.severity == Some(0.0) => {
                assert!(has_flag(r, &[Flag::Stall, Flag::OverCurrent]), "{what}");
            }
            Cause::ClosedValve if !helical => {
                let highest = |r: &Recording| r.truths.iter().map(|t| t.wellhead_kpa).fold(0.0, f64::max);
                assert!(highest(r) > 2.0 * highest(twin), "{what}");
            }
            Cause::StandingBy => {
                assert!(r.truths.iter().skip(120).all(|t| t.state == PumpState::Stopped), "{what}");
            }
            Cause::UndersizedDropCable | Cause::HighResistanceJoint => {
                // more voltage for the same speed: every running row loses more between controller and motor
                let loss = |r: &Recording| {
                    let rows = r.truths.iter().filter(|t| t.point.load.is_some());
                    let (lost, given) = rows.fold((0.0, 0.0), |a, t| {
                        (a.0 + t.chain.controller_out - t.chain.motor_in, a.1 + t.chain.controller_out)
                    });
                    lost / given
                };
                assert!(loss(r) > 1.5 * loss(twin), "{what}");
            }
            Cause::PartialShade => {
                let best = |r: &Recording| r.truths.iter().map(|t| t.point.best.p).sum::<f64>();
                assert!(best(r) < 0.95 * best(twin), "{what}");
            }
            _ => {}
        }
    });
}

/// A helical rotor against a nearly shut valve stands against its current limit, whatever the sun; it never
/// claims too little power.
#[test]
fn a_nearly_shut_valve_is_no_lack_of_sun() {
    let system = dovecote_bend();
    for passing in [0.0, 0.03, 0.08] {
        let fault = Fault::with_severity(Cause::ClosedValve, passing);
        let r = Scenario::plan(&system, fault, 2).unwrap().with_length_s(300).run(&system).unwrap();
        assert!(has_flag(&r, &[Flag::Stall, Flag::OverCurrent]), "{passing}");
        assert!(!has_flag(&r, &[Flag::LowPower]), "{passing}");
    }
}

#[test]
fn a_trip_waits_before_it_tries_again_and_keeps_its_flag() {
    let (_, r) = run(&dovecote_bend(), Cause::DryRunning, 2);
    let tripped = r.truths.iter().filter(|t| t.flags.has(Flag::UnderLoad)).count();
    assert!(tripped >= 600, "{tripped} s");
    let first = r.truths.iter().find(|t| t.state == PumpState::Tripped).unwrap();
    assert!(first.rpm > 0.0 && first.flags.has(Flag::UnderLoad), "the row of a trip shows the moment before");
}

#[test]
fn night_is_quiet() {
    for system in systems() {
        let scenario = Scenario::plan(&system, Fault::HEALTHY, 1).unwrap().with_length_s(600);
        let night = scenario.clone().with_start(scenario.start + chrono::Duration::hours(12));
        let r = night.run(&system).unwrap();
        assert!(r.truths.iter().all(|t| t.state == PumpState::Stopped && t.point.dc.p == 0.0));
        assert!(r.truths.last().unwrap().flags.has(Flag::LowPower));
    }
}

#[test]
fn what_cannot_be_played_is_a_typed_error() {
    let system = kestrel_hollow();
    for cause in Cause::ALL.iter().filter(|c| !Fault::SIMULATED.contains(c)) {
        let error = SimSystem::new(&system, Fault::of(*cause), Weather::Clear, 1).unwrap_err();
        assert_eq!(error, SimError::NotSimulated(*cause));
    }
    let fine = Scenario::plan(&system, Fault::HEALTHY, 1).unwrap();
    for step_s in [0.0, -1.0, f64::NAN, 61.0] {
        assert!(matches!(fine.clone().with_step_s(step_s).run(&system), Err(SimError::Step(_))));
    }
    assert_eq!(fine.with_step_s(10.0).run(&system).unwrap().samples.len(), 240);
}
