//! The expect JSON: its keys, what is taken when nothing is given, and that it obeys physics.

use std::collections::BTreeSet;

use wellwright_app::ErrorKind;
use wellwright_app::expect::{Ask, Expect, expect};
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::Regime;
use wellwright_domain::record::{Mounting, System};

fn ask(irradiance_w_m2: Option<f64>) -> Ask {
    Ask { at: "2026-03-14T10:30:00Z".parse().unwrap(), irradiance_w_m2, air_c: Some(28.0), minutes: None }
}

fn keys(v: &serde_json::Value) -> BTreeSet<&str> {
    v.as_object().unwrap().keys().map(String::as_str).collect()
}

#[test]
fn the_keys_are_those_of_the_format() {
    let v = serde_json::to_value(expect(&kestrel_hollow(), &ask(Some(850.0))).unwrap()).unwrap();
    let wanted = ["schema", "system", "at", "given", "regime", "channels", "chain_w"];
    assert!(keys(&v).is_superset(&wanted.into_iter().collect()), "{v}");
    let channels = [
        "array_v",
        "array_a",
        "motor_rpm",
        "phase_u_a",
        "output_v",
        "flow_m3_h",
        "wellhead_kpa",
        "water_level_m",
        "module_c",
    ];
    assert_eq!(keys(&v["channels"]), channels.into_iter().collect());
    assert!(channels.iter().all(|c| Channel::from_code(c).is_some()));
    let chain = ["array", "after_dc_cable", "controller_out", "motor_in", "shaft", "hydraulic"];
    assert_eq!(keys(&v["chain_w"]), chain.into_iter().collect());
    assert_eq!(v["schema"], 1);
    assert_eq!(v["given"]["irradiance_w_m2"], 850.0);
    assert_eq!(v["given"]["air_c"], 28.0);
    assert_eq!(v["given"]["from"]["irradiance_w_m2"], "given");
    assert_eq!(v["system"], "Kestrel Hollow");
}

#[test]
fn every_channel_lies_in_its_interval_and_power_only_falls_on_its_way() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let e = expect(&system, &ask(Some(800.0))).unwrap();
        for (channel, [lo, hi]) in &e.interval_80 {
            let v = e.channels[channel];
            assert!(*lo <= v && v <= *hi, "{channel} {lo} {v} {hi}");
        }
        let c = &e.chain_w;
        let way = [c.array, c.after_dc_cable, c.controller_out, c.motor_in, c.shaft, c.hydraulic];
        assert!(way.windows(2).all(|p| p[0] > p[1] && p[1] > 0.0), "{way:?}");
    }
}

#[test]
fn what_is_not_given_is_a_clear_sky_and_the_climate() {
    let mut a = ask(None);
    a.air_c = None;
    let e = expect(&kestrel_hollow(), &a).unwrap();
    assert_eq!(e.given.from["irradiance_w_m2"], "clear_sky");
    assert!((800.0..1150.0).contains(&e.given.irradiance_w_m2), "{:?}", e.given);
    // March in the record's climate
    assert_eq!((e.given.air_c, e.given.from["air_c"].as_str()), (26.0, "climate"));
    assert_eq!(e.given.minutes, 120.0);
}

fn channel(e: &Expect, c: Channel) -> f64 {
    e.channels[c.code()]
}

#[test]
fn minutes_deepen_the_level_a_roof_heats_the_module_and_night_stops_it() {
    let at = |minutes| {
        let a = Ask { minutes: Some(minutes), ..ask(Some(800.0)) };
        channel(&expect(&kestrel_hollow(), &a).unwrap(), Channel::WaterLevelM)
    };
    assert!(at(600.0) > at(120.0) && at(120.0) > at(5.0));
    let mut roof = kestrel_hollow();
    roof.array.mounting = Some(Mounting::Roof);
    let heat = |s: &System| channel(&expect(s, &ask(Some(800.0))).unwrap(), Channel::ModuleC);
    // Definition of NOCT: at 800 W/m2 cells are NOCT - 20 K above the air; the back 3 K/(kW/m2) less.
    let open = kestrel_hollow();
    assert!((heat(&open) - (28.0 + 26.0 - 2.4)).abs() < 0.01);
    assert!((heat(&roof) - (28.0 + 39.0 - 2.4)).abs() < 0.01);
    let night = Ask { at: "2026-03-14T22:00:00Z".parse().unwrap(), ..ask(None) };
    let e = expect(&kestrel_hollow(), &night).unwrap();
    assert_eq!(e.regime, Regime::Stopped);
    assert_eq!(channel(&e, Channel::FlowM3H), 0.0);
}

#[test]
fn impossible_values_are_refused_with_their_range() {
    for (a, word) in [
        (ask(Some(-5.0)), "irradiance"),
        (ask(Some(f64::NAN)), "irradiance"),
        (Ask { air_c: Some(99.0), ..ask(None) }, "air"),
        (Ask { minutes: Some(-1.0), ..ask(None) }, "minutes"),
        (Ask { at: "1700-01-01T00:00:00Z".parse().unwrap(), ..ask(None) }, "1900"),
    ] {
        let e = expect(&kestrel_hollow(), &a).unwrap_err();
        assert_eq!(e.kind, ErrorKind::BadInput);
        assert!(e.detail.contains(word), "{e}");
    }
}
