//! What should happen: from the sun on the array to the water in the tank. Pure: no clock, no I/O.
//!
//! Where to start: [`plant`] turns a record into numbers (and says what it had to assume),
//! [`operating_point`] solves the whole chain at one moment, [`load`] answers "what does the motor draw
//! and how much water comes at this speed".
//!
//! # Symbols used throughout
//! | symbol | argument | unit |
//! |---|---|---|
//! | G | `irradiance_w_m2` | W/m2 in the plane of the array |
//! | Tc | `cell_c` | degC, cells |
//! | V, I | `v`, `i` | V, A, DC |
//! | n | `rpm` | 1/min |
//! | Q | `flow_m3_h` | m3/h |
//! | H | `head_m` | m of water |
//! | T | `torque_nm` | N m |
//! | Ke | `ke_v_per_krpm` | V rms line to line per 1000 rpm |

pub mod array;
pub mod atmosphere;
pub mod cell_temperature;
pub mod conductor;
pub mod constants;
pub mod days;
pub mod error;
pub mod hydraulics;
pub mod iec60891;
pub mod load;
pub mod module;
pub mod motor;
pub mod operating_point;
pub mod performance;
pub mod pipe;
pub mod plant;
pub mod pump;
pub mod roots;
pub mod sizing;
pub mod sun;
pub mod suter;
pub mod water;
pub mod well;
