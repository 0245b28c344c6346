//! The design check: would this system, as recorded, work and last. Each line has a value, a limit, whose
//! limit it is, and pass, look or fail; what the record does not hold is said, not guessed.
//!
//! | you look for | file |
//! |---|---|
//! | the codes, units and texts of the lines | [`code`] |
//! | one line | [`line`] |
//! | how it is judged and explained | `draft` |
//! | the plant on the bench | `bench` |
//! | cold and hot voltage | `voltage` |
//! | cable drop and conductor sizes | `cables` |
//! | motor current and cooling | `drive` |
//! | level, suction head, start, pressure | `well` |
//! | water by month | `water` |
//! | the curves | [`curves`] |

mod bench;
mod cables;
pub mod code;
pub mod curves;
mod draft;
mod drive;
pub mod line;
mod voltage;
mod water;
mod well;

use serde::Serialize;
use wellwright_domain::record::System;

pub use cables::{Advice, CableOf, Choice, trade_name};
pub use code::Code;
pub use line::{LimitIs, Line, Outcome, Whose};
pub use water::{Month, SunFrom};

use crate::error::AppError;
use crate::text::Words;

/// How many lines came out how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Counts {
    /// Within their limits.
    pub pass: usize,
    /// For a person to look at.
    pub look: usize,
    /// Beyond their limits.
    pub fail: usize,
}

/// What "full sun" stands for in the lines.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FullSun {
    /// In the plane of the array.
    pub irradiance_w_m2: f64,
    /// Mean air over the year.
    pub air_c: f64,
    /// Cells then.
    pub cell_c: f64,
    /// Minutes of pumping behind the level.
    pub minutes: f64,
    /// Through the pump; null when it stands still.
    pub flow_m3_h: Option<f64>,
    /// Speed.
    pub rpm: Option<f64>,
    /// Head across the pump.
    pub head_m: Option<f64>,
}

/// The whole check.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Design {
    /// Version of the format.
    pub schema: u32,
    /// Name of the system.
    pub system: String,
    /// The worst of all lines.
    pub verdict: Outcome,
    /// How many lines came out how.
    pub counts: Counts,
    /// What "full sun" stands for.
    pub full_sun: FullSun,
    /// The lines, in the order of the way from sun to water.
    pub lines: Vec<Line>,
    /// What size the cables should have.
    pub conductors: Vec<Advice>,
    /// Where the sun of the months comes from.
    pub sun_from: SunFrom,
    /// Water by month.
    pub months: Vec<Month>,
    /// Least irradiance at which water comes; null when no sun brings any.
    pub start_irradiance_w_m2: Option<f64>,
    /// The curves.
    pub curves: curves::Curves,
    /// Quantities that the record does not hold and that usual values stood in for.
    pub assumed: Vec<String>,
}

impl Design {
    /// The line of a code.
    pub fn line(&self, code: Code) -> Option<&Line> {
        self.lines.iter().find(|l| l.code == code)
    }
}

/// Checks a record.
///
/// # Errors
/// A record that no physics answers.
pub fn design(system: &System, words: &Words<'_>) -> Result<Design, AppError> {
    let b = bench::Bench::new(system, words)?;
    let mut lines = voltage::lines(&b);
    let (cable_lines, conductors) = cables::check(&b)?;
    lines.extend(cable_lines);
    lines.extend(drive::lines(&b)?);
    lines.extend(well::lines(&b)?);
    let (months, sun_from) = water::months(&b)?;
    lines.push(water::line(&b, &months, sun_from));
    let count = |o: Outcome| lines.iter().filter(|l| l.verdict == o).count();
    let counts =
        Counts { pass: count(Outcome::Pass), look: count(Outcome::Look), fail: count(Outcome::Fail) };
    let load = b.full().load;
    Ok(Design {
        schema: 1,
        system: system.name.clone(),
        verdict: lines.iter().map(|l| l.verdict).max().unwrap_or(Outcome::Look),
        counts,
        full_sun: FullSun {
            irradiance_w_m2: bench::FULL_SUN_W_M2,
            air_c: b.air_c,
            cell_c: b.cell_c(bench::FULL_SUN_W_M2, b.air_c),
            minutes: b.minutes(),
            flow_m3_h: load.map(|l| l.water.pump_m3_h),
            rpm: load.map(|l| l.rpm),
            head_m: load.map(|l| l.water.head_m),
        },
        lines,
        conductors,
        sun_from,
        months,
        start_irradiance_w_m2: well::start_irradiance(&b),
        curves: curves::curves(&b),
        assumed: b.assumed.iter().map(|a| a.field.to_owned()).collect(),
    })
}
