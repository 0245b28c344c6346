//! How warm the air may be when nobody measured it.

use chrono::{DateTime, Datelike, FixedOffset};
use wellwright_domain::record::Site;

/// Shade air by day, degC, and its spread, 1 sigma.
///
/// From the record's climate where it holds one; else from latitude, altitude and season (coarse: 28 degC at
/// the equator at sea level, 6.5 K a km, a yearly swing that grows with latitude; engineering judgement).
pub fn day_air_c(site: &Site, at: DateTime<FixedOffset>) -> (f64, f64) {
    if let Some(by_month) = site.air_day_c {
        return (by_month[at.month0() as usize], 4.0);
    }
    let latitude = site.latitude_deg;
    let yearly = 28.0 - 0.009 * latitude * latitude - 0.0055 * site.altitude_m;
    let phase = 2.0 * std::f64::consts::PI * (f64::from(at.ordinal()) - 200.0) / 365.0;
    let season = 0.28 * latitude * phase.cos();
    (yearly + season, 7.0)
}
