//! Random systems that could exist: both kinds of pump, 60 to 450 V, 0.3 to 7 kW, 5 to 200 m.
//!
//! One seed is one system, so a failure is one number to write down. A quarter of the optional fields is
//! left out; pump, motor and array fit each other only roughly, as in life.

#![allow(dead_code)] // each user takes its own part

mod condition;
mod dice;
mod verdict;

pub use condition::random_condition;
pub use dice::Dice;
pub use verdict::verdict;

use wellwright_domain::record::{
    Array, Cable, Conductor, Controller, DcCable, Delivery, Drive, Module, Motor, PipeMaterial, Pump,
    PumpKind, Sensors, Site, System, Well,
};
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;

/// What the parts are sized for.
struct Duty {
    vmp_v: f64,
    power_w: f64,
    rpm: f64,
    lift_m: f64,
    flow_m3_h: f64,
}

/// The system of a seed.
pub fn random_system(seed: u64) -> System {
    let d = Dice::new(seed);
    let kind = if d.yes(0.5) { PumpKind::Centrifugal } else { PumpKind::HelicalRotor };
    let intake = d.log(5.0, 200.0);
    let static_m = intake * d.between(0.1, 0.9);
    let outlet = d.between(-3.0, 15.0);
    let lift_m = (static_m + outlet).max(3.0) * d.between(1.02, 1.3);
    let power_w = d.log(300.0, 7000.0);
    let share = d.between(0.25, 0.55);
    let duty = Duty {
        vmp_v: d.log(60.0, 450.0),
        power_w,
        rpm: if kind == PumpKind::Centrifugal { d.between(2000.0, 4500.0) } else { d.between(900.0, 3000.0) },
        lift_m,
        flow_m3_h: (0.8 * power_w * share / (998.0 * 9.80665 * lift_m) * 3600.0).min(200.0),
    };
    let pump = pump(&d, kind, &duty);
    System {
        schema: 1,
        name: format!("random {seed}"),
        baseline: None,
        site: Site {
            latitude_deg: d.between(-60.0, 60.0),
            longitude_deg: d.between(-180.0, 180.0),
            altitude_m: d.between(0.0, 3500.0),
            time_zone: "UTC".into(),
            air_min_c: None,
            air_max_c: None,
            irradiation_kwh_m2_day: None,
            air_day_c: None,
        },
        well: Well {
            casing_inner_mm: d.maybe(130.0 * 0.8, 250.0),
            depth_m: Some(intake + d.between(0.0, 20.0)),
            intake_depth_m: intake,
            static_level_m: d.keep(static_m),
            static_level_on: None,
            drawdown_b_m_per_m3h: d.maybe_log(0.01, 10.0),
            drawdown_c_m_per_m3h2: d.maybe_log(0.0001, 0.5),
            drawdown_at_min: d.maybe(10.0, 1500.0),
            water_c: d.maybe(2.0, 35.0),
        },
        delivery: delivery(&d, intake, outlet, duty.flow_m3_h),
        pump,
        motor: motor(&d, &duty),
        cable: Cable {
            conductor: conductor(&d),
            length_m: d.maybe(intake, intake + 30.0),
            joints: Vec::new(),
        },
        array: array(&d, &duty),
        dc_cable: DcCable { conductor: conductor(&d), length_m: d.maybe(1.0, 60.0) },
        controller: controller(&d, &duty),
        protection: None,
        sensors: Sensors::default(),
        tank: None,
        demand: None,
        access: None,
    }
}

fn pump(d: &Dice, kind: PumpKind, duty: &Duty) -> Pump {
    let (head, flow) = (duty.lift_m * d.between(0.9, 1.5), duty.flow_m3_h * d.between(0.6, 1.4));
    let mut pump = Pump {
        kind,
        rated_rpm: d.keep(duty.rpm),
        curve: None,
        npsh_required_m: None,
        shutoff_power_share: None,
        displacement_cm3_per_rev: None,
        slip_m3h_per_m: None,
        friction_torque_nm: None,
        break_away_torque_nm: None,
    };
    if kind == PumpKind::Centrifugal {
        let (shut, best) = (d.between(1.15, 1.5), d.between(0.35, 0.68));
        let points = 3 + (d.between(0.0, 7.0) as usize);
        let power = d.between(1.6, 2.6);
        let row = |k: usize| {
            let x = 1.5 * k as f64 / (points - 1) as f64;
            let eta = best * (1.0 - (x - 1.0).powi(2)).max(0.0);
            [flow * x, head * (shut - (shut - 1.0) * x.powf(power)).max(0.05 * (1.6 - x)), eta]
        };
        pump.curve = d.keep((0..points).map(row).collect());
        pump.shutoff_power_share = d.maybe(0.3, 0.9);
    } else {
        let displacement = flow / (duty.rpm * 60e-6);
        let hydraulic_nm = displacement * 1e-6 * 998.0 * 9.80665 * head / std::f64::consts::TAU;
        let friction = hydraulic_nm * d.between(0.1, 0.5);
        pump.displacement_cm3_per_rev = d.keep(displacement);
        pump.slip_m3h_per_m = d.keep((flow / head * d.log(0.005, 0.2)).min(9.0));
        pump.friction_torque_nm = d.keep(friction);
        pump.break_away_torque_nm = d.keep(friction * d.between(1.5, 3.5));
    }
    pump
}

fn motor(d: &Dice, duty: &Duty) -> Motor {
    let line_v = duty.vmp_v * d.between(0.4, 0.75);
    let shaft_nm = 0.7 * duty.power_w / (duty.rpm * std::f64::consts::PI / 30.0);
    let rated_a = 0.75 * duty.power_w / (3f64.sqrt() * line_v);
    Motor {
        pole_pairs: d.keep(1 + d.below(5)),
        ke_v_rms_ll_per_krpm: d.keep(line_v / duty.rpm * 1000.0),
        line_resistance_ohm: d.keep(2.0 * d.log(0.02, 0.15) * line_v / 3f64.sqrt() / rated_a),
        rated_a_rms: d.keep(rated_a.clamp(0.2, 400.0)),
        no_load_torque_nm: d.keep(shaft_nm * d.between(0.02, 0.15)),
        inductance_mh_ll: d.maybe_log(0.2, 20.0),
        outer_mm: None,
        min_cooling_m_s: None,
    }
}

fn delivery(d: &Dice, intake: f64, outlet: f64, flow: f64) -> Delivery {
    let inner = (flow / 3600.0 / d.log(0.3, 2.5) / std::f64::consts::FRAC_PI_4).sqrt() * 1000.0;
    let inner = inner.clamp(12.0, 200.0);
    let materials = [PipeMaterial::Pe, PipeMaterial::Pvc, PipeMaterial::Galvanised, PipeMaterial::Steel];
    Delivery {
        riser_length_m: d.maybe(intake, intake + 5.0),
        riser_inner_mm: d.keep(inner),
        riser_outer_mm: None,
        pipe_rating_kpa: None,
        riser_material: d.keep(materials[d.below(4) as usize]),
        surface_length_m: d.maybe_log(1.0, 800.0),
        surface_inner_mm: d.keep(inner * d.between(0.8, 1.5)),
        surface_material: d.keep(materials[d.below(4) as usize]),
        fittings_k: d.maybe(0.0, 30.0),
        outlet_height_m: d.keep(outlet),
        check_valve: None,
    }
}

fn array(d: &Dice, duty: &Duty) -> Array {
    let cells = [32u32, 36, 40, 54, 60, 66, 72][d.below(7) as usize];
    let vmp = f64::from(cells) * d.between(0.49, 0.56);
    let series = (duty.vmp_v / vmp).round().max(1.0);
    let strings = (duty.power_w / (series * vmp * d.between(3.0, 14.0))).ceil().max(1.0);
    let imp = (duty.power_w / (series * vmp * strings)).max(0.6);
    let (voc, isc) = (vmp / d.between(0.79, 0.84), imp / d.between(0.92, 0.95));
    Array {
        series: Some(series as u32),
        strings: Some(strings as u32),
        tilt_deg: d.maybe(0.0, 60.0),
        azimuth_deg: d.maybe(0.0, 360.0),
        mounting: None,
        albedo: d.maybe(0.1, 0.6),
        horizon: None,
        module: Module {
            cells: Some(cells),
            substrings: d.keep(if cells >= 54 { 3 } else { 2 }),
            isc_a: Some(isc),
            voc_v: Some(voc),
            imp_a: Some(imp),
            vmp_v: Some(vmp),
            alpha_isc_a_per_k: d.keep(isc * d.between(0.0002, 0.0007)),
            beta_voc_v_per_k: d.keep(-voc * d.between(0.0026, 0.0036)),
            gamma_pmp_pct_per_k: None,
            noct_c: d.maybe(42.0, 50.0),
            max_system_v: None,
        },
    }
}

fn controller(d: &Dice, duty: &Duty) -> Controller {
    let max_rpm = duty.rpm * d.between(0.85, 1.2);
    Controller {
        profile: None,
        serial: None,
        drive: d.keep(if d.yes(0.7) { Drive::FieldOriented } else { Drive::SixStep }),
        efficiency: d.maybe(0.88, 0.985),
        min_v: d.keep(duty.vmp_v * d.between(0.2, 0.8)),
        max_v: d.keep(duty.vmp_v * d.between(1.3, 1.9)),
        max_power_w: d.keep(duty.power_w * d.between(0.5, 1.5)),
        max_phase_a_rms: d.keep(duty.power_w / duty.vmp_v * d.between(0.8, 3.0)),
        min_rpm: d.keep(max_rpm * d.between(0.15, 0.5)),
        max_rpm: d.keep(max_rpm),
        derate_from_c: d.maybe(50.0, 85.0),
    }
}

fn conductor(d: &Dice) -> Option<Conductor> {
    let size = if d.yes(0.5) {
        Conductor::Awg([4, 6, 8, 10, 12, 14][d.below(6) as usize])
    } else {
        Conductor::Mm2([1.5, 2.5, 4.0, 6.0, 10.0, 16.0][d.below(6) as usize])
    };
    d.keep(size)
}

/// A moment for a system with its intake at `intake_m`.
pub fn random_moment(d: &Dice, intake_m: f64) -> Moment {
    let level = if d.yes(0.7) {
        Level::After { minutes: d.between(0.0, 600.0) }
    } else {
        Level::Known(d.between(0.0, intake_m))
    };
    Moment {
        irradiance_w_m2: if d.yes(0.05) { 0.0 } else { d.between(0.0, 1300.0) },
        cell_c: d.between(-20.0, 85.0),
        level,
        heat_share: if d.yes(0.8) { 1.0 } else { d.between(0.05, 1.0) },
    }
}
