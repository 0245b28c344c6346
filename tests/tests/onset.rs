//! A fault that sets in while it is recorded: what ran well before it is no proof that all is well now. And a healthy
//! pump in weak sun that lifts a little although its record says that it just does not.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::Finding;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::Situation;
use wellwright_physics::plant::{Condition, Plant};
use wellwright_tests::rows::{nearly_clear, noon, row};

/// Rows of a healthy plant, half a minute apart, about noon; from the `broken`th on as `fault` leaves them.
fn rows(system: &System, (count, broken): (i64, i64), fault: impl Fn(i64, &mut Sample)) -> Vec<Sample> {
    let (plant, _) = Plant::from_record(system).unwrap();
    let from = noon(system) - TimeDelta::seconds(15 * count);
    let of = |k: i64| {
        let at: DateTime<FixedOffset> = from + TimeDelta::seconds(30 * k);
        let clear = clear_plane(&plant, at).unwrap();
        let mut s = row(&plant, at, clear * nearly_clear(k), 25.0, 60.0 + k as f64 / 2.0);
        if k >= broken {
            stand(&mut s);
            fault(k, &mut s);
        }
        s
    };
    (0..count).map(of).collect()
}

/// It stands, and nothing flows.
fn stand(s: &mut Sample) {
    (s.state, s.flags) = (Some(PumpState::Stopped), Some(Flags::NONE));
    let nothing = [
        Channel::ArrayA,
        Channel::MotorRpm,
        Channel::PhaseUA,
        Channel::PhaseVA,
        Channel::PhaseWA,
        Channel::OutputV,
        Channel::FlowM3H,
    ];
    for channel in nothing {
        s.set(channel, Some(0.0));
    }
    for channel in [Channel::WellheadKpa, Channel::WaterLevelM] {
        s.set(channel, None);
    }
}

fn found(system: &System, rows: &[Sample]) -> Finding {
    let case = Case { situation: Some(Situation::InService), ..Case::new(system) };
    explain(&case.with_samples(rows)).unwrap()
}

fn leads(finding: &Finding, cause: Cause) {
    let first = finding.leading().unwrap();
    let top: Vec<_> = finding.causes.iter().take(4).map(|c| (c.code.code(), c.probability)).collect();
    assert!(first.code == cause && first.probability > 0.5, "{cause:?}: {top:?}");
}

#[test]
fn a_supply_that_is_lost_at_noon_is_lost() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let rows = rows(&system, (120, 40), |_, s| s.set(Channel::ArrayV, Some(1.8)));
        leads(&found(&system, &rows), Cause::NoDcSupply);
    }
}

#[test]
fn a_controller_that_dies_at_noon_is_dead() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let open = 1.2 * rows(&system, (1, 1), |_, _| ())[0].get(Channel::ArrayV).unwrap();
        let silent = rows(&system, (120, 40), |_, s| s.set(Channel::ArrayV, Some(open)));
        leads(&found(&system, &silent), Cause::ControllerFailed);
        // one reason after the other, none of which stands
        let nonsense = rows(&system, (120, 40), |k, s| {
            let flag = [Flag::PhaseLoss, Flag::OverTemperature, Flag::GroundFault][(k % 3) as usize];
            (s.state, s.flags) = (Some(PumpState::Tripped), Some(Flags::NONE.with(flag)));
            s.set(Channel::ArrayV, Some(open));
        });
        leads(&found(&system, &nonsense), Cause::ControllerFailed);
    }
}

/// Every pump stands in the evening, and not every controller says why.
#[test]
fn a_pump_that_stands_at_dusk_without_a_word_is_sound() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let (plant, _) = Plant::from_record(&system).unwrap();
        let of = |k: i64| {
            let at = noon(&system) + TimeDelta::minutes(210 + k);
            let mut s = row(&plant, at, 0.92 * clear_plane(&plant, at).unwrap(), 25.0, 200.0);
            if s.state == Some(PumpState::Stopped) {
                s.flags = Some(Flags::NONE);
            }
            s
        };
        let rows: Vec<Sample> = (0..150).map(of).collect();
        assert_eq!(rows.last().unwrap().state, Some(PumpState::Stopped), "the case is none");
        let first = found(&system, &rows).leading().unwrap().clone();
        assert!(
            matches!(first.code, Cause::Healthy | Cause::LowSun),
            "{:?} {}",
            first.code,
            first.probability
        );
    }
}

/// A dry signal that never goes again is false, however long it ran before; one that has only just come may be true.
#[test]
fn a_dry_signal_that_stays_for_hours_counts_as_never_running() {
    let system = kestrel_hollow();
    let p = |held: i64| {
        let rows = rows(&system, (60 + held, 60), |_, s| {
            s.state = Some(PumpState::Tripped);
            s.flags = Some(Flags::NONE.with(Flag::DryProbe));
            s.set(Channel::ArrayV, Some(400.0));
        });
        let finding = found(&system, &rows);
        finding.causes.iter().find(|c| c.code == Cause::FalseDrySignal).unwrap().probability
    };
    let (short, long) = (p(40), p(360));
    assert!(long > 0.5 && long > short, "{short} {long}");
}

/// A valve that somebody shuts, an intake that clogs: what the pump gave before is no evidence against it.
#[test]
fn a_fault_that_sets_in_while_it_runs_is_told_by_what_follows() {
    let system = kestrel_hollow();
    let sound = rows(&system, (160, 160), |_, _| ());
    let mut shut = Condition::default();
    shut.water.valve_m_per_m3h2 = f64::INFINITY;
    let mut clogged = Condition::default();
    clogged.pump.blockage = 0.6;
    for (cause, condition) in [(Cause::ClosedValve, shut), (Cause::BlockedIntake, clogged)] {
        let (mut plant, _) = Plant::from_record(&system).unwrap();
        plant.condition = condition;
        let faulty = |(k, sound): (i64, &Sample)| {
            let light = clear_plane(&plant, sound.at).unwrap() * nearly_clear(k);
            row(&plant, sound.at, light, 25.0, 60.0 + k as f64 / 2.0)
        };
        let mixed: Vec<Sample> =
            (0..).zip(&sound).map(|(k, s)| if k < 90 { s.clone() } else { faulty((k, s)) }).collect();
        let finding = found(&system, &mixed);
        leads(&finding, cause);
        assert_eq!(finding.window.from, Some(sound[90].at), "the page says from when on was looked");
    }
}

/// The water that a dry signal tells of: gone, or not.
#[test]
fn a_dry_signal_with_the_level_at_the_probe_is_true() {
    let system = kestrel_hollow();
    let p = |depth_m: f64| {
        let mut rows = rows(&system, (120, 60), |_, s| {
            s.flags = Some(Flags::NONE.with(Flag::DryProbe));
            s.set(Channel::ArrayV, Some(400.0));
        });
        rows[59].set(Channel::WaterLevelM, Some(depth_m));
        let finding = found(&system, &rows);
        finding.causes.iter().find(|c| c.code == Cause::FalseDrySignal).unwrap().probability
    };
    // the probe hangs at 58 m
    let (over, gone) = (p(38.0), p(57.6));
    assert!(over > 0.5 && gone < 0.3, "{over:.3} {gone:.3}");
}

/// A pump for a shallow well, where a metre is much of what it lifts.
fn shallow() -> System {
    let mut system = kestrel_hollow();
    for point in system.pump.curve.iter_mut().flatten() {
        (point[0], point[1]) = (5.0 * point[0], 0.35 * point[1]);
    }
    system.well.static_level_m = Some(7.5);
    system.delivery.outlet_height_m = Some(2.0);
    system.delivery.riser_length_m = Some(20.0);
    system.well.intake_depth_m = 20.0;
    system.protection = None;
    system
}

/// The level lies 2.2 m above the record: two of its standard deviations, and in this sun all the difference between
/// no water and some.
#[test]
fn a_pump_that_just_lifts_is_healthy() {
    let system = shallow();
    let mut as_it_is = system.clone();
    as_it_is.well.static_level_m = system.well.static_level_m.map(|m| m - 2.2);
    let (plant, _) = Plant::from_record(&as_it_is).unwrap();
    let (recorded, _) = Plant::from_record(&system).unwrap();
    let flow = |plant: &Plant, w_m2: f64| {
        row(plant, noon(&system), w_m2, 25.0, 60.0).get(Channel::FlowM3H).unwrap_or(0.0)
    };
    // the strongest sun in which the recorded one does not lift
    let light =
        (10..300).map(|k| 2.0 * f64::from(k)).take_while(|g| flow(&recorded, *g) <= 0.0).last().unwrap();
    assert!(flow(&plant, 0.97 * light) > 0.3, "the case is none: {light} {}", flow(&plant, 0.97 * light));
    let rows: Vec<Sample> = (0..120)
        .map(|k| {
            let w_m2 = light * (0.92 + 0.0006 * k as f64);
            let at = noon(&system) + TimeDelta::seconds(30 * k);
            let mut s = row(&plant, at, w_m2, 25.0, 60.0 + k as f64 / 2.0).with(Channel::IrradianceWM2, w_m2);
            s.set(Channel::WaterLevelM, None);
            s
        })
        .collect();
    let finding = found(&system, &rows);
    let first = finding.leading().unwrap();
    let top: Vec<_> = finding.causes.iter().take(4).map(|c| (c.code.code(), c.probability)).collect();
    assert!(matches!(first.code, Cause::Healthy | Cause::LowSun), "{light} W/m2: {top:?}");
}
