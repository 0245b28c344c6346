//! The only place that joins the floors below: sessions, assessments, views, texts, pages.
//!
//! | you look for | file |
//! |---|---|
//! | the object that shells hold | [`facade`] |
//! | record, rows and checks to a finding | [`assess`] |
//! | what should happen at a moment (expect JSON) | [`expect`] |
//! | would the system as recorded work and last | [`design`] |
//! | the healthy plant with its spread | [`model`] |
//! | measured against expected, now | [`live`], [`now`] |
//! | radio to store | [`session`], [`frame_clock`] |
//! | the page | [`report`], [`page`] |
//! | pictures | [`scene`] |
//! | words, numbers, units | [`text`] |
//! | tools that checks need | [`tools`] |
//! | what a shell is told when something fails | [`error`] |

pub mod assess;
pub mod design;
pub mod error;
pub mod expect;
pub mod facade;
pub mod frame_clock;
pub mod live;
pub mod model;
pub mod now;
pub mod page;
pub mod report;
pub mod scene;
pub mod session;
pub mod text;
pub mod tools;

pub use error::{AppError, ErrorKind};
pub use facade::{App, NowView, Observer, Simulated, Subscription, SystemInfo};

pub use wellwright_device::find::{Found, Nearness};
pub use wellwright_sim::Fault as SimulatedFault;
