//! One random system at random moments, held against what must be true of every answer.

use wellwright_domain::finding::Regime;
use wellwright_physics::constants::G_M_S2;
use wellwright_physics::operating_point::{Limits, Moment, OperatingPoint};
use wellwright_physics::plant::Plant;
use wellwright_physics::pump::centrifugal::omega_rad_s;

use super::{Dice, random_condition, random_moment, random_system};

/// Moments that each system is asked about.
const MOMENTS: usize = 4;

/// The regimes met, or what was wrong with which seed.
pub fn verdict(seed: u64) -> Result<[Regime; MOMENTS], String> {
    let system = random_system(seed);
    let (mut plant, _) = Plant::from_record(&system).map_err(|e| format!("seed {seed}: {e}"))?;
    let d = Dice::new(!seed);
    plant.condition = random_condition(&d);
    let mut met = [Regime::Stopped; MOMENTS];
    for regime in &mut met {
        let m = random_moment(&d, system.well.intake_depth_m);
        let point = plant.operating_point(&m);
        *regime = point.regime;
        judge(&plant, &m, &point).map_err(|e| format!("seed {seed}, {m:?}: {e}\n{point:?}"))?;
    }
    Ok(met)
}

fn judge(plant: &Plant, m: &Moment, point: &OperatingPoint) -> Result<(), String> {
    let must = |yes: bool, what: &str| if yes { Ok(()) } else { Err(what.to_owned()) };
    let (dc, best) = (point.dc, point.best);
    must([dc.v, dc.i, dc.p, best.v, best.i, best.p].iter().all(|x| x.is_finite()), "DC side not finite")?;
    let curve = plant.array.curve(m.irradiance_w_m2, m.cell_c, &plant.condition.array);
    let Some(load) = point.load else {
        must(point.standstill.is_some() && point.regime == Regime::Stopped, "stands without a reason")?;
        let apart = plant.apart(m).ok_or("stands and no curves are apart")?;
        must(apart.asked.is_finite() && apart.offered.is_finite(), "apart by no number")?;
        return must(apart.asked >= apart.offered * (1.0 - 1e-9), apart.which);
    };
    let (w, e) = (load.water, load.motor);
    let all = [
        load.rpm,
        load.pump_torque_nm,
        load.output_w,
        load.dc_w,
        w.pump_m3_h,
        w.wellhead_m3_h,
        w.tank_m3_h,
        w.head_m,
        w.level_m,
        w.wellhead_kpa,
        w.friction_m,
        e.phase_a,
        e.line_v,
        e.cable_in_w,
        e.motor_in_w,
        e.shaft_w,
        e.unbalance[0],
        e.unbalance[1],
        e.unbalance[2],
    ];
    must(all.iter().all(|x| x.is_finite()), "load not finite")?;
    must(w.pump_m3_h >= 0.0 && w.friction_m >= 0.0, "flow or friction below zero")?;
    if (w.pump_m3_h == 0.0) != plant.apart(m).is_some() {
        return Err("lifting and apart disagree".into());
    }
    limits(plant, m, point, &curve)?;
    books(plant, point, &curve)
}

/// No limit is passed, and the one that is named is reached.
fn limits(
    plant: &Plant,
    m: &Moment,
    point: &OperatingPoint,
    curve: &wellwright_physics::array::ArrayCurve,
) -> Result<(), String> {
    let load = point.load.as_ref().ok_or("no load")?;
    let (c, limits) = (&plant.controller, Limits::new(plant, curve, point.best, m));
    if load.rpm > plant.highest_rpm() * (1.0 + 1e-12) || load.rpm < c.min_rpm * (1.0 - 1e-12) {
        return Err(format!("speed {} outside {} to {}", load.rpm, c.min_rpm, plant.highest_rpm()));
    }
    let tightest = limits.tightest(load);
    // a kink in the load's own curve (the first drop that is lifted) leaves no narrower bracket than this
    let close = 1e-6;
    if tightest.share > 1.0 + close {
        return Err(format!("{tightest:?} is broken"));
    }
    if point.regime == Regime::SpeedLimited {
        return if (load.rpm / plant.highest_rpm() - 1.0).abs() < 1e-12 {
            Ok(())
        } else {
            Err("not at the top speed".into())
        };
    }
    let named = limits.uses(load).into_iter().find(|u| u.regime == point.regime);
    match named {
        Some(u) if (u.share - 1.0).abs() < close => Ok(()),
        // the voltage of an array of unlike strings jumps from one peak to the next: a limit may not be reached, only
        // passed
        Some(_) if plant.condition.array.shade.is_some() => Ok(()),
        Some(_) if plant.condition.array.missing_gathered && curve.maxima().len() > 1 => Ok(()),
        u => Err(format!("held by {:?}, which is used {u:?}", point.regime)),
    }
}

/// Energy: what goes in comes out or is a loss with a formula of its own, to 1e-9.
fn books(
    plant: &Plant,
    point: &OperatingPoint,
    curve: &wellwright_physics::array::ArrayCurve,
) -> Result<(), String> {
    let load = point.load.as_ref().ok_or("no load")?;
    let (chain, c, lead) = (plant.chain(point), &plant.condition, &plant.condition.lead);
    let e = &load.motor;
    let omega = omega_rad_s(load.rpm);
    let squared = e.phase_a * e.phase_a;
    let short = lead.shorted_turns
        * 0.8
        * plant.motor.rated_torque_nm()
        * (load.rpm / plant.motor.rated_rpm).min(1.5);
    let own = plant.motor.own_torque_nm(load.rpm) + lead.drag * plant.motor.rated_torque_nm() + short;
    let hydraulic =
        plant.water.pipes.density_kg_m3 * G_M_S2 * load.water.pump_m3_h / 3600.0 * load.water.head_m;
    let lost = [
        (
            "DC cable",
            chain.array - chain.after_dc_cable,
            point.dc.i.powi(2) * (plant.array.dc_ohm + c.array.dc_ohm),
        ),
        (
            "controller",
            chain.after_dc_cable - chain.controller_out,
            plant.controller.standby_w + chain.controller_out * (1.0 / plant.controller.efficiency - 1.0),
        ),
        (
            "drop cable",
            chain.controller_out - chain.motor_in,
            squared * (3.0 * plant.cable_ohm * lead.cable_ratio + lead.one_lead_ohm)
                + lead.leak_a * e.line_v / 3f64.sqrt(),
        ),
        ("motor", chain.motor_in - chain.shaft, 3.0 * squared * plant.motor.phase_ohm + own * omega),
        ("shaft", chain.shaft, load.pump_torque_nm * omega),
        ("water", chain.hydraulic, hydraulic),
    ];
    for (part, books, formula) in lost {
        if (books - formula).abs() > 1e-9 * chain.array.abs().max(1.0) {
            return Err(format!("{part}: {books} W in the books, {formula} W by formula"));
        }
    }
    // and the array stands on its own curve
    let i = curve.current_a(point.dc.v);
    if (i - point.dc.i).abs() > 1e-5 * (i + point.dc.i) + 1e-6 && c.array.shade.is_none() {
        return Err(format!("{} A by the books, {i} A by the curve at {} V", point.dc.i, point.dc.v));
    }
    Ok(())
}
