//! The load of a running pump at a steady point, and the speed of one whose controller tells none.
//!
//! Where no row tells the speed, the DC power stands for it: each plant is taken to turn as fast as draws that power.
//! The power itself is then no evidence; currents, flow, pressure and level still are.

use wellwright_domain::channel::Channel;
use wellwright_domain::flags::PumpState;
use wellwright_domain::record::PumpKind;
use wellwright_domain::sample::Sample;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::plant::Plant;

use crate::window::Steady;

/// Less DC power is no motor that turns, W.
const IDLE_W: f64 = 10.0;

/// Speeds are looked for between these shares of the least and the highest that the controller commands.
const SOUGHT: (f64, f64) = (0.3, 1.3);

/// Steps of the secant, and the step in ln speed after which the speed is found: the power is known to 3 %.
const STEPS: usize = 8;
const NEAR: f64 = 2e-3;

/// d ln power / d ln speed lies between these: hardly any for a rotor that only rubs, much where a pump comes to lift.
const STEEP: (f64, f64) = (0.7, 8.0);

/// d ln irradiance / d ln speed while the sun alone limits.
pub fn sun_per_speed(kind: PumpKind) -> f64 {
    match kind {
        PumpKind::Centrifugal => 2.6,
        PumpKind::HelicalRotor => 1.15,
    }
}

/// The load of a plant at a steady point.
pub fn load_at(plant: &Plant, point: &Steady) -> Load {
    let level = Level::After { minutes: point.minutes };
    let rpm = point.rpm().unwrap_or(0.0);
    match point.guessed_by_w {
        Some(watts) => at_power(plant, watts, rpm, level),
        None => plant.load_at(rpm, level),
    }
}

/// The load at the speed that draws a DC power, W, looked for from a speed, 1/min.
fn at_power(plant: &Plant, watts: f64, from_rpm: f64, level: Level) -> Load {
    let c = &plant.controller;
    let (least, most) = (SOUGHT.0 * c.min_rpm, SOUGHT.1 * c.max_rpm);
    let mut per_speed = sun_per_speed(plant.kind);
    let mut load = plant.load_at(from_rpm.clamp(least, most), level);
    for _ in 0..STEPS {
        let by = (watts / load.dc_w.max(1.0)).ln() / per_speed;
        let rpm = (load.rpm * by.exp()).clamp(least, most);
        let moved = (rpm / load.rpm).ln();
        if moved.abs() < NEAR {
            break;
        }
        let next = plant.load_at(rpm, level);
        per_speed = ((next.dc_w.max(1.0) / load.dc_w.max(1.0)).ln() / moved).clamp(STEEP.0, STEEP.1);
        load = next;
    }
    load
}

/// Rows with the speed of a healthy plant at their power, where the recording tells no speed at all; `None` where it
/// tells one, or no power either.
pub fn guessed(plant: &Plant, rows: &[Sample]) -> Option<Vec<Sample>> {
    let power = |s: &Sample| Some(s.get(Channel::ArrayV)? * s.get(Channel::ArrayA)?).filter(|w| *w > IDLE_W);
    let runs = |s: &Sample| s.state == Some(PumpState::Running);
    if rows.iter().any(|s| s.get(Channel::MotorRpm).is_some()) {
        return None;
    }
    let mut found = false;
    let level = Level::After { minutes: plant.water.well.at_min };
    let mut rpm = plant.controller.max_rpm;
    let told = rows.iter().map(|s| {
        let Some(watts) = power(s).filter(|_| runs(s)) else { return s.clone() };
        found = true;
        // neighbours turn nearly as fast
        rpm = at_power(plant, watts, rpm, level).rpm;
        s.clone().with(Channel::MotorRpm, rpm)
    });
    let told: Vec<Sample> = told.collect();
    found.then_some(told)
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, TimeDelta};
    use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};

    use super::*;
    use crate::predict::healthy_plant;

    #[test]
    fn the_speed_that_draws_a_power_is_found() {
        for system in [kestrel_hollow(), dovecote_bend()] {
            let (plant, _) = healthy_plant(&system).unwrap();
            let level = Level::After { minutes: 60.0 };
            let c = plant.controller;
            for share in [0.4, 0.6, 0.8, 1.0] {
                let rpm = c.min_rpm + share * (c.max_rpm - c.min_rpm);
                let watts = plant.load_at(rpm, level).dc_w;
                for from in [0.7, 1.0, 1.4] {
                    let found = at_power(&plant, watts, from * rpm, level);
                    assert!((found.rpm / rpm - 1.0).abs() < 0.01, "{} for {rpm} of {from}", found.rpm);
                }
            }
        }
    }

    #[test]
    fn only_what_tells_no_speed_is_guessed() {
        let (plant, _) = healthy_plant(&kestrel_hollow()).unwrap();
        let from = DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap();
        let row = |k, state| {
            let at = from + TimeDelta::seconds(k);
            let mut s = Sample::new(at).with(Channel::ArrayV, 200.0).with(Channel::ArrayA, 4.0);
            s.state = Some(state);
            s
        };
        let rows = [row(0, PumpState::Stopped), row(1, PumpState::Running)];
        let told = guessed(&plant, &rows).unwrap();
        assert_eq!(told[0].get(Channel::MotorRpm), None);
        assert!(told[1].get(Channel::MotorRpm).is_some_and(|n| n > plant.controller.min_rpm));
        assert!(guessed(&plant, &told).is_none());
        assert!(guessed(&plant, &rows[..1]).is_none());
    }
}
