//! What a cloudless sky sends: the total on level ground, the beam, and the light of the sky.
//!
//! **A clear-sky model is not a measurement**: haze alone moves the beam by a third (turbidity 2 to 7), so
//! an unmeasured sky cannot show a loss of less than about 10 % in an array.

use crate::atmosphere::{self, SEA_LEVEL_PRESSURE_PA};
use crate::error::{PhysicsError, in_range};

/// Linke turbidity of a fairly clean sky. Common practice, no single source: 2 very clean and dry,
/// 3 clean, 5 hazy, 7 dusty.
pub const LINKE_CLEAN: f64 = 3.0;
/// Turbidity served.
pub const LINKE_RANGE: [f64; 2] = [1.0, 10.0];

/// Sunlight at the ground, in its parts.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Components {
    /// Global horizontal irradiance: all light on level ground, W/m2.
    pub ghi_w_m2: f64,
    /// Direct normal irradiance: the beam, on a plane that faces the sun, W/m2.
    pub dni_w_m2: f64,
    /// Diffuse horizontal irradiance: the light of the sky on level ground, W/m2.
    pub dhi_w_m2: f64,
}

/// Relative air mass: how many thicknesses of air the beam passes. `None` when the sun is down.
///
/// # Equation
/// `AM = 1 / (cos z + 0.50572 (96.07995 - z)^-1.6364)`
///
/// # Symbols
/// z = `apparent_zenith_deg`: degrees, 0 to 90.
///
/// # Limits
/// Within 0.5 % to the horizon (from memory), where it is 38.
///
/// # Source
/// Kasten F., Young A. T. (1989), Revised optical air mass tables and approximation formula, *Applied
/// Optics* 28, 4735-4738, doi:10.1364/AO.28.004735.
///
/// # Example
/// AM(60 deg) = 1.99429.
/// ```
/// let am = wellwright_physics::sun::clear_sky::relative_airmass(60.0).unwrap();
/// assert!((am - 1.99429).abs() < 1e-5);
/// ```
#[must_use]
pub fn relative_airmass(apparent_zenith_deg: f64) -> Option<f64> {
    let z = apparent_zenith_deg;
    (0.0..=90.0).contains(&z).then(|| 1.0 / (z.to_radians().cos() + 0.50572 * (96.07995 - z).powf(-1.6364)))
}

/// Absolute air mass: the relative one scaled to the air above the site.
///
/// # Equation
/// `AMa = AM p / 101325`
///
/// # Symbols
/// AM = `relative`: 1 to 38. p = `pressure_pa`: Pa.
///
/// # Source
/// Kasten & Young (1989), as above.
///
/// # Example
/// Half the air, half the air mass.
/// ```
/// let am = wellwright_physics::sun::clear_sky::absolute_airmass(2.0, 50_662.5);
/// assert!((am - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn absolute_airmass(relative: f64, pressure_pa: f64) -> f64 {
    relative * pressure_pa / SEA_LEVEL_PRESSURE_PA
}

/// Global horizontal irradiance of a clear sky from the sun's height alone, W/m2.
///
/// # Equation
/// `GHI = 1098 cos z exp(-0.059 / cos z)`
///
/// # Symbols
/// z = `apparent_zenith_deg`: degrees; 0 W/m2 from 90 on.
///
/// # Limits
/// One temperate sky at sea level: no altitude, no haze. A cross-check, not the model to use.
///
/// # Source
/// Haurwitz B. (1945), Insolation in relation to cloudiness and cloud density, *Journal of Meteorology* 2,
/// 154-166.
///
/// # Example
/// 487.89 W/m2 at 60 degrees from straight up.
/// ```
/// let ghi = wellwright_physics::sun::clear_sky::haurwitz_ghi_w_m2(60.0);
/// assert!((ghi - 487.89).abs() < 0.01);
/// ```
#[must_use]
pub fn haurwitz_ghi_w_m2(apparent_zenith_deg: f64) -> f64 {
    let cos_z = apparent_zenith_deg.to_radians().cos();
    if cos_z > 0.0 { 1098.0 * cos_z * (-0.059 / cos_z).exp() } else { 0.0 }
}

/// Clear-sky irradiance at an altitude and a turbidity, with standard pressure.
///
/// # Equation
/// `GHI = a1 Ea cos z exp(-a2 AMa (f1 + f2 (TL - 1)))`,
/// `DNI = min(b Ea exp(-0.09 AMa (TL - 1)), GHI (1 - (0.1 - 0.2 exp(-TL)) / (0.1 + 0.882 / f1)) / cos z)`,
/// `DHI = GHI - DNI cos z`, with `f1 = exp(-h/8000)`, `f2 = exp(-h/1250)`, `a1 = 5.09e-5 h + 0.868`,
/// `a2 = 3.92e-5 h + 0.0387`, `b = 0.664 + 0.163 / f1`
///
/// # Symbols
/// | symbol | argument | unit | valid |
/// |---|---|---|---|
/// | z | `apparent_zenith_deg` | degrees; all zero from 90 on | 0 to 180 |
/// | h | `altitude_m` | m above sea level | -500 to 9000 |
/// | TL | `linke_turbidity` | air masses | 1 to 10 |
/// | Ea | `extraterrestrial_w_m2` | W/m2 | 1200 to 1500 |
///
/// # Limits
/// Cloudless sky. Twilight counts as night. With the true turbidity about 5 % (from memory); with a guessed
/// one 10 % and more. The enhancement term of the first paper for very clean skies is left out, as later practice does.
///
/// # Source
/// Ineichen P., Perez R. (2002), A new airmass independent formulation for the Linke turbidity coefficient,
/// *Solar Energy* 73, 151-157, doi:10.1016/S0038-092X(02)00045-2; limit on the beam as in the open library
/// pvlib 0.16.1.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for an input outside the ranges.
///
/// # Example
/// Sea level, 30 degrees from straight up, turbidity 3 (pvlib 0.16.1): GHI 899, DNI 919 W/m2.
/// ```
/// let sky = wellwright_physics::sun::clear_sky::clear_sky(30.0, 0.0, 3.0, 1366.1)?;
/// assert!((sky.ghi_w_m2 / 899.0 - 1.0).abs() < 3e-3);
/// assert!((sky.dni_w_m2 / 919.0 - 1.0).abs() < 3e-3);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn clear_sky(
    apparent_zenith_deg: f64,
    altitude_m: f64,
    linke_turbidity: f64,
    extraterrestrial_w_m2: f64,
) -> Result<Components, PhysicsError> {
    let z = in_range("zenith angle", "degrees", apparent_zenith_deg, 0.0, 180.0)?;
    let tl = in_range("Linke turbidity", "air masses", linke_turbidity, LINKE_RANGE[0], LINKE_RANGE[1])?;
    let ea = in_range("extraterrestrial irradiance", "W/m2", extraterrestrial_w_m2, 1200.0, 1500.0)?;
    let pressure_pa = atmosphere::pressure_pa(altitude_m)?;
    let cos_z = z.to_radians().cos();
    let Some(relative) = relative_airmass(z).filter(|_| cos_z > 0.0) else {
        return Ok(Components::default());
    };
    let ama = absolute_airmass(relative, pressure_pa);
    let h = altitude_m;
    let f1 = (-h / 8000.0).exp();
    let f2 = (-h / 1250.0).exp();
    let a1 = 5.09e-5 * h + 0.868;
    let a2 = 3.92e-5 * h + 0.0387;
    let b = 0.664 + 0.163 / f1;
    let ghi = a1 * ea * cos_z * (-a2 * ama * (f1 + f2 * (tl - 1.0))).exp();
    let from_turbidity = b * ea * (-0.09 * ama * (tl - 1.0)).exp();
    let from_ghi = ghi * (1.0 - (0.1 - 0.2 * (-tl).exp()) / (0.1 + 0.882 / f1)) / cos_z;
    let dni = from_turbidity.min(from_ghi).max(0.0);
    Ok(Components { ghi_w_m2: ghi, dni_w_m2: dni, dhi_w_m2: (ghi - dni * cos_z).max(0.0) })
}
