//! One photovoltaic module: the single-diode model of De Soto, Klein and Beckman.
//!
//! [`ModuleModel`] holds the five parameters at standard conditions (from a data sheet by
//! [`ModuleModel::fit`], or given), [`ModuleModel::at`] moves them to any irradiance and temperature, and
//! [`Cell`] is the curve there: current at a voltage, voltage at a current, best point.

mod cell;
mod fit;
mod model;

pub use cell::{Cell, Point};
pub use fit::{DataSheet, FitResidual};
pub use model::{CELL_C_REF, IRRADIANCE_REF_W_M2, ModuleModel};
