//! Well, riser, surface pipe and outlet: what head a flow asks for, and where pump and pipes meet.

mod lift;
mod meet;
mod well;

pub(crate) use lift::Lift;
pub use well::{Inflow, Level, Well};

use crate::constants::G_M_S2;
use crate::pipe::Pipe;
use crate::pump::{Pump, PumpCondition};

/// Pipes above the pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pipes {
    /// Riser.
    pub riser: Pipe,
    /// Surface pipe.
    pub surface: Pipe,
    /// Sum of K on the surface pipe's velocity head, after gauge and meter.
    pub fittings_k: f64,
    /// Outlet above the wellhead, m.
    pub outlet_height_m: f64,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// Kinematic viscosity, m2/s.
    pub nu_m2_s: f64,
}

impl Pipes {
    /// Pressure under so many metres of this water, kPa: p = rho g h.
    pub fn pressure_kpa(&self, head_m: f64) -> f64 {
        head_m * self.density_kg_m3 * G_M_S2 / 1000.0
    }

    /// What the full column up to the outlet shows on the gauge at rest, kPa.
    pub fn column_kpa(&self) -> f64 {
        self.pressure_kpa(self.outlet_height_m)
    }
}

/// What is wrong between well and outlet; the default is nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterCondition {
    /// Extra loss after the gauge, m per (m3/h)^2; infinite = shut.
    pub valve_m_per_m3h2: f64,
    /// Extra loss before the gauge, m per (m3/h)^2; infinite = shut.
    pub blocked_m_per_m3h2: f64,
    /// Friction of the riser over the record's.
    pub riser_friction: f64,
    /// Friction of surface pipe and fittings over the record's.
    pub surface_friction: f64,
    /// Flow that escapes inside the well, m3/h: under a standing column a hole lets go nearly the same at any speed.
    pub riser_leak_m3_h: f64,
    /// Flow that escapes at the surface, m3/h.
    pub surface_leak_m3_h: f64,
    /// Resting level deeper than the record, m.
    pub static_deeper_m: f64,
    /// Drawdown over the record's at the same flow.
    pub drawdown_ratio: f64,
    /// What the well can give at the most, m3/h: beyond it the casing empties, down to the intake.
    pub yield_m3_h: f64,
}

impl Default for WaterCondition {
    fn default() -> Self {
        WaterCondition {
            valve_m_per_m3h2: 0.0,
            blocked_m_per_m3h2: 0.0,
            riser_friction: 1.0,
            surface_friction: 1.0,
            riser_leak_m3_h: 0.0,
            surface_leak_m3_h: 0.0,
            static_deeper_m: 0.0,
            drawdown_ratio: 1.0,
            yield_m3_h: f64::INFINITY,
        }
    }
}

/// Where pump and pipes meet at one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterPoint {
    /// Through the pump, m3/h.
    pub pump_m3_h: f64,
    /// At the wellhead, m3/h.
    pub wellhead_m3_h: f64,
    /// At the tank, m3/h.
    pub tank_m3_h: f64,
    /// Head across the pump, m.
    pub head_m: f64,
    /// Water level while running, m below the wellhead.
    pub level_m: f64,
    /// Gauge pressure before the wellhead valve, kPa.
    pub wellhead_kpa: f64,
    /// The water stands at the intake: the well gives less than the pump would take.
    pub at_intake: bool,
    /// Of what the pump would take, so much is water and the rest air: 1 while the intake is covered.
    pub wet: f64,
    /// Friction and fittings, m.
    pub friction_m: f64,
}

/// Well and pipes; what is wrong with them comes as an argument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterSide {
    /// Well.
    pub well: Well,
    /// Pipes.
    pub pipes: Pipes,
}

impl WaterSide {
    /// Head that a flow through the pump asks for, m; infinite through a shut valve.
    pub fn head_m(&self, c: &WaterCondition, level: Level, pump_m3_h: f64) -> f64 {
        Lift::new(self, c, level).at(pump_m3_h).head_m()
    }

    /// Where `pump` at `rpm` meets the pipes. Always answers: no flow when the pump cannot lift.
    pub fn meet(
        &self,
        wrong: &WaterCondition,
        pump: &Pump,
        c: &PumpCondition,
        rpm: f64,
        level: Level,
    ) -> WaterPoint {
        Lift::new(self, wrong, level).meet(pump, c, rpm, None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived: 10 m of water of 1000 kg/m3 at standard gravity weigh 98.0665 kPa.
    #[test]
    fn ten_metres_of_water() {
        let riser = Pipe { length_m: 10.0, inner_mm: 40.0, roughness_mm: 0.01 };
        let p = Pipes {
            riser,
            surface: riser,
            fittings_k: 0.0,
            outlet_height_m: 10.0,
            density_kg_m3: 1000.0,
            nu_m2_s: 1e-6,
        };
        assert!((p.column_kpa() - 98.0665).abs() < 1e-9);
    }
}
