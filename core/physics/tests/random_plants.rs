//! What must hold for every system that could exist, healthy or not: an answer, no NaN, books that close.

mod random_system;

use proptest::prelude::*;
use random_system::{Dice, random_condition, random_moment, random_system, verdict};
use wellwright_domain::finding::Regime;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;

fn plant(seed: u64) -> (Plant, f64) {
    let system = random_system(seed);
    (Plant::from_record(&system).unwrap().0, system.well.intake_depth_m)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// `cargo run --release -p wellwright-physics --example million` does the same a million times.
    #[test]
    fn every_system_has_an_operating_point(seed in any::<u64>()) {
        let found = verdict(seed);
        prop_assert!(found.is_ok(), "{}", found.unwrap_err());
    }

    #[test]
    fn flow_falls_as_the_lift_rises(seed in any::<u64>(), share in 0.3..1.0_f64, more in 0.01..20.0_f64) {
        let (mut plant, intake_m) = plant(seed);
        let rpm = share * plant.controller.max_rpm;
        let level = 0.5 * intake_m;
        let flow = |p: &Plant| p.load_at(rpm, Level::Known(level)).water.pump_m3_h;
        let before = flow(&plant);
        plant.water.pipes.outlet_height_m += more;
        let after = flow(&plant);
        prop_assert!(after <= before * (1.0 + 1e-9), "{before} then {after}");
        if before > 1e-6 && plant.water.pipes.outlet_height_m + level > more {
            prop_assert!(after < before, "{before} then {after}");
        }
    }

    #[test]
    fn array_current_falls_with_voltage(seed in any::<u64>(), share in 0.0..1.0_f64, step in 1e-4..0.3_f64) {
        let (mut plant, intake_m) = plant(seed);
        let d = Dice::new(seed);
        plant.condition = random_condition(&d);
        let m = random_moment(&d, intake_m);
        let curve = plant.array.curve(m.irradiance_w_m2, m.cell_c, &plant.condition.array);
        let (low, high) = (share * curve.voc(), (share + step) * curve.voc());
        let (i, j) = (curve.current_a(low), curve.current_a(high));
        prop_assert!(i.is_finite() && j.is_finite() && i >= 0.0 && j >= 0.0);
        prop_assert!(j <= i * (1.0 + 1e-6) + 1e-6, "{i} A at {low} V, {j} A at {high} V");
    }

    #[test]
    fn more_sun_never_slows_the_pump(seed in any::<u64>(), g in 50.0..1000.0_f64, more in 1.01..1.3_f64) {
        let (plant, _) = plant(seed);
        let at = |g: f64| {
            let level = Level::After { minutes: 60.0 };
            plant.operating_point(&Moment { irradiance_w_m2: g, cell_c: 40.0, level, heat_share: 1.0 })
        };
        let (dim, bright) = (at(g), at(g * more));
        if let (Some(a), Some(b)) = (dim.load, bright.load) {
            // a shut-off share above the curve makes two speeds fit: then power only
            let lifts = a.water.pump_m3_h > 0.0 && b.water.pump_m3_h > 0.0;
            let voltage = dim.regime == Regime::VoltageLimited || bright.regime == Regime::VoltageLimited;
            prop_assert!(!lifts || voltage || b.rpm >= a.rpm * (1.0 - 1e-9), "{dim:?}\n{bright:?}");
        }
    }
}
