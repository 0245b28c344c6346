//! Faults with a known cause: what each does to the installation, what a person then notices and has
//! touched, and which sun it needs. A new cause is one [`Fault`] in one of the files beside this one,
//! and its line in [`ALL`].

mod array;
mod electrical;
mod none;
mod water;

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::{Noticed, Touched};

use super::dice::Dice;
use super::plant::Plant;

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
    /// Flow of the healthy installation at 900 W/m2, m3/s.
    pub flow_900: f64,
    /// Draws.
    pub dice: &'a mut Dice,
    /// Set when the case is a stop that is meant.
    pub stand_by: Option<StandBy>,
}

/// One cause.
pub struct Fault {
    /// Its code.
    pub cause: Cause,
    /// Light it needs.
    pub sun: Sun,
    /// Does the damage; gives the severity in the unit of the contract.
    pub damage: fn(&mut Damage) -> Option<f64>,
    /// What is noticed, and how often.
    pub noticed: &'static [(Noticed, f64)],
    /// What was touched when this came after a repair.
    pub touched: &'static [Touched],
}

/// Every cause that this plant can show.
pub const ALL: [&Fault; 10] = [
    &none::HEALTHY,
    &none::LOW_SUN,
    &none::STANDING_BY,
    &electrical::REVERSED_ROTATION,
    &electrical::OPEN_PHASE,
    &electrical::HIGH_RESISTANCE_JOINT,
    &electrical::UNDERSIZED_DROP_CABLE,
    &water::DRY_RUNNING,
    &water::CLOSED_VALVE,
    &array::PARTIAL_SHADE,
];

/// The fault with this cause.
pub fn of(cause: Cause) -> Option<&'static Fault> {
    ALL.into_iter().find(|f| f.cause == cause)
}
