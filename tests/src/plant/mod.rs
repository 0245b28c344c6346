//! An independent plant: invented systems with a fault that is known, seen through imperfect sensors.
//!
//! It judges the diagnosis, so it shares nothing with it but the file formats: other equations for every
//! part (see `README.md` beside this file), tolerances drawn for every case, records that are wrong the
//! way records are. The same order always makes the same case.
//!
//! | you look for | file |
//! |---|---|
//! | making a case | [`case`], [`plan`], [`site`] |
//! | the causes, one entry each | [`faults`] |
//! | invented systems, and those that work | [`record`], [`working`] |
//! | how the real one differs from its record | [`as_built`], [`joints`] |
//! | sun, clouds, panels | [`sun`], [`sky`], [`panel`] |
//! | motor, controller, pump, pipe, well | [`motor`], [`drive`], [`pump`], [`pipe`], [`path`], [`well`] |
//! | where they meet, and how it goes on in time | [`plant`], [`balance`], [`run`] |
//! | when somebody looks, and what is recorded and told | [`window`], [`sensors`], [`measure`], [`circumstances`] |
//! | what a person measures by hand | [`hand`] |

pub mod as_built;
pub mod balance;
pub mod case;
pub mod circumstances;
pub mod dice;
pub mod drive;
pub mod faults;
pub mod files;
pub mod hand;
pub mod joints;
pub mod measure;
pub mod motor;
pub mod panel;
pub mod path;
pub mod pipe;
pub mod plan;
#[allow(clippy::module_inception)]
pub mod plant;
pub mod pump;
pub mod record;
pub mod run;
pub mod sensors;
mod shows;
pub mod site;
pub mod sky;
pub mod solve;
pub mod sun;
pub mod well;
pub mod window;
pub mod working;

#[cfg(test)]
mod sanity;

pub use case::{Case, Mix, Order, make};
pub use faults::Outside;
pub use sensors::SensorSet;
