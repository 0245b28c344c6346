//! Sizes one system of a family: array, pump, motor, cable, controller, pipe and well that fit together.

use wellwright_domain::record::{
    Access, Array, Cable, Conductor, Controller, DcCable, Delivery, Demand, Drive, Joint, JointMap, Module,
    Motor, Mounting, PipeMaterial, Protection, Pump, PumpKind, SCHEMA, Sensors, Site, System, Tank, Well,
};

use super::families::Family;
use super::places::{FIRST, MODULES, REGIONS, SECOND};
use crate::plant::as_built::ohm_per_m;
use crate::plant::dice::Dice;
use crate::plant::pipe::{GRAVITY, Pipe};
use crate::plant::pump::RHO;

/// A drawn system and what its file does not tell.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The record, with straight joints and no sensors yet.
    pub system: System,
    /// What is really fitted (the record may be silent).
    pub fitted: Protection,
    /// Offset of local standard time, h.
    pub offset_h: f64,
    /// Mean air temperature of the place, degC.
    pub air_c: f64,
    /// Design flow, m3/s.
    pub design_q: f64,
}

fn round(x: f64, digits: i32) -> f64 {
    let f = 10.0_f64.powi(digits);
    (x * f).round() / f
}

/// Three significant digits.
fn three(x: f64) -> f64 {
    if x == 0.0 { 0.0 } else { round(x, 2 - x.abs().log10().floor() as i32) }
}

fn bores(material: PipeMaterial) -> &'static [f64] {
    match material {
        PipeMaterial::Pe => &[20.4, 26.0, 32.6, 40.8, 51.4, 61.4, 73.6, 90.0],
        PipeMaterial::Pvc => &[28.4, 36.2, 45.2, 57.0, 67.8, 81.4, 99.4],
        PipeMaterial::Galvanised | PipeMaterial::Steel => &[27.3, 36.0, 41.9, 53.1, 68.9, 80.9],
    }
}

fn bore_for(material: PipeMaterial, q: f64, fastest: f64) -> f64 {
    let fits = |d: &f64| q / (std::f64::consts::PI / 4.0 * (d / 1000.0).powi(2)) <= fastest;
    let list = bores(material);
    list.iter().copied().find(|d| fits(d)).unwrap_or(list[list.len() - 1])
}

/// Smallest conductor that keeps `ohm` over `length`.
fn conductor_for(dice: &mut Dice, ohm: f64, length: f64) -> Conductor {
    let awg = [14, 12, 10, 8, 6].map(Conductor::Awg);
    let mm2 = [2.5, 4.0, 6.0, 10.0, 16.0].map(Conductor::Mm2);
    let list = if dice.chance(0.5) { awg } else { mm2 };
    list.into_iter().find(|c| ohm_per_m(*c) * length <= ohm).unwrap_or(list[4])
}

/// Draws one system of a family; `None` when the draw does not fit together.
pub fn draw_system(family: &Family, dice: &mut Dice) -> Option<Drawn> {
    // Array.
    let (cells, sheet) = dice.pick(&MODULES);
    let [isc, voc, imp, vmp, alpha, beta, gamma, noct] = sheet;
    let trim = dice.uniform(0.97, 1.03);
    let (isc, imp) = (round(isc * trim, 2), round(imp * trim, 2));
    let series = (dice.uniform(family.array_v.0, family.array_v.1) / vmp).round().max(1.0);
    let array_v = series * vmp;
    if array_v < 0.85 * family.array_v.0 || array_v > 1.12 * family.array_v.1 || series * voc > 560.0 {
        return None;
    }
    let wanted = dice.log_uniform(family.array_w.0, family.array_w.1);
    let strings = (wanted / (array_v * imp)).round().clamp(1.0, 6.0);
    let array_w = strings * array_v * imp;
    if array_w < 0.7 * family.array_w.0 || array_w > 1.4 * family.array_w.1 {
        return None;
    }
    // Power down the chain.
    let efficiency = round(dice.uniform(0.93, 0.972), 3);
    let shaft = 0.87 * array_w / dice.uniform(1.12, 1.6) * efficiency * 0.86;
    let head = dice.log_uniform(family.head.0, family.head.1);
    let rpm = (dice.uniform(family.rpm.0, family.rpm.1) / 100.0).round() * 100.0;
    let omega = rpm * std::f64::consts::PI / 30.0;
    let torque = shaft / omega;
    let (pump, q) = match family.kind {
        PumpKind::Centrifugal => centrifugal(dice, shaft, head, rpm),
        PumpKind::HelicalRotor => helical(dice, shaft, head, rpm),
    };
    let flow = q * 3600.0;
    let least = if family.kind == PumpKind::Centrifugal { 0.9 } else { 0.25 };
    if flow < least || flow > 45.0 {
        return None;
    }
    // Pipe, well.
    let material = family.pipe;
    let fastest = dice.uniform(0.8, 1.5);
    let riser_mm = bore_for(material, q, fastest);
    let surface_material = if dice.chance(0.7) { PipeMaterial::Pe } else { material };
    let surface_mm = bore_for(surface_material, q, fastest * dice.uniform(0.7, 1.0));
    let outlet = round(dice.uniform(1.5, (0.25 * head).clamp(2.0, 14.0)), 1);
    let surface_length = round(dice.log_uniform(8.0, 140.0), 1);
    let fittings = round(dice.uniform(4.0, 12.0), 1);
    let drawdown = (dice.uniform(0.04, 0.18) * head).clamp(0.6, 22.0);
    let spare = dice.uniform(5.0, 22.0);
    let hazen = |length: f64, mm: f64, m: PipeMaterial, k: f64| {
        let c = if matches!(m, PipeMaterial::Pe | PipeMaterial::Pvc) { 150.0 } else { 122.0 };
        Pipe { length, bore: mm / 1000.0, c, k }.loss(q)
    };
    let mut intake = head;
    let mut rest = head;
    for _ in 0..4 {
        let friction = hazen(intake, riser_mm, material, 0.0)
            + hazen(surface_length, surface_mm, surface_material, fittings);
        rest = head - outlet - drawdown - friction;
        intake = rest + 1.3 * drawdown + spare;
    }
    if rest < 1.5 {
        return None;
    }
    let (rest, intake) = (round(rest, 1), round(intake, 1));
    let quadratic = dice.uniform(0.05, 0.4);
    let casing =
        if flow > 12.0 { dice.pick(&[150.0, 200.0, 250.0]) } else { dice.pick(&[102.0, 125.0, 150.0]) };
    // Motor, cable, controller.
    let block = family.drive == Drive::SixStep;
    let room = array_v * 0.86 * if block { 0.74 } else { 0.69 };
    let emf = room * dice.uniform(0.74, 0.88);
    let no_load = torque * dice.uniform(0.03, 0.08);
    let amps = (torque + no_load) * omega / (3.0_f64.sqrt() * emf);
    let winding = dice.uniform(0.04, 0.08) * shaft / (3.0 * amps * amps);
    let pole_pairs = dice.pick(&[1, 2, 2, 3, 4]);
    let electric = omega * f64::from(pole_pairs);
    let inductance = 2.0 * dice.uniform(0.06, 0.22) * emf / 3.0_f64.sqrt() / amps / electric;
    let cable_length = round(intake + dice.uniform(3.0, 12.0), 0);
    let drop = dice.uniform(0.02, 0.06) * emf / 3.0_f64.sqrt() / amps;
    let conductor = conductor_for(dice, drop, cable_length);
    if ohm_per_m(conductor) * cable_length > 0.09 * emf / 3.0_f64.sqrt() / amps {
        return None;
    }
    let dc_length = round(dice.uniform(6.0, 40.0), 0);
    let dc_ohm = dice.uniform(0.008, 0.025) * array_v / (strings * imp) / 2.0;
    let dc_conductor = conductor_for(dice, dc_ohm, dc_length);
    let surge = if family.kind == PumpKind::HelicalRotor {
        dice.uniform(1.35, 1.6)
    } else {
        dice.uniform(1.15, 1.35)
    };
    let low_speed = if family.kind == PumpKind::HelicalRotor { 0.27 } else { 0.36 };
    // Place.
    let (lat, lon, alt, zone, offset_h, air_c) = dice.pick(&REGIONS);
    let latitude = round(lat + dice.uniform(-1.5, 1.5), 2);
    let tilt = round((latitude.abs() + dice.uniform(-5.0, 10.0)).clamp(8.0, 50.0), 0);
    let facing = if latitude < 0.0 { 0.0 } else { 180.0 };
    let horizon = dice
        .chance(0.6)
        .then(|| [0.0, 90.0, 180.0, 270.0].map(|a| [a, dice.uniform(0.0, 6.0).round()]).to_vec());
    let fitted = Protection {
        dry_probe_depth_m: dice.chance(0.45).then(|| round(intake - dice.uniform(1.0, 2.0), 1)),
        tank_float: dice.chance(0.6),
        under_load_trip: dice.chance(0.45),
    };
    let daily = flow * dice.uniform(2.5, 4.0) * 1000.0;
    let season = |m: usize| {
        let summer = if latitude < 0.0 { 0.0 } else { 6.0 };
        daily * (1.0 + 0.18 * ((m as f64 - summer) * std::f64::consts::PI / 6.0).cos())
    };
    let name = format!("{} {} {}", dice.pick(&FIRST), dice.pick(&SECOND), dice.int(2, 99));
    let straight = |depth_m: f64, pairs: [&str; 3]| Joint {
        depth_m,
        map: JointMap::Known {
            pairs: pairs.map(str::to_owned),
            map: wellwright_domain::lead_map::LeadMap::STRAIGHT,
        },
    };
    let mut joints = vec![straight(round(intake - dice.uniform(1.0, 4.0), 1), ["1-1", "2-2", "3-3"])];
    if dice.chance(0.15) {
        joints.push(straight(round(intake * dice.uniform(0.3, 0.7), 1), ["1-1", "2-2", "3-3"]));
    }
    joints.push(straight(0.0, ["1-u", "2-v", "3-w"]));
    let system = System {
        schema: SCHEMA,
        name,
        baseline: None,
        site: Site {
            latitude_deg: latitude,
            longitude_deg: round(lon + dice.uniform(-1.5, 1.5), 2),
            altitude_m: round((alt * dice.uniform(0.6, 1.3)).max(5.0), 0),
            time_zone: zone.to_owned(),
            air_min_c: None,
            air_max_c: None,
            irradiation_kwh_m2_day: None,
            air_day_c: None,
        },
        well: Well {
            casing_inner_mm: Some(casing),
            depth_m: Some(round(intake + dice.uniform(3.0, 12.0), 1)),
            intake_depth_m: intake,
            static_level_m: Some(rest),
            static_level_on: Some(format!("2025-{:02}-{:02}", dice.int(1, 12), dice.int(1, 28))),
            drawdown_b_m_per_m3h: Some(three(drawdown * (1.0 - quadratic) / flow)),
            drawdown_c_m_per_m3h2: Some(three(drawdown * quadratic / flow / flow)),
            drawdown_at_min: dice.chance(0.3).then_some(120.0),
            water_c: Some(round((air_c + dice.uniform(-2.0, 4.0)).clamp(8.0, 30.0), 1)),
        },
        delivery: Delivery {
            riser_length_m: Some(intake),
            riser_inner_mm: Some(riser_mm),
            riser_outer_mm: None,
            pipe_rating_kpa: None,
            riser_material: Some(material),
            surface_length_m: Some(surface_length),
            surface_inner_mm: Some(surface_mm),
            surface_material: Some(surface_material),
            fittings_k: Some(fittings),
            outlet_height_m: Some(outlet),
            check_valve: Some(family.kind == PumpKind::HelicalRotor || dice.chance(0.9)),
        },
        pump,
        motor: Motor {
            pole_pairs: Some(pole_pairs),
            ke_v_rms_ll_per_krpm: Some(three(emf / rpm * 1000.0)),
            line_resistance_ohm: Some(three(2.0 * winding)),
            rated_a_rms: Some(three(amps)),
            no_load_torque_nm: Some(three(no_load)),
            inductance_mh_ll: Some(three(inductance * 1000.0)),
            outer_mm: None,
            min_cooling_m_s: None,
        },
        cable: Cable { conductor: Some(conductor), length_m: Some(cable_length), joints },
        array: Array {
            series: Some(series as u32),
            strings: Some(strings as u32),
            tilt_deg: Some(tilt),
            azimuth_deg: Some(if dice.chance(0.7) {
                facing
            } else {
                (facing + dice.uniform(-30.0, 30.0)).round().rem_euclid(360.0)
            }),
            mounting: Some(if dice.chance(0.75) { Mounting::OpenRack } else { Mounting::Roof }),
            albedo: Some(round(dice.uniform(0.15, 0.3), 2)),
            horizon,
            module: Module {
                cells: Some(cells),
                substrings: Some(3),
                isc_a: Some(isc),
                voc_v: Some(voc),
                imp_a: Some(imp),
                vmp_v: Some(vmp),
                alpha_isc_a_per_k: Some(alpha),
                beta_voc_v_per_k: Some(beta),
                gamma_pmp_pct_per_k: Some(gamma),
                noct_c: Some(noct),
                max_system_v: None,
            },
        },
        dc_cable: DcCable { conductor: Some(dc_conductor), length_m: Some(dc_length) },
        controller: Controller {
            profile: Some("open-wellhead".to_owned()),
            serial: Some(format!("DEMO-{:04}", dice.int(1000, 9999))),
            drive: Some(family.drive),
            efficiency: Some(efficiency),
            min_v: Some(round(array_v * dice.uniform(0.42, 0.52), 0)),
            max_v: Some(round(series * voc * dice.uniform(1.2, 1.35), 0)),
            max_power_w: Some(round(shaft / 0.86 * dice.uniform(1.1, 1.35), 0)),
            max_phase_a_rms: Some(three(amps * surge)),
            min_rpm: Some(round(rpm * dice.uniform(low_speed - 0.05, low_speed + 0.04) / 10.0, 0) * 10.0),
            max_rpm: Some(round(rpm * dice.uniform(1.02, 1.12) / 10.0, 0) * 10.0),
            derate_from_c: Some(dice.pick(&[65.0, 70.0, 75.0])),
        },
        protection: dice.chance(0.9).then(|| fitted.clone()),
        sensors: Sensors::default(),
        tank: Some(Tank { volume_m3: Some(round(daily / 1000.0 * dice.uniform(0.8, 2.5), 0).max(2.0)) }),
        demand: Some(Demand {
            litres_per_day: Some(std::array::from_fn(|m| round(season(m) / 100.0, 0) * 100.0)),
        }),
        access: dice.chance(0.4).then(|| Access {
            sounding: Some(dice.chance(0.6)),
            gauge_port: Some(dice.chance(0.7)),
            wellhead_valve: Some(dice.chance(0.8)),
            outlet_reachable: Some(dice.chance(0.8)),
        }),
    };
    Some(Drawn { system, fitted, offset_h, air_c, design_q: q })
}

fn empty_pump(kind: PumpKind, rpm: f64) -> Pump {
    Pump {
        kind,
        rated_rpm: Some(rpm),
        curve: None,
        npsh_required_m: None,
        shutoff_power_share: None,
        displacement_cm3_per_rev: None,
        slip_m3h_per_m: None,
        friction_torque_nm: None,
        break_away_torque_nm: None,
    }
}

/// A curve through the design point; gives the pump and its best flow, m3/s.
fn centrifugal(dice: &mut Dice, shaft: f64, head: f64, rpm: f64) -> (Pump, f64) {
    let best = dice.uniform(0.46, 0.60);
    let q = shaft * best / (RHO * GRAVITY * head);
    let top = head * dice.uniform(1.22, 1.4);
    let bend = dice.uniform(1.7, 2.3);
    let left = dice.uniform(1.9, 2.4);
    let rows: Vec<[f64; 3]> = [0.0, 0.28, 0.55, 0.8, 1.0, 1.2, 1.38]
        .into_iter()
        .map(|x: f64| {
            let x = if x == 0.0 || x == 1.0 { x } else { x * dice.uniform(0.98, 1.02) };
            let h = top - (top - head) * x.powf(bend);
            let eta = if x < 1.0 {
                best * (1.0 - (1.0 - x).powf(left))
            } else {
                best * (1.0 - 1.1 * (x - 1.0).powf(1.8))
            };
            [round(x * q * 3600.0, 2), round(h, 2), round(eta, 3)]
        })
        .collect();
    let mut pump = empty_pump(PumpKind::Centrifugal, rpm);
    pump.curve = Some(rows);
    pump.shutoff_power_share = Some(round(top / head / left * dice.uniform(0.85, 1.0), 2));
    (pump, q)
}

/// A rotor for the design point; gives the pump and its flow there, m3/s.
fn helical(dice: &mut Dice, shaft: f64, head: f64, rpm: f64) -> (Pump, f64) {
    let friction_share = dice.uniform(0.16, 0.3);
    let torque = shaft / (rpm * std::f64::consts::PI / 30.0);
    let friction = torque * friction_share;
    let volume = (torque - friction) * 2.0 * std::f64::consts::PI / (RHO * GRAVITY * head);
    let swept = volume * rpm / 60.0;
    let slip = swept * dice.uniform(0.03, 0.12);
    let mut pump = empty_pump(PumpKind::HelicalRotor, rpm);
    pump.displacement_cm3_per_rev = Some(three(volume * 1e6));
    pump.slip_m3h_per_m = Some(three(slip * 3600.0 / head));
    pump.friction_torque_nm = Some(three(friction));
    pump.break_away_torque_nm = Some(three(friction * dice.uniform(1.5, 2.2)));
    (pump, swept - slip)
}
