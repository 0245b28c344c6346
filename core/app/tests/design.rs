//! The design check: numbers against hand calculation, what a bad record is told, what a thin one is told.

use wellwright_app::design::{Code, Design, Line, Outcome, SunFrom, Whose, design};
use wellwright_app::text::{Units, Words};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::record::System;

const BAD: &str = include_str!("fixtures/bramble-scarp.system.toml");

fn bad() -> System {
    System::from_toml(BAD, "bramble-scarp.system.toml").unwrap()
}

fn check(system: &System) -> Design {
    design(system, &Words::english()).unwrap()
}

fn of(d: &Design, code: Code) -> Line {
    d.line(code).unwrap_or_else(|| panic!("no line {code:?}")).clone()
}

fn near(line: &Line, by_hand: f64, within: f64) {
    let value = line.value.unwrap();
    assert!((value - by_hand).abs() <= within, "{:?}: {value}, by hand {by_hand}", line.code);
}

fn failing(d: &Design) -> Vec<Code> {
    d.lines.iter().filter(|l| l.verdict == Outcome::Fail).map(|l| l.code).collect()
}

#[test]
fn kestrel_hollow_agrees_with_hand_calculation() {
    let d = check(&kestrel_hollow());
    assert_eq!(failing(&d), []);
    // 10 x 37.6 + 10 x -0.129 x (-2 - 25) = 410.83 V, under the controller's 450 V and the module's 1000 V
    let cold = of(&d, Code::ColdVocController);
    near(&cold, 410.83, 0.005);
    assert_eq!((cold.limit, cold.whose, cold.verdict), (Some(450.0), Whose::Controller, Outcome::Pass));
    near(&of(&d, Code::ColdVocModule), 410.83, 0.005);
    // by the data sheet's power coefficient the best voltage goes with about beta: 304 - 1.29 x (-2 - 25) = 339 V
    near(&of(&d, Code::ColdVmpController), 339.0, 4.0);
    // cells at 40 + 1000 x (46 - 20)/800 = 72.5 degC: 304 - 1.29 x 47.5 = 243 V less 1.5 V in the DC cable
    let hot = of(&d, Code::HotVmpController);
    assert!((hot.from["cell_c"] - 72.5).abs() < 1e-9);
    near(&hot, 241.0, 5.0);
    // 2 x 25 m x 3.30e-3 ohm/m x 274.5/254.5 (40 degC) = 0.17797 ohm; x 8.38 A = 1.4914 V of 304 V
    near(&of(&d, Code::DcCable), 0.4906, 0.0005);
    // sqrt(3) x 66 m x 5.4155e-3 ohm/m (AWG 12 at 22 + 8 degC) = 0.61908 V a ampere, of 60 x 3 = 180 V
    let drop = of(&d, Code::DropCable);
    near(&drop, 100.0 * 0.61908 * drop.from["current_a"] / 180.0, 0.001);
    // Q / (pi/4 (0.150^2 - 0.096^2)): 0.010433 m2
    let cooling = of(&d, Code::CoolingFlow);
    near(&cooling, cooling.from["flow_m3_h"] / 3600.0 / 0.010433, 1e-4);
    assert_eq!((cooling.limit, cooling.whose), (Some(0.08), Whose::Motor));
    // 31.5 + 0.9 Q + 0.05 Q^2 after the 120 min that B and C stand for
    let cover = of(&d, Code::Submergence);
    let q = cover.from["flow_m3_h"];
    near(&cover, 60.0 - (31.5 + 0.9 * q + 0.05 * q * q), 1e-3);
    // 78 m x (3300/3000)^2 = 94.38 m; x 997.77 kg/m3 x 9.80665 = 923.5 kPa
    near(&of(&d, Code::PipePressure), 923.5, 0.2);
    // standard atmosphere at 1350 m 86.12 kPa (ICAO), vapour 2.645 kPa at 22 degC: 8.531 m, and the submergence
    near(&of(&d, Code::Npsh), 8.531 + cover.value.unwrap(), 0.01);
    assert!(d.line(Code::BreakAwayCurrent).is_none(), "a centrifugal pump does not break away");
}

#[test]
fn a_dry_run_probe_hangs_between_the_pumping_level_and_the_intake() {
    let line = |depth_m: Option<f64>| {
        let mut system = kestrel_hollow();
        system.protection.as_mut().unwrap().dry_probe_depth_m = depth_m;
        check(&system).line(Code::DryProbe).cloned()
    };
    // the intake hangs at 60 m; the level falls to about 37 m
    let sound = line(Some(58.0)).unwrap();
    near(&sound, 2.0, 1e-9);
    assert_eq!(sound.verdict, Outcome::Pass);
    assert_eq!(line(Some(59.8)).unwrap().verdict, Outcome::Look);
    let below = line(Some(62.0)).unwrap();
    assert_eq!(below.verdict, Outcome::Fail);
    assert!(below.why.contains("already takes air"), "{}", below.why);
    let bare = line(Some(33.0)).unwrap();
    assert_eq!(bare.verdict, Outcome::Look);
    assert!(bare.why.contains("lays the probe bare"), "{}", bare.why);
    assert!(line(None).is_none(), "no probe, no line");
}

#[test]
fn the_motor_line_closes_its_own_power() {
    let d = check(&kestrel_hollow());
    let line = of(&d, Code::MotorCurrentMotor);
    // hydraulic power over efficiency (0.52 near 5.5 m3/h at 3250 rpm) over omega, and 0.18 N m, over sqrt(3) Ke:
    // T = 5.49/3600 x 9785 x 50.5 / 0.48 / 340 = 4.6 N m; (4.6 + 0.18) / (1.732 x 0.573) = 4.8 A
    near(&line, 4.8, 0.15);
    assert_eq!(line.unit, "A");
}

#[test]
fn water_comes_where_the_start_line_says() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        let d = check(&system);
        let start = d.start_irradiance_w_m2.unwrap();
        assert_eq!(of(&d, Code::StartIrradiance).value, Some(start));
        let dry = d.curves.flow.iter().filter(|p| p.irradiance_w_m2 < start);
        assert!(dry.clone().count() > 1 && dry.into_iter().all(|p| p.flow_m3_h == 0.0));
        let bright = d.curves.flow.iter().filter(|p| p.irradiance_w_m2 > start + 60.0);
        assert!(bright.into_iter().all(|p| p.flow_m3_h > 0.0), "{start}");
    }
}

#[test]
fn months_hold_the_sun_of_the_record_and_their_hours_sum_up() {
    let system = kestrel_hollow();
    let d = check(&system);
    assert_eq!(d.sun_from, SunFrom::Record);
    let sun = system.site.irradiation_kwh_m2_day.unwrap();
    for (m, want) in d.months.iter().zip(sun) {
        assert!((m.irradiation_kwh_m2_day - want).abs() < 1e-9 && m.clear_kwh_m2_day > want, "{}", m.month);
        let litres: f64 = m.flow_m3_h_by_hour.iter().sum::<f64>() * 1000.0;
        assert!((litres - m.litres_per_day).abs() < 1e-6);
        assert_eq!((m.flow_m3_h_by_hour[0], m.flow_m3_h_by_hour[23]), (0.0, 0.0), "no water at night");
        assert!(m.flow_m3_h_by_hour[11] > m.flow_m3_h_by_hour[7]);
        // no day gives more than its hours with water at the flow of full sun
        assert!(m.litres_per_day < m.hours_with_water * 1050.0 * d.full_sun.flow_m3_h.unwrap());
    }
    let thin = check(&dovecote_bend());
    assert_eq!(thin.sun_from, SunFrom::ClearSkyUsual);
    assert!(thin.months.iter().all(|m| (m.irradiation_kwh_m2_day / m.clear_kwh_m2_day - 0.75).abs() < 1e-9));
    let line = of(&thin, Code::DailyWater);
    assert_eq!((line.verdict, &line.missing[..]), (Outcome::Look, &["site.irradiation_kwh_m2_day"][..]));
}

#[test]
fn too_small_an_array_leaves_months_short() {
    let mut system = kestrel_hollow();
    system.demand.as_mut().unwrap().litres_per_day = Some([48_000.0; 12]);
    let d = check(&system);
    let line = of(&d, Code::DailyWater);
    assert_eq!((line.verdict, line.whose, line.limit), (Outcome::Look, Whose::Owner, Some(100.0)));
    system.demand.as_mut().unwrap().litres_per_day = Some([90_000.0; 12]);
    let d = check(&system);
    assert_eq!(of(&d, Code::DailyWater).verdict, Outcome::Fail);
    assert_eq!(of(&d, Code::DailyWater).from["months_short"], 12.0);
}

#[test]
fn a_bad_record_fails_where_it_is_bad_and_each_failing_line_says_why() {
    let d = check(&bad());
    assert_eq!(d.verdict, Outcome::Fail);
    // the fourth follows from the third: with the water at the intake the pump starts and stops all day
    assert_eq!(failing(&d), [Code::ColdVocController, Code::DropCable, Code::Submergence, Code::DailyWater]);
    // 12 x (37.6 - 0.129 x (-8 - 25)) = 502.28 V
    let cold = of(&d, Code::ColdVocController);
    near(&cold, 502.284, 0.001);
    assert!(cold.why.contains("12 modules") && cold.why.contains("502\u{a0}V at open circuit at -8\u{a0}°C"));
    assert!(cold.why.contains("Take modules out of each string"), "{}", cold.why);
    // AWG 14: 2.0809 mm2, 8.2854e-3 ohm/m at 20 degC, 8.6110e-3 at 30; sqrt(3) x 160 x that = 2.3864 V a ampere
    let drop = of(&d, Code::DropCable);
    near(&drop, 100.0 * 2.3864 * drop.from["current_a"] / 180.0, 0.002);
    assert!(drop.value.unwrap() > 5.0 && drop.why.contains("too thin for its length"), "{}", drop.why);
    let cover = of(&d, Code::Submergence);
    let q = cover.from["flow_m3_h"];
    near(&cover, 36.0 - (31.5 + 0.9 * q + 0.05 * q * q), 1e-3);
    assert!(cover.value.unwrap() < 0.0 && cover.why.contains("above the pumping level"), "{}", cover.why);
    // with the intake over the water no suction head is claimed
    let npsh = of(&d, Code::Npsh);
    assert_eq!((npsh.value, npsh.verdict), (None, Outcome::Look));
    let json = serde_json::to_value(&d).unwrap();
    for line in json["lines"].as_array().unwrap() {
        for key in ["code", "value", "unit", "limit", "whose", "verdict", "why"] {
            assert!(line.get(key).is_some(), "{key} in {line}");
        }
        assert!(!line["why"].as_str().unwrap().contains('{'), "a place is not filled: {line}");
    }
    // the advice names what would do: at the same current two sizes up
    assert_eq!(d.conductors[0].smallest[0].as_ref().unwrap().conductor, "awg12");
    assert!(d.conductors[0].smallest[0].as_ref().unwrap().drop_pct <= 5.0);
}

#[test]
fn what_the_record_does_not_hold_is_a_look_that_names_the_field() {
    let d = check(&dovecote_bend());
    let cold = of(&d, Code::ColdVocController);
    assert_eq!((cold.value, cold.limit, cold.verdict), (None, Some(180.0), Outcome::Look));
    assert_eq!(cold.missing, ["site.air_min_c"]);
    // 25 + (180/3 - 46.8)/-0.155 = -60.2 degC
    assert!(cold.why.contains("coldest morning") && cold.why.contains("-60\u{a0}°C"), "{}", cold.why);
    assert_eq!(of(&d, Code::ColdVocModule).missing, ["site.air_min_c", "array.module.max_system_v"]);
    assert_eq!(of(&d, Code::CoolingFlow).missing, ["motor.outer_mm"]);
    assert_eq!(of(&d, Code::Npsh).missing, ["pump.npsh_required_m"]);
    let pipe = of(&d, Code::PipePressure);
    assert_eq!((pipe.verdict, &pipe.missing[..]), (Outcome::Look, &["delivery.pipe_rating_kpa"][..]));
    assert!(pipe.why.contains("never press against a shut valve"), "{}", pipe.why);
    // (0.9 + 0.06) N m / (sqrt(3) x 26 x 30/(1000 pi)) = 2.2323 A
    near(&of(&d, Code::BreakAwayCurrent), 2.2323, 0.001);
    // 92 m of AWG 10 at 16 + 8 degC: 3.3287e-3 ohm/m x 92 x sqrt(3) = 0.53043 V a ampere, of 26 x 2.4 = 62.4 V
    let drop = of(&d, Code::DropCable);
    near(&drop, 100.0 * 0.53043 * drop.from["current_a"] / 62.4, 0.002);
}

#[test]
fn a_record_with_only_what_is_required_has_nothing_that_fails_or_passes_unseen() {
    let text = "name = \"Bare\"\n\
        site = { latitude_deg = 1, longitude_deg = 2, altitude_m = 3, time_zone = \"UTC\" }\n";
    for kind in ["helical_rotor", "centrifugal"] {
        let text = format!("{text}pump.kind = \"{kind}\"\nwell.intake_depth_m = 40\n");
        let d = check(&System::from_toml(&text, "bare.toml").unwrap());
        for line in &d.lines {
            assert_eq!(line.verdict, Outcome::Look, "{kind} {:?}", line.code);
            assert!(!line.missing.is_empty() && line.why.contains("Not in the record"), "{:?}", line.code);
        }
        assert!(d.conductors.is_empty(), "no length, no advice");
    }
}

#[test]
fn a_helical_pipe_is_never_a_plain_pass_and_a_wide_motor_never_fits() {
    let mut system = dovecote_bend();
    system.delivery.pipe_rating_kpa = Some(2500.0);
    assert_eq!(of(&check(&system), Code::PipePressure).verdict, Outcome::Look);
    system.delivery.pipe_rating_kpa = Some(600.0);
    assert_eq!(of(&check(&system), Code::PipePressure).verdict, Outcome::Fail, "less than it works at");
    system.motor.outer_mm = Some(96.0);
    system.well.casing_inner_mm = Some(95.0);
    let d = check(&system);
    let line = of(&d, Code::CoolingFlow);
    assert_eq!((line.verdict, line.value), (Outcome::Fail, Some(0.0)));
    assert!(line.why.contains("does not go into"), "{}", line.why);
}

/// Three-conductor submersible cable between AWG 14 and AWG 10 by length: common practice, no single source.
#[test]
fn usual_depths_get_the_sizes_of_the_trade() {
    let advised = |mut system: System, length: f64| {
        system.cable.length_m = Some(length);
        let d = check(&system);
        d.conductors[0].smallest[0].as_ref().map(|c| c.conductor.clone())
    };
    for (length, size) in
        [(40.0, "awg14"), (66.0, "awg14"), (100.0, "awg14"), (160.0, "awg12"), (250.0, "awg10")]
    {
        assert_eq!(advised(kestrel_hollow(), length).as_deref(), Some(size), "high voltage, {length} m");
    }
    for (length, size) in [(25.0, "awg14"), (40.0, "awg12"), (70.0, "awg10")] {
        assert_eq!(advised(dovecote_bend(), length).as_deref(), Some(size), "low voltage, {length} m");
    }
    assert_eq!(advised(dovecote_bend(), 400.0), None, "no common size: said, not guessed");
}

#[test]
fn feet_and_gallons_change_the_words_and_no_number() {
    let us = Words { units: Units::US, ..Words::english() };
    let (a, b) = (check(&kestrel_hollow()), design(&kestrel_hollow(), &us).unwrap());
    for (x, y) in a.lines.iter().zip(&b.lines) {
        assert_eq!((x.value, x.limit, x.verdict), (y.value, y.limit, y.verdict));
    }
    let cooling = of(&b, Code::CoolingFlow);
    assert!(cooling.limit_shown(&us).ends_with("ft/s") && cooling.why.contains("gpm"), "{}", cooling.why);
}
