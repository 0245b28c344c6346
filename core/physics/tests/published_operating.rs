//! Where pump and pipes meet, against a third-party hydraulic engine.

mod fixture;

use fixture::{near, rows};
use wellwright_physics::hydraulics::{Level, Pipes, WaterCondition, WaterSide, Well};
use wellwright_physics::pipe::{Pipe, hazen_williams_m, minor_loss_m, velocity_m_s};
use wellwright_physics::pump::{Centrifugal, PowerLaw, Pump, PumpCondition};
use wellwright_physics::roots::brent;
use wellwright_physics::well::StepDrawdown;

/// The two pump curves of the fixture as points.
fn pump(curve: &str) -> Centrifugal {
    let law = if curve == "1pt" {
        PowerLaw::one_point(0.8 * 3.6, 60.0)
    } else {
        PowerLaw::three_points(90.0, [0.8 * 3.6, 75.0], [1.4 * 3.6, 48.0]).unwrap()
    };
    let rows: Vec<[f64; 3]> = (0..=26)
        .map(|k| 0.25 * f64::from(k))
        .map(|q| [q, law.head_m(q), 0.5])
        .filter(|r| r[1] > 0.0)
        .collect();
    Centrifugal::new(3000.0, &rows, 0.5, 998.2).unwrap()
}

/// The same source, the Hazen-Williams half: pump and friction formula meet within 0.5 % of Q and of H.
#[test]
fn operating_points_with_hazen_williams() {
    let mut stands = 0;
    for r in rows("pump_affinity.csv", 48).iter().filter(|r| r.text("headloss") == "H-W") {
        let (pump, c) = (pump(r.text("curve")), PumpCondition::default());
        let rpm = 3000.0 * r.num("speed");
        let (length, inner) = (r.num("L_m"), r.num("D_mm"));
        let asked = |q: f64| {
            r.num("static_m")
                + hazen_williams_m(q, length, inner, r.num("roughness"))
                + minor_loss_m(r.num("K_minor"), velocity_m_s(q, inner))
        };
        let what = format!("{} {} m at {}", r.text("curve"), r.num("static_m"), r.num("speed"));
        let top = pump.max_flow_m3_h(rpm);
        let gap = |q: f64| pump.head_m(rpm, q, &c) - asked(q);
        if let Ok(q) = brent(gap, 0.0, top, 1e-9, "pump and pipe") {
            near(q, r.num("Q_m3h"), 0.005, &what);
            near(pump.head_m(rpm, q, &c), r.num("H_pump_m"), 0.005, &what);
        } else {
            assert_eq!(r.num("Q_m3h"), 0.0, "{what}");
            stands += 1;
        }
    }
    assert_eq!(stands, 5);
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
            &Pump::Centrifugal(pump(&row[0])),
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
