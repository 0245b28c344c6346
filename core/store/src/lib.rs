//! What is kept: frames, readings, records, checks and findings, in one SQLite file.
//!
//! ```no_run
//! use wellwright_store::{Options, Store};
//! let opened = Store::open("wells.db", &Options::default())?;
//! if let Some(aside) = &opened.set_aside {
//!     eprintln!("{aside}");
//! }
//! for system in opened.store.read(|reader| reader.systems())? {
//!     println!("{}", system.name);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Promises. A write that was acknowledged survives a kill and a power cut. Nothing is overwritten:
//! records and findings are versions, readings that contradict each other stand side by side. A damaged
//! file is set aside and never deleted. Order of arrival is kept apart from time, so a clock that is set
//! back loses nothing.
//!
//! | you look for | file |
//! |---|---|
//! | the handle | `store.rs` |
//! | what is written together | `batch.rs` |
//! | the thread that writes | `writer.rs` |
//! | reading | `reader.rs` |
//! | tables, one file a subject | `rows/`, `schema/` |
//! | settings, checks at the start | `open.rs`, `lock.rs` |
//! | versions of the format | `migrate.rs` |
//! | what happens to a damaged file | `salvage.rs` |

mod batch;
mod error;
mod lock;
mod migrate;
mod open;
mod reader;
mod rows;
mod salvage;
mod schema;
mod store;
mod time;
mod writer;

pub use batch::{Batch, Committed};
pub use error::{OpenError, Result, StoreError};
pub use migrate::LATEST as LATEST_VERSION;
pub use open::Options;
pub use reader::Reader;
pub use rows::findings::StoredFinding;
pub use rows::frames::RawFrame;
pub use rows::gaps::Gap;
pub use rows::readings::{Reading, StoredReading};
pub use rows::records::{NewRecord, RecordVersion, record_hash};
pub use rows::sessions::{NewSession, SessionRow};
pub use rows::systems::SystemRow;
pub use rows::{SessionId, SystemId};
pub use salvage::{Salvaged, SetAside};
pub use store::{Opened, Store};
pub use uuid::Uuid;
pub use writer::Ack;
