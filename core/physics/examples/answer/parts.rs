//! Questions about single sub-models.

use chrono::{DateTime, Utc};
use serde_json::{Value, json};
use wellwright_physics::atmosphere::pressure_pa;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::hydraulics::{Level, Pipes, WaterCondition, WaterSide, Well};
use wellwright_physics::module::{Cell, ModuleModel};
use wellwright_physics::pipe::{Pipe, friction_factor};
use wellwright_physics::pump::{Centrifugal, Pump, PumpCondition};
use wellwright_physics::sun::clear_sky::Components;
use wellwright_physics::sun::effective::{ground_angle_deg, sky_angle_deg};
use wellwright_physics::sun::incidence::{CLEAR_GLASS, physical};
use wellwright_physics::sun::plane::perez;
use wellwright_physics::sun::position::Observation;
use wellwright_physics::sun::{Plane, SunPosition, sun_position};
use wellwright_physics::water::{density_kg_m3, vapour_pressure_pa, viscosity_pa_s};
use wellwright_physics::well::StepDrawdown;
use wellwright_physics::well::theis::{Aquifer, drawdown_m};

use crate::Ask;

type Answer = Result<Value, String>;

fn say(e: PhysicsError) -> String {
    e.to_string()
}

/// A moment by its seconds since 1970.
pub fn moment(ask: &Ask) -> Result<DateTime<Utc>, String> {
    DateTime::from_timestamp_millis((ask.num("unix_s")? * 1000.0).round() as i64).ok_or("no such time".into())
}

pub fn sun(ask: &Ask) -> Answer {
    let (at, altitude) = (moment(ask)?, ask.num("altitude_m")?);
    let sun = sun_position(at, ask.num("latitude_deg")?, ask.num("longitude_deg")?, altitude).map_err(say)?;
    let air = Observation::standard(at, altitude).map_err(say)?;
    Ok(json!({
        "zenith_deg": sun.zenith_deg,
        "apparent_zenith_deg": sun.apparent_zenith_deg,
        "azimuth_deg": sun.azimuth_deg,
        "pressure_pa": pressure_pa(altitude).map_err(say)?,
        "air_c": air.air_c,
        "delta_t_s": air.delta_t_s,
    }))
}

pub fn diode(ask: &Ask) -> Answer {
    let n = |k| ask.num(k);
    let cell = Cell { il: n("il")?, i0: n("i0")?, rs: n("rs")?, rsh: n("rsh")?, a: n("a")? };
    let best = cell.mpp();
    let i = cell.current_a(n("v")?);
    Ok(
        json!({ "i": i, "v_back": cell.voltage_v(i), "isc": cell.isc(), "voc": cell.voc(), "imp": best.i, "vmp": best.v, "pmp": best.p }),
    )
}

pub fn module(ask: &Ask) -> Answer {
    let n = |k| ask.num(k);
    let model =
        ModuleModel::from_reference(n("a")?, n("il")?, n("i0")?, n("rs")?, n("rsh")?, n("alpha_isc")?);
    let cell = model.at(n("irradiance_w_m2")?, n("cell_c")?);
    let best = cell.mpp();
    Ok(json!({ "isc": cell.isc(), "voc": cell.voc(), "imp": best.i, "vmp": best.v, "pmp": best.p }))
}

pub fn perez_plane(ask: &Ask) -> Answer {
    let n = |k| ask.num(k);
    let z = n("apparent_zenith_deg")?;
    let sun = SunPosition { zenith_deg: z, apparent_zenith_deg: z, azimuth_deg: n("sun_azimuth_deg")? };
    let on_level = Components { ghi_w_m2: n("ghi")?, dni_w_m2: n("dni")?, dhi_w_m2: n("dhi")? };
    let plane = Plane::new(n("tilt_deg")?, n("azimuth_deg")?, n("albedo")?).map_err(say)?;
    let parts = perez(&plane, &sun, &on_level, n("extraterrestrial")?);
    Ok(json!({ "total": parts.total(), "sky": parts.sky_w_m2, "ground": parts.ground_w_m2 }))
}

pub fn glass(ask: &Ask) -> Answer {
    let tilt = ask.num("tilt_deg")?;
    let share = |angle| physical(angle, &CLEAR_GLASS).map_err(say);
    Ok(json!({ "sky": share(sky_angle_deg(tilt))?, "ground": share(ground_angle_deg(tilt))? }))
}

pub fn friction(ask: &Ask) -> Answer {
    Ok(json!({ "f": friction_factor(ask.num("re")?, ask.num("rel_rough")?) }))
}

/// Where a pump meets a well, one pipe and fittings.
pub fn meeting(ask: &Ask) -> Answer {
    let n = |k| ask.num(k);
    let pump =
        Centrifugal::new(n("rated_rpm")?, &ask.rows("curve")?, 0.5, n("density_kg_m3")?).map_err(say)?;
    let pipe = Pipe::new(n("length_m")?, n("inner_mm")?, n("roughness_mm")?).map_err(say)?;
    let side = WaterSide {
        well: Well {
            static_m: n("lift_m")?,
            drawdown: StepDrawdown { b: 0.0, c: 0.0 },
            at_min: 120.0,
            intake_m: 1e3,
            casing_m2: 0.01,
            inflow: None,
        },
        pipes: Pipes {
            riser: pipe,
            surface: Pipe { length_m: 0.0, ..pipe },
            fittings_k: n("fittings_k")?,
            outlet_height_m: 0.0,
            density_kg_m3: n("density_kg_m3")?,
            nu_m2_s: n("nu_m2_s")?,
        },
    };
    let level = Level::Known(n("lift_m")?);
    let met = side.meet(
        &WaterCondition::default(),
        &Pump::Centrifugal(pump),
        &PumpCondition::default(),
        n("rpm")?,
        level,
    );
    Ok(json!({ "flow_m3_h": met.pump_m3_h, "head_m": met.head_m }))
}

pub fn theis(ask: &Ask) -> Answer {
    let aquifer = Aquifer {
        transmissivity_m2_d: ask.num("transmissivity_m2_d")?,
        storativity: ask.num("storativity")?,
    };
    let s = drawdown_m(ask.num("flow_m3_d")?, &aquifer, ask.num("radius_m")?, ask.num("time_d")?);
    Ok(json!({ "drawdown_m": s }))
}

pub fn water(ask: &Ask) -> Answer {
    let t = ask.num("water_c")?;
    Ok(json!({
        "density_kg_m3": density_kg_m3(t).map_err(say)?,
        "viscosity_pa_s": viscosity_pa_s(t).map_err(say)?,
        "vapour_pa": vapour_pressure_pa(t).map_err(say)?,
    }))
}
