//! What is measured, and how wrongly: one bias a sensor, a slow drift, noise, and the last digit shown.
//!
//! Classes of added sensors come from the record; those of the controller's own readings from the contract
//! (voltage 1 %, current 2 %, phase current 3 %; 1 sigma).

use wellwright_domain::channel::Channel;
use wellwright_domain::record::{SensorClass, System};

use crate::dice::{Dice, Wander};

/// Memory of the slow drift, seconds (contract: 10 to 30 minutes).
const DRIFT_S: f64 = 1200.0;
/// Slow drift over the sensor's class.
const DRIFT: f64 = 0.25;

/// One sensor.
#[derive(Debug, Clone)]
struct Sensor {
    channel: Channel,
    gain: f64,
    offset: f64,
    drift: Wander,
    noise_share: f64,
    noise: f64,
    digit: f64,
    floor: f64,
}

/// Spread of one sensor's errors.
#[derive(Debug, Clone, Copy)]
struct Class {
    /// Share of the reading, 1 sigma.
    share: f64,
    /// In the channel's unit, 1 sigma.
    offset: f64,
    /// Noise as a share of the reading.
    noise_share: f64,
    /// Noise in the channel's unit.
    noise: f64,
    /// Last digit, in the channel's unit.
    digit: f64,
}

/// All sensors of one system.
#[derive(Debug, Clone)]
pub struct Sensors {
    sensors: Vec<Sensor>,
    dice: Dice,
}

impl Sensors {
    /// The controller's own and those of the record, biased by the seed.
    pub fn new(system: &System, mut dice: Dice) -> Sensors {
        let coarse = dice.yes(0.4);
        let phase_gain = dice.ordinary(0.03);
        let sensors = channels(system)
            .into_iter()
            .map(|channel| {
                let class = class(system, channel, coarse);
                let mut gain = 1.0 + dice.ordinary(class.share);
                if matches!(channel, Channel::PhaseUA | Channel::PhaseVA | Channel::PhaseWA) {
                    // the three share a reference; each differs a little
                    gain += phase_gain;
                }
                Sensor {
                    channel,
                    gain,
                    offset: dice.ordinary(class.offset),
                    drift: Wander::new(DRIFT * class.share.min(0.01), DRIFT_S, &mut dice),
                    noise_share: class.noise_share,
                    noise: class.noise,
                    digit: class.digit,
                    floor: if can_be_negative(channel) { f64::NEG_INFINITY } else { 0.0 },
                }
            })
            .collect();
        Sensors { sensors, dice }
    }

    /// Reads every sensor, `dt_s` seconds after the last time. `truth` gives the true value of a channel.
    pub fn read(&mut self, dt_s: f64, truth: impl Fn(Channel) -> f64, mut tell: impl FnMut(Channel, f64)) {
        for s in &mut self.sensors {
            let drift = s.drift.step(dt_s, &mut self.dice);
            let noise = self.dice.normal();
            let jitter = self.dice.normal();
            let value = truth(s.channel);
            let still = value == 0.0 && s.floor == 0.0;
            let read = if still {
                // nothing turns, nothing flows: shown as zero
                0.0
            } else {
                value * (s.gain + drift + s.noise_share * noise) + s.offset + s.noise * jitter
            };
            let shown = (read.max(s.floor) / s.digit).round() * s.digit;
            // the last digit in decimal, without the tail of the division
            tell(s.channel, (shown * 1e4).round() / 1e4);
        }
    }
}

/// Every channel that the simulated controller tells.
pub fn channels(system: &System) -> Vec<Channel> {
    use Channel as C;
    let own =
        [C::ArrayV, C::ArrayA, C::MotorRpm, C::PhaseUA, C::PhaseVA, C::PhaseWA, C::OutputV, C::ControllerC];
    let added =
        [C::IrradianceWM2, C::ModuleC, C::AirC, C::FlowM3H, C::WellheadKpa, C::WaterLevelM, C::TankLevelPct];
    own.into_iter().chain(added.into_iter().filter(|c| added_class(system, *c).is_some())).collect()
}

fn added_class(system: &System, channel: Channel) -> Option<&SensorClass> {
    let s = &system.sensors;
    match channel {
        Channel::IrradianceWM2 => s.irradiance_w_m2.as_ref(),
        Channel::ModuleC => s.module_c.as_ref(),
        Channel::AirC => s.air_c.as_ref(),
        Channel::FlowM3H => s.flow_m3_h.as_ref(),
        Channel::WellheadKpa => s.wellhead_kpa.as_ref(),
        Channel::WaterLevelM => s.water_level_m.as_ref(),
        Channel::TankLevelPct => s.tank_level_pct.as_ref(),
        _ => None,
    }
}

fn can_be_negative(channel: Channel) -> bool {
    matches!(
        channel,
        Channel::ControllerC | Channel::ModuleC | Channel::AirC | Channel::WellheadKpa | Channel::WaterLevelM
    )
}

fn class(system: &System, channel: Channel, coarse: bool) -> Class {
    let (added, of) = (&system.sensors, added_class(system, channel));
    let kelvin = |usual: f64| of.and_then(|c| c.accuracy_k).unwrap_or(usual);
    let percent = |usual: f64| of.and_then(|c| c.accuracy_pct).unwrap_or(usual) / 100.0;
    let rests_m = system.well.static_level_m.unwrap_or_default();
    let c = |share, offset, noise_share, noise, digit| Class { share, offset, noise_share, noise, digit };
    match channel {
        Channel::ArrayV => c(0.01, 0.0, 0.001, 0.0, if coarse { 1.0 } else { 0.1 }),
        Channel::ArrayA => c(0.02, 0.0, 0.002, 0.005, 0.01),
        Channel::MotorRpm => c(0.0, 0.0, 0.0, 0.0, if coarse { 10.0 } else { 1.0 }),
        Channel::PhaseUA | Channel::PhaseVA | Channel::PhaseWA => {
            c(0.006, 0.0, 0.004, 0.01, if coarse { 0.1 } else { 0.01 })
        }
        Channel::OutputV => c(0.01, 0.0, 0.002, 0.05, 0.1),
        Channel::ControllerC => c(0.0, 1.5, 0.0, 0.1, if coarse { 1.0 } else { 0.1 }),
        Channel::IrradianceWM2 => c(added.irradiance_share(), 0.0, 0.002, 0.5, 1.0),
        Channel::ModuleC => c(0.0, kelvin(1.5), 0.0, 0.1, 0.1),
        Channel::AirC => c(0.0, kelvin(1.0), 0.0, 0.1, 0.1),
        Channel::FlowM3H => c(added.flow_share(), 0.0, 0.006, 0.004, 0.01),
        Channel::WellheadKpa => c(added.pressure_share(), 0.3, 0.003, 0.2, 0.1),
        Channel::WaterLevelM => c(0.0, added.level_error_m(rests_m), 0.0, 0.015, 0.01),
        Channel::TankLevelPct => c(percent(1.0), 0.0, 0.0, 0.1, 0.1),
        Channel::VolumeM3 | Channel::EnergyKwh => c(0.0, 0.0, 0.0, 0.0, 0.001),
    }
}
