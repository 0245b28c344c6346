//! Each part alone, against numbers from outside.

use crate::plant::dice::Dice;
use crate::plant::motor::Motor;
use crate::plant::panel::{Group, Module, Panels};
use crate::plant::pipe::Pipe;
use crate::plant::pump::{fit, poly};
use crate::plant::sun::{Light, position};
use crate::plant::well::{Well, WellState};

fn close(value: f64, wanted: f64, tolerance: f64) {
    assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted} within {tolerance}");
}

#[test]
fn sun_stands_where_the_published_example_says() {
    // Reda and Andreas, Solar Energy 76 (2004), example: 2003-10-17 19:30:30 UT at 39.742476 N,
    // 105.1786 W: zenith 50.11162, azimuth 194.34024 deg.
    let (zenith, azimuth) = position(39.742_476, -105.1786, 1_066_419_030.0);
    close(zenith.to_degrees(), 50.11, 0.25);
    close(azimuth.to_degrees(), 194.34, 0.3);
}

#[test]
fn sun_is_in_the_north_at_noon_in_the_south() {
    let (_, azimuth) = position(-33.9, 151.2, 1_718_935_200.0); // 2024-06-21, 02:00 UT
    assert!(azimuth.to_degrees() < 20.0 || azimuth.to_degrees() > 340.0, "{}", azimuth.to_degrees());
}

fn panels(groups: Vec<Group>) -> Panels {
    let module = Module {
        isc: 8.88,
        voc: 37.6,
        imp: 8.38,
        vmp: 30.4,
        alpha: 0.0046,
        beta: -0.129,
        light_v: 1.54,
        substrings: 3,
        bypass_v: 0.5,
    };
    Panels { module, strings: vec![(groups, 1)], dull: 0.0, dc_ohm: 0.0 }
}

const fn direct(g: f64) -> Light {
    Light { beam: g, diffuse: 0.0, glass: 1.0 }
}

#[test]
fn panel_gives_its_data_sheet_point() {
    let curve = panels(vec![Group { count: 30, beam: 1.0, diffuse: 1.0 }]).curve(direct(1000.0), 25.0);
    close(curve.open_v(), 376.0, 0.5);
    close(curve.current(304.0), 8.38, 0.03);
    let (volts, best) = curve.best(50.0);
    close(volts, 304.0, 3.0);
    close(best, 2547.0, 26.0);
}

#[test]
fn warm_and_dim_panels_stay_near_a_single_diode_curve() {
    // Another model (De Soto) of the same module gives 227.3 W at 50 degC and 50.5 W at 200 W/m2, 25 degC.
    let ten = panels(vec![Group { count: 30, beam: 1.0, diffuse: 1.0 }]);
    close(ten.curve(direct(1000.0), 50.0).best(50.0).1, 2273.0, 30.0);
    close(ten.curve(direct(200.0), 25.0).best(50.0).1, 505.0, 15.0);
}

#[test]
fn shade_makes_two_peaks() {
    let shaded = panels(vec![
        Group { count: 21, beam: 1.0, diffuse: 1.0 },
        Group { count: 9, beam: 0.44, diffuse: 1.0 },
    ]);
    let curve = shaded.curve(direct(900.0), 50.0);
    let peaks = curve.peaks(50.0);
    assert_eq!(peaks.len(), 2, "{peaks:?}");
    // Sum over substrings with a single-diode curve: 186.2 V and 302.3 V.
    close(peaks[0], 186.2, 4.0);
    close(peaks[1], 302.3, 6.0);
}

#[test]
fn pipe_loses_what_the_network_solver_says() {
    // EPANET 2.2: 100 m of 26 mm, C 150, 0.6 l/s: 5.646 m.
    let pipe = Pipe { length: 100.0, bore: 0.026, c: 150.0, k: 0.0 };
    close(pipe.loss(0.0006), 5.646, 0.03);
}

#[test]
fn well_draws_down_to_its_two_hour_value_and_comes_back() {
    let well = Well {
        rest: 20.0,
        b: 3600.0,
        c: 3.0e5,
        decade: 0.15,
        area: 0.012,
        intake: 80.0,
        most: f64::INFINITY,
    };
    let mut state = WellState::default();
    let q = 0.0015;
    let mut early = 0.0;
    for s in 0..7200 {
        well.step(&mut state, q, 1.0);
        if s == 600 {
            early = state.drawdown;
        }
    }
    close(state.drawdown, well.settled(q), 0.03 * well.settled(q));
    assert!(early < 0.95 * state.drawdown, "the cone still grows");
    for _ in 0..7200 {
        well.step(&mut state, 0.0, 1.0);
    }
    assert!(state.drawdown < 0.25 * well.settled(q) && state.drawdown >= -0.01, "{}", state.drawdown);
}

#[test]
fn a_long_step_and_short_steps_agree_in_the_well() {
    let well =
        Well { rest: 20.0, b: 400.0, c: 1.0e4, decade: 0.12, area: 0.03, intake: 80.0, most: f64::INFINITY };
    let (mut fine, mut coarse) = (WellState::default(), WellState::default());
    for _ in 0..600 {
        well.step(&mut fine, 0.002, 1.0);
    }
    for _ in 0..60 {
        well.step(&mut coarse, 0.002, 10.0);
    }
    close(coarse.drawdown, fine.drawdown, 0.02 * fine.drawdown);
}

#[test]
fn polynomial_goes_through_its_points() {
    let points: Vec<_> = (0..6).map(|k| f64::from(k) * 0.0004).map(|q| (q, 60.0 - 4.0e6 * q * q)).collect();
    let c = fit(&points, 3);
    for (q, h) in points {
        close(poly(&c, q), h, 1e-6);
    }
}

fn motor(six_step: bool) -> Motor {
    Motor {
        pole_pairs: 2.0,
        ke: 30.0,
        magnet_per_k: 0.001,
        saturation: 0.0,
        winding: 0.3,
        rated_a: 5.0,
        no_load: 0.0,
        rated_rpm: 3000.0,
        inductance: 0.001,
        lead: 0.2,
        extra: [0.0; 3],
        open: None,
        drag: 0.0,
        shorted: None,
        earth: None,
        cos_error: 1.0,
        ripple: 1.0,
        six_step,
        warm_k_per_w: 1.0,
    }
}

#[test]
fn motor_turns_current_into_torque() {
    // 30 V rms line to line per 1000 rpm is 0.496 N m per A rms: 5 A carry 2.481 N m, 779.4 W at 3000 rpm.
    let point = motor(false).at(3000.0, 2.48098, 20.0);
    close(point.i, 5.0, 1e-3);
    close(point.shaft, 779.42, 0.1);
    close(point.power_out - point.shaft, 3.0 * 25.0 * 0.5, 0.1);
}

#[test]
fn a_bad_joint_unbalances_a_block_drive_and_a_short_of_voltage_sine_drive_only() {
    let spread = |six: bool, short: f64| {
        let mut m = motor(six);
        m.extra = [0.0, 1.0, 0.0];
        let p = m.share(5.0, 0.5, short);
        (p[0] - p[1]) / 5.0
    };
    assert!(spread(true, 0.0) > 0.05);
    assert!(spread(false, 0.0).abs() < 1e-9);
    assert!(spread(false, 1.0) > 0.05);
}

#[test]
fn draws_repeat_and_streams_differ() {
    let five = |purpose| {
        let mut d = Dice::new(7, 3, purpose);
        [(); 5].map(|()| d.unit())
    };
    assert_eq!(five(1), five(1));
    assert_ne!(five(1), five(2));
}
