//! Quantities: what a number counts, in which unit it is stored, shown and spoken, and how finely.
//!
//! Everything is stored and computed in the units of the record; feet, gallons and psi exist only here,
//! at display, and by one choice for a whole screen.

use serde::{Deserialize, Serialize};
use wellwright_domain::channel::Channel;

/// Litres or US gallons.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VolumeUnit {
    /// Litres, m3, m3/h.
    #[default]
    Litres,
    /// US gallons, gallons a minute.
    UsGallons,
}

/// Metres or feet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DepthUnit {
    /// Metres.
    #[default]
    Metres,
    /// International feet.
    Feet,
}

/// Kilopascals or psi.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PressureUnit {
    /// Kilopascals.
    #[default]
    Kilopascals,
    /// Pounds per square inch.
    Psi,
}

/// The person's choice of units, one for everything shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Units {
    /// Of water.
    pub volume: VolumeUnit,
    /// Of depth and length.
    pub depth: DepthUnit,
    /// Of pressure.
    pub pressure: PressureUnit,
}

impl Units {
    /// Metres, litres, kilopascals.
    pub const METRIC: Units =
        Units { volume: VolumeUnit::Litres, depth: DepthUnit::Metres, pressure: PressureUnit::Kilopascals };
    /// Feet, US gallons, psi.
    pub const US: Units =
        Units { volume: VolumeUnit::UsGallons, depth: DepthUnit::Feet, pressure: PressureUnit::Psi };
}

/// What a number counts. The stored unit stands behind each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Flow, m3/h.
    Flow,
    /// Volume of a day or a bucket, L.
    Litres,
    /// Running total, m3.
    Total,
    /// Depth or length, m.
    Depth,
    /// Pressure, kPa gauge.
    Pressure,
    /// Power, W.
    Power,
    /// Energy, kWh.
    Energy,
    /// Current, A.
    Current,
    /// Voltage, V.
    Voltage,
    /// Speed, rpm.
    Speed,
    /// Temperature, degC.
    Temperature,
    /// Irradiance, W/m2.
    Irradiance,
    /// Resistance, ohm.
    Resistance,
    /// Insulation, Mohm.
    Insulation,
    /// Leakage resistance, kohm.
    Leakage,
    /// Hours.
    Hours,
    /// Per cent.
    Percent,
    /// Seconds.
    Seconds,
    /// Minutes.
    Minutes,
    /// A count or a ratio, no unit.
    Plain,
}

/// How a quantity is shown: factor from the stored unit, unit, finest step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// Shown value over stored value.
    pub factor: f64,
    /// Unit beside the number; empty when there is none.
    pub unit: &'static str,
    /// Finest step, in the shown unit.
    pub step: f64,
}

/// Feet in a metre (international foot, exactly 0.3048 m).
const FT_PER_M: f64 = 1.0 / 0.3048;
/// US gallons in a litre (231 cubic inches, exactly 3.785411784 L).
const GAL_PER_L: f64 = 1.0 / 3.785_411_784;
/// Psi in a kilopascal (1 lbf/in2 = 6894.757293 Pa; NIST SP 811, appendix B.8).
const PSI_PER_KPA: f64 = 1.0 / 6.894_757_293;

impl Quantity {
    /// Quantity of a channel.
    pub const fn of(channel: Channel) -> Quantity {
        match channel {
            Channel::ArrayV | Channel::OutputV => Quantity::Voltage,
            Channel::ArrayA | Channel::PhaseUA | Channel::PhaseVA | Channel::PhaseWA => Quantity::Current,
            Channel::MotorRpm => Quantity::Speed,
            Channel::ControllerC | Channel::ModuleC | Channel::AirC => Quantity::Temperature,
            Channel::IrradianceWM2 => Quantity::Irradiance,
            Channel::FlowM3H => Quantity::Flow,
            Channel::WellheadKpa => Quantity::Pressure,
            Channel::WaterLevelM => Quantity::Depth,
            Channel::TankLevelPct => Quantity::Percent,
            Channel::VolumeM3 => Quantity::Total,
            Channel::EnergyKwh => Quantity::Energy,
        }
    }

    /// Quantity of a stored unit as the contract writes it; [`Quantity::Plain`] when it is none of ours.
    pub fn of_unit(unit: &str) -> Quantity {
        match unit {
            "m3/h" => Quantity::Flow,
            "L" => Quantity::Litres,
            "m3" => Quantity::Total,
            "m" | "m below wellhead" => Quantity::Depth,
            "kPa" | "kPa gauge" => Quantity::Pressure,
            "W" => Quantity::Power,
            "kWh" => Quantity::Energy,
            "A" | "A rms" => Quantity::Current,
            "V" => Quantity::Voltage,
            "rpm" => Quantity::Speed,
            "degC" => Quantity::Temperature,
            "W/m2" => Quantity::Irradiance,
            "ohm" => Quantity::Resistance,
            "Mohm" => Quantity::Insulation,
            "kohm" => Quantity::Leakage,
            "h" => Quantity::Hours,
            "%" => Quantity::Percent,
            "s" => Quantity::Seconds,
            "min" => Quantity::Minutes,
            _ => Quantity::Plain,
        }
    }

    /// Zero is a place that the eye looks for: nothing flows, nothing is drawn.
    pub const fn has_zero(self) -> bool {
        matches!(
            self,
            Quantity::Flow | Quantity::Litres | Quantity::Total | Quantity::Power | Quantity::Energy
        )
    }

    /// How it is shown under a choice of units.
    pub const fn shown(self, units: Units) -> Shown {
        const fn s(factor: f64, unit: &'static str, step: f64) -> Shown {
            Shown { factor, unit, step }
        }
        match self {
            Quantity::Flow => match units.volume {
                VolumeUnit::Litres => s(1.0, "m3/h", 0.1),
                VolumeUnit::UsGallons => s(1000.0 * GAL_PER_L / 60.0, "gpm", 0.1),
            },
            Quantity::Litres => match units.volume {
                VolumeUnit::Litres => s(1.0, "L", 10.0),
                VolumeUnit::UsGallons => s(GAL_PER_L, "gal", 10.0),
            },
            Quantity::Total => match units.volume {
                VolumeUnit::Litres => s(1.0, "m3", 0.1),
                VolumeUnit::UsGallons => s(GAL_PER_L, "kgal", 0.1),
            },
            Quantity::Depth => match units.depth {
                DepthUnit::Metres => s(1.0, "m", 0.1),
                DepthUnit::Feet => s(FT_PER_M, "ft", 1.0),
            },
            Quantity::Pressure => match units.pressure {
                PressureUnit::Kilopascals => s(1.0, "kPa", 1.0),
                PressureUnit::Psi => s(PSI_PER_KPA, "psi", 1.0),
            },
            Quantity::Power => s(1.0, "W", 1.0),
            Quantity::Energy => s(1.0, "kWh", 0.1),
            Quantity::Current => s(1.0, "A", 0.1),
            Quantity::Voltage => s(1.0, "V", 1.0),
            Quantity::Speed => s(1.0, "rpm", 1.0),
            Quantity::Temperature => s(1.0, "°C", 1.0),
            Quantity::Irradiance => s(1.0, "W/m2", 1.0),
            Quantity::Resistance => s(1.0, "ohm", 0.01),
            Quantity::Insulation => s(1.0, "Mohm", 0.001),
            Quantity::Leakage => s(1.0, "kohm", 1.0),
            Quantity::Hours => s(1.0, "h", 0.1),
            Quantity::Percent => s(1.0, "%", 1.0),
            Quantity::Seconds => s(1.0, "s", 1.0),
            Quantity::Minutes => s(1.0, "min", 1.0),
            Quantity::Plain => s(1.0, "", 0.01),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_channel_has_a_quantity_in_its_own_unit() {
        for c in Channel::ALL {
            assert_eq!(Quantity::of(c), Quantity::of_unit(c.unit()), "{}", c.code());
        }
    }

    #[test]
    fn conversions_are_the_defined_ones() {
        // NIST SP 811 (2008) appendix B: 1 ft = 0.3048 m, 1 US gal = 3.785412 L, 1 psi = 6.894757 kPa.
        let us = Units::US;
        assert!((Quantity::Depth.shown(us).factor * 0.3048 - 1.0).abs() < 1e-12);
        assert!((Quantity::Litres.shown(us).factor * 3.785_412 - 1.0).abs() < 1e-6);
        assert!((Quantity::Pressure.shown(us).factor * 6.894_757 - 1.0).abs() < 1e-6);
        // 1 m3/h is 4.402868 US gallons a minute (same source: 1 gal/min = 6.309020e-5 m3/s).
        assert!((Quantity::Flow.shown(us).factor - 1.0 / (6.309_020e-5 * 3600.0)).abs() < 1e-5);
    }
}
