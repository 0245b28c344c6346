//! Two at once: two causes, and two windows.

mod baseline;
mod pairs;
mod row;
mod rows;
