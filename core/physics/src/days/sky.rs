//! Series of light and air temperature.

use chrono::{DateTime, Datelike, Duration, NaiveDate, NaiveTime, Utc};
use wellwright_domain::record::System;

use crate::error::{PhysicsError, in_range};
use crate::plant::View;
use crate::sun::clear_sky::LINKE_CLEAN;
use crate::sun::{GlassLoss, plane_clear_sky};

/// Light and air over one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkyStep {
    /// Middle of the step.
    pub at: DateTime<Utc>,
    /// Length of the step, minutes, more than 0.
    pub minutes: f64,
    /// Irradiance in the plane of the array, W/m2.
    pub irradiance_w_m2: f64,
    /// Air temperature, degC.
    pub air_c: f64,
}

/// Climate of a place by month, January first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Climate {
    /// Irradiation in the plane of the array, kWh/m2 a day; `None`: every day is clear.
    pub irradiation_kwh_m2_day: Option<[f64; 12]>,
    /// Mean air temperature by day, degC.
    pub air_day_c: [f64; 12],
    /// Linke turbidity of a clear sky, 1 to 10.
    pub linke_turbidity: f64,
    /// How the loss of slanting light is reckoned; the month's irradiation is counted before it.
    pub glass: GlassLoss,
}

/// Day air temperature where the record has none, degC (engineering judgement: a warm country).
const AIR_C: f64 = 25.0;

/// No month of real sky beats a clear one by more than this (turbidity may be lower than assumed).
const BRIGHTEST: f64 = 1.25;

impl Climate {
    /// What a record says of it.
    pub fn of(system: &System) -> Climate {
        Climate {
            irradiation_kwh_m2_day: system.site.irradiation_kwh_m2_day,
            air_day_c: system.site.air_day_c.unwrap_or([AIR_C; 12]),
            linke_turbidity: LINKE_CLEAN,
            glass: GlassLoss::None,
        }
    }
}

/// One clear day from midnight to midnight of the place's mean solar time.
///
/// # Symbols
/// `date` by the place's solar calendar, 1900 to 2100; `step_minutes` 1 to 120, a divisor of a day makes a
/// whole day; `air_c` degC.
///
/// # Limits
/// Clear sky; the air keeps one temperature.
///
/// # Source
/// [`plane_clear_sky`].
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a date, place, step or turbidity outside its range.
pub fn clear_day(
    view: &View,
    date: NaiveDate,
    step_minutes: f64,
    climate: &Climate,
) -> Result<Vec<SkyStep>, PhysicsError> {
    let minutes = in_range("length of a step", "minutes", step_minutes, 1.0, 120.0)?;
    let count = (1440.0 / minutes).round() as u32;
    let midnight = date.and_time(NaiveTime::MIN).and_utc()
        - Duration::seconds((view.place.longitude_deg * 240.0).round() as i64);
    let air_c = climate.air_day_c[date.month0() as usize];
    (0..count)
        .map(|k| {
            let at = midnight + Duration::milliseconds(((f64::from(k) + 0.5) * minutes * 6e4) as i64);
            let turbidity = climate.linke_turbidity;
            let sky = plane_clear_sky(at, &view.place, &view.plane, &view.horizon, turbidity)?;
            let light = sky.effective_w_m2(view.plane.tilt_deg(), &climate.glass)?;
            Ok(SkyStep { at, minutes, irradiance_w_m2: light.max(0.0), air_c })
        })
        .collect()
}

/// A year of days in steps, each month's clear days scaled to its irradiation.
///
/// # Equation
/// G = G_clear H_month/H_clear, H_clear the mean of the month's clear days; the ratio is held below 1.25.
///
/// # Symbols
/// As [`clear_day`]; `calendar_year` 1900 to 2100.
///
/// # Limits
/// Every day of a month has the same sky, dulled evenly. Real months mix bright and dull days; a pump that
/// starts late loses more in the evenly dulled month than in the mixed one, so a poor month reads low.
///
/// # Source
/// The record's monthly irradiation; shape of the day by [`plane_clear_sky`].
///
/// # Errors
/// As [`clear_day`].
pub fn year_sky(
    view: &View,
    calendar_year: i32,
    step_minutes: f64,
    climate: &Climate,
) -> Result<Vec<SkyStep>, PhysicsError> {
    in_range("year", "(UTC)", f64::from(calendar_year), 1900.0, 2100.0)?;
    let mut all = Vec::with_capacity((366.0 * 1440.0 / step_minutes.max(1.0)) as usize);
    for month in 1..=12 {
        let from = all.len();
        let days = NaiveDate::from_ymd_opt(calendar_year, month, 1)
            .into_iter()
            .flat_map(|d| d.iter_days())
            .take_while(|d| d.month() == month);
        let mut counted = 0.0;
        for date in days {
            all.extend(clear_day(view, date, step_minutes, climate)?);
            counted += 1.0;
        }
        if let Some(wanted) = climate.irradiation_kwh_m2_day {
            let clear: f64 =
                all[from..].iter().map(|s| s.irradiance_w_m2 * s.minutes / 6e4).sum::<f64>() / counted;
            let ratio = (wanted[month as usize - 1].max(0.0) / clear.max(1e-9)).min(BRIGHTEST);
            all[from..].iter_mut().for_each(|s| s.irradiance_w_m2 *= ratio);
        }
    }
    Ok(all)
}
