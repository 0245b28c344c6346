//! What the plant really does at the speed that the controller commands.

use wellwright_domain::finding::Regime;
use wellwright_domain::flags::PumpState;
use wellwright_physics::array::ArrayCurve;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::module::Point;
use wellwright_physics::motor::ke_v_s;
use wellwright_physics::operating_point::OperatingPoint;
use wellwright_physics::plant::Plant;

use crate::controller::Does;
use crate::fault::Applied;

/// How far the controller's search for the best point swings, share of its voltage (common practice).
const SEARCH: f64 = 0.012;

/// Electrical and hydraulic state at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outputs {
    /// At the controller's input.
    pub dc: Point,
    /// Load, while the rotor turns.
    pub load: Option<Load>,
    /// Phase currents, A rms.
    pub phase_a: [f64; 3],
    /// Output voltage line to line, V rms.
    pub output_v: f64,
}

impl Outputs {
    const DARK: Outputs =
        Outputs { dc: Point { v: 0.0, i: 0.0, p: 0.0 }, load: None, phase_a: [0.0; 3], output_v: 0.0 };

    /// The state that belongs to what the controller does. `swing` is -1 to 1.
    pub fn new(
        plant: &Plant,
        applied: &Applied,
        curve: Option<&ArrayCurve>,
        settles: &OperatingPoint,
        does: &Does,
        level: Level,
        swing: f64,
    ) -> Outputs {
        let Some(curve) = curve else { return Outputs::DARK };
        if does.rpm <= 0.0 {
            return at_rest(plant, curve);
        }
        if does.locked {
            return locked(plant, applied, curve);
        }
        turning(plant, applied, curve, settles, does, level, swing)
    }
}

fn at_rest(plant: &Plant, curve: &ArrayCurve) -> Outputs {
    let v = curve.voltage_for_power(plant.controller.standby_w);
    let i = (plant.controller.standby_w / v.max(1.0)).min(curve.current_a(v));
    Outputs { dc: Point { v, i, p: v * i }, ..Outputs::DARK }
}

/// The rotor does not follow: all the current goes into copper.
fn locked(plant: &Plant, applied: &Applied, curve: &ArrayCurve) -> Outputs {
    let lead = &plant.condition.lead;
    let ohm = plant.motor.phase_ohm + plant.cable_ohm * lead.cable_ratio;
    let (mut phase_a, amps, leads) = if applied.open_lead {
        let a = (1.3 * plant.motor.rated_a).min(plant.controller.max_phase_a);
        ([a; 3], a, 2.0)
    } else {
        ([plant.controller.max_phase_a; 3], plant.controller.max_phase_a, 3.0)
    };
    if applied.open_lead {
        phase_a[applied.lead] = 0.0;
    }
    let copper_w = leads * amps * amps * ohm;
    let p = (copper_w / plant.controller.efficiency + plant.controller.standby_w).min(0.95 * curve.best().p);
    let v = curve.voltage_for_power(p);
    let between_leads = if applied.open_lead { 2.0 } else { 3f64.sqrt() };
    Outputs {
        dc: Point { v, i: p / v.max(1.0), p },
        load: None,
        phase_a,
        output_v: between_leads * amps * ohm,
    }
}

/// Voltage at which the array gives what a load takes. On a shaded array a watt more can mean another peak, far
/// lower: where that could not feed the motor, the controller stays where it has settled.
fn held_voltage(plant: &Plant, curve: &ArrayCurve, settles: &OperatingPoint, load: &Load) -> f64 {
    let v = curve.voltage_for_power(load.dc_w);
    let needed = load.motor.line_v / plant.controller.voltage_ratio();
    if v < 0.98 * needed && settles.dc.v > v { settles.dc.v } else { v }
}

fn turning(
    plant: &Plant,
    applied: &Applied,
    curve: &ArrayCurve,
    settles: &OperatingPoint,
    does: &Does,
    level: Level,
    swing: f64,
) -> Outputs {
    let searching = does.settled && settles.regime == Regime::SunLimited;
    let (load, v) = if searching {
        let top = caught_peak(plant, curve).unwrap_or(settles.best);
        let v = top.v * (1.0 + SEARCH * swing);
        let share = (v * curve.current_a(v) / top.p.max(1e-9)).clamp(0.5, 1.0);
        // power of a pump goes with nearly the third power of its speed
        (plant.load_at(does.rpm * share.powf(0.4), level), v)
    } else {
        let load = plant.load_at(does.rpm, level);
        (load, held_voltage(plant, curve, settles, &load))
    };
    let p = load.dc_w;
    let mut phase_a = [0, 1, 2].map(|k: usize| {
        // the model's first lead is the one with the extra resistance
        load.motor.phase_a * load.motor.unbalance[(k + 3 - applied.lead) % 3]
    });
    if does.state == PumpState::Starting && does.rpm < 0.4 * plant.controller.min_rpm {
        let push = plant.break_away_nm() / (3f64.sqrt() * ke_v_s(plant.motor.ke_v_per_krpm));
        phase_a = phase_a.map(|a| a.max(push));
    }
    Outputs {
        dc: Point { v, i: p / v.max(1.0), p },
        load: Some(load),
        phase_a,
        output_v: load.motor.told_line_v,
    }
}

/// The peak at high voltage on which the controller is caught although another is higher; `None` when it
/// stands on the best.
pub fn caught_peak(plant: &Plant, curve: &ArrayCurve) -> Option<Point> {
    let caught = plant.condition.array.shade.is_some_and(|s| s.right_peak);
    if caught { curve.maxima().last().copied() } else { None }
}
