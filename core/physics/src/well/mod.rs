//! The well: how far its water falls when pumped and how it comes back.
//!
//! [`StepDrawdown`] is what the record keeps and the operating point uses; [`theis`] and [`recovery`] are
//! the flow in the aquifer behind it; [`fit`] gets their parameters from measured levels. The record's
//! coefficients are per m3/h; the aquifer functions use days and m3/d as the books do.

pub mod fit;
pub mod recovery;
pub mod step;
pub mod theis;

pub use step::StepDrawdown;
