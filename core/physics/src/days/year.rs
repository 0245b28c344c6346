//! Sums: a day, a year, litres a day by month.

use chrono::Datelike;

use super::sky::{Climate, SkyStep, year_sky};
use super::step::{Rules, Simulation, Step};
use crate::error::PhysicsError;
use crate::plant::Plant;

/// One month of a simulated year, by the day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Month {
    /// Days counted.
    pub days: f64,
    /// Irradiation in the plane, kWh/m2 a day.
    pub irradiation_kwh_m2_day: f64,
    /// Into the tank, litres a day.
    pub litres_per_day: f64,
    /// Over the brim, litres a day.
    pub spilled_litres_per_day: f64,
    /// Drawn from the tank, litres a day.
    pub drawn_litres_per_day: f64,
    /// Hours of running a day.
    pub hours_per_day: f64,
    /// Energy into the controller, Wh a day.
    pub dc_wh_per_day: f64,
    /// Energy that the array could have given, Wh a day.
    pub best_wh_per_day: f64,
    /// Deepest water level while running, m below the wellhead; 0 if it never ran.
    pub deepest_level_m: f64,
}

/// A simulated year.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Year {
    /// By month, January first.
    pub months: [Month; 12],
}

impl Year {
    /// Litres in the whole year.
    pub fn litres(&self) -> f64 {
        self.months.iter().map(|m| m.litres_per_day * m.days).sum()
    }

    /// Adds steps to their months; each step counts in the month of its solar date at `longitude_deg`.
    pub fn add<'a>(&mut self, steps: impl IntoIterator<Item = &'a Step>, longitude_deg: f64) {
        for s in steps {
            let local = s.sky.at + chrono::Duration::seconds((longitude_deg * 240.0).round() as i64);
            let m = &mut self.months[local.month0() as usize];
            let hours = s.sky.minutes / 60.0;
            let (before, after) = (m.days, m.days + hours / 24.0);
            let mean = |mean: &mut f64, amount: f64| *mean = (*mean * before + amount) / after;
            mean(&mut m.irradiation_kwh_m2_day, s.sky.irradiance_w_m2 * hours / 1000.0);
            mean(&mut m.litres_per_day, s.litres);
            mean(&mut m.spilled_litres_per_day, s.spilled_litres);
            mean(&mut m.drawn_litres_per_day, s.drawn_litres);
            mean(&mut m.hours_per_day, s.ran * hours);
            mean(&mut m.dc_wh_per_day, s.dc_wh);
            mean(&mut m.best_wh_per_day, s.best_wh);
            m.days = after;
            if s.ran > 0.0 {
                m.deepest_level_m = m.deepest_level_m.max(s.level_m);
            }
        }
    }
}

/// Walks a plant through a series of light, from rest.
pub fn day(plant: &Plant, sky: &[SkyStep], rules: Rules) -> Vec<Step> {
    let mut simulation = Simulation::new(plant, rules);
    sky.iter().map(|s| simulation.step(s)).collect()
}

/// A year of a plant.
///
/// # Symbols
/// `calendar_year` 1900 to 2100; `step_minutes` 1 to 120; `climate`, `rules`.
///
/// # Limits
/// As [`year_sky`] and [`Simulation::step`].
///
/// # Source
/// [`year_sky`] and [`Plant::operating_point`], step by step.
///
/// # Errors
/// As [`year_sky`].
pub fn year(
    plant: &Plant,
    calendar_year: i32,
    step_minutes: f64,
    climate: &Climate,
    rules: Rules,
) -> Result<Year, PhysicsError> {
    let sky = year_sky(&plant.view, calendar_year, step_minutes, climate)?;
    let mut sum = Year::default();
    sum.add(&day(plant, &sky, rules), plant.view.place.longitude_deg);
    Ok(sum)
}
