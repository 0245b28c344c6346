//! Faults of the pump end.

use wellwright_domain::cause::Cause;

use super::{damaged, full, near, view};
use crate::plant::pump::{Pump, poly};

#[test]
fn worn_pumps_give_less_at_the_same_speed_by_what_is_said() {
    damaged(Cause::WornPump, 40, |healthy, plant, severity| {
        let (n, lost) = (healthy.motor.rated_rpm, severity.unwrap());
        let (a, b) = (healthy.load(n, &view(healthy)), plant.load(n, &view(plant)));
        assert!(b.out < a.out, "{} {}", b.out, a.out);
        if let (Pump::Centrifugal(h), Pump::Centrifugal(p)) = (&healthy.pump, &plant.pump) {
            near(poly(&p.head, h.q_best), (1.0 - lost) * h.best_head(), 1e-9);
            // The best flow stays where it was; head at no flow is lost too, but less.
            let shut = poly(&p.head, 0.0) / poly(&h.head, 0.0);
            assert!(shut < 1.0 - 0.5 * lost && shut >= 1.0 - lost - 1e-9, "{shut} {lost}");
        } else {
            // Less flow needs a little less head, so a little less is lost than at the old head.
            let share = b.pump.q / a.pump.q;
            assert!(share >= 1.0 - lost - 1e-6 && share < 1.0 - 0.8 * lost, "{share} {lost}");
        }
    });
}

#[test]
fn blocked_intakes_and_gas_cost_the_flow_that_is_said() {
    for cause in [Cause::BlockedIntake, Cause::GasInWater] {
        damaged(cause, 30, |healthy, plant, severity| {
            let share = plant.settled(900.0, 25.0).map_or(0.0, |h| h.load.out)
                / healthy.settled(900.0, 25.0).unwrap().load.out;
            let wanted = 1.0 - severity.unwrap();
            // A gassed pump that no longer reaches the outlet stops at once, not by degrees.
            let jumps = cause == Cause::GasInWater && share > wanted && share - wanted < 0.15;
            assert!((share - wanted).abs() < 0.03 || jumps, "{}: {share} is not {wanted}", cause.code());
        });
    }
}

#[test]
fn gas_makes_the_flow_wander() {
    for case in full(Cause::GasInWater, 8) {
        let gas = case.plant.gas;
        assert!(gas > 0.0 && gas < 1.0);
        assert!(matches!(case.plant.pump, Pump::Centrifugal(_)));
    }
}

#[test]
fn a_broken_shaft_leaves_a_motor_that_turns_for_next_to_nothing() {
    damaged(Cause::BrokenShaft, 20, |healthy, plant, _| {
        let n = healthy.motor.rated_rpm;
        let (a, b) = (healthy.load(n, &view(healthy)), plant.load(n, &view(plant)));
        assert!(b.out == 0.0 && b.motor.i < 0.25 * a.motor.i, "{} {}", b.motor.i, a.motor.i);
        // The check valve holds the column.
        assert!(b.gauge > 0.0 && b.gauge < a.gauge);
    });
}

#[test]
fn another_pump_makes_its_ratio_of_head_or_volume_at_the_speed_that_is_shown() {
    let mut poles = 0;
    damaged(Cause::EquipmentMismatch, 60, |healthy, plant, severity| {
        let ratio = severity.unwrap();
        assert!((0.4..=2.0).contains(&ratio));
        let speed = plant.speed_ratio;
        poles += usize::from(speed != 1.0);
        near(speed, healthy.motor.pole_pairs / plant.motor.pole_pairs, 1e-12);
        match (&healthy.pump, &plant.pump) {
            (Pump::Centrifugal(h), Pump::Centrifugal(p)) => {
                near(speed * speed * poly(&p.head, 0.0) / poly(&h.head, 0.0), ratio, 1e-9);
            }
            (Pump::Helical(h), Pump::Helical(p)) => near(speed * p.volume / h.volume, ratio, 1e-9),
            _ => panic!("the kind stays"),
        }
    });
    assert!(poles > 3, "{poles}");
}
