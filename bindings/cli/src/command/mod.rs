//! One file a command.

pub mod deliver;
pub mod design;
pub mod expect;
pub mod explain;
pub mod find;
pub mod follow;
pub mod interrupt;
pub mod play;
