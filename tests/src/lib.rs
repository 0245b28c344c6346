//! Support for the tests of the whole: nothing of the product imports this crate.

pub mod plant;
