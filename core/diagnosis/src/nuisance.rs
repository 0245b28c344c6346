//! What is not known about a healthy system: how far it ordinarily lies from its record.
//!
//! Every quantity here is a latent variable shared by the whole window. The spreads are the contract's
//! (engineering judgement until confirmed cases exist), wider where a running plant adds to them what a record cannot
//! hold ([`WARM`], [`SEASON`], [`PART_LOAD`], [`FITTINGS`]); a quantity that the record does not hold at all takes the
//! wide spread of its class instead.

use wellwright_domain::record::{PipeMaterial, PumpKind, System};
use wellwright_physics::plant::{Assumed, Plant};
use wellwright_physics::pump::Pump;

/// One latent quantity.
#[derive(Clone, Copy)]
pub struct Nuisance {
    /// What it is.
    pub name: &'static str,
    /// Spread, 1 sigma: relative, or m for levels and heights.
    pub sigma: f64,
    /// Moves the plant by `step` (relative or m).
    pub apply: fn(&mut Plant, f64),
}

/// Spreads of the contract, 1 sigma: shares, but for m of the resting level and points of the controller's efficiency.
const HEAD: f64 = 0.03;
const EFFICIENCY: f64 = 0.04;
const KE: f64 = 0.03;
/// Resistance of a motor winding, share.
pub const WINDING: f64 = 0.04;
const LENGTH: f64 = 0.02;
const CONDUCTOR: f64 = 0.02;
const STATIC_M: f64 = 1.0;
const DRAWDOWN: f64 = 0.20;
const CONTROLLER: f64 = 0.015;

/// Resistance of the cable: its length and its conductor.
fn cable() -> f64 {
    LENGTH.hypot(CONDUCTOR)
}

/// Copper in a running motor, and in its cable, is warmer or cooler than taken by 11 and 5 K (engineering judgement).
const WARM: (f64, f64) = (0.045, 0.02);

/// A well gives with the season, and after hours otherwise than after minutes (engineering judgement).
const SEASON: f64 = 0.15;

/// A controller is another at part load (engineering judgement).
const PART_LOAD: f64 = 0.006;

/// Fittings are a part of what the surface pipe loses, and known to 30 % (contract).
const FITTINGS: f64 = 0.15;

/// Name of the resting level.
const LEVEL: &str = "static_level";

/// Which of a list is the resting level, and its spread, m.
pub fn level_of(list: &[Nuisance]) -> (usize, f64) {
    let level = list.iter().enumerate().find(|(_, n)| n.name == LEVEL);
    level.map_or((0, 1.0), |(k, n)| (k, n.sigma))
}

/// All latent quantities of the load side for one record.
pub fn nuisances(system: &System, assumed: &[Assumed]) -> Vec<Nuisance> {
    let wide = |fields: &[&str], ordinary: f64| {
        let extra: f64 = assumed.iter().filter(|a| fields.contains(&a.field)).map(|a| a.sigma.powi(2)).sum();
        ordinary.hypot(extra.sqrt())
    };
    // friction goes with the fifth power of the bore
    let bore = |field: &str| 5.0 * wide(&[field], 0.0);
    let riser = friction_sigma(system.delivery.riser_material);
    let surface = friction_sigma(system.delivery.surface_material);
    // a curve told without its speed is off by the square of it; one that is assumed was drawn for the assumed speed
    let curve_told = !assumed.iter().any(|a| a.field == "pump.curve");
    let of_curve_speed = if curve_told { 2.0 * wide(&["pump.rated_rpm"], 0.0) } else { 0.0 };
    let mut list = vec![
        Nuisance {
            name: "head",
            // a volume takes two thirds of this spread: see `head`
            sigma: wide(&["pump.curve"], HEAD)
                .hypot(1.5 * wide(&["pump.displacement_cm3_per_rev"], 0.0))
                .hypot(of_curve_speed),
            apply: head,
        },
        Nuisance {
            name: "efficiency",
            sigma: wide(&["pump.friction_torque_nm", "pump.curve"], EFFICIENCY),
            apply: efficiency,
        },
        Nuisance {
            name: "no_load",
            sigma: wide(&["motor.no_load_torque_nm"], 0.15),
            apply: |p, s| p.motor.no_load_nm *= (1.0 + s).max(0.05),
        },
        Nuisance {
            name: "ke",
            sigma: wide(&["motor.ke_v_rms_ll_per_krpm"], KE),
            apply: |p, s| p.motor.ke_v_per_krpm *= 1.0 + s,
        },
        Nuisance {
            name: "winding",
            sigma: wide(&["motor.line_resistance_ohm"], WINDING.hypot(WARM.0)),
            apply: |p, s| p.motor.phase_ohm *= (1.0 + s).max(0.05),
        },
        Nuisance {
            name: "cable",
            sigma: wide(&["cable.length_m", "cable.conductor"], cable().hypot(WARM.1)),
            apply: |p, s| p.cable_ohm *= (1.0 + s).max(0.05),
        },
        Nuisance {
            name: LEVEL,
            sigma: wide(&["well.static_level_m"], STATIC_M),
            apply: |p, s| p.water.well.static_m += s,
        },
        Nuisance {
            name: "drawdown",
            sigma: wide(&["well.drawdown_b_m_per_m3h"], DRAWDOWN.hypot(SEASON)),
            apply: drawdown,
        },
        Nuisance {
            name: "riser_friction",
            sigma: bore("delivery.riser_inner_mm").hypot(riser),
            apply: |p, s| p.condition.water.riser_friction *= s.exp(),
        },
        Nuisance {
            name: "surface_friction",
            sigma: wide(&["delivery.surface_length_m"], surface.max(FITTINGS))
                .hypot(bore("delivery.surface_inner_mm")),
            apply: |p, s| p.condition.water.surface_friction *= s.exp(),
        },
        Nuisance {
            name: "outlet_height",
            sigma: wide(&["delivery.outlet_height_m"], 0.3),
            apply: |p, s| p.water.pipes.outlet_height_m += s,
        },
        Nuisance {
            name: "controller_efficiency",
            sigma: wide(&["controller.efficiency"], CONTROLLER.hypot(PART_LOAD)),
            apply: |p, s| p.controller.efficiency = (p.controller.efficiency + s).clamp(0.5, 1.0),
        },
        Nuisance {
            name: "standby",
            sigma: 6.0,
            apply: |p, s| p.controller.standby_w = (p.controller.standby_w + s).max(0.0),
        },
    ];
    if system.pump.kind == PumpKind::Centrifugal {
        // makers seldom give power at no flow; the share in the record is a rule of thumb
        let sigma = if system.pump.shutoff_power_share.is_some() { 0.10 } else { 0.18 };
        let apply = |p: &mut Plant, s: f64| p.condition.pump.shutoff_ratio *= (1.0 + s).max(0.05);
        list.push(Nuisance { name: "shutoff_power", sigma, apply });
        let open = wide(&["pump.curve"], 0.0);
        if open > 0.0 {
            list.push(Nuisance { name: "capacity", sigma: open, apply: capacity });
        }
    } else {
        list.push(Nuisance {
            name: "slip",
            sigma: wide(&["pump.slip_m3h_per_m"], 0.15),
            apply: |p, s| {
                if let Pump::Helical(h) = &mut p.pump {
                    h.slip_m3h_per_m *= (1.0 + s).max(0.05);
                }
            },
        });
        // Rubber on steel: swelling, temperature and wear-in move it more than any other torque.
        list.push(Nuisance {
            name: "friction",
            sigma: wide(&["pump.friction_torque_nm"], 0.12),
            apply: |p, s| {
                if let Pump::Helical(h) = &mut p.pump {
                    h.friction_nm *= (1.0 + s).max(0.05);
                }
            },
        });
    }
    list
}

fn friction_sigma(material: Option<PipeMaterial>) -> f64 {
    match material {
        Some(PipeMaterial::Galvanised | PipeMaterial::Steel) => 0.30,
        Some(PipeMaterial::Pe | PipeMaterial::Pvc) => 0.10,
        None => 0.20,
    }
}

/// Head at a flow (centrifugal) or displacement (helical rotor, two thirds of the spread).
fn head(p: &mut Plant, step: f64) {
    let c = &mut p.condition.pump;
    c.size_ratio *= match p.pump {
        Pump::Centrifugal(_) => 1.0 + step,
        Pump::Helical(_) => 1.0 + step * 2.0 / 3.0,
    };
}

/// Flow at a head.
fn capacity(p: &mut Plant, step: f64) {
    let c = &mut p.condition.pump;
    c.blockage = 1.0 - (1.0 - c.blockage) * step.exp();
}

fn efficiency(p: &mut Plant, step: f64) {
    p.condition.pump.efficiency_ratio *= (1.0 + step).max(0.2);
}

fn drawdown(p: &mut Plant, step: f64) {
    p.condition.water.drawdown_ratio *= step.exp();
}
