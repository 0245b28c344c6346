//! Invented systems: families of sizes and voltages, sized so that a healthy one lifts water.

mod families;
mod places;
mod sizing;

pub use families::{FAMILIES, Family};
pub use places::MODULES;
pub use sizing::{Drawn, draw_system};
