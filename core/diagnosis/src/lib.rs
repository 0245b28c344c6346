//! Why it does not do what it should: ranked causes with evidence. Pure: no clock, no I/O, no chance.
//!
//! The way of one look, and where each step stands:
//!
//! | step | file |
//! |---|---|
//! | what is asked | [`case`] |
//! | steady stretches, stops and starts out of the rows since a fault set in | [`window`] |
//! | does it run now | [`running`] |
//! | what speaks before anything is measured | [`prior`] |
//! | how far healthy systems lie from their record | [`nuisance`] |
//! | what a recording from a good day narrows | [`baseline`] |
//! | what each channel would read under a hypothesis | [`predict`] |
//! | how likely the measurements are then | [`likelihood`] |
//! | the causes: what each does to the plant | [`causes`] |
//! | checks made by hand as evidence | [`checks`] |
//! | how well each hypothesis explains the look | [`score`] |
//! | readings that no array can give | [`impossible`] |
//! | sensors that all other readings refute | `refuted` |
//! | probabilities, severities | [`rank`] |
//! | two causes at once | [`pairs`] |
//! | what is believed, alone and in pairs | `belief` |
//! | evidence in bits | [`evidence`] |
//! | verdict and stop-now | [`verdict`] |
//! | the check that saves most | [`next_check`] |
//!
//! [`explain`] is the one call. Beside it stands [`drift`]: slow change from day to day, which no single look tells.

pub mod baseline;
mod belief;
pub mod case;
pub mod causes;
pub mod checks;
pub mod drift;
pub mod evidence;
mod explain;
pub mod impossible;
pub mod likelihood;
pub mod next_check;
pub mod nuisance;
pub mod pairs;
pub mod predict;
pub mod prior;
pub mod rank;
mod refuted;
pub mod running;
pub mod score;
pub mod verdict;
pub mod window;

pub use case::Case;
pub use explain::{DiagnosisError, explain};

/// Version of the model behind a finding; part of every finding.
pub const MODEL_VERSION: &str = concat!("diagnosis ", env!("CARGO_PKG_VERSION"));
