//! Checks made by hand, as evidence: each tells its cause from a healthy system, both ways.

mod bench;
mod contradictions;
mod each;
mod later;
mod levels;
mod next;
mod published;
mod rows;
mod safe;
