//! The Earth's path: distance to the sun, and how far the sundial is ahead of the clock.

use chrono::{DateTime, Utc};
use solar_positioning::SolarPositions;

use super::position::{delta_t_s, julian_date, year_error};
use crate::error::{PhysicsError, in_range};

/// Distance from the Earth to the sun, astronomical units.
///
/// # Equation
/// Solar Position Algorithm, step 3.2.4.
///
/// # Symbols
/// `at`: UTC, 1900 to 2100. `delta_t_s`: terrestrial less universal time, s, -100 to 400; `None` = estimated.
///
/// # Limits
/// 1e-7 AU against the authors' example.
///
/// # Source
/// Reda I., Andreas A. (2004), doi:10.1016/j.solener.2003.12.003.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a date or a delta T outside the range.
///
/// # Example
/// The authors' example, table A5.1: 0.9965422974 AU.
/// ```
/// let at = "2003-10-17T19:30:30Z".parse().unwrap();
/// let r_au = wellwright_physics::sun::ephemeris::earth_sun_distance_au(at, Some(67.0))?;
/// assert!((r_au - 0.9965422974).abs() < 1e-7);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn earth_sun_distance_au(at: DateTime<Utc>, delta_t_s: Option<f64>) -> Result<f64, PhysicsError> {
    let date = julian_date(at, checked_delta_t_s(at, delta_t_s)?)?;
    let now = SolarPositions::new().for_time_from_julian(date).map_err(|_| year_error(at))?;
    now.earth_radius_vector().ok_or_else(|| year_error(at))
}

/// Equation of time: sundial less clock, minutes.
///
/// # Equation
/// `E = 4 (M - 0.0057183 - alpha + dpsi cos eps)`, in degrees, brought to within 20 minutes of zero; the
/// nutation in longitude dpsi by its four largest terms.
///
/// # Symbols
/// | symbol | argument | unit |
/// |---|---|---|
/// | t | `at` | UTC, 1900 to 2100 |
/// | | `delta_t_s` | s, -100 to 400; `None` = estimated |
/// | E | result | minutes, positive when the sundial is ahead |
///
/// # Limits
/// 0.001 minutes.
///
/// # Source
/// Reda I., Andreas A. (2004), appendix A.1, doi:10.1016/j.solener.2003.12.003. The short nutation series
/// is that of Meeus J. (1998), *Astronomical Algorithms*, chapter 22, from memory, checked by the fixtures.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a date or a delta T outside the range.
///
/// # Example
/// The authors' example, table A5.1: 14.64150 minutes.
/// ```
/// let at = "2003-10-17T19:30:30Z".parse().unwrap();
/// let e_min = wellwright_physics::sun::ephemeris::equation_of_time_min(at, Some(67.0))?;
/// assert!((e_min - 14.64150).abs() < 1e-3);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn equation_of_time_min(at: DateTime<Utc>, delta_t_s: Option<f64>) -> Result<f64, PhysicsError> {
    let date = julian_date(at, checked_delta_t_s(at, delta_t_s)?)?;
    let now = SolarPositions::new().for_time_from_julian(date).map_err(|_| year_error(at))?;
    let jme = date.julian_ephemeris_millennium();
    let jce = date.julian_ephemeris_century();
    let mean_longitude_deg = 280.466_456_7
        + jme
            * (360_007.698_277_9
                + jme * (0.030_320_28 + jme * (1.0 / 49_931.0 - jme * (1.0 / 15_300.0 + jme / 2_000_000.0))));
    let node = (125.044_52 - 1_934.136_261 * jce).to_radians();
    let moon = (218.3165 + 481_267.881_3 * jce).to_radians();
    let sun = mean_longitude_deg.to_radians();
    let nutation_deg = (-17.20 * node.sin() - 1.32 * (2.0 * sun).sin() - 0.23 * (2.0 * moon).sin()
        + 0.21 * (2.0 * node).sin())
        / 3600.0;
    let obliquity = (23.439_291 - 0.013_004 * jce).to_radians();
    let e_deg = mean_longitude_deg - 0.005_718_3 - now.right_ascension() + nutation_deg * obliquity.cos();
    Ok(4.0 * ((e_deg + 180.0).rem_euclid(360.0) - 180.0))
}

fn checked_delta_t_s(at: DateTime<Utc>, given_s: Option<f64>) -> Result<f64, PhysicsError> {
    match given_s {
        Some(s) => in_range("delta T", "s", s, -100.0, 400.0),
        None => delta_t_s(at),
    }
}
