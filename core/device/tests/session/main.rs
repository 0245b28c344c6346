//! Traces of the session machine: events and times in, effects out.

mod follow;
mod refuse;
mod support;
