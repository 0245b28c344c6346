//! Numbers that stand elsewhere: printed examples and derived values that the checks must read the same way.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_diagnosis::causes::{Hypothesis, SensorWrong};
use wellwright_diagnosis::checks::insulation_resistance::{Class, brought, class};
use wellwright_diagnosis::checks::model;
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::examples::kestrel_hollow;
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::record::{Conductor, System};
use wellwright_domain::sample::Sample;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::{Condition, Plant};

use super::bench::{Bench, healthy, made, number};

fn read(check: Check, answers: &[(&str, f64)]) -> Vec<Option<f64>> {
    let answers: Vec<_> = answers.iter().map(|(f, x)| (*f, number(*x))).collect();
    model(check).unwrap().read(&made(check, &answers))
}

/// Worked examples of motor manuals: 51, 46, 53 A are 8.0 % apart, 50, 48, 52 A 4 %; 6, 6, 0 A 100 % (derived).
#[test]
fn unbalance_as_motor_manuals_print_it() {
    for (amps, share) in [([51.0, 46.0, 53.0], 0.08), ([50.0, 48.0, 52.0], 0.04), ([6.0, 6.0, 0.0], 1.0)] {
        let seen = read(Check::LeadCurrent, &[("u_a", amps[0]), ("v_a", amps[1]), ("w_a", amps[2])]);
        assert!((seen[1].unwrap() - share).abs() < 1e-9, "{amps:?}: {seen:?}");
    }
}

/// IEEE 43's factor for thermoplastic insulation: 8 Mohm at 25 degC are 2.83 Mohm at 40 degC (derived); half
/// the resistance for 10 K more. What is told is the reading as it was read, and what is foreseen follows its
/// temperature.
#[test]
fn insulation_is_compared_at_one_temperature() {
    assert!((brought(8.0, 25.0, 40.0).exp() - 2.83).abs() < 0.005);
    assert!((brought(8.0, 30.0, 40.0) - 4f64.ln()).abs() < 1e-12);
    let at = |mohm: f64| read(Check::InsulationResistance, &[("mohm", mohm)])[0].unwrap();
    assert!((at(8.0) - 8f64.ln()).abs() < 1e-12);
    // over range is as good as it can tell, whatever the tester's top
    assert_eq!(at(200.0), at(2000.0));
    let tested = |lead_c: f64| {
        let answers = [("mohm", number(4.0)), ("lead_c", number(lead_c))];
        Bench::new(kestrel_hollow()).foresee_made(&healthy(), &made(Check::InsulationResistance, &answers))[0]
            .middle()
    };
    assert!((tested(20.0) - tested(30.0) - 2f64.ln()).abs() < 1e-12);
}

/// Classes of an installed motor with its cable at 500 V (common practice): from 2 Mohm good, 0.5 to 2
/// serviceable, below damaged, 20 kohm and less failed; testers above 500 V draw the line at 1.
#[test]
fn insulation_classes() {
    let classes = [(20.0, Class::Good), (2.0, Class::Good), (1.0, Class::Serviceable), (0.4, Class::Damaged)];
    for (mohm, expected) in classes {
        assert_eq!(class(mohm, 500.0), expected, "{mohm}");
    }
    assert_eq!(class(0.015, 500.0), Class::Failed);
    assert_eq!((class(0.7, 500.0), class(0.7, 1000.0)), (Class::Serviceable, Class::Damaged));
}

/// 100 m of 4 mm2 class 5 out and back with 8 A lose 7.92 V at 20 degC (derived from IEC 60228): 0.99 ohm. A
/// record with that cable foresees it, a little more because it is warm.
#[test]
fn a_drop_is_told_as_the_resistance_of_the_cable() {
    let lost = [("array_v", 277.92), ("controller_v", 270.0), ("array_a", 8.0)];
    let seen = read(Check::ArrayTerminalVoltage, &lost)[0].unwrap();
    assert!((seen - 0.990).abs() < 5e-4, "{seen}");
    let mut system = kestrel_hollow();
    system.dc_cable.conductor = Some(Conductor::Mm2(4.0));
    system.dc_cable.length_m = Some(100.0);
    let bench = Bench::new(system);
    let foreseen = bench.foresee(&healthy(), Check::ArrayTerminalVoltage)[0].middle();
    // 40 degC: (234.5 + 40)/254.5
    assert!((foreseen - 0.990 * 274.5 / 254.5).abs() < 1e-3, "{foreseen}");
}

/// 20 l in 24 s are 3.000 m3/h (derived).
#[test]
fn a_bucket_is_told_as_flow() {
    let seen = read(Check::BucketTest, &[("litres", 20.0), ("seconds", 24.0)])[0].unwrap();
    assert!((seen - 3.0).abs() < 1e-12);
    assert_eq!(read(Check::BucketTest, &[("litres", 20.0), ("seconds", 0.0)]), [None]);
}

fn start() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-03-14T12:00:00+02:00").unwrap()
}

/// Twenty minutes of a healthy pump in 800 W/m2, with a sun sensor that reads so much of it.
pub fn in_the_sun(reads: f64) -> Vec<Sample> {
    running(&kestrel_hollow(), reads, |_| {})
}

/// Twenty minutes of a pump in some condition, held by 800 W/m2 or by its limits.
pub fn running(system: &System, reads: f64, change: impl FnOnce(&mut Condition)) -> Vec<Sample> {
    let (mut plant, _) = Plant::from_record(system).unwrap();
    change(&mut plant.condition);
    let level = Level::After { minutes: 60.0 };
    let m = Moment { irradiance_w_m2: 800.0, cell_c: 45.0, level, heat_share: 1.0 };
    let point = plant.operating_point(&m);
    let load = point.load.unwrap();
    (0..120)
        .map(|k| {
            let mut s = Sample::new(start() + TimeDelta::seconds(10 * k))
                .with(Channel::ArrayV, point.dc.v)
                .with(Channel::ArrayA, point.dc.i)
                .with(Channel::MotorRpm, load.rpm)
                .with(Channel::ModuleC, 42.6)
                .with(Channel::PhaseUA, load.motor.phase_a)
                .with(Channel::FlowM3H, load.water.wellhead_m3_h)
                .with(Channel::WellheadKpa, load.water.wellhead_kpa)
                .with(Channel::WaterLevelM, load.water.level_m)
                .with(Channel::IrradianceWM2, 800.0 * reads);
            s.state = Some(PumpState::Running);
            s.flags = Some(Flags::NONE);
            s
        })
        .collect()
}

/// A hand-held meter tells a sensor that reads 1.3 times too much from an array that gives too little: the one
/// leaves 800, the other 1040 W/m2.
#[test]
fn a_second_meter_settles_which_of_two_is_wrong() {
    let bench = Bench::with(kestrel_hollow(), in_the_sun(1.3));
    let mut sensor = Hypothesis::new(Cause::IrradianceSensorError).at(1.3);
    sensor.sensor = Some((Channel::IrradianceWM2, SensorWrong::Ratio(1.3)));
    let dust = Hypothesis::new(Cause::Soiling).at(0.23).with(|c| c.array.current_ratio = 1.0 / 1.3);
    let meter = |g: f64| made(Check::HandheldIrradiance, &[("w_m2", number(g))]);
    let by_sensor = bench.foresee(&sensor, Check::HandheldIrradiance)[0].middle().exp();
    let by_dust = bench.foresee(&dust, Check::HandheldIrradiance)[0].middle().exp();
    assert!((by_sensor / 800.0 - 1.0).abs() < 0.03 && (by_dust / 1040.0 - 1.0).abs() < 0.03);
    assert!(bench.speaks_for(&meter(800.0), &sensor, &dust) > 2.0);
    assert!(bench.speaks_for(&meter(1040.0), &dust, &sensor) > 2.0);
    // where sensor and array agree, the meter only confirms them
    let sound = Bench::with(kestrel_hollow(), in_the_sun(1.0));
    assert!(
        (sound.foresee(&healthy(), Check::HandheldIrradiance)[0].middle().exp() / 800.0 - 1.0).abs() < 0.02
    );
    assert!(sound.speaks_for(&meter(800.0), &healthy(), &sensor) > 0.0);
}

/// A check is met at the speed that the telemetry tells for its moment.
#[test]
fn a_check_is_compared_at_its_own_moment() {
    let mut samples = in_the_sun(1.0);
    let (plant, _) = Plant::from_record(&kestrel_hollow()).unwrap();
    for (k, s) in samples.iter_mut().enumerate() {
        s.set(Channel::MotorRpm, Some(if k < 60 { 3000.0 } else { 2500.0 }));
        // no meter tells the flow
        s.set(Channel::FlowM3H, None);
    }
    let bench = Bench::with(kestrel_hollow(), samples);
    let at = |minutes: i64| CheckMade {
        at: Some(start() + TimeDelta::minutes(minutes)),
        ..made(Check::BucketTest, &[("litres", number(10.0)), ("seconds", number(20.0))])
    };
    let flow = |made: &CheckMade| {
        bench.ask(&healthy(), Some(made), |p| model(Check::BucketTest).unwrap().foresee(p)[0].middle())
    };
    let (early, late) = (flow(&at(3)), flow(&at(18)));
    let expected = |rpm, minutes| plant.load_at(rpm, Level::After { minutes }).water.tank_m3_h;
    let (at_3, at_18) = (expected(3000.0, 63.0), expected(2500.0, 78.0));
    assert!((early / at_3 - 1.0).abs() < 0.02, "{early} {at_3}");
    assert!((late / at_18 - 1.0).abs() < 0.02, "{late} {at_18}");
    assert!(early > late + 0.5);
}
