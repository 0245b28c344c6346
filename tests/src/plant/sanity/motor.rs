//! Faults of leads, motor and DC cable.

use wellwright_domain::cause::Cause;
use wellwright_domain::flags::{Flag, PumpState};

use super::{damaged, full, near, view};
use crate::plant::sun::Light;

const SUN: Light = Light { beam: 700.0, diffuse: 150.0, glass: 1.0 };

#[test]
fn a_bad_dc_side_costs_voltage_in_proportion_to_current() {
    damaged(Cause::DcSideLoss, 30, |healthy, plant, severity| {
        let (a, b) = (healthy.panels.curve(SUN, 45.0), plant.panels.curve(SUN, 45.0));
        let ohm = severity.unwrap();
        assert!((0.2..=10.0).contains(&ohm));
        near(b.open_v(), a.open_v(), 1e-6);
        let amps = 0.5 * a.i[0];
        let at = |c: &crate::plant::panel::Curve| c.v[c.i.partition_point(|i| *i > amps)];
        // The same node of both curves.
        let node = a.i.partition_point(|i| *i > amps);
        near(at(&a) - at(&b), ohm * a.i[node], 1e-6);
        assert!(b.best(1.0).1 < a.best(1.0).1);
    });
}

#[test]
fn weak_magnets_take_more_current_and_less_voltage_for_the_same_work() {
    damaged(Cause::WeakMagnets, 30, |healthy, plant, severity| {
        let n = healthy.motor.rated_rpm;
        let (a, b) = (healthy.load(n, &view(healthy)), plant.load(n, &view(plant)));
        assert_eq!(a.out, b.out);
        let more = 1.0 / (1.0 - severity.unwrap());
        assert!(b.motor.i / a.motor.i > 0.999 * more, "{} {more}", b.motor.i / a.motor.i);
        assert!(b.motor.power_out > a.motor.power_out);
    });
}

#[test]
fn shorted_turns_brake_and_unbalance() {
    damaged(Cause::WindingFault, 30, |healthy, plant, severity| {
        let n = healthy.motor.rated_rpm;
        let (a, b) = (healthy.load(n, &view(healthy)).motor, plant.load(n, &view(plant)).motor);
        assert!(
            b.i > (1.0 + 0.5 * severity.unwrap()) * a.i && b.power_out > a.power_out && b.shaft == a.shaft
        );
        let (most, least) =
            (b.phases.iter().copied().fold(0.0, f64::max), b.phases.iter().copied().fold(1e9, f64::min));
        assert!(most > least * (1.0 + 0.15 * severity.unwrap()));
        assert_eq!(plant.motor.winding, healthy.motor.winding);
    });
}

#[test]
fn leaks_to_ground_trip_only_controllers_that_look_and_only_below_their_limit() {
    let (mut tripped, mut quiet) = (0, 0);
    for case in full(Cause::InsulationFault, 24) {
        let leak = 1000.0 * case.severity.unwrap();
        let trips = case.truth.iter().any(|t| t.flags.has(Flag::GroundFault));
        match case.plant.drive.earth_trip_ohm {
            Some(limit) if leak < 0.6 * limit => assert!(trips, "{}: {leak} of {limit}", case.name),
            Some(limit) if leak < 1.6 * limit => {}
            _ => assert!(!trips, "{}: {leak}", case.name),
        }
        if trips { tripped += 1 } else { quiet += 1 }
    }
    assert!(tripped > 3 && quiet > 3, "{tripped} {quiet}");
}

#[test]
fn drag_costs_its_torque_in_current_and_leaves_the_water() {
    damaged(Cause::MechanicalDrag, 30, |healthy, plant, severity| {
        let n = healthy.motor.rated_rpm;
        let (a, b) = (healthy.load(n, &view(healthy)), plant.load(n, &view(plant)));
        assert_eq!(a.out, b.out);
        let more = (b.motor.i - a.motor.i) / healthy.motor.rated_a;
        near(more, severity.unwrap(), 0.25);
    });
}

#[test]
fn a_seized_rotor_takes_its_limit_and_lifts_nothing() {
    let mut starts = 0;
    for case in full(Cause::SeizedPump, 12) {
        assert!(case.truth.iter().all(|t| t.flow == 0.0 && t.state != PumpState::Running), "{}", case.name);
        for t in case.truth.iter().filter(|t| t.state == PumpState::Starting) {
            starts += 1;
            let mean = t.phases.iter().sum::<f64>() / 3.0;
            assert!(mean > 0.85 * case.plant.drive.max_a, "{}: {mean}", case.name);
        }
    }
    assert!(starts > 10);
}
