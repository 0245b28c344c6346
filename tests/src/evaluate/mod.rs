//! How well the ranking does on cases of the independent plant: made in numbers, explained, counted, drawn.
//!
//! | you look for | file |
//! |---|---|
//! | which cases, how many, from which seeds | [`plan`] |
//! | many cases at once, with progress | [`work`] |
//! | one case judged | [`judge`] |
//! | checks made one after the other | [`walk`] |
//! | the fixed textbook order of checks | [`textbook`] |
//! | intervals, calibration | [`stats`] |
//! | the numbers over all cases | [`summary`] |
//! | as words, as JSON and as a page | [`words`], [`page`] |
//! | what physics allows | [`oracle`] |
//! | the log of what was opened | [`openings`] |

pub mod judge;
pub mod openings;
pub mod oracle;
pub mod page;
pub mod plan;
pub mod stats;
pub mod summary;
pub mod textbook;
pub mod walk;
pub mod words;
pub mod work;

pub use judge::{Judged, judge};
pub use plan::{Plan, Split};
pub use summary::Summary;
