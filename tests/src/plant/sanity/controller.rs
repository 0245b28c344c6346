//! Faults of the controller and its inputs.

use wellwright_domain::cause::Cause;
use wellwright_domain::flags::{Flag, PumpState};

use super::{damaged, full};
use crate::plant::balance::Limit;

#[test]
fn limits_set_low_hold_the_pump_back() {
    let mut bind = 0;
    damaged(Cause::LimitSetLow, 30, |healthy, plant, severity| {
        let (a, b) = (&healthy.drive, &plant.drive);
        let ratios = [b.max_rpm / a.max_rpm, b.max_a / a.max_a, b.max_power / a.max_power];
        let lowered: Vec<_> = ratios.into_iter().filter(|r| *r < 0.999).collect();
        assert_eq!(lowered.len(), 1);
        assert!((lowered[0] - severity.unwrap()).abs() < 1e-9);
        bind += usize::from(plant.settled_flow(900.0, 25.0) < 0.99 * healthy.settled_flow(900.0, 25.0));
    });
    assert!(bind > 22, "{bind}");
}

#[test]
fn a_stuck_tracker_works_off_the_best_point() {
    damaged(Cause::PowerTrackingStuck, 25, |healthy, plant, _| {
        let (a, b) = (healthy.settled(900.0, 25.0), plant.settled(900.0, 25.0));
        assert!(b.map_or(0.0, |h| h.n) < 1.001 * a.unwrap().n);
    });
    for case in full(Cause::PowerTrackingStuck, 10) {
        assert!((0.1..=0.8).contains(&case.severity.unwrap()));
        let stuck = case.plant.drive.stuck_v.unwrap();
        for t in case.truth.iter().filter(|t| t.limit == Some(Limit::Sun) && t.state == PumpState::Running) {
            let (_, best) = case.plant.panels.curve(t.light, t.cell_c).best(1.0);
            assert!((t.v / stuck - 1.0).abs() < 0.15 || t.v * t.a < best, "{} {stuck}", t.v);
        }
    }
}

#[test]
fn a_hot_controller_is_hot_and_takes_less() {
    for case in full(Cause::ControllerOverheating, 10) {
        assert!((0.1..=0.9).contains(&case.severity.unwrap()));
        let hottest = case.truth.iter().map(|t| t.heat_c).fold(0.0, f64::max);
        assert!(hottest > case.plant.drive.derate_from, "{}: {hottest}", case.name);
        assert!(case.truth.iter().any(|t| t.limit == Some(Limit::Power)), "{}", case.name);
    }
}

#[test]
fn a_failed_controller_has_voltage_but_gives_nothing() {
    for case in full(Cause::ControllerFailed, 12) {
        assert!(case.truth.iter().all(|t| t.rpm == 0.0 && t.phases == [0.0; 3] && t.flow == 0.0));
        assert!(case.truth.iter().any(|t| t.v > 0.8 * case.plant.drive.min_v), "{}", case.name);
    }
}

#[test]
fn inputs_that_stick_stop_the_pump_and_say_so() {
    for (cause, flag) in [(Cause::StuckFloat, Flag::TankFull), (Cause::FalseDrySignal, Flag::DryProbe)] {
        for case in full(cause, 10) {
            let last = case.truth.last().unwrap();
            assert!(last.state == PumpState::Stopped && last.flags.has(flag), "{}", case.name);
            assert!(last.tank < 90.0, "{}: tank {}", case.name, last.tank);
            assert!(last.depth < case.plant.well.intake - 0.5, "{}", case.name);
        }
    }
}
