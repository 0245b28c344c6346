//! Where the sun stands, seen from a place on the Earth.
//!
//! The astronomy is the crate `solar-positioning` (the Solar Position Algorithm); this module adds the
//! air of the site, refuses what it cannot answer, and keeps both the true and the refracted zenith.

use chrono::{DateTime, Datelike, Utc};
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, RefractionCorrection, SolarPositions, delta_t};

use crate::atmosphere;
use crate::error::{PhysicsError, in_range};

/// First and last calendar year served. Outside it the Earth's rotation is not known well enough.
pub const YEARS: [f64; 2] = [1900.0, 2100.0];
/// Air temperature assumed for refraction, degC: a warm day. 20 K more or less shift a sun that stands
/// 5 degrees high by 0.01 degrees.
pub const REFRACTION_AIR_C: f64 = 20.0;

const UNIX_EPOCH_JD: f64 = 2_440_587.5;
const SECONDS_PER_DAY: f64 = 86_400.0;

/// Where the sun stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Angle from straight up to the sun's centre without refraction, degrees, 0 to 180.
    pub zenith_deg: f64,
    /// The same with refraction, as an eye or a module sees it, degrees, 0 to 180.
    pub apparent_zenith_deg: f64,
    /// Direction clockwise from true north, degrees, 0 to 360.
    pub azimuth_deg: f64,
}

impl SunPosition {
    /// Height of the sun's centre above the level horizon as seen (with refraction), degrees.
    #[must_use]
    pub fn elevation_deg(&self) -> f64 {
        90.0 - self.apparent_zenith_deg
    }

    /// True when the sun's centre is seen above the level horizon.
    #[must_use]
    pub fn is_up(&self) -> bool {
        self.apparent_zenith_deg < 90.0
    }
}

/// The air and the Earth's rotation at the moment of observation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// Air pressure at the site, Pa, 20 000 to 120 000.
    pub pressure_pa: f64,
    /// Air temperature, degC, -90 to 60.
    pub air_c: f64,
    /// Terrestrial time less universal time, s, -100 to 400.
    pub delta_t_s: f64,
}

impl Observation {
    /// Standard air at the altitude, and the Earth's rotation estimated for the date.
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] for a year or an altitude outside the range.
    pub fn standard(at: DateTime<Utc>, altitude_m: f64) -> Result<Self, PhysicsError> {
        Ok(Self {
            pressure_pa: atmosphere::pressure_pa(altitude_m)?,
            air_c: REFRACTION_AIR_C,
            delta_t_s: delta_t_s(at)?,
        })
    }
}

/// Position of the sun over a place, with standard air.
///
/// # Equation
/// Solar Position Algorithm, steps 3.1 to 3.14; refraction by its equation 42.
///
/// # Symbols
/// | symbol | argument | unit | valid |
/// |---|---|---|---|
/// | t | `at` | UTC | 1900 to 2100 |
/// | phi | `latitude_deg` | degrees, north positive | -90 to 90 |
/// | sigma | `longitude_deg` | degrees, east positive | -180 to 180 |
/// | E | `altitude_m` | m above sea level | -500 to 9000 |
///
/// # Limits
/// 0.0003 degrees for the true zenith; near the horizon refraction itself wanders by 0.1 degrees with
/// the weather. **Azimuth means little when the sun is within a degree of straight up.** UTC stands for
/// UT1 (0.9 s at most, 0.004 degrees).
///
/// # Source
/// Reda I., Andreas A. (2004), Solar position algorithm for solar radiation applications, *Solar Energy*
/// 76, 577-589, doi:10.1016/j.solener.2003.12.003.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a date or place outside the ranges.
///
/// # Example
/// 33.87 S: at noon of the equinox the sun stands in the north (zenith 33.888, azimuth 3.405).
/// ```
/// let at = "2024-03-20T01:55:00Z".parse().unwrap();
/// let sun = wellwright_physics::sun::position::sun_position(at, -33.87, 151.21, 30.0)?;
/// assert!((sun.apparent_zenith_deg - 33.887760).abs() < 0.01);
/// assert!((sun.azimuth_deg - 3.4053).abs() < 0.01);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn sun_position(
    at: DateTime<Utc>,
    latitude_deg: f64,
    longitude_deg: f64,
    altitude_m: f64,
) -> Result<SunPosition, PhysicsError> {
    let air = Observation::standard(at, altitude_m)?;
    sun_position_observed(at, latitude_deg, longitude_deg, altitude_m, &air)
}

/// Position of the sun with the air and the Earth's rotation as given.
///
/// As [`sun_position`], for one who has a barometer or checks against a published example.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a date, place or observation outside the ranges.
///
/// # Example
/// The example of the algorithm's authors, table A5.1: zenith 50.11162, azimuth 194.34024 degrees.
/// ```
/// use wellwright_physics::sun::position::{Observation, sun_position_observed};
/// let at = "2003-10-17T19:30:30Z".parse().unwrap();
/// let air = Observation { pressure_pa: 82_000.0, air_c: 11.0, delta_t_s: 67.0 };
/// let sun = sun_position_observed(at, 39.742476, -105.1786, 1830.14, &air)?;
/// assert!((sun.apparent_zenith_deg - 50.11162).abs() < 1e-5);
/// assert!((sun.azimuth_deg - 194.34024).abs() < 1e-5);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn sun_position_observed(
    at: DateTime<Utc>,
    latitude_deg: f64,
    longitude_deg: f64,
    altitude_m: f64,
    air: &Observation,
) -> Result<SunPosition, PhysicsError> {
    let place = location(latitude_deg, longitude_deg)?;
    let [lowest_m, highest_m] = atmosphere::ALTITUDE_RANGE_M;
    let altitude_m = in_range("altitude", "m", altitude_m, lowest_m, highest_m)?;
    let pressure_pa = in_range("air pressure", "Pa", air.pressure_pa, 20_000.0, 120_000.0)?;
    let air_c = in_range("air temperature", "degC", air.air_c, -90.0, 60.0)?;
    in_range("delta T", "s", air.delta_t_s, -100.0, 400.0)?;
    let date = julian_date(at, air.delta_t_s)?;
    let now = SolarPositions::new().for_time_from_julian(date).map_err(|_| year_error(at))?;
    let refraction = RefractionCorrection::new(pressure_pa / 100.0, air_c).map_err(|_| year_error(at))?;
    let geometric = now.at(place, altitude_m, None).map_err(|_| year_error(at))?;
    let seen = now.at(place, altitude_m, Some(refraction)).map_err(|_| year_error(at))?;
    Ok(SunPosition {
        zenith_deg: geometric.zenith_angle(),
        apparent_zenith_deg: seen.zenith_angle(),
        azimuth_deg: geometric.azimuth(),
    })
}

/// Terrestrial time less universal time, estimated for the date, s.
pub(super) fn delta_t_s(at: DateTime<Utc>) -> Result<f64, PhysicsError> {
    let year = in_range("year", "(UTC)", f64::from(at.year()), YEARS[0], YEARS[1])?;
    delta_t::estimate(year + (f64::from(at.ordinal()) - 0.5) / 365.25).map_err(|_| year_error(at))
}

/// Checked place, in the astronomy crate's type.
pub(super) fn location(latitude_deg: f64, longitude_deg: f64) -> Result<Location, PhysicsError> {
    Ok(Location {
        latitude: in_range("latitude", "degrees", latitude_deg, -90.0, 90.0)?,
        longitude: in_range("longitude", "degrees", longitude_deg, -180.0, 180.0)?,
    })
}

/// Julian date of a moment, UT days. A leap second counts as the last moment of its minute.
pub(super) fn julian_day(at: DateTime<Utc>) -> f64 {
    let second = f64::from(at.timestamp_subsec_nanos().min(999_999_999)) * 1e-9;
    UNIX_EPOCH_JD + (at.timestamp() as f64 + second) / SECONDS_PER_DAY
}

/// Moment of a Julian date, to a millisecond.
pub(super) fn moment(julian_day: f64) -> Option<DateTime<Utc>> {
    DateTime::from_timestamp_millis(((julian_day - UNIX_EPOCH_JD) * SECONDS_PER_DAY * 1000.0).round() as i64)
}

/// Checked moment, in the astronomy crate's type.
pub(super) fn julian_date(at: DateTime<Utc>, delta_t_s: f64) -> Result<JulianDate, PhysicsError> {
    in_range("year", "(UTC)", f64::from(at.year()), YEARS[0], YEARS[1])?;
    JulianDate::new(julian_day(at), delta_t_s).map_err(|_| year_error(at))
}

/// What is left to be wrong once place and air are checked: the date.
pub(super) fn year_error(at: DateTime<Utc>) -> PhysicsError {
    PhysicsError::OutOfRange {
        what: "year",
        unit: "(UTC)",
        value: f64::from(at.year()),
        min: YEARS[0],
        max: YEARS[1],
    }
}
