//! When the sun rises, stands highest and sets; and that in high latitudes it may do neither.
//!
//! One solar day is what lies around one passage of the sun through the meridian. Counting by solar day
//! keeps a rise and the set that follows it together, whichever time zone the clock on the wall keeps.

use chrono::{DateTime, Duration, NaiveDate, NaiveTime, Utc};
use solar_positioning::{Horizon, SolarEvents, SolarPositions};

use super::position::{delta_t_s, julian_date, julian_day, location, moment, year_error};
use crate::error::{PhysicsError, in_range};

/// True elevation of the sun's centre at rise and set, degrees: its upper limb on a level horizon with
/// 34' of refraction and a radius of 16' (the convention of Reda & Andreas 2004, appendix A.2).
pub const RISE_SET_ELEVATION_DEG: f64 = -50.0 / 60.0;

/// What kind of day it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Daylight {
    /// The sun rises or sets, as on most days.
    RisesAndSets,
    /// Polar day: the sun stays up.
    PolarDay,
    /// Polar night: the sun stays down.
    PolarNight,
}

/// One solar day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RiseSet {
    /// Sunrise before the transit; `None` when the sun was up or stays down all the half day.
    pub rise: Option<DateTime<Utc>>,
    /// The sun passes the meridian: solar noon.
    pub transit: DateTime<Utc>,
    /// Sunset after the transit; `None` when the sun stays up or was down all the half day.
    pub set: Option<DateTime<Utc>>,
    /// What kind of day it is.
    pub daylight: Daylight,
}

impl RiseSet {
    /// Time the sun is up in this solar day, hours, 0 to 24.
    #[must_use]
    pub fn day_length_h(&self) -> f64 {
        if self.daylight == Daylight::PolarNight {
            return 0.0;
        }
        let half_day = Duration::hours(12);
        let from = self.rise.unwrap_or(self.transit - half_day);
        let to = self.set.unwrap_or(self.transit + half_day);
        (to - from).num_milliseconds() as f64 / 3_600_000.0
    }
}

/// The date in local mean solar time (noon when the mean sun is highest): the date by which
/// [`sun_rise_set`] counts. Time zones far off the sun may call the same day by the neighbouring date.
///
/// `longitude_deg`: degrees, east positive, -180 to 180.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a longitude outside the range.
///
/// # Example
/// Just west of the date line it is tomorrow already.
/// ```
/// let at = "2024-03-20T13:00:00Z".parse().unwrap();
/// let date = wellwright_physics::sun::rise_set::solar_date(at, 178.44)?;
/// assert_eq!(date.to_string(), "2024-03-21");
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn solar_date(at: DateTime<Utc>, longitude_deg: f64) -> Result<NaiveDate, PhysicsError> {
    let longitude = in_range("longitude", "degrees", longitude_deg, -180.0, 180.0)?;
    let local = at.checked_add_signed(solar_offset(longitude)).ok_or_else(|| year_error(at))?;
    Ok(local.date_naive())
}

/// Sunrise, transit and sunset of one solar day, on a level horizon at sea level.
///
/// # Equation
/// The moments at which the true elevation of the Solar Position Algorithm passes
/// [`RISE_SET_ELEVATION_DEG`] in the half days before and after the passage through the meridian.
///
/// # Symbols
/// | symbol | argument | unit | valid |
/// |---|---|---|---|
/// | | `date` | date in local mean solar time, see [`solar_date`] | 1900 to 2100 |
/// | phi | `latitude_deg` | degrees, north positive | -90 to 90 |
/// | sigma | `longitude_deg` | degrees, east positive | -180 to 180 |
///
/// # Limits
/// The air moves a real sunrise by a minute, in high latitudes by several. **Hills are not in it**: see
/// [`Horizon`](super::horizon::Horizon).
///
/// # Source
/// Reda I., Andreas A. (2004), appendix A.2, doi:10.1016/j.solener.2003.12.003.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a date or place outside the ranges.
///
/// # Example
/// The authors' example, table A5.1: sunrise 06:12:43, transit 11:46:04 seven hours behind UTC.
/// ```
/// use chrono::{NaiveDate, TimeDelta};
/// let date = NaiveDate::from_ymd_opt(2003, 10, 17).unwrap();
/// let day = wellwright_physics::sun::rise_set::sun_rise_set(date, 39.742476, -105.1786)?;
/// let published = "2003-10-17T13:12:43Z".parse::<chrono::DateTime<chrono::Utc>>().unwrap();
/// assert!((day.rise.unwrap() - published).abs() <= TimeDelta::seconds(2));
/// let published = "2003-10-17T18:46:04Z".parse::<chrono::DateTime<chrono::Utc>>().unwrap();
/// assert!((day.transit - published).abs() <= TimeDelta::seconds(2));
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn sun_rise_set(date: NaiveDate, latitude_deg: f64, longitude_deg: f64) -> Result<RiseSet, PhysicsError> {
    let place = location(latitude_deg, longitude_deg)?;
    let mean_noon = date.and_time(NaiveTime::MIN).and_utc() + Duration::hours(12);
    let fault = || year_error(mean_noon);
    let delta_t_s = delta_t_s(mean_noon)?;
    let noon = julian_day(mean_noon) - place.longitude / 360.0;
    let events = SolarEvents::new();
    // The true noon strays by 17 minutes from the mean one.
    let transit = events
        .next_transit_from_julian(noon - 0.05, noon + 0.05, place.longitude, delta_t_s)
        .map_err(|_| fault())?
        .ok_or_else(fault)?;
    let horizon = Horizon::Custom(RISE_SET_ELEVATION_DEG);
    let rise = events
        .next_rise_from_julian(transit - 0.5, transit, place, delta_t_s, horizon)
        .map_err(|_| fault())?;
    let set = events
        .next_set_from_julian(transit, transit + 0.5, place, delta_t_s, horizon)
        .map_err(|_| fault())?;
    let transit_at = moment(transit).ok_or_else(fault)?;
    let daylight = if rise.is_some() || set.is_some() {
        Daylight::RisesAndSets
    } else {
        let at_noon = SolarPositions::new()
            .for_time_from_julian(julian_date(transit_at, delta_t_s)?)
            .and_then(|now| now.at(place, 0.0, None))
            .map_err(|_| fault())?;
        if at_noon.elevation_angle() > RISE_SET_ELEVATION_DEG {
            Daylight::PolarDay
        } else {
            Daylight::PolarNight
        }
    };
    Ok(RiseSet { rise: rise.and_then(moment), transit: transit_at, set: set.and_then(moment), daylight })
}

/// Local mean solar time less UTC.
fn solar_offset(longitude_deg: f64) -> Duration {
    Duration::milliseconds((longitude_deg * 240_000.0).round() as i64)
}
