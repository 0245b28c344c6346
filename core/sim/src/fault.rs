//! What a cause does to the true plant.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::System;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::motor::ke_v_s;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::{Plant, Shade};
use wellwright_physics::pump::centrifugal::omega_rad_s;
use wellwright_physics::pump::{Pump, Rotation};

use crate::dice::Dice;
use crate::error::SimError;

/// What is wrong, and how badly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// Cause.
    pub cause: Cause,
    /// In the cause's unit; `None` is a moderate one drawn by the seed.
    pub severity: Option<f64>,
}

/// Why it stands by as meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standby {
    /// The tank is full and its float says so.
    TankFull,
    /// A person left it switched off.
    SwitchedOff,
}

/// What a fault did besides changing the plant.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Applied {
    /// Severity, given or drawn.
    pub severity: Option<f64>,
    /// Which lead (0, 1, 2) is the bad one, if one is.
    pub lead: usize,
    /// That lead carries nothing.
    pub open_lead: bool,
    /// It stands by.
    pub standby: Option<Standby>,
    /// The sky is closed and lets through about so much, W/m2.
    pub dim_w_m2: Option<f64>,
}

/// Irradiance at which the contract counts "flow still passing", W/m2.
const REFERENCE_W_M2: f64 = 900.0;

impl Fault {
    /// The causes that can be played.
    pub const SIMULATED: [Cause; 10] = [
        Cause::Healthy,
        Cause::LowSun,
        Cause::StandingBy,
        Cause::ReversedRotation,
        Cause::OpenPhase,
        Cause::HighResistanceJoint,
        Cause::UndersizedDropCable,
        Cause::DryRunning,
        Cause::ClosedValve,
        Cause::PartialShade,
    ];

    /// Nothing wrong.
    pub const HEALTHY: Fault = Fault::of(Cause::Healthy);

    /// A cause with a moderate severity that the seed draws.
    pub const fn of(cause: Cause) -> Fault {
        Fault { cause, severity: None }
    }

    /// A cause with this severity, in the unit of the cause.
    pub const fn with_severity(cause: Cause, severity: f64) -> Fault {
        Fault { cause, severity: Some(severity) }
    }

    /// Whether it can be played as asked.
    ///
    /// # Errors
    /// [`SimError::NotSimulated`], [`SimError::NoSeverity`], [`SimError::Severity`].
    pub fn check(&self) -> Result<(), SimError> {
        let cause = self.cause;
        if !Self::SIMULATED.contains(&cause) {
            return Err(SimError::NotSimulated(cause));
        }
        match (self.severity, &cause.info().severity) {
            (None, _) => Ok(()),
            (Some(_), None) => Err(SimError::NoSeverity(cause)),
            (Some(value), Some(range)) if value >= range.low && value <= range.high => Ok(()),
            (Some(value), Some(range)) => Err(SimError::Severity {
                cause,
                value,
                unit: range.unit.clone(),
                low: range.low,
                high: range.high,
            }),
        }
    }

    /// Changes the plant.
    ///
    /// # Errors
    /// As [`Fault::check`].
    pub fn apply(&self, system: &System, plant: &mut Plant, dice: &mut Dice) -> Result<Applied, SimError> {
        self.check()?;
        let mut applied = Applied { lead: dice.index(3), ..Applied::default() };
        applied.severity = match self.cause {
            Cause::HighResistanceJoint => Some(self.severity.unwrap_or_else(|| joint_ohm(plant, dice))),
            // enough to show: below about 3 telemetry alone often cannot tell it from tolerances
            Cause::UndersizedDropCable => Some(self.severity.unwrap_or_else(|| dice.between(3.8, 4.9))),
            Cause::ClosedValve => Some(self.severity.unwrap_or_else(|| {
                let shut = dice.yes(0.5);
                let passing = dice.between(0.02, 0.18);
                if shut { 0.0 } else { passing }
            })),
            Cause::PartialShade => Some(self.severity.unwrap_or_else(|| dice.log_between(0.15, 0.45))),
            _ => None,
        };
        let severity = applied.severity.unwrap_or(0.0);
        let wrong = &mut plant.condition;
        match self.cause {
            Cause::ReversedRotation => {
                // real multistage ends lie about the published single-stage data (15 %, physics note)
                let (head, torque) = (dice.between(0.88, 1.12), dice.between(0.88, 1.2));
                wrong.pump.rotation = Rotation::Reversed;
                wrong.pump.size_ratio *= head;
                wrong.pump.efficiency_ratio *= head / torque;
                if let Pump::Helical(p) = &mut plant.pump {
                    p.friction_nm *= dice.between(0.7, 1.4);
                }
            }
            Cause::OpenPhase => applied.open_lead = true,
            Cause::HighResistanceJoint => wrong.lead.one_lead_ohm = severity,
            Cause::UndersizedDropCable => wrong.lead.cable_ratio = severity,
            Cause::DryRunning => {
                // torque in air: common practice, no single source
                let share = match plant.pump {
                    Pump::Centrifugal(_) => dice.between(0.1, 0.3),
                    Pump::Helical(_) => dice.between(0.6, 1.4),
                };
                wrong.pump.dry_torque_share = Some(share);
                wrong.water.static_deeper_m = plant.water.well.intake_m - plant.water.well.static_m;
            }
            Cause::ClosedValve => {
                let loss = valve(plant, severity);
                plant.condition.water.valve_m_per_m3h2 = loss;
            }
            Cause::PartialShade => {
                let shade = Shade {
                    share: severity,
                    darkness: dice.between(0.15, 0.5),
                    gathered: plant.array.strings > 1 && dice.yes(0.5),
                    right_peak: dice.yes(0.2),
                };
                wrong.array.shade = Some(shade);
            }
            Cause::LowSun => applied.dim_w_m2 = Some(dice.between(0.4, 0.8) * lifting_sun_w_m2(plant)),
            Cause::StandingBy => {
                let float = system.protection.as_ref().is_some_and(|p| p.tank_float);
                let full = dice.yes(0.6);
                applied.standby = Some(if float && full { Standby::TankFull } else { Standby::SwitchedOff });
            }
            _ => {}
        }
        Ok(applied)
    }
}

/// The codes that can be played, for messages.
pub fn codes() -> String {
    Fault::SIMULATED.map(Cause::code).join(", ")
}

/// Extra resistance that loses 8 to 25 % of rated phase voltage at rated current, within the cause's range:
/// the same ohm is nothing at 300 V and everything at 60 V.
fn joint_ohm(plant: &Plant, dice: &mut Dice) -> f64 {
    let m = &plant.motor;
    let phase_v = ke_v_s(m.ke_v_per_krpm) * omega_rad_s(m.rated_rpm) / 3f64.sqrt();
    let ohm = dice.log_between(0.08, 0.25) * phase_v / m.rated_a;
    match &Cause::HighResistanceJoint.info().severity {
        Some(range) => ohm.clamp(range.low, range.high),
        None => ohm,
    }
}

fn reference(plant: &Plant, irradiance_w_m2: f64) -> Moment {
    Moment {
        irradiance_w_m2,
        cell_c: 20.0 + 0.03 * irradiance_w_m2,
        level: Level::After { minutes: plant.water.well.at_min },
        heat_share: 1.0,
    }
}

fn flow_m3_h(plant: &Plant, irradiance_w_m2: f64) -> f64 {
    plant.operating_point(&reference(plant, irradiance_w_m2)).load.map_or(0.0, |l| l.water.tank_m3_h)
}

/// Loss coefficient of a valve that lets `passing` of the healthy flow through at 900 W/m2, m per (m3/h)^2.
fn valve(plant: &Plant, passing: f64) -> f64 {
    if passing <= 0.0 {
        return f64::INFINITY;
    }
    let aim = passing * flow_m3_h(plant, REFERENCE_W_M2);
    let mut throttled = plant.clone();
    // bisection on the exponent: flow falls with every power of ten
    let (mut low, mut high) = (-4.0, 7.0);
    for _ in 0..40 {
        let mid = 0.5 * (low + high);
        throttled.condition.water.valve_m_per_m3h2 = 10f64.powf(mid);
        if flow_m3_h(&throttled, REFERENCE_W_M2) > aim {
            low = mid;
        } else {
            high = mid;
        }
    }
    throttled.condition.water.valve_m_per_m3h2 = 10f64.powf(low);
    // a helical rotor stalls before it passes so little: then well beyond where it does
    let stalls = flow_m3_h(&throttled, REFERENCE_W_M2) > 1.2 * aim;
    10f64.powf(high) * if stalls { 3.0 } else { 1.0 }
}

/// Irradiance from which the plant lifts water, W/m2.
fn lifting_sun_w_m2(plant: &Plant) -> f64 {
    let (mut low, mut high) = (5.0, 1000.0);
    for _ in 0..24 {
        let mid = 0.5 * (low + high);
        if flow_m3_h(plant, mid) > 0.0 { high = mid } else { low = mid }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};

    #[test]
    fn what_cannot_be_played_says_what_can() {
        let message = Fault::of(Cause::WornPump).check().unwrap_err().to_string();
        assert!(message.starts_with("worn_pump is not simulated yet") && message.contains("closed_valve"));
        let message = Fault::with_severity(Cause::OpenPhase, 1.0).check().unwrap_err().to_string();
        assert_eq!(message, "open_phase has no severity; leave it out");
        let message = Fault::with_severity(Cause::UndersizedDropCable, 9.0).check().unwrap_err().to_string();
        assert_eq!(message, "severity of undersized_drop_cable is 9 1; it must lie between 1.3 and 5");
        assert!(Fault::with_severity(Cause::ClosedValve, f64::NAN).check().is_err());
    }

    #[test]
    fn a_valve_lets_through_what_it_is_said_to() {
        let (healthy, _) = Plant::from_record(&kestrel_hollow()).unwrap();
        let mut plant = healthy.clone();
        plant.condition.water.valve_m_per_m3h2 = valve(&healthy, 0.1);
        let share = flow_m3_h(&plant, REFERENCE_W_M2) / flow_m3_h(&healthy, REFERENCE_W_M2);
        assert!((share - 0.1).abs() < 1e-3, "{share}");
    }

    #[test]
    fn below_the_lifting_sun_no_water_comes() {
        for system in [kestrel_hollow(), dovecote_bend()] {
            let (plant, _) = Plant::from_record(&system).unwrap();
            let sun = lifting_sun_w_m2(&plant);
            assert!((20.0..400.0).contains(&sun), "{sun}");
            assert_eq!(flow_m3_h(&plant, 0.95 * sun), 0.0);
            assert!(flow_m3_h(&plant, 1.05 * sun) > 0.0);
        }
    }
}
