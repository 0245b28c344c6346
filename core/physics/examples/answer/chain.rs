//! Questions about the whole chain of the centrifugal demo system, and how long its answers take.

use std::hint::black_box;
use std::time::Instant;

use chrono::{DateTime, Duration};
use serde_json::{Value, json};
use wellwright_domain::examples::kestrel_hollow;
use wellwright_physics::cell_temperature::noct;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;
use wellwright_physics::pump::Pump;
use wellwright_physics::sun::plane_clear_sky;

use crate::Ask;

type Answer = Result<Value, String>;

/// Minutes of pumping that the level stands for, here and in the other program.
const MINUTES: f64 = 60.0;

fn demo() -> Result<Plant, String> {
    Plant::from_record(&kestrel_hollow()).map(|p| p.0).map_err(|e| e.to_string())
}

fn at(irradiance_w_m2: f64, cell_c: f64) -> Moment {
    Moment { irradiance_w_m2, cell_c, level: Level::After { minutes: MINUTES }, heat_share: 1.0 }
}

/// Everything that the other program needs to build the same plant.
pub fn plant(_: &Ask) -> Answer {
    let (system, p) = (kestrel_hollow(), demo()?);
    let (reference, a, c, m, w) = (p.array.module.reference, &p.array, &p.controller, &p.motor, &p.water);
    let Pump::Centrifugal(pump) = &p.pump else { return Err("the demo's pump is centrifugal".into()) };
    let sky = json!({
        "latitude_deg": p.view.place.latitude_deg, "longitude_deg": p.view.place.longitude_deg,
        "altitude_m": p.view.place.altitude_m, "tilt_deg": p.view.plane.tilt_deg(),
        "azimuth_deg": p.view.plane.azimuth_deg(), "albedo": p.view.plane.albedo(),
        "horizon": system.array.horizon, "noct_c": p.noct_c,
    });
    let array = json!({
        "il": reference.il, "i0": reference.i0, "rs": reference.rs, "rsh": reference.rsh, "a": reference.a,
        "alpha_isc": a.module.alpha_isc_a_per_k, "series": a.series, "strings": a.strings,
        "dc_ohm": a.dc_ohm, "current_share": a.current_share, "voltage_share": a.voltage_share,
    });
    let drive = json!({
        "efficiency": c.efficiency, "standby_w": c.standby_w, "min_v": c.min_v,
        "max_power_w": c.max_power_w, "max_phase_a": c.max_phase_a, "min_rpm": c.min_rpm,
        "max_rpm": c.max_rpm, "voltage_ratio": c.voltage_ratio(), "ke_v_per_krpm": m.ke_v_per_krpm,
        "phase_ohm": m.phase_ohm, "phase_h": m.phase_h, "pole_pairs": m.pole_pairs,
        "no_load_nm": m.no_load_nm, "motor_rated_rpm": m.rated_rpm, "cable_ohm": p.cable_ohm,
    });
    let water = json!({
        "curve": system.pump.curve, "rated_rpm": pump.rated_rpm(),
        "shutoff_power_share": system.pump.shutoff_power_share, "static_m": w.well.static_m,
        "drawdown_b": w.well.linear_m_per_m3h(MINUTES), "drawdown_c": w.well.drawdown.c,
        "riser_m": w.pipes.riser.length_m, "riser_mm": w.pipes.riser.inner_mm,
        "riser_rough_mm": w.pipes.riser.roughness_mm, "surface_m": w.pipes.surface.length_m,
        "surface_mm": w.pipes.surface.inner_mm, "surface_rough_mm": w.pipes.surface.roughness_mm,
        "fittings_k": w.pipes.fittings_k, "outlet_m": w.pipes.outlet_height_m,
        "density_kg_m3": w.pipes.density_kg_m3, "nu_m2_s": w.pipes.nu_m2_s,
    });
    Ok(json!({ "sky": sky, "array": array, "drive": drive, "water": water }))
}

/// One operating point.
pub fn point(ask: &Ask) -> Answer {
    let o = demo()?.operating_point(&at(ask.num("irradiance_w_m2")?, ask.num("cell_c")?));
    let load = o.load.map_or(json!(null), |l| {
        json!({ "rpm": l.rpm, "flow_m3_h": l.water.tank_m3_h, "head_m": l.water.head_m, "phase_a": l.motor.phase_a })
    });
    Ok(
        json!({ "regime": format!("{:?}", o.regime), "dc_w": o.dc.p, "best_w": o.best.p, "best_v": o.best.v, "load": load }),
    )
}

/// Seconds for `count` different operating points.
pub fn time_points(ask: &Ask) -> Answer {
    let (plant, count) = (demo()?, ask.num("count")? as u32);
    let start = Instant::now();
    let mut sum = 0.0;
    for k in 0..count {
        let t = f64::from(k) / f64::from(count);
        let m = at(150.0 + 900.0 * t, 25.0 + 30.0 * t);
        sum += plant.operating_point(black_box(&m)).load.map_or(0.0, |l| l.water.tank_m3_h);
    }
    Ok(json!({ "seconds": start.elapsed().as_secs_f64(), "sum_m3_h": sum }))
}

/// Seconds for a year, hour by hour: sun, clear sky, plane, cell, operating point, litres.
pub fn time_year(ask: &Ask) -> Answer {
    let (plant, air_c) = (demo()?, ask.num("air_c")?);
    let first = DateTime::from_timestamp(ask.num("unix_s")? as i64, 0).ok_or("no such time")?;
    let start = Instant::now();
    let mut m3 = 0.0;
    for hour in 0..8760 {
        let when = first + Duration::minutes(60 * hour + 30);
        let v = &plant.view;
        let sky = plane_clear_sky(when, &v.place, &v.plane, &v.horizon, ask.num("linke_turbidity")?)
            .map_err(|e| e.to_string())?;
        if sky.poa_w_m2 > 3.0 {
            let cell_c = noct(sky.poa_w_m2, air_c, plant.noct_c);
            m3 += plant.operating_point(&at(sky.poa_w_m2, cell_c)).load.map_or(0.0, |l| l.water.tank_m3_h);
        }
    }
    Ok(json!({ "seconds": start.elapsed().as_secs_f64(), "m3": m3 }))
}
