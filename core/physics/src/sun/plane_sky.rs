//! Clear-sky irradiance in the plane of the array at one moment: the call the rest of the project uses.

use chrono::{DateTime, Datelike, Utc};
use wellwright_domain::record::Site;

use super::clear_sky::{Components, clear_sky};
use super::extraterrestrial::{SOLAR_CONSTANT_W_M2, extraterrestrial_w_m2};
use super::horizon::Horizon;
use super::plane::{Plane, aoi_deg, hay_davies};
use super::position::{SunPosition, sun_position};
use crate::error::PhysicsError;

/// Where the array stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Latitude, degrees, north positive, -90 to 90.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive, -180 to 180.
    pub longitude_deg: f64,
    /// Altitude, m above sea level, -500 to 9000.
    pub altitude_m: f64,
}

impl From<&Site> for Place {
    fn from(site: &Site) -> Self {
        Self {
            latitude_deg: site.latitude_deg,
            longitude_deg: site.longitude_deg,
            altitude_m: site.altitude_m,
        }
    }
}

/// What a clear sky gives the array at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaneSky {
    /// All light in the plane of the array, W/m2.
    pub poa_w_m2: f64,
    /// Straight from the sun, W/m2.
    pub beam_w_m2: f64,
    /// From the sky, W/m2, with the light around the sun's disc.
    pub sky_w_m2: f64,
    /// That part of it which comes from around the sun's disc, W/m2.
    pub circumsolar_w_m2: f64,
    /// Thrown back by the ground, W/m2.
    pub ground_w_m2: f64,
    /// Angle of incidence of the beam, degrees, 0 to 180; above 90 the sun is behind the plane.
    pub aoi_deg: f64,
    /// True when the sun is up but behind the skyline.
    pub hidden: bool,
    /// Where the sun stands.
    pub sun: SunPosition,
    /// The same sky on open level ground.
    pub on_level: Components,
}

/// Clear-sky irradiance in the plane of the array.
///
/// # Equation
/// Sun by the Solar Position Algorithm, Ea by Spencer, GHI, DNI and DHI by Ineichen and Perez, plane by Hay
/// and Davies: see the modules of each. Behind the skyline the sun gives no beam and no light from around
/// its disc, and the ground before the array is lit by the sky alone.
///
/// # Symbols
/// | argument | unit | valid |
/// |---|---|---|
/// | `at` | UTC | 1900 to 2100 |
/// | `place` | degrees, m | see [`Place`] |
/// | `plane` | degrees, reflectance | see [`Plane`] |
/// | `horizon` | degrees | see [`Horizon`]; [`Horizon::level`] when none is known |
/// | `linke_turbidity` | air masses | 1 to 10; [`LINKE_CLEAN`](super::clear_sky::LINKE_CLEAN) when not known |
///
/// # Limits
/// **Cloudless sky**; turbidity decides, see [`clear_sky`](super::clear_sky). Light that glass throws back at a
/// slant is not taken off: see [`incidence`](super::incidence). The skyline does not darken the sky itself.
///
/// # Source
/// As the modules named.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a date, place or turbidity outside the ranges.
///
/// # Example
/// Golden, 2024-03-20T18:01Z, 40 degrees south, turbidity 3 (pvlib 0.16.1): 1096.60 W/m2.
/// ```
/// use wellwright_physics::sun::{Horizon, Place, Plane, plane_clear_sky};
/// let at = "2024-03-20T18:01:00Z".parse().unwrap();
/// let golden = Place { latitude_deg: 39.742476, longitude_deg: -105.1786, altitude_m: 1830.14 };
/// let plane = Plane::new(40.0, 180.0, 0.2)?;
/// let now = plane_clear_sky(at, &golden, &plane, &Horizon::level(), 3.0)?;
/// assert!((now.poa_w_m2 / 1096.60 - 1.0).abs() < 1e-3);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn plane_clear_sky(
    at: DateTime<Utc>,
    place: &Place,
    plane: &Plane,
    horizon: &Horizon,
    linke_turbidity: f64,
) -> Result<PlaneSky, PhysicsError> {
    let sun = sun_position(at, place.latitude_deg, place.longitude_deg, place.altitude_m)?;
    let ea = extraterrestrial_w_m2(at.ordinal(), SOLAR_CONSTANT_W_M2)?;
    let on_level = clear_sky(sun.apparent_zenith_deg, place.altitude_m, linke_turbidity, ea)?;
    let open = hay_davies(plane, &sun, &on_level, ea);
    let hidden = sun.is_up() && horizon.blocks(&sun);
    let parts = if hidden { open.with_sun_hidden(&on_level) } else { open };
    Ok(PlaneSky {
        poa_w_m2: parts.total(),
        beam_w_m2: parts.beam_w_m2,
        sky_w_m2: parts.sky_w_m2,
        circumsolar_w_m2: parts.circumsolar_w_m2,
        ground_w_m2: parts.ground_w_m2,
        aoi_deg: aoi_deg(plane.tilt_deg(), plane.azimuth_deg(), &sun),
        hidden,
        sun,
        on_level,
    })
}
