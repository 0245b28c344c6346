//! Pump, motor, controller, protection, tank, demand and access.

use serde::{Deserialize, Serialize};

/// The two kinds of pump end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PumpKind {
    /// Multistage centrifugal.
    Centrifugal,
    /// Helical rotor (progressing cavity).
    HelicalRotor,
}

/// Pump end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pump {
    /// Kind.
    pub kind: PumpKind,
    /// Speed that the curve or the other data stand for, rpm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rated_rpm: Option<f64>,
    /// Centrifugal: rows of flow m3/h, head m, hydraulic efficiency 0 to 1, at rated speed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub curve: Option<Vec<[f64; 3]>>,
    /// NPSH required, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub npsh_required_m: Option<f64>,
    /// Centrifugal: shaft power at no flow over shaft power at the best point, same speed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shutoff_power_share: Option<f64>,
    /// Helical rotor: displacement, cm3 a revolution.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub displacement_cm3_per_rev: Option<f64>,
    /// Helical rotor: leakage back, m3/h per m of head, independent of speed, as new.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slip_m3h_per_m: Option<f64>,
    /// Helical rotor: friction of rotor in stator while running, N m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub friction_torque_nm: Option<f64>,
    /// Helical rotor: torque to break away, N m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub break_away_torque_nm: Option<f64>,
}

/// Motor: three-wire permanent-magnet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Motor {
    /// Pole pairs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pole_pairs: Option<u32>,
    /// Back-EMF constant at 20 degC, V rms line to line per 1000 rpm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ke_v_rms_ll_per_krpm: Option<f64>,
    /// Resistance between two leads, motor alone, 20 degC, ohm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line_resistance_ohm: Option<f64>,
    /// Rated current, A rms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rated_a_rms: Option<f64>,
    /// Bearings, seal, water drag and iron loss at rated speed, N m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_load_torque_nm: Option<f64>,
    /// Inductance line to line, mH.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inductance_mh_ll: Option<f64>,
    /// Outer diameter, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outer_mm: Option<f64>,
    /// Least water speed past the motor, m/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub min_cooling_m_s: Option<f64>,
}

/// How the controller drives the motor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Drive {
    /// Sinusoidal, current-controlled: keeps the three currents equal while it has voltage to spare.
    FieldOriented,
    /// Block commutation: two leads carry the current at a time.
    SixStep,
}

/// Controller.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Controller {
    /// Name of the profile that maps its Bluetooth data to channels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub profile: Option<String>,
    /// Serial number: the identity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub serial: Option<String>,
    /// Drive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drive: Option<Drive>,
    /// Output power over input power, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Lowest DC voltage, V.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub min_v: Option<f64>,
    /// Highest DC voltage, V.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_v: Option<f64>,
    /// Power limit, W.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_power_w: Option<f64>,
    /// Phase current limit, A rms.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_phase_a_rms: Option<f64>,
    /// Lowest speed, rpm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub min_rpm: Option<f64>,
    /// Highest speed, rpm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_rpm: Option<f64>,
    /// Heat-sink temperature from which it holds back, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub derate_from_c: Option<f64>,
}

/// Protection that is fitted; an absent key is not fitted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Protection {
    /// Depth of a dry-run probe, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dry_probe_depth_m: Option<f64>,
    /// A tank float is wired.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tank_float: bool,
    /// The controller trips when the motor takes far too little power for its speed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub under_load_trip: bool,
}

/// Where a flow meter sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FlowPlace {
    /// At the wellhead.
    Wellhead,
    /// At the tank.
    Tank,
}

/// Tank.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Tank {
    /// Volume, m3.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_m3: Option<f64>,
}

/// What the owner needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Demand {
    /// Litres a day by month, January first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub litres_per_day: Option<[f64; 12]>,
}

/// What can be done at this place; an absent key is not known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Access {
    /// A sounder can be lowered.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sounding: Option<bool>,
    /// There is a place for a gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gauge_port: Option<bool>,
    /// There is a valve at the wellhead.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wellhead_valve: Option<bool>,
    /// A bucket can be held under the outlet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outlet_reachable: Option<bool>,
}
