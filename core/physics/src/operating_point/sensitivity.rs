//! What each parameter moves, at one moment: the table that tells which readings can see which doubt.

use super::{Moment, OperatingPoint};
use crate::hydraulics::Level;
use crate::plant::Plant;
use crate::pump::Pump;

/// A parameter of the chain, from the sun down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Parameter {
    /// Irradiance in the plane.
    Irradiance,
    /// Cell temperature; 1 K instead of 1 %.
    CellTemperature,
    /// Current of the array over its data sheet's.
    ArrayCurrent,
    /// Voltage of the array over its data sheet's.
    ArrayVoltage,
    /// Resistance of the DC cable.
    DcCable,
    /// Efficiency of the controller.
    ControllerEfficiency,
    /// Back-EMF constant.
    BackEmf,
    /// Resistance of the motor.
    MotorResistance,
    /// Resistance of the drop cable.
    DropCable,
    /// The motor's own torque.
    OwnTorque,
    /// Head (centrifugal) or displacement (helical rotor).
    PumpSize,
    /// Hydraulic efficiency.
    PumpEfficiency,
    /// Leakage back (helical rotor).
    Slip,
    /// Resting level.
    StaticLevel,
    /// Drawdown at the same flow.
    Drawdown,
    /// Friction of riser, surface pipe and fittings.
    PipeFriction,
    /// Outlet above the wellhead.
    OutletHeight,
}

impl Parameter {
    /// All, from the sun down.
    pub const ALL: [Parameter; 17] = [
        Parameter::Irradiance,
        Parameter::CellTemperature,
        Parameter::ArrayCurrent,
        Parameter::ArrayVoltage,
        Parameter::DcCable,
        Parameter::ControllerEfficiency,
        Parameter::BackEmf,
        Parameter::MotorResistance,
        Parameter::DropCable,
        Parameter::OwnTorque,
        Parameter::PumpSize,
        Parameter::PumpEfficiency,
        Parameter::Slip,
        Parameter::StaticLevel,
        Parameter::Drawdown,
        Parameter::PipeFriction,
        Parameter::OutletHeight,
    ];

    /// Multiplies the parameter by `ratio` (cell temperature: adds 100 (ratio - 1) K).
    fn apply(self, plant: &mut Plant, m: &mut Moment, ratio: f64) {
        match self {
            Parameter::Irradiance => m.irradiance_w_m2 *= ratio,
            Parameter::CellTemperature => m.cell_c += 100.0 * (ratio - 1.0),
            Parameter::ArrayCurrent => plant.array.current_share *= ratio,
            Parameter::ArrayVoltage => plant.array.voltage_share *= ratio,
            Parameter::DcCable => plant.array.dc_ohm *= ratio,
            Parameter::ControllerEfficiency => plant.controller.efficiency *= ratio,
            Parameter::BackEmf => plant.motor.ke_v_per_krpm *= ratio,
            Parameter::MotorResistance => plant.motor.phase_ohm *= ratio,
            Parameter::DropCable => plant.cable_ohm *= ratio,
            Parameter::OwnTorque => plant.motor.no_load_nm *= ratio,
            Parameter::PumpSize => plant.condition.pump.size_ratio *= ratio,
            Parameter::PumpEfficiency => plant.condition.pump.efficiency_ratio *= ratio,
            Parameter::Slip => {
                if let Pump::Helical(p) = &mut plant.pump {
                    p.slip_m3h_per_m *= ratio;
                }
            }
            Parameter::StaticLevel => plant.water.well.static_m *= ratio,
            Parameter::Drawdown => plant.condition.water.drawdown_ratio *= ratio,
            Parameter::PipeFriction => {
                plant.condition.water.riser_friction *= ratio;
                plant.condition.water.surface_friction *= ratio;
            }
            Parameter::OutletHeight => plant.water.pipes.outlet_height_m *= ratio,
        }
    }

    /// True when a moment with a known level hides the parameter.
    pub fn hidden_by(self, level: Level) -> bool {
        matches!(level, Level::Known(_)) && matches!(self, Parameter::StaticLevel | Parameter::Drawdown)
    }
}

/// How each output answers, as the change of its logarithm (0.01 = 1 %); the level in m.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Change {
    /// Voltage at the controller's input.
    pub dc_v: f64,
    /// Current at the controller's input.
    pub dc_a: f64,
    /// Power at the controller's input.
    pub dc_w: f64,
    /// Speed.
    pub rpm: f64,
    /// Phase current.
    pub phase_a: f64,
    /// Flow at the tank; 0 while none comes.
    pub flow: f64,
    /// Pressure at the wellhead; 0 while there is none.
    pub wellhead_kpa: f64,
    /// Water level while running, m, positive deeper.
    pub level_m: f64,
}

/// The answer of a running plant to one parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensitivity {
    /// What was moved, by +1 % (cell temperature: +1 K).
    pub parameter: Parameter,
    /// How the outputs answer.
    pub change: Change,
    /// False when half a percent either way changes the regime: the answer then spans a kink.
    pub smooth: bool,
}

impl Plant {
    /// How every output answers to 1 % of every parameter, at one moment; empty when the plant stands still.
    ///
    /// Equation: central difference over half a percent either way, operating point solved anew.
    /// Symbols: `m` as for [`Plant::operating_point`].
    /// Limits: local; a change of regime within half a percent is marked. 34 operating points.
    pub fn sensitivities(&self, m: &Moment) -> Vec<Sensitivity> {
        Parameter::ALL.into_iter().filter_map(|p| self.sensitivity(m, p)).collect()
    }

    /// As [`Plant::sensitivities`] for one parameter; `None` when the plant stands still on either side.
    pub fn sensitivity(&self, m: &Moment, parameter: Parameter) -> Option<Sensitivity> {
        let solved = |ratio: f64| {
            let (mut plant, mut moment) = (self.clone(), *m);
            parameter.apply(&mut plant, &mut moment, ratio);
            plant.operating_point(&moment)
        };
        let (low, high) = (solved(0.995), solved(1.005));
        let change = difference(&low, &high)?;
        Some(Sensitivity { parameter, change, smooth: low.regime == high.regime })
    }
}

fn difference(low: &OperatingPoint, high: &OperatingPoint) -> Option<Change> {
    let (a, b) = (low.load.as_ref()?, high.load.as_ref()?);
    let ln = |x: f64, y: f64| if x > 0.0 && y > 0.0 { (y / x).ln() } else { 0.0 };
    Some(Change {
        dc_v: ln(low.dc.v, high.dc.v),
        dc_a: ln(low.dc.i, high.dc.i),
        dc_w: ln(low.dc.p, high.dc.p),
        rpm: ln(a.rpm, b.rpm),
        phase_a: ln(a.motor.phase_a, b.motor.phase_a),
        flow: ln(a.water.tank_m3_h, b.water.tank_m3_h),
        wellhead_kpa: ln(a.water.wellhead_kpa, b.water.wellhead_kpa),
        level_m: b.water.level_m - a.water.level_m,
    })
}
