//! Support for the tests of the whole: nothing of the product imports this crate.

#[cfg(target_os = "linux")]
pub mod bare;
pub mod bluez;
pub mod evaluate;
pub mod files;
pub mod plant;
pub mod rows;
