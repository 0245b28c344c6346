//! One session with one controller as a pure machine: an event and the time go in, effects come out.
//!
//! ```text
//!            start                found                connected
//!   idle ──────────► searching ─────────► connecting ────────────► reading nameplate
//!                      ▲   ▲                  │                          │ right serial
//!            time is up│   │ not this one     │ failed                   ▼
//!                      │   └──────────────┐   ▼          lost      subscribing
//!                  waiting to try again ◄─┴───────────────────────       │ subscribed
//!                      ▲                                                 ▼
//!                      └──────────────── lost, silent, flooding ──── following
//!
//!   every state ──── stop, or what only a person can mend ────► ended
//! ```
//!
//! Nothing here waits, reads a clock or touches a radio, so every trace can be tested. The rules:
//! - Identity is the serial number. The first that was read, or the one asked for, is the only one that is
//!   followed; a peripheral that changes its serial is refused and the session ends.
//! - Subscriptions are made again after every connection, whatever the platform remembers.
//! - Silence is a fault even when no lost link was reported, because phones lose that event.
//! - What comes from an earlier attempt (its number differs) is left out.
//! - Memory is bounded, and a flood costs a session, nothing else.

mod backoff;
mod budget;
mod candidates;
mod card;
mod effect;
mod event;
mod follow;
mod machine;
mod phase;
mod policy;
mod reason;
mod tracker;

pub use backoff::Backoff;
pub use candidates::{Candidates, PeripheralId, Sighting};
pub use card::{Card, RawCard};
pub use effect::{Effect, Notice, Received};
pub use event::Event;
pub use machine::Session;
pub use phase::Phase;
pub use policy::{Policy, Target};
pub use reason::{EndReason, Reason};
pub use tracker::{Place, Tracker};
