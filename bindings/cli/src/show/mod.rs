//! What is printed. Texts come from the catalogue; numbers are written by the app.

pub mod design;
pub mod expect;
pub mod finding;
pub mod live;
pub mod span;
