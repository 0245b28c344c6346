//! What is wrong with a plant. The default is: nothing. A cause is a change to this.

use crate::hydraulics::WaterCondition;
use crate::motor::LeadCondition;
use crate::pump::PumpCondition;

/// Shade on part of the array.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shade {
    /// Share of the substrings in shade, 0..1.
    pub share: f64,
    /// Irradiance in the shade over that in the sun, 0..1.
    pub darkness: f64,
    /// The shade lies on as few strings as it can (else evenly on all).
    pub gathered: bool,
    /// The controller holds the peak at high voltage although another is higher.
    pub right_peak: bool,
}

/// What is wrong with the array; the default is nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArrayCondition {
    /// Shade.
    pub shade: Option<Shade>,
    /// Current of the whole array over that of a clean one.
    pub current_ratio: f64,
    /// Strings that carry nothing.
    pub open_strings: u32,
    /// Substrings that conduct through their bypass diode, over the whole array.
    pub missing_substrings: f64,
    /// They sit in as few strings as hold them (else evenly in all).
    pub missing_gathered: bool,
    /// Voltage over the record's (modules in series, type).
    pub voltage_ratio: f64,
    /// Extra resistance between array and controller, ohm.
    pub dc_ohm: f64,
}

impl Default for ArrayCondition {
    fn default() -> Self {
        ArrayCondition {
            shade: None,
            current_ratio: 1.0,
            open_strings: 0,
            missing_substrings: 0.0,
            missing_gathered: false,
            voltage_ratio: 1.0,
            dc_ohm: 0.0,
        }
    }
}

/// What is wrong with the controller; the default is nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControllerCondition {
    /// Share of the power that it could use and does not take.
    pub power_not_taken: f64,
    /// Highest speed over the record's.
    pub speed_share: f64,
    /// Limit of phase current over the record's.
    pub current_share: f64,
    /// Limit of DC power over the record's.
    pub power_share: f64,
}

impl Default for ControllerCondition {
    fn default() -> Self {
        ControllerCondition { power_not_taken: 0.0, speed_share: 1.0, current_share: 1.0, power_share: 1.0 }
    }
}

/// All that is wrong with a plant.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Condition {
    /// Pump end.
    pub pump: PumpCondition,
    /// Motor and leads.
    pub lead: LeadCondition,
    /// Well and pipes.
    pub water: WaterCondition,
    /// Array.
    pub array: ArrayCondition,
    /// Controller.
    pub controller: ControllerCondition,
}
