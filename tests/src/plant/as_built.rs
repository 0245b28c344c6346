//! From the record to the installation as it really stands: every quantity is drawn around the record
//! by what a healthy system ordinarily differs from it, and what no record tells is drawn too.

use wellwright_domain::flags::Flag;
use wellwright_domain::record::{Conductor, Mounting, PipeMaterial, Protection, PumpKind, System};

use super::dice::Dice;
use super::drive::{Drive, OpenLead};
use super::motor::Motor;
use super::panel::{Group, Module, Panels};
use super::pipe::{GRAVITY, Pipe};
use super::plant::{Odd, Plant};
use super::pump::{Centrifugal, Helical, Pump, RHO, fit};
use super::sun::Plane;
use super::well::Well;

/// A number that the record generator always writes.
fn told(value: Option<f64>) -> f64 {
    value.expect("the record generator writes every number")
}

/// Ohm per metre at 20 degC: ASTM B258 wire of 100 % IACS copper, or IEC 60228 class 5.
pub fn ohm_per_m(conductor: Conductor) -> f64 {
    match conductor {
        Conductor::Awg(n) => {
            let d = 0.127 * 92.0_f64.powf((36.0 - f64::from(n)) / 39.0);
            0.017_241_4 / (std::f64::consts::PI / 4.0 * d * d)
        }
        Conductor::Mm2(a) => {
            let table = [
                (1.5, 13.3),
                (2.5, 7.98),
                (4.0, 4.95),
                (6.0, 3.30),
                (10.0, 1.91),
                (16.0, 1.21),
                (25.0, 0.78),
            ];
            table.iter().find(|(x, _)| *x == a).map_or(19.5 / a, |(_, r)| *r) / 1000.0
        }
    }
}

fn pipe(dice: &mut Dice, length: f64, bore_mm: f64, material: PipeMaterial, k: f64) -> Pipe {
    let (c, sigma) = match material {
        PipeMaterial::Pe | PipeMaterial::Pvc => (148.0, 0.10),
        PipeMaterial::Galvanised => (122.0, 0.30),
        PipeMaterial::Steel => (132.0, 0.30),
    };
    let c = c * dice.factor(sigma).powf(-1.0 / 1.852);
    Pipe { length, bore: bore_mm / 1000.0, c, k: k * dice.factor(0.3) }
}

fn pump(dice: &mut Dice, system: &System) -> Pump {
    let p = &system.pump;
    let rpm = told(p.rated_rpm);
    let (back, helical) = Pump::draw_hidden(dice);
    if p.kind == PumpKind::HelicalRotor {
        let slip_head = dice.uniform(30.0, 90.0);
        let friction = told(p.friction_torque_nm) * dice.factor(0.08);
        return Pump::Helical(Helical {
            volume: told(p.displacement_cm3_per_rev) * 1e-6 * dice.factor(0.02),
            slip: told(p.slip_m3h_per_m) / 3600.0 * slip_head * dice.factor(0.15),
            slip_head,
            slip_exponent: helical[0],
            friction,
            break_away: (told(p.break_away_torque_nm) * dice.factor(0.1)).max(friction),
            fade_rpm: helical[1],
            back_suction: helical[2],
            dry_friction: helical[3],
        });
    }
    let rows = p.curve.as_ref().expect("the record generator writes a curve");
    let better = dice.factor(0.04);
    let higher = dice.factor(0.03);
    let best = rows.iter().copied().fold([0.0; 3], |a, b| if b[2] > a[2] { b } else { a });
    let watts = |q: f64, h: f64, eta: f64| RHO * GRAVITY * q / 3600.0 * h / eta;
    let shut = p.shutoff_power_share.unwrap_or(0.5) * watts(best[0], best[1], best[2]);
    let heads: Vec<_> = rows.iter().map(|r| (r[0] / 3600.0, r[1] * higher)).collect();
    let powers: Vec<_> = rows
        .iter()
        .map(|r| (r[0] / 3600.0, if r[0] > 0.0 { watts(r[0], r[1], r[2]) } else { shut } * higher / better))
        .collect();
    Pump::Centrifugal(Centrifugal {
        rpm,
        head: fit(&heads, 3),
        power: fit(&powers, 3),
        q_best: best[0] / 3600.0,
        q_max: rows.iter().map(|r| r[0]).fold(0.0, f64::max) / 3600.0,
        slow_exponent: helical[4],
        back_head: back[0],
        back_flow: back[1],
        back_torque: back[2],
        dry_torque: back[3],
    })
}

fn drive(dice: &mut Dice, system: &System, fitted: &Protection, pump: &Pump, head: f64) -> Drive {
    let c = &system.controller;
    let max_power = told(c.max_power_w);
    let efficiency = (told(c.efficiency) + dice.normal(0.0, 0.015)).clamp(0.85, 0.985);
    let loss = 0.7 * max_power * (1.0 / efficiency - 1.0);
    let standby = dice.uniform(1.0, 3.0) + 0.0015 * max_power;
    let rest = (loss - standby).max(0.2 * loss);
    let usual_square = system.pump.kind == PumpKind::Centrifugal;
    // Below the torque at no flow, above the torque in air.
    let low = if usual_square {
        dice.uniform(0.6, 0.8) * system.pump.shutoff_power_share.unwrap_or(0.5)
    } else {
        dice.uniform(0.33, 0.5)
    };
    let late_values = dice.chance(0.7);
    Drive {
        standby,
        fixed: 0.15 * rest,
        linear: 0.45 * rest / (0.7 * max_power),
        square: 0.4 * rest / (0.7 * max_power).powi(2),
        min_v: told(c.min_v),
        max_power,
        max_a: told(c.max_phase_a_rms),
        min_rpm: told(c.min_rpm),
        max_rpm: told(c.max_rpm),
        modulation: match c.drive {
            Some(wellwright_domain::record::Drive::SixStep) => dice.uniform(0.72, 0.77),
            _ => dice.uniform(0.67, 0.705),
        },
        ramp: told(c.max_rpm) / dice.log_uniform(5.0, 40.0),
        track_bias: dice.normal(0.0, 0.012),
        track_wander: dice.uniform(0.003, 0.015),
        track_ripple: dice.uniform(0.003, 0.02),
        scan_s: dice.chance(0.75).then_some(600.0),
        tries: dice.chance(0.3),
        rest_s: dice.log_uniform(120.0, 1800.0),
        low_rest_s: dice.log_uniform(30.0, 300.0),
        dry_rest_s: dice.log_uniform(300.0, 1800.0),
        under_load: fitted.under_load_trip.then_some(low),
        under_load_hold_s: dice.uniform(15.0, 60.0),
        usual_torque: pump.usual_torque(head),
        usual_square,
        usual_rpm: told(system.pump.rated_rpm),
        stall_flag: if dice.chance(0.7) { Flag::Stall } else { Flag::OverCurrent },
        open_lead: match dice.weighted(&[0.65, 0.12, 0.1, 0.13]) {
            0 => OpenLead::PhaseLoss,
            1 => OpenLead::Other(Flag::Stall),
            2 => OpenLead::Other(Flag::OverCurrent),
            _ => OpenLead::Blind,
        },
        heat_k: dice.uniform(18.0, 32.0) / (max_power * (1.0 / efficiency - 1.0)),
        derate_from: told(c.derate_from_c),
        says_hot: false,
        hot_trip_c: told(c.derate_from_c) + 40.0,
        hot_k: 0.0,
        stuck_v: None,
        failed: None,
        earth_trip_ohm: dice.chance(0.75).then(|| 1000.0 * dice.log_uniform(20.0, 60.0)),
        late_flag: late_values && dice.chance(0.6),
        late_values,
    }
}

/// The installation with what is `fitted`, drawn around the record.
///
/// # Panics
/// If the record lacks a number: the generator of this module writes all of them.
pub fn as_built(system: &System, fitted: &Protection, dice: &mut Dice) -> Plant {
    let (w, d, m, a) = (&system.well, &system.delivery, &system.motor, &system.array);
    let riser_mm = told(d.riser_inner_mm);
    let riser_material = d.riser_material.unwrap_or(PipeMaterial::Pe);
    let surface_material = d.surface_material.unwrap_or(PipeMaterial::Pe);
    let riser = pipe(dice, told(d.riser_length_m), riser_mm, riser_material, 0.0);
    let surface =
        pipe(dice, told(d.surface_length_m), told(d.surface_inner_mm), surface_material, told(d.fittings_k));
    let together = dice.normal(0.0, 0.15);
    let b = told(w.drawdown_b_m_per_m3h) * 3600.0 * (together + dice.normal(0.0, 0.13)).exp();
    let c = told(w.drawdown_c_m_per_m3h2) * 3600.0 * 3600.0 * (together + dice.normal(0.0, 0.13)).exp();
    let casing = told(w.casing_inner_mm) / 1000.0;
    let outer = riser_mm / 1000.0 * 1.2;
    let well = Well {
        rest: (told(w.static_level_m) + dice.normal(0.0, 1.0)).max(0.5),
        b,
        c,
        decade: dice.uniform(0.08, 0.18),
        area: std::f64::consts::PI / 4.0 * (casing * casing - outer * outer).max(0.003),
        intake: w.intake_depth_m,
        most: f64::INFINITY,
    };
    let pump = pump(dice, system);
    let head = told(w.static_level_m) + told(d.outlet_height_m) + 0.05 * riser.length + 3.0;
    let drive = drive(dice, system, fitted, &pump, head);

    let water_c = told(w.water_c);
    let cable_c = water_c + dice.uniform(0.0, 6.0);
    let lead = ohm_per_m(system.cable.conductor.expect("written"))
        * told(system.cable.length_m)
        * dice.factor(0.02)
        * dice.factor(0.02)
        * (234.5 + cable_c)
        / 254.5;
    let rated_a = told(m.rated_a_rms);
    let winding = told(m.line_resistance_ohm) / 2.0 * dice.factor(0.04);
    let motor = Motor {
        pole_pairs: f64::from(m.pole_pairs.unwrap_or(2)),
        ke: told(m.ke_v_rms_ll_per_krpm) * dice.factor(0.03),
        magnet_per_k: dice.uniform(0.0007, 0.0013),
        saturation: dice.uniform(0.0, 0.02),
        winding,
        rated_a,
        no_load: told(m.no_load_torque_nm) * dice.factor(0.15),
        rated_rpm: told(system.pump.rated_rpm),
        inductance: told(m.inductance_mh_ll) / 2000.0 * dice.factor(0.1),
        lead,
        extra: [0.0; 3],
        open: None,
        drag: 0.0,
        shorted: None,
        earth: None,
        cos_error: dice.uniform(0.99, 1.0),
        ripple: 1.0 + dice.uniform(0.0, 0.02),
        six_step: system.controller.drive == Some(wellwright_domain::record::Drive::SixStep),
        warm_k_per_w: dice.uniform(10.0, 25.0) / (3.0 * rated_a * rated_a * winding),
    };

    let module = &a.module;
    let current = dice.factor(0.014);
    let power = dice.factor(0.014);
    let volts = dice.factor(0.01);
    let cells = f64::from(module.cells.unwrap_or(60));
    let (isc, voc) = (told(module.isc_a), told(module.voc_v));
    let substrings = module.substrings.unwrap_or(3) as usize;
    let (series, strings) = (a.series.unwrap_or(1) as usize, a.strings.unwrap_or(1) as usize);
    let panels = Panels {
        module: Module {
            isc: isc * current,
            voc: voc * volts,
            imp: (told(module.imp_a) * current * power.powf(0.5)).min(0.975 * isc * current),
            vmp: told(module.vmp_v) * volts * power.powf(0.5),
            alpha: told(module.alpha_isc_a_per_k),
            beta: told(module.beta_voc_v_per_k),
            light_v: cells * 0.0257 * dice.uniform(0.92, 1.15),
            substrings,
            bypass_v: dice.uniform(0.4, 0.65),
        },
        strings: vec![(vec![Group { count: series * substrings, beam: 1.0, diffuse: 1.0 }], strings)],
        dull: dice.uniform(0.0, 0.02),
        dc_ohm: 2.0
            * ohm_per_m(system.dc_cable.conductor.expect("written"))
            * told(system.dc_cable.length_m)
            * 1.08
            * dice.factor(0.15)
            + 0.002 * (series as f64),
    };
    let mounting = if a.mounting == Some(Mounting::Roof) { 1.15 } else { 0.95 };
    let cell_k = (told(module.noct_c) - 20.0) / 800.0 * mounting + dice.normal(0.0, 0.003);
    Plant {
        plane: Plane {
            latitude: system.site.latitude_deg,
            longitude: system.site.longitude_deg,
            tilt: (told(a.tilt_deg) + dice.normal(0.0, 2.0)).max(0.0),
            azimuth: told(a.azimuth_deg) + dice.normal(0.0, 4.0),
            albedo: a.albedo.unwrap_or(0.2),
            horizon: a.horizon.clone().unwrap_or_default(),
            clearness: 0.98 + 0.05 * (system.site.altitude_m / 1000.0).min(2.5) + dice.normal(0.0, 0.02),
        },
        panels,
        cell_k: cell_k.max(0.015),
        well,
        riser,
        surface,
        outlet: told(d.outlet_height_m),
        valve: 0.0,
        block: 0.0,
        intake_k: 0.0,
        intake_most: None,
        leak: None,
        check_valve: d.check_valve.unwrap_or(true),
        drain_min: None,
        pump,
        back: false,
        locked: false,
        broken_shaft: false,
        gas: 0.0,
        speed_ratio: 1.0,
        motor,
        drive,
        water_c,
        probe: fitted.dry_probe_depth_m,
        probe_stuck: false,
        float: fitted.tank_float,
        float_stuck: false,
        no_supply: None,
        odd: Odd::default(),
        tank: system.tank.as_ref().map_or(20.0, |t| told(t.volume_m3)),
        demand: system
            .demand
            .as_ref()
            .and_then(|d| d.litres_per_day)
            .map_or(0.0, |l| l[0] / 1000.0 / 86400.0),
    }
}
