//! Wells and aquifers against published tables and real pumping tests.

mod fixture;

use fixture::{near, rows, within};
use wellwright_physics::well::StepDrawdown;
use wellwright_physics::well::fit::{self, Reading};
use wellwright_physics::well::recovery::{residual_drawdown_m, transmissivity_from_recovery};
use wellwright_physics::well::theis::{
    Aquifer, RateChange, casing_storage_ends_d, cooper_jacob_m, drawdown_m, match_point, schedule_drawdown_m,
    storativity_from_intercept, transmissivity_from_slope, well_function,
};

const MIN_D: f64 = 1.0 / 1440.0;

/// Sources: L. K. Wenzel (1942), USGS WSP 887, printed digits (typed from memory, each reproduced);
/// scipy 1.17.1 exp1.
#[test]
fn well_function_table() {
    let mut printed = 0;
    for r in rows("theis_w.csv", 48) {
        let u = r.num("u");
        let w = well_function(u);
        near(w, r.num("W_exp1"), 5e-8, &format!("u {u}"));
        if let Some(table) = r.maybe("W_table_wenzel1942") {
            // Half a unit of the last printed digit.
            let digits = r.text("W_table_wenzel1942");
            let exponent: i32 = digits.split_once('e').map_or(0, |(_, e)| e.parse().unwrap());
            let places = digits
                .split('e')
                .next()
                .unwrap()
                .split_once('.')
                .map_or(0, |(_, f)| i32::try_from(f.len()).unwrap());
            let unit = 10.0_f64.powi(exponent - places);
            within(w, table, 0.501 * unit, &format!("Wenzel, u {u}"));
            printed += 1;
        }
        if u < 0.01 {
            let a = Aquifer { transmissivity_m2_d: 1.0 / (4.0 * std::f64::consts::PI), storativity: u };
            let jacob = cooper_jacob_m(1.0, &a, 1.0, std::f64::consts::PI);
            within(jacob, r.num("W_cooper_jacob"), 5e-7 * jacob.abs(), "Cooper-Jacob");
            near(jacob, w, 0.0025, "Cooper-Jacob below u 0.01");
        }
    }
    assert_eq!(printed, 24);
    // Abramowitz and Stegun (1964), table 5.1: E1(1) = 0.219383934 (from memory; mpmath gives
    // 0.21938393439552), E1(0.5) = 0.559773595 (mpmath 0.55977359477616).
    near(well_function(1.0), 0.219_383_934_395_52, 1e-13, "E1(1)");
    near(well_function(0.5), 0.559_773_594_776_16, 1e-13, "E1(0.5)");
    near(well_function(1.0 + 1e-12), well_function(1.0), 1e-11, "series meets fraction");
}

/// Sources: anaflow 1.2.0 and mpmath.e1. 0.5 %; the formula itself is good to the printed digits.
#[test]
fn theis_drawdowns() {
    for r in rows("theis_drawdown.csv", 24) {
        let a = Aquifer { transmissivity_m2_d: r.num("T_m2d"), storativity: r.num("S") };
        let s = drawdown_m(r.num("Q_m3d"), &a, r.num("r_m"), r.num("t_d"));
        near(a.u(r.num("r_m"), r.num("t_d")), r.num("u"), 1e-7, "u");
        for column in ["s_anaflow_m", "s_mpmath_e1_m"] {
            near(s, r.num(column), 1e-6, column);
        }
    }
}

/// Source: superposition by scipy 1.17.1 exp1: r 0.1 m, T 50 m2/d, S 1e-3, C 2e-6 d2/m5, 60/100/140 m3/d of
/// 120 min each, then off.
#[test]
fn steps_and_recovery() {
    let a = Aquifer { transmissivity_m2_d: 50.0, storativity: 1e-3 };
    let schedule: Vec<RateChange> = [(0.0, 60.0), (120.0, 100.0), (240.0, 140.0), (360.0, 0.0)]
        .map(|(min, flow_m3_d)| RateChange { at_d: min * MIN_D, flow_m3_d })
        .to_vec();
    let screen = StepDrawdown::from_per_day(0.0, 2e-6);
    for r in rows("step_recovery.csv", 33) {
        let s = schedule_drawdown_m(&schedule, &a, 0.1, r.num("t_min") * MIN_D);
        near(s, r.num("s_aquifer_m"), 1e-6, "aquifer");
        let total = s + screen.drawdown_m(r.num("Q_m3d") / 24.0);
        near(total, r.num("s_total_m"), 1e-6, "with loss at the well");
    }
}

fn test_readings(test: &str) -> Vec<Reading> {
    rows("pumping_tests_real.csv", 168)
        .iter()
        .filter(|r| r.text("test") == test)
        .map(|r| Reading {
            flow_m3_d: r.num("Q_m3d"),
            radius_m: r.num("r_m"),
            time_d: r.num("t_min") * MIN_D,
            drawdown_m: r.num("s_m"),
        })
        .collect()
}

/// Real tests. Sources: Kruseman and de Ridder (1990), ILRI 47; Walton (1962); timflow 0.5.0 (MIT), which
/// quotes T = k D of commercial Theis fits; scipy 1.17.1 least_squares on the same rows.
#[test]
fn real_pumping_tests() {
    let fitted = |name| fit::theis(&test_readings(name)).unwrap();
    let korendijk = fitted("oude_korendijk");
    near(korendijk.aquifer.transmissivity_m2_d, 462.6, 0.002, "Oude Korendijk T, least squares (scipy)");
    near(korendijk.aquifer.storativity, 1.78e-4, 0.01, "Oude Korendijk S, least squares (scipy)");
    within(korendijk.rms_m, 0.050, 0.001, "Oude Korendijk rmse");
    near(korendijk.aquifer.transmissivity_m2_d, 444.6, 0.20, "Oude Korendijk T, multilayer code");
    near(korendijk.aquifer.transmissivity_m2_d, 392.0, 0.20, "Oude Korendijk T, graphical");
    let sioux = fitted("sioux_flats");
    near(sioux.aquifer.transmissivity_m2_d, 4309.8, 5e-4, "Sioux Flats T (scipy)");
    near(sioux.aquifer.transmissivity_m2_d, 282.659 * 15.24, 1e-3, "Sioux Flats T, commercial fit");
    near(sioux.aquifer.storativity, 4.0355e-3 * 15.24, 0.045, "Sioux Flats S, commercial fit");
    let gridley = fitted("gridley");
    near(gridley.aquifer.transmissivity_m2_d, 123.0, 1e-3, "Gridley T (scipy)");
    near(gridley.aquifer.transmissivity_m2_d, 22.95 * 5.486, 0.025, "Gridley T, commercial fit");
    near(gridley.aquifer.storativity, 2.04e-5, 0.035, "Gridley S, commercial fit");
}

/// Source: Kruseman and de Ridder (1990), ILRI 47, Oude Korendijk, graphical solutions (book 392 m2/d and
/// 1.6e-4; 385 m2/d and 1.7e-4; match point from memory). Lohman (1972), USGS PP 708 (from memory).
#[test]
fn graphical_solutions() {
    let a = match_point(788.0, 1.0, 0.1, 0.16, 1.5e-3 * MIN_D);
    near(a.transmissivity_m2_d, 392.0, 0.005, "match point T");
    near(a.storativity, 1.63e-4, 0.005, "match point S");
    let t = transmissivity_from_slope(788.0, 0.375);
    near(t, 385.0, 0.005, "slope T");
    near(storativity_from_intercept(t, 0.25 * MIN_D, 30.0), 1.67e-4, 0.005, "intercept S");
    // The same equations in feet: 96 000 ft3/d, s 0.56 ft, r2/t 2.75e7 ft2/d.
    let lohman = match_point(96_000.0, 1.0, 0.1, 0.56, 1.0 / 2.75e7);
    near(lohman.transmissivity_m2_d, 13_700.0, 0.005, "Lohman T, ft2/d");
    near(lohman.storativity, 2e-4, 0.01, "Lohman S");
}

/// Derived: 60/100/140 m3/d, B 0.02 d/m2, C 2e-5 d2/m5; efficiency at 140 m3/d 87.72 %.
#[test]
fn step_test_returns_its_coefficients() {
    let truth = StepDrawdown::from_per_day(0.02, 2e-5);
    let steps: Vec<(f64, f64)> =
        [60.0, 100.0, 140.0].iter().map(|q| (q / 24.0, truth.drawdown_m(q / 24.0))).collect();
    near(steps[2].1, 0.02 * 140.0 + 2e-5 * 140.0 * 140.0, 1e-12, "units");
    let fit = fit::step_test(&steps).unwrap();
    near(fit.well.b, truth.b, 1e-12, "B");
    near(fit.well.c, truth.c, 1e-12, "C");
    assert!(!fit.c_was_negative && fit.rms_m < 1e-12);
    within(100.0 * fit.well.efficiency(140.0 / 24.0), 87.72, 0.005, "efficiency");
    near(fit.well.flow_m3_h(steps[1].1), 100.0 / 24.0, 1e-12, "inverse");
}

#[test]
fn step_tests_that_say_nothing_are_refused_or_flagged() {
    assert!(fit::step_test(&[(2.0, 1.0), (2.0, 1.1)]).is_err());
    assert!(fit::step_test(&[(2.0, -1.0), (3.0, -1.1)]).is_err());
    let noisy = fit::step_test(&[(2.0, 1.0), (4.0, 1.9)]).unwrap();
    assert!(noisy.c_was_negative && noisy.well.c == 0.0 && (noisy.well.b - 0.4875).abs() < 1e-12);
    let turbulent = fit::step_test(&[(2.0, 1.0), (4.0, 4.4)]).unwrap();
    assert!(turbulent.well.b == 0.0 && turbulent.well.c > 0.25);
}

/// Derived: 0.4 m per log cycle at 120 m3/d is 54.97 m2/d.
#[test]
fn recovery_line() {
    let t = transmissivity_from_slope(120.0, 0.4);
    near(t, 54.97, 1e-3, "T from recovery");
    let a = Aquifer { transmissivity_m2_d: t, storativity: 1e-3 };
    let levels: Vec<(f64, f64)> = [10.0, 20.0, 40.0, 80.0, 160.0]
        .iter()
        .map(|min| (min * MIN_D, residual_drawdown_m(120.0, &a, 0.1, 0.25, min * MIN_D)))
        .collect();
    near(transmissivity_from_recovery(120.0, 0.25, &levels).unwrap(), t, 1e-3, "T back from levels");
    let falling: Vec<(f64, f64)> = levels.iter().map(|(t, s)| (*t, -s)).collect();
    assert!(transmissivity_from_recovery(120.0, 0.25, &falling).is_err());
    assert!(transmissivity_from_recovery(120.0, 0.25, &levels[..1]).is_err());
}

#[test]
fn pumping_tests_that_say_nothing_are_refused() {
    let rows = test_readings("gridley");
    assert!(fit::theis(&rows[..2]).is_err());
    let rising: Vec<Reading> = rows.iter().map(|r| Reading { drawdown_m: -r.drawdown_m, ..*r }).collect();
    assert!(fit::theis(&rising).unwrap_err().to_string().contains("do not fall"));
}

/// Kruseman and de Ridder (1990), Papadopulos and Cooper (1967), from memory: 25 and 250 times rc2/T.
#[test]
fn water_in_the_casing_hides_the_aquifer_first() {
    // 100 mm casing, 10 m2/d: 9 minutes and an hour and a half.
    let (early, careful) = casing_storage_ends_d(0.05, 10.0);
    within(early / MIN_D, 9.0, 1e-9, "early, min");
    within(careful / MIN_D, 90.0, 1e-9, "careful, min");
}
