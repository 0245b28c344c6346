//! Days and years: how much water comes when the sun goes its way, step by step.
//!
//! [`clear_day`] and [`year_sky`] make the series of light (clear days, or a year scaled to the irradiation
//! of each month), [`Simulation`] walks through it: start threshold, tank, wells that run dry and cycle, and
//! [`year()`] sums up.

mod sky;
mod step;
mod tank;
mod year;

pub use sky::{Climate, SkyStep, clear_day, year_sky};
pub use step::{Rules, Simulation, Step, Why};
pub use tank::{Tank, TankState};
pub use year::{Month, Year, day, year};
