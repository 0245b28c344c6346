//! The record: one system as built, as in `*.system.toml`.
//!
//! Only the name, the site, the kind of pump and the depth of the intake are required; everything else
//! is an `Option`, because most wells that need help have no record. What is absent is filled with a
//! wide class prior by whoever computes, and listed as assumed. Units are in the field names.

mod array;
mod joint;
mod parts;
mod sensors;
mod water;

pub use array::{Array, Conductor, DcCable, HorizonPoint, Module, Mounting};
pub use joint::{Cable, Joint, JointMap};
pub use parts::{Access, Controller, Demand, Drive, FlowPlace, Motor, Protection, Pump, PumpKind, Tank};
pub use sensors::{SensorClass, Sensors};
pub use water::{Delivery, PipeMaterial, Site, Well};

use serde::{Deserialize, Serialize};

/// Version of the file format that this program writes.
pub const SCHEMA: u32 = 1;

/// The version that a record without `schema` has.
fn first_schema() -> u32 {
    1
}

/// The system as built.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct System {
    /// Version of the file format; absent is 1.
    #[serde(default = "first_schema")]
    pub schema: u32,
    /// Name the owner uses.
    pub name: String,
    /// Telemetry file, beside the record, from a time when the system was known to be good.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub baseline: Option<String>,
    /// Where it stands.
    pub site: Site,
    /// Borehole.
    pub well: Well,
    /// Pipes from pump to outlet.
    #[serde(default)]
    pub delivery: Delivery,
    /// Pump end.
    pub pump: Pump,
    /// Motor.
    #[serde(default)]
    pub motor: Motor,
    /// Drop cable and its joints.
    #[serde(default)]
    pub cable: Cable,
    /// Panels.
    #[serde(default)]
    pub array: Array,
    /// Cable from array to controller.
    #[serde(default)]
    pub dc_cable: DcCable,
    /// Controller.
    #[serde(default)]
    pub controller: Controller,
    /// Absent: not known. Present: an absent key means not fitted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
    /// Added sensors only.
    #[serde(default)]
    pub sensors: Sensors,
    /// Tank.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tank: Option<Tank>,
    /// What the owner needs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub demand: Option<Demand>,
    /// What can be done there; absent is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub access: Option<Access>,
}
