//! Pump end: data of its own kind only, and a curve that a pump can have.

use crate::files::Fault;
use crate::record::{PumpKind, System};

pub(super) fn check(system: &System, faults: &mut Vec<Fault>) {
    let pump = &system.pump;
    let centrifugal =
        [("curve", pump.curve.is_some()), ("shutoff_power_share", pump.shutoff_power_share.is_some())];
    let helical = [
        ("displacement_cm3_per_rev", pump.displacement_cm3_per_rev.is_some()),
        ("slip_m3h_per_m", pump.slip_m3h_per_m.is_some()),
        ("friction_torque_nm", pump.friction_torque_nm.is_some()),
        ("break_away_torque_nm", pump.break_away_torque_nm.is_some()),
    ];
    let (foreign, of, is) = match pump.kind {
        PumpKind::Centrifugal => (&helical[..], "helical rotor", "centrifugal"),
        PumpKind::HelicalRotor => (&centrifugal[..], "centrifugal pump", "helical_rotor"),
    };
    for (key, _) in foreign.iter().filter(|(_, present)| *present) {
        faults.push(
            Fault::new(format!("pump.{key}"), format!("belongs to a {of}, but pump.kind is \"{is}\""))
                .allowed("correct pump.kind or remove the line"),
        );
    }
    if let Some(curve) = &pump.curve {
        check_curve(curve, faults);
    }
}

fn check_curve(curve: &[[f64; 3]], faults: &mut Vec<Fault>) {
    if curve.len() < 3 {
        let points = if curve.len() == 1 { "1 point".into() } else { format!("{} points", curve.len()) };
        faults.push(
            Fault::new("pump.curve", points).allowed("at least 3 points of [flow m3/h, head m, efficiency]"),
        );
    }
    for (i, pair) in curve.windows(2).enumerate() {
        let ([q0, h0, _], [q1, h1, _]) = (pair[0], pair[1]);
        let field = format!("pump.curve[{}]", i + 1);
        if q1 <= q0 {
            faults.push(
                Fault::new(&field, format!("flow {q1} m3/h does not rise from {q0} m3/h"))
                    .allowed("flow must rise from point to point"),
            );
        } else if h1 >= h0 {
            faults.push(
                Fault::new(&field, format!("head {h1} m does not fall from {h0} m"))
                    .allowed("head must fall from point to point"),
            );
        }
    }
}
