//! How each channel stands in a live frame: width, sign and resolution.
//!
//! Resolutions follow the Bluetooth SIG's characteristic of the same quantity where there is one (GATT
//! Specification Supplement). Widths and signs are ours where the SIG's field would clip a pump of up to
//! 7 kW or hide a sensor's negative offset; a value that is not negative and fits the SIG's field has the
//! same leading bytes.

use wellwright_domain::channel::Channel;

/// The field of one channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// Width, bytes.
    pub width: usize,
    /// True when two's complement.
    pub signed: bool,
    numerator: f64,
    denominator: f64,
}

impl Field {
    /// Lowest count that fits.
    pub const fn min(self) -> i64 {
        if self.signed { -(1 << (8 * self.width - 1)) } else { 0 }
    }

    /// Highest count that fits.
    pub const fn max(self) -> i64 {
        if self.signed { (1 << (8 * self.width - 1)) - 1 } else { (1 << (8 * self.width)) - 1 }
    }

    /// One count, in the channel's unit.
    pub fn resolution(self) -> f64 {
        self.numerator / self.denominator
    }

    /// Counts to the channel's unit.
    pub fn value(self, counts: i64) -> f64 {
        counts as f64 * self.numerator / self.denominator
    }

    /// The channel's unit to the nearest count; `None` when it is no number or does not fit.
    pub fn counts(self, value: f64) -> Option<i64> {
        let counts = (value * self.denominator / self.numerator).round();
        (counts >= self.min() as f64 && counts <= self.max() as f64).then_some(counts as i64)
    }
}

/// The field of a channel.
#[expect(clippy::match_same_arms, reason = "one arm a quantity, with its source")]
pub const fn field(channel: Channel) -> Field {
    const fn s(width: usize, numerator: f64, denominator: f64) -> Field {
        Field { width, signed: true, numerator, denominator }
    }
    const fn u(width: usize, numerator: f64, denominator: f64) -> Field {
        Field { width, signed: false, numerator, denominator }
    }
    match channel {
        // SIG High Voltage: 1/64 V.
        Channel::ArrayV | Channel::OutputV => s(3, 1.0, 64.0),
        // SIG Electric Current: 0.01 A.
        Channel::ArrayA | Channel::PhaseUA | Channel::PhaseVA | Channel::PhaseWA => s(2, 1.0, 100.0),
        // SIG Rotational Speed: 1 rpm.
        Channel::MotorRpm => u(2, 1.0, 1.0),
        // SIG Temperature: 0.01 degC.
        Channel::ControllerC | Channel::ModuleC | Channel::AirC => s(2, 1.0, 100.0),
        // SIG Irradiance: 0.1 W/m2.
        Channel::IrradianceWM2 => s(2, 1.0, 10.0),
        // SIG Volume Flow: 0.001 L/s, here in m3/h.
        Channel::FlowM3H => s(3, 3.6, 1000.0),
        // SIG Pressure: 0.1 Pa, here in kPa and gauge.
        Channel::WellheadKpa => s(4, 1.0, 10_000.0),
        // As SIG Elevation: 0.01 m.
        Channel::WaterLevelM => s(3, 1.0, 100.0),
        // As SIG Humidity: 0.01 %.
        Channel::TankLevelPct => s(2, 1.0, 100.0),
        // No SIG field; 1 litre.
        Channel::VolumeM3 => u(5, 1.0, 1000.0),
        // SIG Energy 32: 0.001 kWh.
        Channel::EnergyKwh => u(4, 1.0, 1000.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SIG Temperature: raw -345 is -3.45 degC; SIG Voltage: raw 1024 is 16 V; 1000 mL/s is 3.6 m3/h.
    #[test]
    fn resolutions_are_those_of_the_sig() {
        assert_eq!(field(Channel::AirC).value(-345), -3.45);
        assert_eq!(field(Channel::ArrayV).value(1024), 16.0);
        assert_eq!(field(Channel::FlowM3H).value(1000), 3.6);
        assert_eq!(field(Channel::WellheadKpa).value(1_013_250), 101.325);
    }

    #[test]
    fn what_does_not_fit_is_left_out() {
        assert_eq!(field(Channel::ArrayA).counts(327.67), Some(32767));
        assert_eq!(field(Channel::ArrayA).counts(327.68), None);
        assert_eq!(field(Channel::MotorRpm).counts(-1.0), None);
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(field(Channel::ArrayV).counts(bad), None);
        }
    }

    /// A 7 kW pump at 24 V or at 5 m of head still fits every field (common practice, no single source).
    #[test]
    fn seven_kilowatts_fit() {
        for (channel, value) in [
            (Channel::ArrayA, 7000.0 / 24.0),
            (Channel::ArrayV, 1000.0),
            (Channel::FlowM3H, 7000.0 / (9.81 * 5.0) * 3.6),
            (Channel::MotorRpm, 6000.0),
            (Channel::WellheadKpa, 10_000.0),
            (Channel::EnergyKwh, 7.0 * 10.0 * 365.0 * 100.0),
        ] {
            assert!(field(channel).counts(value).is_some(), "{channel:?} {value}");
        }
    }
}
