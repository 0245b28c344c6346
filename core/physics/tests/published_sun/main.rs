//! Sun, clear sky, tilted plane, glass and air against published and independently computed numbers.
//!
//! Every fixture names its source and the call that made it in its first lines.

mod fixture;
mod glass_and_air;
mod position;
mod properties;
mod rise_set;
mod sky;
