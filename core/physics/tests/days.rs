//! Days and years: start threshold, tank, wells that cycle, litres by month.

use chrono::NaiveDate;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::finding::Regime;
use wellwright_physics::days::{Climate, Rules, SkyStep, Step, Tank, Why, clear_day, day, year, year_sky};
use wellwright_physics::plant::Plant;

fn kestrel() -> (Plant, Climate) {
    let system = kestrel_hollow();
    (Plant::from_record(&system).unwrap().0, Climate::of(&system))
}

fn march() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 20).unwrap()
}

fn litres(steps: &[Step]) -> f64 {
    steps.iter().map(|s| s.litres).sum()
}

#[test]
fn a_clear_day_rises_and_falls() {
    let (plant, climate) = kestrel();
    let sky = clear_day(&plant.view, march(), 10.0, &climate).unwrap();
    assert_eq!(sky.len(), 144);
    let steps = day(&plant, &sky, Rules::default());
    let best = steps.iter().enumerate().max_by(|a, b| a.1.litres.total_cmp(&b.1.litres)).unwrap();
    assert!((60..84).contains(&best.0), "most water near noon, not in step {}", best.0);
    assert!(litres(&steps) > 10_000.0 && litres(&steps) < 60_000.0, "{}", litres(&steps));
    for s in &steps {
        assert!(s.dc_wh <= s.best_wh * (1.0 + 1e-9), "{s:?}");
        assert!(s.ran == 0.0 || s.rpm > 0.0);
        assert!(s.ran > 0.0 || s.litres == 0.0, "{s:?}");
    }
    // fine and coarse steps agree on the day
    let coarse = day(&plant, &clear_day(&plant.view, march(), 60.0, &climate).unwrap(), Rules::default());
    assert!((litres(&coarse) / litres(&steps) - 1.0).abs() < 0.03, "{} {}", litres(&coarse), litres(&steps));
}

/// Light that creeps up, stays between the two thresholds, and creeps down.
#[test]
fn starting_takes_more_than_going_on() {
    let (plant, _) = kestrel();
    let at = "2026-03-20T10:00:00Z".parse().unwrap();
    let sky = |g| SkyStep { at, minutes: 1.0, irradiance_w_m2: g, air_c: 25.0 };
    let up: Vec<SkyStep> = (0..60).map(|k| sky(f64::from(k) * 2.0)).collect();
    let down: Vec<SkyStep> = up.iter().rev().copied().collect();
    let rules = Rules { start_margin: 1.5, ..Rules::default() };
    let steps = day(&plant, &[up, down].concat(), rules);
    let starts = steps.iter().find(|s| s.ran > 0.0).unwrap().sky.irradiance_w_m2;
    let stops = steps.iter().rfind(|s| s.ran > 0.0).unwrap().sky.irradiance_w_m2;
    assert!(starts > 1.3 * stops, "starts at {starts}, stops at {stops} W/m2");
    assert!(steps.iter().any(|s| s.why == Why::Waits));
}

#[test]
fn a_full_tank_stops_the_pump_and_the_books_close() {
    let (plant, climate) = kestrel();
    let sky = clear_day(&plant.view, march(), 10.0, &climate).unwrap();
    let tank = Tank { volume_m3: 15.0, full_at_start: 0.6, draw_m3_h: 0.4, restart_share: Some(0.9) };
    let steps = day(&plant, &sky, Rules { tank: Some(tank), ..Rules::default() });
    assert!(steps.iter().any(|s| s.why == Why::TankFull && s.regime == Regime::Stopped));
    let drawn: f64 = steps.iter().map(|s| s.drawn_litres).sum();
    let kept = 15_000.0 * (steps.last().unwrap().tank_share - 0.6);
    assert!((litres(&steps) - drawn - kept).abs() < 1e-6, "{} {drawn} {kept}", litres(&steps));
    let open =
        day(&plant, &sky, Rules { tank: Some(Tank { restart_share: None, ..tank }), ..Rules::default() });
    let spilled: f64 = open.iter().map(|s| s.spilled_litres).sum();
    assert!(spilled > 0.0 && litres(&open) > litres(&steps));
    let drawn: f64 = open.iter().map(|s| s.drawn_litres).sum();
    let kept = 15_000.0 * (open.last().unwrap().tank_share - 0.6);
    assert!((litres(&open) - spilled - drawn - kept).abs() < 1e-6);
}

#[test]
fn a_poor_well_cycles_in_short_steps_and_long() {
    let (mut plant, climate) = kestrel();
    plant.water.well.drawdown.b = 12.0; // 28 m of water stand over the intake: about 2 m3/h
    let rules = Rules { rest_min: 30.0, ..Rules::default() };
    let fine = day(&plant, &clear_day(&plant.view, march(), 1.0, &climate).unwrap(), rules);
    let coarse = day(&plant, &clear_day(&plant.view, march(), 60.0, &climate).unwrap(), rules);
    for steps in [&fine, &coarse] {
        assert!(steps.iter().any(|s| s.regime == Regime::Cycling && s.why == Why::WellYield));
        assert!(steps.iter().all(|s| s.level_m <= plant.water.well.intake_m + 1e-9));
    }
    let starts = fine.windows(2).filter(|w| w[0].ran == 0.0 && w[1].ran > 0.0).count();
    assert!(starts > 3, "{starts} starts");
    let (a, b) = (litres(&fine), litres(&coarse));
    assert!((a / b - 1.0).abs() < 0.35, "{a} l by minutes, {b} l by hours");
    // a probe above the intake stops it sooner
    let probe = day(
        &plant,
        &clear_day(&plant.view, march(), 60.0, &climate).unwrap(),
        Rules { stop_level_m: Some(45.0), ..rules },
    );
    assert!(litres(&probe) < b);
}

#[test]
fn a_year_follows_the_record_month_by_month() {
    let system = kestrel_hollow();
    let (plant, climate) = kestrel();
    let found = year(&plant, 2026, 60.0, &climate, Rules::default()).unwrap();
    let wanted = system.site.irradiation_kwh_m2_day.unwrap();
    for (k, (m, want)) in found.months.iter().zip(wanted).enumerate() {
        assert!((27.9..31.1).contains(&m.days), "{m:?}");
        assert!((m.irradiation_kwh_m2_day / want - 1.0).abs() < 1e-9, "month {k}: {m:?}");
        assert!(m.litres_per_day > 5_000.0 && m.hours_per_day > 4.0 && m.hours_per_day < 14.0, "{m:?}");
        assert!(m.dc_wh_per_day <= m.best_wh_per_day);
        assert!(m.deepest_level_m > plant.water.well.static_m);
    }
    let days: f64 = found.months.iter().map(|m| m.days).sum();
    assert!((days - 365.0).abs() < 1e-6);
    let by_hand: f64 = found.months.iter().map(|m| m.litres_per_day * m.days).sum();
    assert_eq!(found.litres(), by_hand);
    // less light, less water
    let dull = Climate { irradiation_kwh_m2_day: Some(wanted.map(|h| 0.6 * h)), ..climate };
    assert!(year(&plant, 2026, 60.0, &dull, Rules::default()).unwrap().litres() < 0.75 * found.litres());
}

#[test]
fn glass_costs_a_few_percent_of_light() {
    let (plant, climate) = kestrel();
    let clear = Climate { irradiation_kwh_m2_day: None, ..climate };
    let glassy = Climate {
        glass: wellwright_physics::sun::GlassLoss::Physical(wellwright_physics::sun::incidence::CLEAR_GLASS),
        ..clear
    };
    let sum = |c: &Climate| -> f64 {
        clear_day(&plant.view, march(), 30.0, c).unwrap().iter().map(|s| s.irradiance_w_m2).sum()
    };
    let share = sum(&glassy) / sum(&clear);
    assert!((0.95..0.99).contains(&share), "{share}");
}

#[test]
fn years_and_steps_out_of_range_are_refused() {
    let (plant, climate) = kestrel();
    assert!(year_sky(&plant.view, 1850, 60.0, &climate).unwrap_err().is_range());
    assert!(clear_day(&plant.view, march(), 0.0, &climate).unwrap_err().is_range());
    assert!(clear_day(&plant.view, march(), f64::NAN, &climate).unwrap_err().is_range());
}

#[test]
fn a_helical_rotor_starts_against_its_break_away_torque() {
    let system = dovecote_bend();
    let (mut plant, climate) = (Plant::from_record(&system).unwrap().0, Climate::of(&system));
    let sky = clear_day(&plant.view, march(), 30.0, &climate).unwrap();
    assert!(litres(&day(&plant, &sky, Rules::default())) > 1_000.0);
    if let wellwright_physics::pump::Pump::Helical(p) = &mut plant.pump {
        p.break_away_nm = 1e3; // swollen fast
    }
    let stuck = day(&plant, &sky, Rules::default());
    assert_eq!(litres(&stuck), 0.0);
    let torque = Why::Stands(wellwright_physics::operating_point::Standstill::TooMuchTorque);
    assert!(stuck.iter().any(|s| s.why == torque));
}
