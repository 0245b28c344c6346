//! Checks that the plant is sound physics, that each fault shows what physics says, and that its files are well
//! formed.

mod array;
mod cases;
mod controller;
mod instruments;
mod motor;
mod outside;
mod parts;
mod pump;
mod systems;
mod water;

use wellwright_domain::cause::Cause;

use super::case::{Case, Order, draw_working, make};
use super::dice::Dice;
use super::faults::{self, Damage};
use super::plant::{Plant, View};
use super::sensors::SensorSet;

/// Does the damage of a cause to `n` installations that can have it: healthy, damaged, severity.
fn damaged(cause: Cause, n: usize, mut check: impl FnMut(&Plant, &Plant, Option<f64>)) {
    let mut checked = 0;
    for index in 0..10 * n as u64 {
        let mut dice = Dice::new(23, index, 9);
        let (drawn, healthy, _) = draw_working(&mut dice);
        if !cause.applies(&drawn.system, |_| true) {
            continue;
        }
        let mut plant = healthy.clone();
        let flow_900 = healthy.settled_flow(900.0, 25.0);
        let mut damage = Damage {
            plant: &mut plant,
            system: &drawn.system,
            flow_900,
            dice: &mut dice,
            stand_by: None,
            unfit: false,
        };
        let severity = (faults::of(cause).unwrap().damage)(&mut damage);
        if !damage.unfit {
            check(&healthy, &plant, severity);
            checked += 1;
            if checked == n {
                return;
            }
        }
    }
    panic!("only {checked} of {n} can have {}", cause.code());
}

/// Cases of a cause with all sensors.
fn full(cause: Cause, n: u64) -> impl Iterator<Item = Case> {
    let sensors = Some(SensorSet::Full);
    (0..n).map(move |index| make(&Order { seed: 61, index, cause: Some(cause), sensors, ..Order::default() }))
}

/// Running steadily in water, at the level after two hours.
fn view(plant: &Plant) -> View {
    View { depth: None, empty: 0.0, wet: 1.0, winding_c: plant.water_c }
}

/// Close as a share.
fn near(value: f64, wanted: f64, share: f64) {
    assert!((value / wanted - 1.0).abs() <= share, "{value} is not {wanted} within {share}");
}
