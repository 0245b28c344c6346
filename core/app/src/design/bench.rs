//! The plant of a record on the bench: full sun, hot and cold, with the level where it comes to stand.

use std::cell::OnceCell;

use wellwright_diagnosis::predict::climate::day_air_c;
use wellwright_domain::record::System;
use wellwright_physics::cell_temperature;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::operating_point::{Moment, OperatingPoint};
use wellwright_physics::plant::{Assumed, Plant};

use super::water::month_noon;
use crate::error::AppError;
use crate::text::Words;

/// Full sun, W/m2 in the plane of the array (the data sheet's own condition).
pub const FULL_SUN_W_M2: f64 = 1000.0;
/// Air that stands for a hot day where the record holds none, degC (engineering judgement).
const USUAL_HOT_C: f64 = 45.0;
/// An intake so deep that no level is cut off there, m: where it would stand is what is asked.
const NO_BOTTOM_M: f64 = 1e5;

/// A record and its plant, ready to be asked.
#[derive(Debug)]
pub struct Bench<'a> {
    /// The record.
    pub system: &'a System,
    /// Its plant, with an intake that never falls dry: the record's depth is compared, not used.
    pub plant: Plant,
    /// What the record does not hold.
    pub assumed: Vec<Assumed>,
    /// What texts are written with.
    pub words: &'a Words<'a>,
    /// Mean air over the year, degC.
    pub air_c: f64,
    full: OnceCell<OperatingPoint>,
}

impl<'a> Bench<'a> {
    /// The plant of a record.
    ///
    /// # Errors
    /// A record that no physics answers.
    pub fn new(system: &'a System, words: &'a Words<'a>) -> Result<Bench<'a>, AppError> {
        let (mut plant, assumed) = Plant::from_record(system)?;
        plant.water.well.intake_m = NO_BOTTOM_M;
        let mut air_c = 0.0;
        for month in 1..=12 {
            air_c += day_air_c(system, month_noon(month, system.site.longitude_deg)).0 / 12.0;
        }
        Ok(Bench { system, plant, assumed, words, air_c, full: OnceCell::new() })
    }

    /// Minutes of pumping after which levels are judged: what the drawdown of the record stands for.
    pub fn minutes(&self) -> f64 {
        self.plant.water.well.at_min
    }

    /// Hottest air, degC, and whether the record holds it.
    pub fn hot_c(&self) -> (f64, bool) {
        self.system.site.air_max_c.map_or((USUAL_HOT_C, false), |c| (c, true))
    }

    /// Cells at an irradiance and air, degC.
    pub fn cell_c(&self, irradiance_w_m2: f64, air_c: f64) -> f64 {
        cell_temperature::noct(irradiance_w_m2, air_c, self.plant.noct_c)
    }

    /// The level that a moment has.
    pub fn level(&self) -> Level {
        Level::After { minutes: self.minutes() }
    }

    /// The whole chain at an irradiance and air, after [`Bench::minutes`] of pumping.
    pub fn at(&self, irradiance_w_m2: f64, air_c: f64) -> OperatingPoint {
        self.plant.operating_point(&self.moment(irradiance_w_m2, air_c, self.level()))
    }

    /// A moment with a cool controller.
    pub fn moment(&self, irradiance_w_m2: f64, air_c: f64, level: Level) -> Moment {
        Moment { irradiance_w_m2, cell_c: self.cell_c(irradiance_w_m2, air_c), level, heat_share: 1.0 }
    }

    /// Full sun at the mean air of the year.
    pub fn full(&self) -> &OperatingPoint {
        self.full.get_or_init(|| self.at(FULL_SUN_W_M2, self.air_c))
    }

    /// Flow of full sun through the pump, m3/h; 0 when it stands still.
    pub fn full_flow(&self) -> f64 {
        self.full().load.map_or(0.0, |l| l.water.pump_m3_h)
    }

    /// The load that takes the most current in full sun: on a cold, a mean or a hot day.
    pub fn heaviest(&self) -> Option<Load> {
        let site = &self.system.site;
        [site.air_min_c, Some(self.air_c), site.air_max_c]
            .into_iter()
            .flatten()
            .filter_map(|air| self.at(FULL_SUN_W_M2, air).load)
            .max_by(|a, b| a.motor.phase_a.total_cmp(&b.motor.phase_a))
    }

    /// Those of `fields` that had to be assumed.
    pub fn assumed_of(&self, fields: &[&'static str]) -> Vec<&'static str> {
        fields.iter().copied().filter(|f| self.assumed.iter().any(|a| a.field == *f)).collect()
    }
}

/// Those of `fields` that the record does not hold.
pub fn lacking(fields: &[(&'static str, bool)]) -> Vec<&'static str> {
    fields.iter().filter(|(_, there)| !there).map(|(f, _)| *f).collect()
}

/// What a running pump depends on; the line is no more certain than these.
pub const OF_PUMP: [&str; 6] = [
    "pump.curve",
    "pump.rated_rpm",
    "pump.displacement_cm3_per_rev",
    "pump.slip_m3h_per_m",
    "pump.friction_torque_nm",
    "motor.ke_v_rms_ll_per_krpm",
];

/// What the level depends on.
pub const OF_WELL: [&str; 2] = ["well.static_level_m", "well.drawdown_b_m_per_m3h"];

/// What the array's power depends on.
pub const OF_ARRAY: [&str; 6] = [
    "array.series",
    "array.strings",
    "array.module.voc_v",
    "array.module.isc_a",
    "array.module.vmp_v",
    "array.module.imp_a",
];
