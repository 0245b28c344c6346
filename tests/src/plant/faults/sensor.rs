//! Instruments and the clock. The plant is sound.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::situation::Touched;

use super::Fault;
use crate::plant::dice::Dice;
use crate::plant::sensors::Panel;

/// A ratio that a healthy sensor of its class does not have.
fn ratio(low: f64, high: f64, dice: &mut Dice) -> f64 {
    loop {
        let r = dice.uniform(low, high);
        if (r - 1.0).abs() > 0.08 {
            return r;
        }
    }
}

/// Multiplies what some channels read; nothing at all in `dead` of the cases.
fn scale(channels: &[Channel], low: f64, dead: f64, panel: &mut Panel, dice: &mut Dice) -> Option<f64> {
    let r = if dice.chance(dead) { 0.0 } else { ratio(low, 1.5, dice) };
    let mut known = false;
    for channel in channels {
        if let Some(instrument) = panel.of(*channel) {
            instrument.gain *= r;
            known = true;
        }
    }
    known.then_some(r)
}

/// Severity: reading over truth.
pub const IRRADIANCE_SENSOR_ERROR: Fault = Fault {
    cause: Cause::IrradianceSensorError,
    instruments: Some(|panel, dice| scale(&[Channel::IrradianceWM2], 0.5, 0.0, panel, dice)),
    touched: &[Touched::Sensor, Touched::Array],
    ..Fault::PLAIN
};

/// Severity: reading over truth; 0 is a meter that stands. Flow and total come from the same meter.
pub const FLOW_METER_ERROR: Fault = Fault {
    cause: Cause::FlowMeterError,
    instruments: Some(|panel, dice| scale(&[Channel::FlowM3H, Channel::VolumeM3], 0.0, 0.25, panel, dice)),
    touched: &[Touched::Sensor, Touched::Pipework],
    ..Fault::PLAIN
};

/// Severity: m added to the depth.
pub const LEVEL_SENSOR_ERROR: Fault = Fault {
    cause: Cause::LevelSensorError,
    instruments: Some(|panel, dice| {
        let metres = loop {
            let m = dice.uniform(-20.0, 20.0);
            if m.abs() > 1.0 {
                break m;
            }
        };
        panel.of(Channel::WaterLevelM)?.offset += metres;
        Some(metres)
    }),
    touched: &[Touched::Sensor, Touched::Well, Touched::Pump],
    ..Fault::PLAIN
};

/// Severity: reading over truth; 0 is a dead transmitter.
pub const PRESSURE_SENSOR_ERROR: Fault = Fault {
    cause: Cause::PressureSensorError,
    instruments: Some(|panel, dice| scale(&[Channel::WellheadKpa], 0.0, 0.2, panel, dice)),
    touched: &[Touched::Sensor, Touched::Pipework],
    ..Fault::PLAIN
};

/// Severity: telemetry clock minus true time, h; half of them whole hours (a wrong zone) but for minutes.
pub const CLOCK_ERROR: Fault = Fault {
    cause: Cause::ClockError,
    instruments: Some(|panel, dice| {
        let hours = loop {
            let h = dice.uniform(-12.0, 12.0);
            let h = if dice.chance(0.5) { h.round() + dice.normal(0.0, 0.03) } else { h };
            if h.abs() > 0.4 && h.abs() <= 12.0 {
                break h;
            }
        };
        panel.clock_h = hours;
        Some(hours)
    }),
    touched: &[Touched::Controller, Touched::Sensor],
    ..Fault::PLAIN
};
