//! Light that the cells really get: what the slant of the glass throws back is taken off.
//!
//! An irradiance sensor beside the modules reads without this loss; a forecast from the sky may take it off.
//! [`GlassLoss::None`] leaves the light as it is.

use super::incidence::{Glass, ashrae, martin_ruiz, physical};
use super::plane_sky::PlaneSky;
use crate::error::PhysicsError;

/// How the loss at a slant is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum GlassLoss {
    /// Not at all: the light as a sensor in the plane reads it.
    #[default]
    None,
    /// By Fresnel and Bouguer: [`physical`].
    Physical(Glass),
    /// By one coefficient a_r: [`martin_ruiz`].
    MartinRuiz(f64),
    /// By one coefficient b0: [`ashrae`].
    Ashrae(f64),
}

impl GlassLoss {
    /// Share of the light that enters at an angle of incidence, 0 to 1.
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] for an angle outside 0 to 180 degrees or a coefficient outside its range.
    pub fn share(&self, aoi_deg: f64) -> Result<f64, PhysicsError> {
        match self {
            GlassLoss::None => Ok(1.0),
            GlassLoss::Physical(glass) => physical(aoi_deg, glass),
            GlassLoss::MartinRuiz(a_r) => martin_ruiz(aoi_deg, *a_r),
            GlassLoss::Ashrae(b0) => ashrae(aoi_deg, *b0),
        }
    }
}

/// Angle at which all the light of an even sky seems to come, degrees; `tilt_deg` 0 to 90.
///
/// # Equation
/// 59.7 - 0.1388 beta + 0.001497 beta^2
///
/// # Source
/// Brandemuehl M. J., Beckman W. A. (1980), *Solar Energy* 24, 511-513 (coefficients from memory, compared
/// with pvlib's integration in the second opinions).
pub fn sky_angle_deg(tilt_deg: f64) -> f64 {
    59.7 - 0.1388 * tilt_deg + 0.001_497 * tilt_deg * tilt_deg
}

/// Angle at which all the light from the ground seems to come, degrees; `tilt_deg` 0 to 90.
///
/// # Equation
/// 90 - 0.5788 beta + 0.002693 beta^2
///
/// # Source
/// As [`sky_angle_deg`].
pub fn ground_angle_deg(tilt_deg: f64) -> f64 {
    90.0 - 0.5788 * tilt_deg + 0.002_693 * tilt_deg * tilt_deg
}

impl PlaneSky {
    /// Light that the cells get, W/m2.
    ///
    /// # Equation
    /// (beam + light around the sun) K(AOI) + (rest of the sky) K(sky angle) + ground K(ground angle)
    ///
    /// # Symbols
    /// K by `loss`; `tilt_deg` of the same plane, 0 to 90.
    ///
    /// # Source
    /// As [`sky_angle_deg`]; De Soto et al. (2006), doi:10.1016/j.solener.2005.06.010, section 2.
    ///
    /// # Errors
    /// As [`GlassLoss::share`].
    ///
    /// # Example
    /// ```
    /// use wellwright_physics::sun::{GlassLoss, Horizon, Place, Plane, incidence::CLEAR_GLASS, plane_clear_sky};
    /// let at = "2024-03-20T18:01:00Z".parse().unwrap();
    /// let golden = Place { latitude_deg: 39.742476, longitude_deg: -105.1786, altitude_m: 1830.14 };
    /// let sky = plane_clear_sky(at, &golden, &Plane::new(40.0, 180.0, 0.2)?, &Horizon::level(), 3.0)?;
    /// // near noon the beam is square to the plane: less than 1 % is thrown back
    /// let effective = sky.effective_w_m2(40.0, &GlassLoss::Physical(CLEAR_GLASS))?;
    /// assert!(effective < sky.poa_w_m2 && effective > 0.99 * sky.poa_w_m2);
    /// assert_eq!(sky.effective_w_m2(40.0, &GlassLoss::None)?, sky.poa_w_m2);
    /// # Ok::<(), wellwright_physics::error::PhysicsError>(())
    /// ```
    pub fn effective_w_m2(&self, tilt_deg: f64, loss: &GlassLoss) -> Result<f64, PhysicsError> {
        if *loss == GlassLoss::None {
            return Ok(self.poa_w_m2);
        }
        let toward_sun = self.beam_w_m2 + self.circumsolar_w_m2;
        let dome = self.sky_w_m2 - self.circumsolar_w_m2;
        Ok(toward_sun * loss.share(self.aoi_deg)?
            + dome * loss.share(sky_angle_deg(tilt_deg))?
            + self.ground_w_m2 * loss.share(ground_angle_deg(tilt_deg))?)
    }
}
