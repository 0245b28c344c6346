//! How warm the air may be when nobody measured it.

use chrono::{DateTime, Datelike, FixedOffset};
use wellwright_domain::record::System;

/// Groundwater is so much cooler than the air by day, averaged over the year, K: it has the yearly mean of the air,
/// nights included, and a little more (common practice, no single source).
const DAY_OVER_WATER_K: f64 = 3.5;

/// Shade air by day, degC, and its spread, 1 sigma.
///
/// From the record's climate where it holds one; else from the temperature of the groundwater, which is that of the
/// year; else from latitude and altitude (coarse: 28 degC at the equator at sea level, 5.5 K a km). The yearly
/// swing grows with latitude (engineering judgement).
pub fn day_air_c(system: &System, at: DateTime<FixedOffset>) -> (f64, f64) {
    let site = &system.site;
    if let Some(by_month) = site.air_day_c {
        return (by_month[at.month0() as usize], 4.0);
    }
    let latitude = site.latitude_deg;
    let phase = 2.0 * std::f64::consts::PI * (f64::from(at.ordinal()) - 200.0) / 365.0;
    let season = 0.28 * latitude * phase.cos();
    match system.well.water_c {
        Some(water) => (water + DAY_OVER_WATER_K + season, 5.0),
        None => (28.0 - 0.009 * latitude * latitude - 0.0055 * site.altitude_m + season, 7.0),
    }
}
