//! The only place that joins the floors below: sessions, views, texts, pages.

pub mod page;
pub mod scene;
pub mod text;
