//! Four-quadrant pump curves against the published table.

mod fixture;

use fixture::{rows, within};
use wellwright_physics::roots::brent;
use wellwright_physics::suter::{homologous, suter};

/// Source: B. Donsky (1961); Wylie and Streeter, Fluid Transients. 0.001.
#[test]
fn table_is_met_at_its_points() {
    for r in rows("suter_ns25.csv", 89) {
        let i = r.num("i");
        let (wh, wb) = suter(i * std::f64::consts::TAU / 88.0);
        within(wh, r.num("WH"), 1e-9, &format!("WH {i}"));
        within(wb, r.num("WB"), 1e-9, &format!("WB {i}"));
        let (wh, _) = suter(r.num("theta_rad"));
        within(wh, r.num("WH"), 1e-6, "printed angle");
    }
}

/// Source: derived from the table by linear interpolation with numpy.
#[test]
fn forward_and_reversed() {
    for r in rows("pump_reverse_rotation.csv", 78) {
        let (h, beta) = homologous(r.num("alpha"), r.num("v"));
        within(h, r.num("h"), 1e-6, "h");
        within(beta, r.num("beta"), 1e-6, "beta");
    }
}

/// The table printed in the reference; torque of the reversed pump is printed as its size.
#[test]
fn points_that_tell_a_reversed_pump() {
    let table = [
        (1.0, 1.0, 1.000, 1.000),
        (1.0, 0.0, 1.288, 0.450),
        (1.0, 0.5, 1.234, 0.771),
        (-1.0, 0.0, 0.634, 0.684),
        (-1.0, 0.10, 0.598, 0.892),
        (-1.0, 0.20, 0.477, 1.115),
        (-1.0, 0.30, 0.307, 1.349),
    ];
    for (alpha, v, h, beta) in table {
        let got = homologous(alpha, v);
        within(got.0, h, 1e-3, "h");
        within(got.1.abs(), beta, 1e-3, "beta");
    }
    let free = brent(|v| homologous(-1.0, v).0, 0.1, 0.6, 1e-9, "head and zero").unwrap();
    within(free, 0.4365, 5e-4, "reversed, free discharge");
    within(homologous(-1.0, free).1.abs(), 1.663, 2e-3, "torque there");
}
