//! Checks that the plant is sound physics and that its files are well formed.

mod cases;
mod parts;
mod systems;
