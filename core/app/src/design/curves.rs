//! The curves behind a design: pump and system at three lights, and flow against light.

use serde::Serialize;
use wellwright_physics::pump::{Pump, PumpCondition};

use super::bench::Bench;

/// Lights at which the pump's curve is drawn, W/m2.
pub const LIGHTS_W_M2: [f64; 3] = [400.0, 700.0, 1000.0];
/// Points of a drawn curve.
const POINTS: u32 = 40;
/// Step of the light, W/m2.
const LIGHT_STEP_W_M2: f64 = 25.0;
/// Most light that is drawn, W/m2.
const MOST_W_M2: f64 = 1100.0;

/// Flow and head.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FlowHead {
    /// Through the pump, m3/h.
    pub flow_m3_h: f64,
    /// Across it, m.
    pub head_m: f64,
}

/// The pump at one light.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtLight {
    /// W/m2.
    pub irradiance_w_m2: f64,
    /// Speed that this light carries.
    pub rpm: f64,
    /// Where the pump meets the pipes; null when no water comes.
    pub meets: Option<FlowHead>,
    /// The pump's curve at this speed.
    pub pump: Vec<FlowHead>,
}

/// Flow at one light.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LightFlow {
    /// W/m2.
    pub irradiance_w_m2: f64,
    /// At the tank, m3/h.
    pub flow_m3_h: f64,
}

/// All of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curves {
    /// The pump at three lights, dim first; lights at which it stands still are left out.
    pub lights: Vec<AtLight>,
    /// What well and pipes ask for.
    pub system: Vec<FlowHead>,
    /// Flow against light.
    pub flow: Vec<LightFlow>,
}

/// Works them out, with the well pumped for as long as its drawdown stands for.
pub fn curves(b: &Bench<'_>) -> Curves {
    let lights: Vec<AtLight> = LIGHTS_W_M2.iter().filter_map(|&g| at_light(b, g)).collect();
    let widest = lights.iter().flat_map(|l| &l.pump).map(|p| p.flow_m3_h).fold(0.5, f64::max);
    let condition = b.plant.condition.water;
    let system = (0..=POINTS)
        .map(|k| widest * f64::from(k) / f64::from(POINTS))
        .map(|q| FlowHead { flow_m3_h: q, head_m: b.plant.water.head_m(&condition, b.level(), q) })
        .collect();
    let steps = (MOST_W_M2 / LIGHT_STEP_W_M2) as u32;
    let flow = (0..=steps)
        .map(|k| LIGHT_STEP_W_M2 * f64::from(k))
        .map(|g| LightFlow {
            irradiance_w_m2: g,
            flow_m3_h: b.at(g, b.air_c).load.map_or(0.0, |l| l.water.tank_m3_h),
        })
        .collect();
    Curves { lights, system, flow }
}

fn at_light(b: &Bench<'_>, irradiance_w_m2: f64) -> Option<AtLight> {
    let load = b.at(irradiance_w_m2, b.air_c).load?;
    let meets = (load.water.pump_m3_h > 0.0)
        .then_some(FlowHead { flow_m3_h: load.water.pump_m3_h, head_m: load.water.head_m });
    Some(AtLight { irradiance_w_m2, rpm: load.rpm, meets, pump: pump_curve(b, load.rpm) })
}

fn pump_curve(b: &Bench<'_>, rpm: f64) -> Vec<FlowHead> {
    let none = PumpCondition::default();
    let share = |k: u32| f64::from(k) / f64::from(POINTS);
    match &b.plant.pump {
        Pump::Centrifugal(p) => (0..=POINTS)
            .map(|k| p.max_flow_m3_h(rpm) * share(k))
            .map(|q| FlowHead { flow_m3_h: q, head_m: p.head_m(rpm, q, &none).max(0.0) })
            .collect(),
        // nearly a plumb line: what it moves less what slips back, up to twice the lift
        Pump::Helical(p) => {
            let lift = b.plant.water.head_m(&b.plant.condition.water, b.level(), 0.0).max(10.0);
            (0..=POINTS)
                .map(|k| 2.0 * lift * (1.0 - share(k)))
                .map(|h| FlowHead {
                    flow_m3_h: (p.swept_m3_h(rpm, &none) - p.slip(&none, lift) * h).max(0.0),
                    head_m: h,
                })
                .collect()
        }
    }
}
