//! A simulated plant and controller: the embedded default, the demo and the test bench.
//!
//! Everything here is invented and says so. The true plant differs from its record by ordinary tolerances,
//! its sensors err as their class says, and its controller stops and trips as real ones do; what it tells
//! goes out in the same frames as from a real controller. The product's arithmetic never uses this crate.
//!
//! ```
//! use wellwright_domain::{cause::Cause, examples::kestrel_hollow};
//! use wellwright_sim::{Fault, Scenario};
//!
//! let system = kestrel_hollow();
//! let scenario = Scenario::plan(&system, Fault::of(Cause::ReversedRotation), 1)?.with_length_s(300);
//! let recording = scenario.run(&system)?;
//! assert_eq!(recording.samples.len(), 300);
//! # Ok::<(), wellwright_sim::SimError>(())
//! ```
//!
//! | you look for | file |
//! |---|---|
//! | what to play, and what the person would say | [`scenario`] |
//! | the whole system, second by second | [`system`] |
//! | what a cause does to a plant | [`fault`] |
//! | how a plant differs from its record | [`tolerance`] |
//! | clouds, air, module temperature | [`weather`], [`module_heat`] |
//! | the water in the well | [`well_level`] |
//! | start, run, stop, trip | [`controller`] |
//! | what is measured, and how wrongly | [`sensors`] |
//! | frames over the in-process link | [`stream`] |

pub mod controller;
pub mod dice;
pub mod error;
pub mod fault;
pub mod module_heat;
mod outputs;
pub mod scenario;
pub mod sensors;
pub mod stream;
pub mod system;
pub mod tolerance;
pub mod weather;
pub mod well_level;

pub use error::SimError;
pub use fault::Fault;
pub use scenario::{Recording, Scenario};
pub use stream::{Pace, SimController};
pub use system::{SimSystem, Truth};
pub use weather::Weather;
