//! What things are: the record of a system, the channels that are measured, checks, causes, findings.
//!
//! Nothing here computes physics and nothing touches the outside world. Where to start:
//!
//! | you look for | file |
//! |---|---|
//! | the system as built (`*.system.toml`) | [`record`] |
//! | a measured quantity, its unit and plausible range | [`channel`] |
//! | one row of telemetry | [`sample`] |
//! | the codes of causes and their priors | [`cause`] |
//! | checks made by hand and their cautions | [`check`], [`caution`] |
//! | the verdict that goes out | [`finding`] |
//! | which lead goes where, and which way the pump turns | [`lead_map`] |
//! | reading and writing the files at the edge, with errors that help | [`files`] |
//! | the two invented demo systems | [`examples`] |
//! | litres or gallons, metres or feet, at display | [`units`] |

pub mod baseline;
pub mod cause;
pub mod caution;
pub mod channel;
pub mod check;
pub mod examples;
pub mod files;
pub mod finding;
pub mod flags;
pub mod lead_map;
pub mod record;
pub mod sample;
pub mod situation;
pub mod units;
