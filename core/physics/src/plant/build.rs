//! From a record to a plant.

use wellwright_domain::record::{Conductor, Drive, Mounting, PipeMaterial, PumpKind, System};

use super::assume::{CENTRIFUGAL_BEST, CENTRIFUGAL_SHAPE, Ledger};
use super::{Assumed, CABLE_RISE_K, Condition, Controller, Plant, View, WINDING_RISE_K};
use crate::array::Array;
use crate::conductor::copper_factor;
use crate::conductor::ohm_per_m;
use crate::constants::{G_M_S2, WATER_C};
use crate::error::PhysicsError;
use crate::hydraulics::{Pipes, WaterSide, Well};
use crate::module::{DataSheet, ModuleModel};
use crate::motor::{Motor, ke_v_s};
use crate::pipe::{Pipe, roughness_mm};
use crate::pump::centrifugal::omega_rad_s;
use crate::pump::{Centrifugal, HelicalRotor, Pump};
use crate::sun::{Horizon, Plane};
use crate::water::{density_kg_m3, kinematic_m2_s};
use crate::well::StepDrawdown;

/// What the array and the controller say about the size of a system.
struct Size {
    vmp_v: f64,
    power_w: f64,
    rpm: f64,
    lift_m: f64,
}

impl Plant {
    /// The plant that a record describes, and everything that had to be assumed.
    ///
    /// Errors: values that no system can have ([`PhysicsError`] names the field and its range), a pump curve
    /// or a data sheet that is none.
    pub fn from_record(system: &System) -> Result<(Plant, Vec<Assumed>), PhysicsError> {
        super::check::check(system)?;
        let mut ledger = Ledger::default();
        let l = &mut ledger;
        let water_c = l.take("well.water_c", system.well.water_c, WATER_C, 0.2);
        let rho = density_kg_m3(water_c)?;
        let (array, noct_c) = array(system, l)?;
        let size = size(system, &array, l);
        let controller = controller(system, &array, &size, l);
        let pump = pump(system, &size, rho, l)?;
        let motor = motor(system, &pump, &size, water_c, l);
        let cable_ohm = cable(system, &motor, water_c, l)?;
        let water = water(system, &size, water_c, rho, l)?;
        let view = view(system, l)?;
        let plant = Plant {
            view,
            kind: system.pump.kind,
            pump,
            motor,
            cable_ohm,
            water,
            array,
            controller,
            noct_c,
            condition: Condition::default(),
        };
        Ok((plant, ledger.entries))
    }
}

fn view(system: &System, l: &mut Ledger) -> Result<View, PhysicsError> {
    let a = &system.array;
    let latitude = system.site.latitude_deg;
    let toward_equator = if latitude >= 0.0 { 180.0 } else { 0.0 };
    let tilt = l.take("array.tilt_deg", a.tilt_deg, latitude.abs().clamp(10.0, 45.0), 0.4);
    let azimuth = l.take("array.azimuth_deg", a.azimuth_deg, toward_equator, 0.2);
    Ok(View {
        place: (&system.site).into(),
        plane: Plane::new(tilt, azimuth, a.albedo.unwrap_or(0.2))?,
        horizon: a.horizon.as_deref().map_or(Ok(Horizon::level()), Horizon::from_points)?,
    })
}

fn array(system: &System, l: &mut Ledger) -> Result<(Array, f64), PhysicsError> {
    let a = &system.array;
    let m = &a.module;
    let cells = l.take("array.module.cells", m.cells.map(f64::from), 60.0, 0.2);
    let voc = l.take("array.module.voc_v", m.voc_v, 0.627 * cells, 0.04);
    let isc = l.take("array.module.isc_a", m.isc_a, 9.0, 0.15);
    let vmp = l.take("array.module.vmp_v", m.vmp_v, 0.81 * voc, 0.03);
    let imp = l.take("array.module.imp_a", m.imp_a, 0.944 * isc, 0.03);
    let sheet = DataSheet {
        cells,
        isc_a: isc,
        voc_v: voc,
        imp_a: imp,
        vmp_v: vmp,
        alpha_isc_a_per_k: m.alpha_isc_a_per_k.unwrap_or(0.0005 * isc),
        beta_voc_v_per_k: m.beta_voc_v_per_k.unwrap_or(-0.0033 * voc),
        gamma_pmp_pct_per_k: m.gamma_pmp_pct_per_k,
    };
    let module = ModuleModel::fit(&sheet)?;
    // Without a count: as many modules as keep the cold open-circuit voltage at 85 % of the controller's limit.
    let from_limit = system.controller.max_v.map_or(8.0, |v| (0.85 * v / (1.1 * voc)).floor().max(1.0));
    let series = l.take("array.series", a.series.map(f64::from), from_limit, 0.15);
    let from_power =
        system.controller.max_power_w.map_or(1.0, |p| (1.1 * p / (series * vmp * imp)).round().max(1.0));
    let strings = l.take("array.strings", a.strings.map(f64::from), from_power, 0.3);
    let length = l.take("dc_cable.length_m", system.dc_cable.length_m, 20.0, 0.5);
    let conductor = system.dc_cable.conductor.unwrap_or_else(|| {
        l.take("dc_cable.conductor", None, 6.0, 0.3);
        Conductor::Mm2(6.0)
    });
    let dc_ohm = 2.0 * length * ohm_per_m(conductor, 40.0)?;
    let array = Array {
        module,
        substrings: m.substrings.unwrap_or(3).max(1),
        series: series as u32,
        strings: strings as u32,
        dc_ohm,
        current_share: 1.0,
        voltage_share: 1.0,
    };
    // NOCT is measured on an open rack; close to a roof the rise over the air is about half as much again
    // (King et al. 2004, SAND2004-3535: open rack 26 K, close roof mount 43 K at 900 W/m2 and 1 m/s)
    let noct = m.noct_c.unwrap_or(46.0);
    let noct = if a.mounting == Some(Mounting::Roof) { 20.0 + 1.5 * (noct - 20.0) } else { noct };
    Ok((array, noct))
}

fn size(system: &System, array: &Array, l: &mut Ledger) -> Size {
    let stc = array.module.at(1000.0, 25.0).mpp();
    let vmp_v = f64::from(array.series) * stc.v * 0.9;
    let array_w = f64::from(array.series * array.strings) * stc.p;
    let power_w = system.controller.max_power_w.unwrap_or(f64::INFINITY).min(0.85 * array_w);
    let usual_rpm = match system.pump.kind {
        PumpKind::Centrifugal => 3000.0,
        PumpKind::HelicalRotor => 2000.0,
    };
    // a controller is mostly set to turn a pump somewhat over its rated speed
    let (rpm, spread) = system.controller.max_rpm.map_or((usual_rpm, 0.3), |max| (max, 0.1));
    let rpm = l.take("pump.rated_rpm", system.pump.rated_rpm, rpm, spread);
    let lift_m = 0.75 * system.well.intake_depth_m + system.delivery.outlet_height_m.unwrap_or(3.0);
    Size { vmp_v, power_w, rpm, lift_m: lift_m.max(3.0) }
}

fn controller(system: &System, array: &Array, size: &Size, l: &mut Ledger) -> Controller {
    let c = &system.controller;
    let voc = f64::from(array.series) * array.module.at(1000.0, 25.0).voc();
    let max_rpm = l.take("controller.max_rpm", c.max_rpm, 1.1 * size.rpm, 0.1);
    Controller {
        drive: c.drive.unwrap_or(Drive::FieldOriented),
        efficiency: l.take("controller.efficiency", c.efficiency, 0.95, 0.02),
        standby_w: 6.0,
        min_v: c.min_v.unwrap_or(0.3 * voc),
        max_v: c.max_v.unwrap_or(1.25 * voc),
        max_power_w: l.take("controller.max_power_w", c.max_power_w, 1.3 * size.power_w, 0.3),
        max_phase_a: c.max_phase_a_rms.unwrap_or_else(|| {
            let rated = system.motor.rated_a_rms.map_or(f64::INFINITY, |a| 1.3 * a);
            l.take("controller.max_phase_a_rms", None, rated.min(1e3), 0.3)
        }),
        // a given lowest speed may lie above an assumed highest one
        min_rpm: c.min_rpm.unwrap_or(0.3 * max_rpm).min(max_rpm),
        max_rpm,
        derate_from_c: c.derate_from_c.unwrap_or(70.0),
    }
}

fn pump(system: &System, size: &Size, rho: f64, l: &mut Ledger) -> Result<Pump, PhysicsError> {
    let p = &system.pump;
    match p.kind {
        PumpKind::Centrifugal => {
            let rows = p.curve.clone().unwrap_or_else(|| {
                let head = l.take("pump.curve", None, 1.15 * size.lift_m, 0.25);
                let flow = 0.42 * size.power_w / (rho * G_M_S2 * head) * 3600.0;
                CENTRIFUGAL_SHAPE
                    .iter()
                    .map(|r| [r[0] * flow, r[1] * head, r[2] * CENTRIFUGAL_BEST])
                    .collect()
            });
            Ok(Pump::Centrifugal(Centrifugal::new(
                size.rpm,
                &rows,
                p.shutoff_power_share.unwrap_or(0.5),
                rho,
            )?))
        }
        PumpKind::HelicalRotor => {
            let guess_flow = 0.5 * size.power_w / (rho * G_M_S2 * size.lift_m) * 3600.0;
            let guess = guess_flow / (size.rpm * 60e-6);
            let displacement =
                l.take("pump.displacement_cm3_per_rev", p.displacement_cm3_per_rev, guess, 0.3);
            let swept = displacement * size.rpm * 60e-6;
            let hydraulic_nm = displacement * 1e-6 * rho * G_M_S2 * size.lift_m / std::f64::consts::TAU;
            let slip = 0.06 * swept / size.lift_m;
            let friction = l.take("pump.friction_torque_nm", p.friction_torque_nm, 0.25 * hydraulic_nm, 0.4);
            Ok(Pump::Helical(HelicalRotor {
                rated_rpm: size.rpm,
                displacement_cm3: displacement,
                slip_m3h_per_m: l.take("pump.slip_m3h_per_m", p.slip_m3h_per_m, slip, 0.5),
                friction_nm: friction,
                break_away_nm: p.break_away_torque_nm.unwrap_or(2.5 * friction),
                density_kg_m3: rho,
            }))
        }
    }
}

fn motor(system: &System, pump: &Pump, size: &Size, water_c: f64, l: &mut Ledger) -> Motor {
    let m = &system.motor;
    let ke = l.take(
        "motor.ke_v_rms_ll_per_krpm",
        m.ke_v_rms_ll_per_krpm,
        0.58 * size.vmp_v / (size.rpm / 1000.0),
        0.12,
    );
    let pump_nm = match pump {
        Pump::Centrifugal(p) => p.best_torque_nm(),
        Pump::Helical(p) => p.torque_nm(size.lift_m, &crate::pump::PumpCondition::default()),
    };
    let guess_a = 1.1 * pump_nm / (3f64.sqrt() * ke_v_s(ke));
    let rated_a = l.take("motor.rated_a_rms", m.rated_a_rms, guess_a, 0.2);
    let line_v = ke * size.rpm / 1000.0;
    // 7 % of rated phase voltage across one phase at rated current
    let guess_ohm = 2.0 * 0.07 * line_v / 3f64.sqrt() / rated_a;
    let line_ohm = l.take("motor.line_resistance_ohm", m.line_resistance_ohm, guess_ohm, 0.4);
    let pole_pairs = m.pole_pairs.unwrap_or(2);
    Motor {
        pole_pairs,
        ke_v_per_krpm: ke,
        phase_ohm: 0.5 * line_ohm * copper_factor(water_c + WINDING_RISE_K),
        phase_h: 0.5e-3 * m.inductance_mh_ll.unwrap_or(0.0),
        no_load_nm: l.take("motor.no_load_torque_nm", m.no_load_torque_nm, 0.07 * pump_nm, 0.5),
        rated_rpm: size.rpm,
        rated_a,
    }
}

fn cable(system: &System, motor: &Motor, water_c: f64, l: &mut Ledger) -> Result<f64, PhysicsError> {
    let c = &system.cable;
    let length = l.take("cable.length_m", c.length_m, system.well.intake_depth_m + 8.0, 0.1);
    if let Some(conductor) = c.conductor {
        return Ok(length * ohm_per_m(conductor, water_c + CABLE_RISE_K)?);
    }
    // 4 % of rated phase voltage at rated current (common practice: 3 to 5 %)
    let phase_v = ke_v_s(motor.ke_v_per_krpm) * omega_rad_s(motor.rated_rpm) / 3f64.sqrt();
    Ok(l.take("cable.conductor", None, 0.04 * phase_v / motor.rated_a, 0.5))
}

fn water(
    system: &System,
    size: &Size,
    water_c: f64,
    rho: f64,
    l: &mut Ledger,
) -> Result<WaterSide, PhysicsError> {
    let (w, d) = (&system.well, &system.delivery);
    let intake = w.intake_depth_m;
    let static_m = l.take("well.static_level_m", w.static_level_m, 0.55 * intake, 0.2 * intake);
    let flow = 0.45 * size.power_w / (rho * G_M_S2 * size.lift_m) * 3600.0;
    let b = l.take("well.drawdown_b_m_per_m3h", w.drawdown_b_m_per_m3h, 0.1 * intake / flow.max(0.1), 1.0);
    let c = w.drawdown_c_m_per_m3h2.unwrap_or(0.0);
    let riser_mm = l.take("delivery.riser_inner_mm", d.riser_inner_mm, pipe_for(flow), 0.15);
    let surface_mm = l.take("delivery.surface_inner_mm", d.surface_inner_mm, riser_mm, 0.15);
    let rough = |m: Option<PipeMaterial>| roughness_mm(m.unwrap_or(PipeMaterial::Pe));
    let casing_mm = w.casing_inner_mm.unwrap_or(130.0);
    let free_m2 =
        std::f64::consts::FRAC_PI_4 * (casing_mm.powi(2) - (1.3 * riser_mm).powi(2)).max(500.0) * 1e-6;
    Ok(WaterSide {
        well: Well {
            static_m,
            drawdown: StepDrawdown { b, c },
            at_min: w.drawdown_at_min.unwrap_or(120.0),
            intake_m: intake,
            casing_m2: free_m2,
            inflow: None,
        },
        pipes: Pipes {
            riser: Pipe {
                length_m: l.take("delivery.riser_length_m", d.riser_length_m, intake, 0.05),
                inner_mm: riser_mm,
                roughness_mm: rough(d.riser_material),
            },
            surface: Pipe {
                length_m: l.take("delivery.surface_length_m", d.surface_length_m, 30.0, 0.8),
                inner_mm: surface_mm,
                roughness_mm: rough(d.surface_material),
            },
            fittings_k: l.take("delivery.fittings_k", d.fittings_k, 6.0, 0.5),
            outlet_height_m: l.take("delivery.outlet_height_m", d.outlet_height_m, 3.0, 2.5),
            density_kg_m3: rho,
            nu_m2_s: kinematic_m2_s(water_c)?,
        },
    })
}

/// Inner diameter for about 1.2 m/s, mm.
fn pipe_for(flow_m3_h: f64) -> f64 {
    (flow_m3_h / 3600.0 / 1.2 / std::f64::consts::FRAC_PI_4).sqrt().max(0.02) * 1000.0
}
