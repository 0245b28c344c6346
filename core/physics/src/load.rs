//! What the motor draws and how much water comes at a given speed.
//!
//! This is the half of the chain that depends on no sun: a smooth function of speed. Diagnosis leans on
//! it, because the controller always tells the speed it commands.

use crate::hydraulics::{Level, Lift, WaterPoint};
use crate::motor::MotorPoint;
use crate::plant::Plant;
use crate::pump::{Pump, PumpCondition};

/// Torque in air: share of the best point's (0.1 to 0.3, common practice), and of the running friction of a helical
/// rotor (engineering judgement: dry rubber starts no worse than wet and warms later).
const IN_AIR_CENTRIFUGAL: f64 = 0.2;
const IN_AIR_HELICAL: f64 = 1.0;

/// The load side at one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Speed as the controller tells it, rpm.
    pub rpm: f64,
    /// Water.
    pub water: WaterPoint,
    /// Torque that the pump end takes, N m.
    pub pump_torque_nm: f64,
    /// Motor and leads.
    pub motor: MotorPoint,
    /// Power out of the controller, W.
    pub output_w: f64,
    /// Power into the controller, W.
    pub dc_w: f64,
}

impl Plant {
    /// The load at `rpm` (0 to about 1.5 times the highest speed) with the water at `level`.
    ///
    /// Purpose: forward model from commanded speed to flow, pressure, level, currents, voltage and DC power.
    /// Limits: steady state; the drop cable lies `CABLE_RISE_K` and the winding `WINDING_RISE_K` above the
    /// water (engineering judgement). With the water at the intake the flow is what the well gives, and the torque
    /// that of air and of a full pump in their shares (engineering judgement).
    pub fn load_at(&self, rpm: f64, level: Level) -> Load {
        self.load_on(&self.lift(level), rpm, None)
    }

    /// Well and pipes with the water at `level`, ready for many speeds.
    pub(crate) fn lift(&self, level: Level) -> Lift<'_> {
        Lift::new(&self.water, &self.condition.water, level)
    }

    /// As [`Plant::load_at`], with a flow near the answer if one is known.
    #[inline]
    pub(crate) fn load_on(&self, lift: &Lift<'_>, rpm: f64, guess_m3_h: Option<f64>) -> Load {
        let condition = &self.condition;
        let shaft_rpm = rpm * condition.lead.true_speed;
        let water = lift.meet(&self.pump, &condition.pump, shaft_rpm, guess_m3_h);
        let pump_torque_nm = self.torque_nm(shaft_rpm, &water);
        let motor =
            self.motor.at(shaft_rpm, pump_torque_nm, self.cable_ohm, self.controller.drive, &condition.lead);
        let output_w = motor.cable_in_w + condition.lead.leak_a * motor.line_v / 3f64.sqrt();
        let dc_w = output_w / self.controller.efficiency + self.controller.standby_w;
        Load { rpm, water, pump_torque_nm, motor, output_w, dc_w }
    }

    /// Torque of the pump end, N m: of full water, and of air for the share that is air.
    fn torque_nm(&self, shaft_rpm: f64, water: &WaterPoint) -> f64 {
        let c = &self.condition.pump;
        let of = |c: &PumpCondition, flow_m3_h: f64| match &self.pump {
            Pump::Centrifugal(p) => p.torque_nm(shaft_rpm, flow_m3_h, c),
            Pump::Helical(p) => p.torque_nm(water.head_m, c),
        };
        if water.wet >= 1.0 {
            return of(c, water.pump_m3_h);
        }
        let share = match &self.pump {
            Pump::Centrifugal(_) => IN_AIR_CENTRIFUGAL,
            Pump::Helical(_) => IN_AIR_HELICAL,
        };
        let air = of(&PumpCondition { dry_torque_share: Some(share), ..*c }, 0.0);
        let appetite_m3_h = water.pump_m3_h / water.wet.max(1e-9);
        air + water.wet * (of(c, appetite_m3_h) - air).max(0.0)
    }

    /// Torque that must be overcome to start, N m (helical rotor: break-away; else nothing to speak of).
    pub fn break_away_nm(&self) -> f64 {
        match &self.pump {
            Pump::Helical(p) if !self.condition.pump.uncoupled => p.break_away_nm,
            _ => 0.0,
        }
    }
}
