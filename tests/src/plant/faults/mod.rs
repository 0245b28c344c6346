//! Faults with a known cause: what each does to the installation, what a person then notices and has
//! touched, and which sun it needs. A new cause is one [`Fault`] in one of the files beside this one,
//! and its line in [`ALL`].

mod array;
mod controller;
mod electrical;
mod none;
mod outside;
mod pump;
mod record;
mod sensor;
mod water;

use wellwright_domain::cause::Cause;
use wellwright_domain::record::System;
use wellwright_domain::situation::{Noticed, Touched};

use super::dice::Dice;
use super::plant::Plant;
use super::run::Truth;
use super::sensors::Panel;
pub use outside::Outside;

/// Light that a case needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sun {
    /// A healthy system would lift water for most of the window.
    Enough,
    /// A healthy system would lift none.
    TooLittle,
    /// Any, night included.
    Any,
}

/// Why a system stands by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StandBy {
    /// The tank is full.
    Full,
    /// A person switched it off.
    Off,
    /// Night.
    Night,
}

/// The installation that a fault changes, and what the fault may look at.
pub struct Damage<'a> {
    /// As built and healthy so far.
    pub plant: &'a mut Plant,
    /// The record.
    pub system: &'a System,
    /// Flow of the healthy installation at 900 W/m2, m3/s.
    pub flow_900: f64,
    /// Draws.
    pub dice: &'a mut Dice,
    /// Set when the case is a stop that is meant.
    pub stand_by: Option<StandBy>,
    /// Set when this installation cannot have the fault: another is drawn.
    pub unfit: bool,
}

/// What came of it, to tell a severity that only the recording can.
pub struct Shown<'a> {
    /// As it stood, fault included.
    pub plant: &'a Plant,
    /// Before the fault.
    pub healthy: &'a Plant,
    /// Row by row.
    pub truth: &'a [Truth],
}

/// Tells a severity from what was shown and the one that was drawn.
pub type Judge = fn(&Shown, Option<f64>) -> Option<f64>;

/// One cause.
pub struct Fault {
    /// Its code.
    pub cause: Cause,
    /// Light it needs.
    pub sun: Sun,
    /// Does the damage; gives the severity in the unit of the contract.
    pub damage: fn(&mut Damage) -> Option<f64>,
    /// What it does to the instruments instead; gives the severity.
    pub instruments: Option<fn(&mut Panel, &mut Dice) -> Option<f64>>,
    /// Severity as the recording shows it, given the one that was drawn; the case is drawn again when that is `None`.
    pub judge: Option<Judge>,
    /// It shows after a stop: people who look for it switch off and on.
    pub stops: bool,
    /// What is noticed, and how often.
    pub noticed: &'static [(Noticed, f64)],
    /// What was touched when this came after a repair.
    pub touched: &'static [Touched],
}

impl Fault {
    /// Changes nothing.
    pub const PLAIN: Fault = Fault {
        cause: Cause::Healthy,
        sun: Sun::Enough,
        damage: |_| None,
        instruments: None,
        judge: None,
        stops: false,
        noticed: &[],
        touched: &[],
    };
}

/// Where a function that falls with the logarithm of its argument between 10^`low` and 10^`high` meets `aim`.
fn falls_to(aim: f64, (mut low, mut high): (f64, f64), f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..26 {
        let mid = f64::midpoint(low, high);
        if f(10.0_f64.powf(mid)) > aim { low = mid } else { high = mid }
    }
    10.0_f64.powf(low)
}

/// Every cause that this plant can show, in the order of the contract.
pub const ALL: [&Fault; 44] = [
    &none::HEALTHY,
    &none::LOW_SUN,
    &none::STANDING_BY,
    &electrical::REVERSED_ROTATION,
    &electrical::OPEN_PHASE,
    &electrical::HIGH_RESISTANCE_JOINT,
    &electrical::UNDERSIZED_DROP_CABLE,
    &electrical::DC_SIDE_LOSS,
    &electrical::INSULATION_FAULT,
    &electrical::WINDING_FAULT,
    &electrical::WEAK_MAGNETS,
    &water::DRY_RUNNING,
    &water::WELL_YIELD_LIMIT,
    &water::STATIC_LEVEL_DROP,
    &water::CLOGGED_SCREEN,
    &water::CLOSED_VALVE,
    &water::NARROWED_PIPE,
    &water::RISER_LEAK,
    &water::CHECK_VALVE_LEAK,
    &pump::WORN_PUMP,
    &pump::BLOCKED_INTAKE,
    &pump::SEIZED_PUMP,
    &pump::BROKEN_SHAFT,
    &water::BLOCKED_RISER,
    &pump::MECHANICAL_DRAG,
    &pump::GAS_IN_WATER,
    &array::PARTIAL_SHADE,
    &array::SOILING,
    &array::OPEN_STRING,
    &array::NO_DC_SUPPLY,
    &array::SHORTED_BYPASS,
    &record::RECORD_MISMATCH,
    &record::EQUIPMENT_MISMATCH,
    &controller::CONTROLLER_OVERHEATING,
    &controller::CONTROLLER_FAILED,
    &controller::LIMIT_SET_LOW,
    &controller::POWER_TRACKING_STUCK,
    &controller::STUCK_FLOAT,
    &controller::FALSE_DRY_SIGNAL,
    &sensor::IRRADIANCE_SENSOR_ERROR,
    &sensor::FLOW_METER_ERROR,
    &sensor::LEVEL_SENSOR_ERROR,
    &sensor::PRESSURE_SENSOR_ERROR,
    &sensor::CLOCK_ERROR,
];

/// The fault with this cause.
pub fn of(cause: Cause) -> Option<&'static Fault> {
    ALL.into_iter().find(|f| f.cause == cause)
}
