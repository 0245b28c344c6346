//! A pump whose water has fallen to the intake: it lifts what comes in and takes air for the rest.

use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::record::System;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::plant::Plant;
use wellwright_physics::pump::PumpCondition;

fn plants() -> [Plant; 2] {
    let of = |s: System| Plant::from_record(&s).unwrap().0;
    [of(kestrel_hollow()), of(dovecote_bend())]
}

/// At 90 % of the highest speed after so many minutes.
fn after(plant: &Plant, minutes: f64) -> Load {
    plant.load_at(0.9 * plant.controller.max_rpm, Level::After { minutes })
}

fn giving(plant: &Plant, yield_m3_h: f64) -> Plant {
    let mut p = plant.clone();
    p.condition.water.yield_m3_h = yield_m3_h;
    p
}

#[test]
fn it_lifts_what_the_well_gives_from_the_intake() {
    for plant in plants() {
        let full = after(&plant, 600.0);
        assert!(!full.water.at_intake && full.water.wet == 1.0, "{full:?}");
        let mut last = f64::INFINITY;
        for share in [0.5, 0.3, 0.15] {
            let gives = share * full.water.pump_m3_h;
            let load = after(&giving(&plant, gives), 600.0);
            let w = load.water;
            assert!(w.at_intake && w.wet < 1.0 && w.level_m == plant.water.well.intake_m, "{w:?}");
            assert!((w.pump_m3_h / gives - 1.0).abs() < 1e-6, "{} for {gives}", w.pump_m3_h);
            // less torque the more of it is air; and it gives no more than it takes
            assert!(load.pump_torque_nm < last, "{load:?}");
            last = load.pump_torque_nm;
            let lifted_w = w.pump_m3_h / 3600.0 * w.head_m * 9806.65;
            assert!(lifted_w < load.motor.shaft_w, "{lifted_w} {load:?}");
        }
    }
}

#[test]
fn the_casing_empties_first() {
    for plant in plants() {
        let half = giving(&plant, 0.5 * after(&plant, 600.0).water.pump_m3_h);
        let (early, late) = (after(&half, 0.5), after(&half, 600.0));
        assert!(!early.water.at_intake && early.water.level_m < late.water.level_m);
        assert!(early.water.pump_m3_h > 1.5 * late.water.pump_m3_h, "{early:?} {late:?}");
        // the level never rises while it pumps on
        let levels: Vec<f64> = (1..60).map(|m| after(&half, f64::from(m)).water.level_m).collect();
        assert!(levels.windows(2).all(|w| w[1] >= w[0] - 1e-9), "{levels:?}");
    }
}

#[test]
fn a_well_without_water_leaves_the_torque_of_air() {
    for plant in plants() {
        let mut empty = plant.clone();
        empty.condition.water.static_deeper_m = 1000.0;
        let load = after(&empty, 60.0);
        assert_eq!(load.water.pump_m3_h, 0.0);
        let mut air = plant.clone();
        air.condition.pump = PumpCondition { dry_torque_share: Some(1.0), ..PumpCondition::default() };
        assert!(load.pump_torque_nm <= after(&air, 60.0).pump_torque_nm + 1e-9, "{load:?}");
    }
}
