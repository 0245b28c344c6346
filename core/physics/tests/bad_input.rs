//! What cannot be true is refused with the field and its range, never computed.

use wellwright_domain::examples::kestrel_hollow;
use wellwright_domain::record::System;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::plant::Plant;
use wellwright_physics::sun::sun_position;

fn refused(change: impl FnOnce(&mut System)) -> String {
    let mut system = kestrel_hollow();
    change(&mut system);
    Plant::from_record(&system).expect_err("accepted").to_string()
}

#[test]
fn numbers_out_of_range_name_field_and_range() {
    type Change = fn(&mut System);
    let cases: [(Change, &str, &str); 14] = [
        (|s| s.site.latitude_deg = 91.0, "site.latitude_deg is 91", "between -90 and 90"),
        (|s| s.site.altitude_m = f64::NAN, "site.altitude_m is NaN", "between -450 and 6000"),
        (|s| s.well.intake_depth_m = -3.0, "well.intake_depth_m is -3", "between 0.5 and 1000 m"),
        (|s| s.well.water_c = Some(95.0), "well.water_c is 95", "between 0 and 90"),
        (|s| s.delivery.riser_inner_mm = Some(0.0), "delivery.riser_inner_mm is 0", "between 5 and 500 mm"),
        (
            |s| s.delivery.fittings_k = Some(f64::INFINITY),
            "delivery.fittings_k is inf",
            "between 0 and 10000",
        ),
        (|s| s.pump.rated_rpm = Some(0.0), "pump.rated_rpm is 0", "between 100 and 30000 rpm"),
        (|s| s.motor.ke_v_rms_ll_per_krpm = Some(0.0), "motor.ke_v_rms_ll_per_krpm is 0", "0.5 and 2000"),
        (|s| s.motor.pole_pairs = Some(0), "motor.pole_pairs is 0", "between 1 and 30"),
        (|s| s.array.series = Some(0), "array.series is 0", "between 1 and 100"),
        (|s| s.array.tilt_deg = Some(120.0), "array.tilt_deg is 120", "between 0 and 90"),
        (|s| s.array.module.isc_a = Some(-8.0), "array.module.isc_a is -8", "between 0.05 and 60 A"),
        (|s| s.controller.efficiency = Some(1.2), "controller.efficiency is 1.2", "between 0.3 and 1"),
        (|s| s.array.horizon = Some(vec![[0.0, 95.0]]), "array.horizon[][1] is 95", "between 0 and 90"),
    ];
    for (change, field, range) in cases {
        let message = refused(change);
        assert!(message.contains(field) && message.contains(range), "{message}");
    }
}

#[test]
fn a_curve_that_no_pump_has_is_refused() {
    let curve = |rows: &[[f64; 3]]| {
        let rows = rows.to_vec();
        refused(move |s| s.pump.curve = Some(rows))
    };
    let two = curve(&[[0.0, 78.0, 0.0], [3.0, 60.0, 0.5]]);
    assert!(two.contains("pump curve") && two.contains("fewer than three points"), "{two}");
    let rising = curve(&[[0.0, 60.0, 0.0], [2.0, 65.0, 0.5], [4.0, 40.0, 0.5]]);
    assert!(rising.contains("head does not fall"), "{rising}");
    let back = curve(&[[0.0, 60.0, 0.0], [4.0, 55.0, 0.5], [3.0, 40.0, 0.5]]);
    assert!(back.contains("flow does not rise"), "{back}");
    let efficient = curve(&[[0.0, 60.0, 0.0], [2.0, 55.0, 1.5], [4.0, 40.0, 0.5]]);
    assert!(
        efficient.contains("pump.curve[][2] is 1.5") && efficient.contains("between 0 and 1"),
        "{efficient}"
    );
    let idle = curve(&[[0.0, 60.0, 0.0], [2.0, 55.0, 0.0], [4.0, 40.0, 0.0]]);
    assert!(idle.contains("no point has both flow and efficiency"), "{idle}");
}

#[test]
fn a_data_sheet_that_no_module_has_is_refused() {
    let swapped = refused(|s| {
        let m = &mut s.array.module;
        (m.vmp_v, m.voc_v) = (m.voc_v, m.vmp_v);
    });
    assert!(swapped.contains("Vmp must be less than Voc"), "{swapped}");
    let equal = refused(|s| s.array.module.vmp_v = s.array.module.voc_v);
    assert!(equal.contains("Vmp must be less than Voc"), "{equal}");
    let current = refused(|s| s.array.module.imp_a = Some(9.5));
    assert!(current.contains("Imp must be less than Isc"), "{current}");
}

#[test]
fn limits_the_wrong_way_round_are_refused() {
    let speed = refused(|s| s.controller.min_rpm = Some(4000.0));
    assert!(speed.contains("controller.min_rpm") && speed.contains("controller.max_rpm"), "{speed}");
    let volt = refused(|s| s.controller.min_v = Some(500.0));
    assert!(volt.contains("controller.min_v") && volt.contains("controller.max_v"), "{volt}");
}

#[test]
fn a_date_out_of_range_names_the_years() {
    let error = sun_position("2101-01-01T12:00:00Z".parse().unwrap(), 0.0, 0.0, 0.0).unwrap_err();
    assert!(matches!(error, PhysicsError::OutOfRange { min: 1900.0, max: 2100.0, .. }), "{error}");
    assert_eq!(error.to_string(), "year is 2101 (UTC); it must lie between 1900 and 2100 (UTC)");
}

#[test]
fn a_water_too_hot_for_the_tables_is_refused_as_such() {
    let hot = refused(|s| s.well.water_c = Some(75.0));
    assert!(hot.contains("water temperature is 75") && hot.contains("between 0 and 60"), "{hot}");
}
