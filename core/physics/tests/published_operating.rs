//! Where pump and pipes meet, against a third-party hydraulic engine.

use wellwright_physics::hydraulics::{Level, Pipes, WaterCondition, WaterSide, Well};
use wellwright_physics::pipe::Pipe;
use wellwright_physics::pump::{Centrifugal, Pump, PumpCondition};
use wellwright_physics::well::StepDrawdown;

/// The two pump curves of the fixture as points.
fn pump(curve: &str) -> Pump {
    let head = |q: f64| {
        let (a, b, c) = if curve == "1pt" {
            (80.0, 20.0 / 0.0008f64.powi(2), 2.0)
        } else {
            // through (0, 90), (0.0008, 75), (0.0014, 48)
            let c = (42.0f64 / 15.0).ln() / (0.0014f64 / 0.0008).ln();
            (90.0, 15.0 / 0.0008f64.powf(c), c)
        };
        a - b * (q / 3600.0).powf(c)
    };
    let rows: Vec<[f64; 3]> = (0..=22).map(|k| 0.25 * f64::from(k)).map(|q| [q, head(q), 0.5]).collect();
    Pump::Centrifugal(Centrifugal::new(3000.0, &rows, 0.5, 998.2).unwrap())
}

/// Source: fixtures/published/pump_affinity.csv (EPANET 2.2 engine through wntr 1.5.0, 48 cases, of which
/// the Darcy-Weisbach half is compared here). Tolerance of the source: 1 % of Q with Colebrook.
#[test]
fn operating_points_of_a_hydraulic_engine() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/fixtures/published/pump_affinity.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let mut compared = 0;
    for row in reader.records() {
        let row = row.unwrap();
        if &row[1] != "D-W" {
            continue;
        }
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let pipe = Pipe { length_m: number(5), inner_mm: number(6), roughness_mm: number(2) };
        let none = Pipe { length_m: 0.0, ..pipe };
        let side = WaterSide {
            well: Well {
                static_m: number(3),
                drawdown: StepDrawdown { b: 0.0, c: 0.0 },
                at_min: 120.0,
                intake_m: 60.0,
                casing_m2: 0.01,
                inflow: None,
            },
            pipes: Pipes {
                riser: pipe,
                surface: none,
                fittings_k: number(7),
                outlet_height_m: 0.0,
                density_kg_m3: 998.2,
                nu_m2_s: 1.022e-6,
            },
        };
        let rpm = 3000.0 * number(4);
        let met = side.meet(
            &WaterCondition::default(),
            &pump(&row[0]),
            &PumpCondition::default(),
            rpm,
            Level::Known(number(3)),
        );
        let want = number(8);
        assert!((met.pump_m3_h - want).abs() <= 0.01 * want + 1e-9, "{row:?}: {}", met.pump_m3_h);
        compared += 1;
    }
    assert_eq!(compared, 24);
}
