//! Every regime of a plant, every standstill with the curves that do not meet, and what moves what.

use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::Regime;
use wellwright_physics::hydraulics::{Inflow, Level};
use wellwright_physics::operating_point::{Moment, Parameter, Standstill};
use wellwright_physics::plant::Plant;
use wellwright_physics::well::theis::Aquifer;

fn kestrel() -> Plant {
    Plant::from_record(&kestrel_hollow()).unwrap().0
}

fn moment(irradiance_w_m2: f64) -> Moment {
    let level = Level::After { minutes: 60.0 };
    Moment { irradiance_w_m2, cell_c: 45.0, level, heat_share: 1.0 }
}

fn regime(plant: &Plant, m: &Moment) -> Regime {
    plant.operating_point(m).regime
}

#[test]
fn each_limit_makes_its_regime() {
    let plant = kestrel();
    assert_eq!(regime(&plant, &moment(400.0)), Regime::SunLimited);
    assert_eq!(regime(&plant, &moment(1050.0)), Regime::SpeedLimited);
    let with = |change: fn(&mut Plant)| {
        let mut p = kestrel();
        change(&mut p);
        p
    };
    assert_eq!(regime(&with(|p| p.controller.max_phase_a = 2.0), &moment(1050.0)), Regime::CurrentLimited);
    assert_eq!(regime(&with(|p| p.controller.max_power_w = 900.0), &moment(1050.0)), Regime::PowerLimited);
    assert_eq!(regime(&with(|p| p.motor.ke_v_per_krpm *= 1.4), &moment(1050.0)), Regime::VoltageLimited);
}

#[test]
fn heat_takes_power_from_where_the_record_says() {
    let plant = kestrel(); // holds back from 65 degC
    assert_eq!(plant.controller.heat_share(64.9), 1.0);
    assert_eq!(plant.controller.heat_share(f64::NAN), 1.0);
    assert!((plant.controller.heat_share(75.0) - 0.55).abs() < 1e-12);
    assert_eq!(plant.controller.heat_share(200.0), 0.1);
    let hot = Moment { heat_share: plant.controller.heat_share(76.0), ..moment(1050.0) };
    let point = plant.operating_point(&hot);
    assert_eq!(point.regime, Regime::HeatLimited);
    assert!((point.dc.p - plant.controller.max_power_w * hot.heat_share).abs() < 1e-6);
    assert!(point.dc.v > point.best.v, "held back, the array moves towards open circuit");
}

#[test]
fn every_standstill_names_the_curves() {
    let stands = |change: fn(&mut Plant), m: Moment, why: Standstill, words: &str| {
        let mut p = kestrel();
        change(&mut p);
        assert_eq!(p.operating_point(&m).standstill, Some(why), "{words}");
        let apart = p.apart(&m).unwrap();
        assert!(apart.which.contains(words), "{apart:?}");
        assert!(apart.asked > apart.offered, "{apart:?}");
    };
    let none = |_: &mut Plant| ();
    stands(none, moment(15.0), Standstill::TooLittleSun, "array's best point");
    stands(|p| p.controller.min_v = 320.0, moment(800.0), Standstill::TooLittleVoltage, "lowest voltage");
    stands(|p| p.controller.max_phase_a = 0.1, moment(800.0), Standstill::TooMuchTorque, "phase current");
    stands(
        |p| p.motor.ke_v_per_krpm *= 5.0,
        moment(800.0),
        Standstill::TooLittleSun,
        "what the array's voltage allows",
    );
    stands(|p| p.controller.max_power_w = 20.0, moment(800.0), Standstill::TooLittleSun, "power limit");
    let hot = Moment { heat_share: 0.01, ..moment(800.0) };
    stands(none, hot, Standstill::TooLittleSun, "heat leaves");
}

#[test]
fn turning_without_lifting_says_why() {
    let plant = kestrel();
    assert_eq!(plant.apart(&moment(900.0)), None);
    let dim = plant.apart(&moment(60.0)).expect("turns too slowly to lift");
    assert!(dim.which.contains("lift") && dim.unit == "m" && dim.asked > dim.offered, "{dim:?}");
    let mut shut = kestrel();
    shut.condition.water.valve_m_per_m3h2 = f64::INFINITY;
    assert!(shut.apart(&moment(900.0)).unwrap().which.contains("shut valve"));
}

#[test]
fn a_known_aquifer_lowers_the_level_with_time() {
    let mut plant = kestrel();
    let aquifer = Aquifer { transmissivity_m2_d: 20.0, storativity: 1e-3 };
    plant.water.well.inflow = Some(Inflow { aquifer, radius_m: 0.08 });
    let at = |minutes| {
        let w = plant.load_at(3000.0, Level::After { minutes }).water;
        (w.level_m, w.wellhead_m3_h)
    };
    let ((hour, _), (day, flow)) = (at(60.0), at(1440.0));
    assert!(day > hour + 0.3, "{hour} then {day}");
    let c = plant.water.well.drawdown.c;
    let theis = wellwright_physics::well::theis::drawdown_m(24.0 * flow, &aquifer, 0.08, 1.0);
    assert!((day - (plant.water.well.static_m + theis + c * flow * flow)).abs() < 1e-6);
}

#[test]
fn sensitivities_say_what_physics_says() {
    let plant = kestrel();
    let find = |m: &Moment, p: Parameter| plant.sensitivity(m, p).unwrap();
    let dim = moment(400.0);
    assert_eq!(plant.sensitivities(&dim).len(), Parameter::ALL.len());
    // sun-limited: power follows the light, voltage hardly
    let light = find(&dim, Parameter::Irradiance).change;
    assert!((light.dc_w - 0.010).abs() < 0.001 && light.dc_v.abs() < 0.001, "{light:?}");
    assert!((light.dc_v + light.dc_a - light.dc_w).abs() < 1e-9);
    assert!(light.rpm > 0.002 && light.rpm < 0.005 && light.flow > light.rpm, "{light:?}");
    // at the highest speed the sun moves nothing but the array's voltage
    let bright = find(&moment(1050.0), Parameter::Irradiance);
    assert!(bright.smooth && bright.change.rpm == 0.0 && bright.change.flow == 0.0);
    assert!(bright.change.dc_v > 0.0 && bright.change.dc_w.abs() < 1e-12);
    // there a stronger magnet takes less current in proportion
    let magnet = find(&moment(1050.0), Parameter::BackEmf).change;
    assert!((magnet.phase_a + 0.01).abs() < 1e-6, "{magnet:?}");
    // the level goes with the resting level, a little less because less flows
    let level = find(&moment(1050.0), Parameter::StaticLevel).change;
    let one_percent = 0.01 * plant.water.well.static_m;
    assert!(level.level_m > 0.8 * one_percent && level.level_m < one_percent, "{level:?}");
    assert!(Parameter::StaticLevel.hidden_by(Level::Known(30.0)));
    assert!(plant.sensitivities(&moment(5.0)).is_empty());
    // a helical rotor moves water in proportion to its displacement, and slips
    let helical = Plant::from_record(&dovecote_bend()).unwrap().0;
    let size = helical.sensitivity(&moment(1000.0), Parameter::PumpSize).unwrap().change;
    assert!(size.flow > 0.009 && size.flow < 0.012, "{size:?}");
    assert!(helical.sensitivity(&moment(1000.0), Parameter::Slip).unwrap().change.flow < 0.0);
}

/// Whatever peaks a shaded array has, the DC voltage that is answered feeds the motor.
#[test]
fn a_shaded_array_is_never_answered_below_the_voltage_the_motor_needs() {
    use wellwright_physics::plant::Shade;
    let (mut plant, _) = Plant::from_record(&kestrel_hollow()).unwrap();
    let mut ran = 0;
    for share in [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7] {
        for darkness in [0.1, 0.3, 0.5, 0.7] {
            for irradiance_w_m2 in [400.0, 700.0, 1100.0] {
                let shade = Shade { share, darkness, gathered: true, right_peak: false };
                plant.condition.array.shade = Some(shade);
                let level = Level::After { minutes: 60.0 };
                let moment = Moment { irradiance_w_m2, cell_c: 47.0, level, heat_share: 1.0 };
                let point = plant.operating_point(&moment);
                let Some(load) = point.load else { continue };
                let given = plant.controller.voltage_ratio() * point.dc.v;
                assert!(given > 0.999 * load.motor.line_v, "{shade:?} {irradiance_w_m2}: {point:?}");
                ran += 1;
            }
        }
    }
    assert!(ran > 40, "{ran}");
}

/// A hole in the riser that takes all: too slow to lift to the outlet, the pump still turns water round through it.
#[test]
fn a_large_hole_lets_a_slow_pump_work() {
    let sound = kestrel();
    let mut holed = kestrel();
    let level = Level::After { minutes: 60.0 };
    let full = sound.load_at(sound.controller.max_rpm, level).water;
    holed.condition.water.riser_leak_m3_h = full.pump_m3_h;
    let slowest =
        (1..200).map(|k| 20.0 * f64::from(k)).find(|n| sound.load_at(*n, level).water.pump_m3_h > 0.0);
    let rpm = 0.97 * slowest.unwrap();
    assert_eq!(sound.load_at(rpm, level).water.pump_m3_h, 0.0);
    let round = holed.load_at(rpm, level);
    assert!(round.water.pump_m3_h > 0.0 && round.water.wellhead_m3_h == 0.0, "{round:?}");
    assert!(round.water.wellhead_kpa < full.wellhead_kpa && round.dc_w > sound.load_at(rpm, level).dc_w);
    // no step where the hole begins to take all
    let flows: Vec<f64> =
        (0..400).map(|k| holed.load_at(rpm + 5.0 * f64::from(k), level).water.pump_m3_h).collect();
    assert!(flows.windows(2).all(|w| (0.0..0.1).contains(&(w[1] - w[0]))), "{flows:?}");
}
