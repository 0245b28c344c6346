//! Voltage: open circuit on the coldest morning, and the best point in hot and cold full sun.

use super::bench::{Bench, FULL_SUN_W_M2, lacking};
use super::code::Code;
use super::draft::Draft;
use super::line::{Line, Outcome, Whose};
use crate::text::Quantity;
use wellwright_physics::sizing::{reaches_at_c, string_voc_v};

/// Share of a voltage limit from which a person should look: modules lie within 1 to 3 % of their data sheet.
const NEAR: f64 = 0.97;

/// All voltage lines.
pub fn lines(b: &Bench<'_>) -> Vec<Line> {
    vec![
        cold_open(b, Code::ColdVocController),
        cold_open(b, Code::ColdVocModule),
        cold_best(b),
        hot_controller(b),
        hot_motor(b),
    ]
}

fn cold_open(b: &Bench<'_>, code: Code) -> Line {
    let (a, air) = (&b.system.array, b.system.site.air_min_c);
    let (limit, field) = match code {
        Code::ColdVocModule => (a.module.max_system_v, "array.module.max_system_v"),
        _ => (b.system.controller.max_v, "controller.max_v"),
    };
    let missing = lacking(&[
        ("array.series", a.series.is_some()),
        ("array.module.voc_v", a.module.voc_v.is_some()),
        ("array.module.beta_voc_v_per_k", a.module.beta_voc_v_per_k.is_some()),
        ("site.air_min_c", air.is_some()),
        (field, limit.is_some()),
    ]);
    let string = a.series.zip(a.module.voc_v).zip(a.module.beta_voc_v_per_k);
    let string = string.map(|((n, voc), beta)| (f64::from(n), voc, beta));
    let value = string.zip(air).map(|((n, voc, beta), air)| string_voc_v(n, voc, beta, air));
    // without a coldest morning: from which cold on it would be too much
    let until =
        string.zip(limit).filter(|_| air.is_none()).and_then(|((n, voc, beta), limit)| {
            let at = reaches_at_c(n, voc, beta, limit)?;
            let x = b.words.value(Quantity::Temperature, at);
            Some(b.words.fill(
                "design.cold_voc.until",
                &[("x", &x), ("limit", &b.words.value(Quantity::Voltage, limit))],
            ))
        });
    let (n, voc, beta) = string.unwrap_or((f64::NAN, f64::NAN, f64::NAN));
    let mut draft = Draft::new(code)
        .value(value)
        .limit(limit)
        .missing(missing)
        .place("n", b.words.count(a.series.unwrap_or(0) as usize))
        .place("air", b.words.value(Quantity::Temperature, air.unwrap_or(f64::NAN)))
        .from("series", n)
        .from("voc_v", voc)
        .from("beta_voc_v_per_k", beta)
        .from("cell_c", air)
        .also(until);
    if let Some(limit) = limit {
        draft = draft.look_from(NEAR * limit);
    }
    draft.finish(b.words)
}

fn cold_best(b: &Bench<'_>) -> Line {
    let (a, air, limit) = (&b.system.array, b.system.site.air_min_c, b.system.controller.max_v);
    let mut missing = b.assumed_of(&["array.series", "array.module.vmp_v", "array.module.voc_v"]);
    missing.extend(lacking(&[("site.air_min_c", air.is_some()), ("controller.max_v", limit.is_some())]));
    let series = f64::from(b.plant.array.series);
    // cells as cold as the air although the sun is full: colder than they can be, so the safe side
    let value = air.map(|air| series * b.plant.array.module.at(FULL_SUN_W_M2, air).mpp().v);
    Draft::new(Code::ColdVmpController)
        .value(value)
        .limit(limit)
        .missing(missing)
        .place("air", b.words.value(Quantity::Temperature, air.unwrap_or(f64::NAN)))
        .from("series", a.series.map(f64::from))
        .from("cell_c", air)
        .from("irradiance_w_m2", FULL_SUN_W_M2)
        .finish(b.words)
}

fn hot(b: &Bench<'_>) -> (f64, f64, Vec<&'static str>) {
    let (air, known) = b.hot_c();
    let cell = b.cell_c(FULL_SUN_W_M2, air);
    let mut missing = b.assumed_of(&["array.series", "array.module.vmp_v", "array.module.voc_v"]);
    missing.extend(lacking(&[("site.air_max_c", known)]));
    (air, cell, missing)
}

fn hot_controller(b: &Bench<'_>) -> Line {
    let (air, cell, mut missing) = hot(b);
    let limit = b.system.controller.min_v;
    missing.extend(lacking(&[("controller.min_v", limit.is_some())]));
    let best = b.plant.array.curve(FULL_SUN_W_M2, cell, &b.plant.condition.array).best();
    let mut draft = Draft::new(Code::HotVmpController)
        .value(Some(best.v))
        .limit(limit)
        .missing(missing)
        .place("air", b.words.value(Quantity::Temperature, air))
        .place("cell", b.words.value(Quantity::Temperature, cell))
        .from("air_c", air)
        .from("cell_c", cell)
        .from("irradiance_w_m2", FULL_SUN_W_M2);
    if let Some(limit) = limit {
        draft = draft.look_from(limit / NEAR);
    }
    draft.finish(b.words)
}

fn hot_motor(b: &Bench<'_>) -> Line {
    let (air, cell, mut missing) = hot(b);
    missing.extend(b.assumed_of(&["motor.ke_v_rms_ll_per_krpm", "pump.rated_rpm"]));
    let curve = b.plant.array.curve(FULL_SUN_W_M2, cell, &b.plant.condition.array);
    let (best, rated) = (curve.best(), b.plant.motor.rated_rpm);
    let load = b.plant.load_at(rated, b.level());
    let needs = load.motor.line_v;
    // an array with power to spare stands above its best point: that voltage is what there is
    let dc_v = curve.voltage_for_power(load.dc_w);
    let ratio = b.plant.controller.voltage_ratio();
    let reached = b.at(FULL_SUN_W_M2, air).load.map(|l| l.rpm);
    // short of it the pump runs slower, no worse; only where it does not run at all is it a fault
    let worst = if reached.is_some() { Outcome::Look } else { Outcome::Fail };
    Draft::new(Code::HotVmpMotor)
        .whose(Whose::Motor)
        .value(Some(ratio * dc_v))
        .limit(Some(needs))
        .missing(missing)
        .at_worst(worst)
        .place("air", b.words.value(Quantity::Temperature, air))
        .place("dc", b.words.value(Quantity::Voltage, dc_v))
        .place("rated", b.words.value(Quantity::Speed, rated))
        .place("rpm", b.words.value(Quantity::Speed, reached.unwrap_or(0.0)))
        .from("air_c", air)
        .from("cell_c", cell)
        .from("dc_v", dc_v)
        .from("best_point_v", best.v)
        .from("output_over_dc", ratio)
        .from("rated_rpm", rated)
        .from("reached_rpm", reached)
        .finish(b.words)
}
