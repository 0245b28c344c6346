//! The core for other languages: every object holds one of the core's and forwards to it in a line.
//!
//! No business logic stands here. What crosses is small and flat (a screen state, a list of causes) or one
//! text (findings JSON); a call costs microseconds, so there are few of them. Times are milliseconds since
//! 1970, because dates lose digits on the way.
//!
//! | you look for | file |
//! |---|---|
//! | the object that a shell holds | [`Wellwright`] in `wellwright.rs` |
//! | the moment, given to an observer | [`NowView`], [`NowObserver`], [`Subscription`] |
//! | the answer | [`FindingView`] |
//! | what is thrown | [`WellwrightError`] |

// The generated half calls with owned values, so that is what these functions take.
#![allow(clippy::needless_pass_by_value)]

mod error;
mod finding;
mod now;
mod observer;
mod system;
mod wellwright;

pub use error::WellwrightError;
pub use finding::{CauseView, FindingView, NextCheckView, SeverityView, Verdict};
pub use now::{NowView, ReadingView, Stage};
pub use observer::{NowObserver, Subscription};
pub use system::{DemoRecord, Simulation, SystemView, demo_records};
pub use wellwright::Wellwright;

uniffi::setup_scaffolding!();
