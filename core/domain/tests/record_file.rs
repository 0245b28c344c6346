//! The record as a file: what loads, and the exact line that a person reads when it does not.

use wellwright_domain::examples::{DOVECOTE_BEND_TOML, KESTREL_HOLLOW_TOML, dovecote_bend, kestrel_hollow};
use wellwright_domain::lead_map::Parity;
use wellwright_domain::record::{Conductor, JointMap, PumpKind, System};

/// The message for Kestrel Hollow with one piece exchanged.
fn refusal(from: &str, to: &str) -> String {
    refusal_of(KESTREL_HOLLOW_TOML, from, to)
}

fn refusal_of(base: &str, from: &str, to: &str) -> String {
    assert!(base.contains(from), "the example no longer holds {from}");
    System::from_toml(&base.replacen(from, to, 1), "farm.toml").unwrap_err().to_string()
}

#[test]
fn both_examples_load_and_round_trip() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        assert_eq!(system.faults(), []);
        let again = System::from_toml(&system.to_toml().unwrap(), "again.toml").unwrap();
        assert_eq!(again, system);
    }
    let k = kestrel_hollow();
    assert_eq!((k.pump.kind, k.cable.conductor), (PumpKind::Centrifugal, Some(Conductor::Awg(12))));
    assert_eq!(k.cable.parity(), Some(Parity::Even));
    assert_eq!(k.sensors.water_level_m.unwrap().accuracy_m, Some(0.3));
    let d = dovecote_bend();
    assert_eq!((d.pump.kind, d.pump.displacement_cm3_per_rev), (PumpKind::HelicalRotor, Some(18.0)));
    assert_eq!(d.access, None);
}

#[test]
fn a_record_with_only_what_is_required_loads() {
    let text = "name = \"Bare\"\n\
        site = { latitude_deg = 1, longitude_deg = 2, altitude_m = 3, time_zone = \"UTC\" }\n\
        pump.kind = \"helical_rotor\"\nwell.intake_depth_m = 40\ncable.joints = [{ depth_m = 0 }]\n";
    let system = System::from_toml(text, "bare.toml").unwrap();
    assert_eq!((system.schema, &system.cable.joints[0].map), (1, &JointMap::Unknown));
    assert_eq!((system.protection.clone(), system.motor.pole_pairs), (None, None));
    assert_eq!(System::from_toml(&system.to_toml().unwrap(), "again").unwrap(), system);
}

#[test]
fn byte_order_mark_and_crlf_are_tolerated() {
    let text = format!("\u{feff}{}", KESTREL_HOLLOW_TOML.replace('\n', "\r\n"));
    assert_eq!(System::from_toml(&text, "k").unwrap(), kestrel_hollow());
}

#[test]
fn missing_fields_are_named_with_what_they_are() {
    assert_eq!(
        refusal("intake_depth_m = 60.0", ""),
        "farm.toml:16: well.intake_depth_m: missing; required: the depth of the pump's intake below the \
         wellhead must be 0.5 to 1000 m"
    );
    assert_eq!(
        refusal("name = \"Kestrel Hollow\"", ""),
        "farm.toml:1: name: missing; required: the name that the owner uses, in quotes"
    );
    assert_eq!(
        refusal("kind = \"centrifugal\"", ""),
        "farm.toml:40: pump.kind: missing; required: \"centrifugal\" or \"helical_rotor\""
    );
    assert_eq!(
        refusal("time_zone = \"Africa/Windhoek\"", ""),
        "farm.toml:5: site.time_zone: missing; required: an IANA time zone such as \"Africa/Windhoek\", or \"UTC\""
    );
    assert_eq!(
        System::from_toml("", "empty.toml").unwrap_err().to_string(),
        "empty.toml:1: name: missing; required: the name that the owner uses, in quotes"
    );
}

#[test]
fn unknown_keys_and_words_name_the_nearest() {
    assert_eq!(
        refusal("rated_rpm", "rated_rmp"),
        "farm.toml:42: pump.rated_rmp: unknown key; allowed here: kind, rated_rpm, curve, npsh_required_m, \
         shutoff_power_share, displacement_cm3_per_rev, slip_m3h_per_m, friction_torque_nm, \
         break_away_torque_nm; did you mean `rated_rpm`?"
    );
    assert_eq!(
        refusal("accuracy_k = 1.5", "colour = 1.5"),
        "farm.toml:112: sensors.module_c.colour: unknown key; allowed here: accuracy_pct, accuracy_k, \
         accuracy_m, at; the nearest known is `at`"
    );
    assert!(refusal("altitude_m = 1350.0", "tilt_deg = 1").ends_with("did you mean `array.tilt_deg`?"));
    assert!(refusal("[pump]", "[pmup]").ends_with("did you mean `pump`?"));
    assert_eq!(
        refusal("\"centrifugal\"", "\"centrifugel\""),
        "farm.toml:41: pump.kind: `centrifugel` is not a known word; allowed: centrifugal, helical_rotor; \
         did you mean `centrifugal`?"
    );
}

#[test]
fn negative_and_impossible_values_explain_themselves() {
    let cases = [
        (
            "length_m = 66.0",
            "length_m = -66.0",
            "60: cable.length_m: -66 is negative; the length of the drop cable must be 0.5 to 3000 m",
        ),
        (
            "[14000",
            "[-14000",
            "121: demand.litres_per_day[0]: -14000 is negative; the demand must be 0 to 100000000 litres a day",
        ),
        (
            "latitude_deg = -22.91",
            "latitude_deg = 95",
            "6: site.latitude_deg: 95 is too large; the latitude, north positive, must be -90 to 90 deg",
        ),
        (
            "length_m = 66.0",
            "length_m = inf",
            "60: cable.length_m: inf is not a finite number; the length of the drop cable must be 0.5 to 3000 m",
        ),
        (
            "= 66.0",
            "= nan",
            "60: cable.length_m: nan is not a finite number; the length of the drop cable must be 0.5 to 3000 m",
        ),
        (
            "0.56",
            "1.56",
            "44: pump.curve[3][2]: 1.56 is too large; the efficiency of a curve point must be 0 to 1",
        ),
        (
            "[90.0, 4.0]",
            "[90.0, 94.0]",
            "74: array.horizon[1][1]: 94 is too large; the elevation of a horizon point must be 0 to 90 deg",
        ),
        (
            "drawdown_at_min = 120.0",
            "drawdown_at_min = 0",
            "24: well.drawdown_at_min: 0 is too small; the pumping time that B and C stand for must be 1 to 525600 minutes",
        ),
        (
            "series = 10",
            "series = -10",
            "68: array.series: `-10` is not a possible whole number; the number of modules in series must be 1 to 100",
        ),
        (
            "series = 10",
            "series = 0",
            "68: array.series: 0 is too small; the number of modules in series must be 1 to 100",
        ),
        (
            "beta_voc_v_per_k = -0.129",
            "beta_voc_v_per_k = 0.129",
            "83: array.module.beta_voc_v_per_k: 0.129 is too large; the temperature coefficient of the open-circuit voltage must be -3 to 0 V/K",
        ),
        (
            "Africa/Windhoek",
            "Windhoek time",
            "9: site.time_zone: `Windhoek time` is not a time zone; an IANA name such as \"Africa/Windhoek\", or \"UTC\"",
        ),
        (
            "Africa/Windhoek",
            "Mars/Base",
            "9: site.time_zone: `Mars/Base` is not a time zone; an IANA name such as \"Africa/Windhoek\", or \"UTC\"",
        ),
        (
            "2026-02-20",
            "20.02.2026",
            "21: well.static_level_on: `20.02.2026` is not a date; write year-month-day, such as \"2026-02-20\"",
        ),
        (
            "\"Kestrel Hollow\"",
            "\"\\u001b[31m\"",
            "3: name: holds a control character; 1 to 200 printable characters",
        ),
    ];
    for (from, to, message) in cases {
        assert_eq!(refusal(from, to), format!("farm.toml:{message}"));
    }
}

#[test]
fn contradictory_fields_are_refused() {
    let cases = [
        (
            "intake_depth_m = 60.0",
            "intake_depth_m = 75",
            "19: well.intake_depth_m: intake at 75 m is deeper than the well, 72 m; intake_depth_m must not be above well.depth_m",
        ),
        (
            "static_level_m = 31.5",
            "static_level_m = 60",
            "20: well.static_level_m: resting level at 60 m is not above the intake at 60 m; static_level_m must be less than well.intake_depth_m",
        ),
        (
            "vmp_v = 30.4",
            "vmp_v = 37.6",
            "81: array.module.vmp_v: 37.6 V is not below array.module.voc_v, 37.6 V; it must be less than array.module.voc_v",
        ),
        (
            "imp_a = 8.38",
            "imp_a = 9",
            "80: array.module.imp_a: 9 A is not below array.module.isc_a, 8.88 A; it must be less than array.module.isc_a",
        ),
        (
            "min_rpm = 900.0",
            "min_rpm = 4000",
            "101: controller.min_rpm: 4000 rpm is above controller.max_rpm, 3300 rpm; it must not be above controller.max_rpm",
        ),
        (
            "min_v = 120.0",
            "min_v = 500",
            "97: controller.min_v: 500 V is above controller.max_v, 450 V; it must not be above controller.max_v",
        ),
        (
            "{ depth_m = 58.0",
            "{ depth_m = 66.0",
            "63: cable.joints[0].depth_m: joint at 66 m is deeper than the intake at 60 m; a joint must not be more than 5 m below well.intake_depth_m",
        ),
        (
            "75.5",
            "79.0",
            "44: pump.curve[1]: head 79 m does not fall from 78 m; head must fall from point to point",
        ),
        (
            "[2.4, 70",
            "[1.2, 70",
            "44: pump.curve[2]: flow 1.2 m3/h does not rise from 1.2 m3/h; flow must rise from point to point",
        ),
        (
            "[90.0, 4.0]",
            "[0.0, 4.0]",
            "74: array.horizon[1]: azimuth 0 deg does not rise from 0 deg; azimuth must rise from point to point",
        ),
        (
            "[270.0, 6.0]",
            "[360.0, 6.0]",
            "74: array.horizon[3]: azimuth 360 deg is the same as 0 deg; write one of them; the horizon wraps by itself",
        ),
        (
            "npsh_required_m = 2.5",
            "slip_m3h_per_m = 0.002",
            "45: pump.slip_m3h_per_m: belongs to a helical rotor, but pump.kind is \"centrifugal\"; correct pump.kind or remove the line",
        ),
        (
            "\"centrifugal\"",
            "\"helical_rotor\"",
            "44: pump.curve: belongs to a centrifugal pump, but pump.kind is \"helical_rotor\"; correct pump.kind or remove the line",
        ),
        (
            "accuracy_m = 0.3",
            "accuracy_k = 0.3",
            "115: sensors.water_level_m.accuracy_k: `accuracy_k` does not go with water_level_m; allowed: accuracy_m, accuracy_pct",
        ),
        (
            "riser_inner_mm = 32.6",
            "riser_inner_mm = 42.6",
            "29: delivery.riser_inner_mm: inner diameter 42.6 mm is not below the outer, 40 mm; riser_inner_mm must be less than riser_outer_mm",
        ),
        (
            "outer_mm = 96.0",
            "outer_mm = 160",
            "55: motor.outer_mm: a motor of 160 mm does not fit into a casing of 150 mm; outer_mm must be less than well.casing_inner_mm",
        ),
        (
            "length_m = 66.0",
            "length_m = 40",
            "60: cable.length_m: 40 m does not reach the intake at 60 m; it must reach from the wellhead to well.intake_depth_m",
        ),
        (
            "air_min_c = -2.0",
            "air_min_c = 45.0",
            "10: site.air_min_c: coldest air 45 degC is above hottest air 40 degC; air_min_c must not be above air_max_c",
        ),
        (
            "dry_probe_depth_m = 58.0",
            "dry_probe_depth_m = 88",
            "106: protection.dry_probe_depth_m: probe at 88 m is deeper than the well, 72 m; dry_probe_depth_m must not be above well.depth_m",
        ),
    ];
    for (from, to, message) in cases {
        assert_eq!(refusal(from, to), format!("farm.toml:{message}"));
    }
    let curve = KESTREL_HOLLOW_TOML.lines().find(|l| l.starts_with("curve")).unwrap();
    assert_eq!(
        refusal(curve, "curve = [[0, 78, 0], [2, 70, 0.5]]"),
        "farm.toml:44: pump.curve: 2 points; at least 3 points of [flow m3/h, head m, efficiency]"
    );
    assert_eq!(
        refusal_of(DOVECOTE_BEND_TOML, "break_away_torque_nm = 0.9", "shutoff_power_share = 0.5"),
        "farm.toml:38: pump.shutoff_power_share: belongs to a centrifugal pump, but pump.kind is \
         \"helical_rotor\"; correct pump.kind or remove the line"
    );
}

#[test]
fn of_several_faults_the_first_by_line_is_said() {
    let text = KESTREL_HOLLOW_TOML.replace("= 66.0", "= -1").replace("= 1350.0", "= 99999");
    let error = System::from_toml(&text, "farm.toml").unwrap_err();
    assert_eq!((error.line, error.fault.field.as_str()), (Some(8), "site.altitude_m"));
}

#[test]
fn wrong_types_and_lengths_are_said_in_plain_words() {
    let cases = [
        (
            "= 150.0",
            "= \"wide\"",
            "17: well.casing_inner_mm: `wide` is not a number; the inner diameter of the casing must be 25 to 5000 mm",
        ),
        (
            "check_valve = true",
            "check_valve = 1",
            "38: delivery.check_valve: `1` is not yes or no; write true or false, without quotes",
        ),
        (
            "\"2026-02-20\"",
            "2026-02-20",
            "21: well.static_level_on: `2026-02-20` is not text; write it in quotes",
        ),
        ("[0.0, 78.0, 0.0]", "[0.0, 78.0]", "44: pump.curve[0]: 2 values; exactly 3 are allowed"),
        ("[0.0, 78.0, 0.0]", "[0.0, 78.0, 0.0, 1.0]", "44: pump.curve[0]: 4 values; exactly 3 are allowed"),
        ("[14000,", "[14000, 14000,", "121: demand.litres_per_day: 13 values; exactly 12 are allowed"),
        (
            "[tank]\nvolume_m3 = 20.0",
            "[[tank]]\nvolume_m3 = 20.0",
            "117: tank: a list stands where one table or value belongs; write it once, without [[ ]] or a list",
        ),
        (
            "{ accuracy_k = 1.5 }",
            "[0.0, 1.5, 0.0]",
            "112: sensors.module_c: a list stands where a table belongs; write its keys with their names",
        ),
        ("awg12", "awg99", "59: cable.conductor: `awg99` is not a conductor size; write awg12 or 6mm2"),
        ("[motor]", "[motor", "48: not valid TOML: unclosed table, expected `]`"),
        ("series = 10", "series = 10\nseries = 11", "69: not valid TOML: duplicate key"),
    ];
    for (from, to, message) in cases {
        assert_eq!(refusal(from, to), format!("farm.toml:{message}"));
    }
}

#[test]
fn lead_maps_that_cannot_be_are_refused() {
    let straight = "[\"1-1\", \"2-2\", \"3-3\"]";
    let cases = [
        ("5", "`5` is not a lead map; write [\"1-1\", \"2-2\", \"3-3\"] or \"unknown\""),
        ("\"unkown\"", "`unkown` is not a lead map; write [\"1-1\", \"2-2\", \"3-3\"] or \"unknown\""),
        ("[\"1-1\", \"2-2\", \"3-9\"]", "`3-9` is not a pair such as 1-2 or 1-u"),
        ("[\"1-1\", \"2-2\", \"2-3\"]", "lead 2 is joined twice"),
        ("[\"1-1\", \"2-2\", \"3-2\"]", "two leads go to the same place"),
        ("[\"1-1\", \"2-2\"]", "a lead map has three pairs, this one has 2"),
    ];
    for (map, message) in cases {
        assert_eq!(refusal(straight, map), format!("farm.toml:63: cable.joints[0].map: {message}"));
    }
}

#[test]
fn a_newer_schema_is_said_before_anything_else_is_judged() {
    assert_eq!(
        refusal("schema = 1", "schema = 2\nnew_thing = 3"),
        "farm.toml:2: schema: 2 was written by a newer program; install a newer version to read it; this \
         version reads schema 1"
    );
    assert_eq!(
        refusal("schema = 1", "schema = \"one\""),
        "farm.toml:2: schema: `one` is not a known schema; this version reads schema 1"
    );
}

#[test]
fn a_file_that_is_no_record_is_refused_without_harm() {
    let deep = format!("a = {}", "[".repeat(100_000));
    let error = System::from_toml(&deep, "deep.toml").unwrap_err().to_string();
    assert_eq!(error, "deep.toml:1: not valid TOML: cannot recurse further; max recursion depth met");
    let long = format!("# {}", "x".repeat(2_000_000));
    let error = System::from_toml(&long, "long.toml").unwrap_err().to_string();
    assert_eq!(error, "long.toml: 2000002 bytes is too long; at most 1048576 bytes");
}

#[test]
fn a_record_that_would_not_be_read_is_not_written() {
    let mut system = kestrel_hollow();
    system.well.static_level_m = Some(61.0);
    assert_eq!(
        system.to_toml().unwrap_err().to_string(),
        "well.static_level_m: resting level at 61 m is not above the intake at 60 m; static_level_m must be \
         less than well.intake_depth_m"
    );
}
