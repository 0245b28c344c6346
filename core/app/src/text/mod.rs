//! Texts: the catalogue by id, and how numbers, units and times are written.
//!
//! The arithmetic speaks in codes and SI numbers; this is the only place where they become words. No
//! text decides anything. `en.txt` holds the English catalogue; a translation is another such file.
//!
//! | you look for | file |
//! |---|---|
//! | a text by id | [`Catalogue`] |
//! | quantities, their display units, how fine they are written | [`quantity`] |
//! | numbers, intervals, distances | [`Words`] |
//! | clock times, ages, durations | [`time`] |
//! | names of causes, checks, channels, regimes | [`names`] |
//! | one sentence for one piece of evidence | [`evidence`] |
//! | the sentence that answers the question | [`headline`] |
//! | what a recording from a good day added | [`baseline`] |
//! | why a check comes next, which answers disagree | [`why`] |

pub mod baseline;
mod catalogue;
pub mod evidence;
pub mod headline;
pub mod names;
mod number;
pub mod quantity;
pub mod time;
pub mod why;

pub use catalogue::{Catalogue, CatalogueError};
pub use number::{Amount, Words};
pub use quantity::{DepthUnit, PressureUnit, Quantity, Units, VolumeUnit};
