//! What the controller says: the open Bluetooth profile, its frames, the session machine and the links.
//!
//! This is the only crate that knows Bluetooth. It only reads: no port, type or function here can carry
//! a command to a controller. Where to start:
//!
//! | you look for | file |
//! |---|---|
//! | the profile, byte by byte | `PROFILE.md` beside this crate's `Cargo.toml` |
//! | service and characteristic identifiers | [`profile`] |
//! | one live frame, and a [`Sample`](wellwright_domain::sample::Sample) from it | [`frame`] |
//! | how a frame is cut into notifications and put together again | [`part`] |
//! | who the controller says it is, its limits, its clock | [`identity`], [`nameplate`], [`status`] |
//! | connecting, losing, coming back: the pure machine | [`session`] |
//! | what a radio must offer | [`link`] |
//! | a real radio, a capture, an in-process controller | [`btleplug_link`], [`replay_link`], [`memory_link`] |
//! | the task that runs a session on a link | [`driver`] |
//! | which controllers are in reach | [`find`] |

pub mod btleplug_link;
pub mod capture;
pub mod crc;
pub mod driver;
pub mod error;
pub mod find;
pub mod frame;
pub mod identity;
pub mod layout;
pub mod link;
pub mod memory_link;
pub mod nameplate;
pub mod part;
pub mod profile;
pub mod queue;
pub mod replay_link;
pub mod session;
pub mod status;
pub mod wire;

#[cfg(target_os = "linux")]
use dbus as _; // named only to build libdbus from source
