//! Light that strikes a module at a slant is partly thrown back: the share that still enters the glass,
//! relative to light that strikes it square (incidence-angle modifier).
//!
//! Three models, all 1 at 0 degrees and 0 from 90 degrees on. They differ by 1 % at 60 degrees.

use crate::error::{PhysicsError, in_range};

/// Usual coefficient b0 of [`ashrae`] for flat glass.
pub const ASHRAE_B0: f64 = 0.05;
/// Usual coefficient a_r of [`martin_ruiz`] for clean glass.
pub const MARTIN_RUIZ_A_R: f64 = 0.16;

/// The cover glass for [`physical`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glass {
    /// Refractive index, 1.1 to 3.
    pub refractive_index: f64,
    /// Extinction coefficient K, 1/m, 0 to 100.
    pub extinction_per_m: f64,
    /// Thickness L, m, 0 to 0.02.
    pub thickness_m: f64,
}

/// Clear glass of 2 mm, the values of De Soto et al. (2006).
pub const CLEAR_GLASS: Glass = Glass { refractive_index: 1.526, extinction_per_m: 4.0, thickness_m: 0.002 };

fn cos_checked(aoi_deg: f64) -> Result<f64, PhysicsError> {
    Ok(in_range("angle of incidence", "degrees", aoi_deg, 0.0, 180.0)?.to_radians().cos())
}

/// Modifier by the one-parameter model of the collector tests.
///
/// # Equation
/// `K = 1 - b0 (1 / cos AOI - 1)`, not below 0
///
/// # Symbols
/// AOI = `aoi_deg`: degrees, 0 to 180. b0: 0 to 1, usually [`ASHRAE_B0`].
///
/// # Limits
/// Falls too soon beyond 80 degrees.
///
/// # Source
/// Souka A. F., Safwat H. H. (1966), *Solar Energy* 10, 170-174; ASHRAE Standard 93-77.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for an input outside the ranges.
///
/// # Example
/// 0.95 at 60 degrees.
/// ```
/// let k = wellwright_physics::sun::incidence::ashrae(60.0, 0.05)?;
/// assert!((k - 0.95).abs() < 1e-9);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn ashrae(aoi_deg: f64, b0: f64) -> Result<f64, PhysicsError> {
    let cos = cos_checked(aoi_deg)?;
    let b0 = in_range("coefficient b0", "(none)", b0, 0.0, 1.0)?;
    Ok(if cos > 0.0 { (1.0 - b0 * (1.0 / cos - 1.0)).max(0.0) } else { 0.0 })
}

/// Modifier by Fresnel's and Bouguer's laws for one sheet of glass.
///
/// # Equation
/// `sin r = sin AOI / n`, `tau = exp(-K L / cos r) (1 - (rs + rp) / 2)`, modifier `tau(AOI) / tau(0)`,
/// with Fresnel's reflectances rs and rp of the two polarisations
///
/// # Symbols
/// AOI = `aoi_deg`: degrees, 0 to 180. n, K, L: see [`Glass`], usually [`CLEAR_GLASS`].
///
/// # Limits
/// No coating, no dirt.
///
/// # Source
/// De Soto W., Klein S. A., Beckman W. A. (2006), Improvement and validation of a model for photovoltaic
/// array performance, *Solar Energy* 80, 78-88, doi:10.1016/j.solener.2005.06.010.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for an input outside the ranges.
///
/// # Example
/// 0.94600 at 60 degrees (pvlib 0.16.1).
/// ```
/// use wellwright_physics::sun::incidence::{CLEAR_GLASS, physical};
/// assert!((physical(60.0, &CLEAR_GLASS)? - 0.94600).abs() < 1e-5);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn physical(aoi_deg: f64, glass: &Glass) -> Result<f64, PhysicsError> {
    let cos_i = cos_checked(aoi_deg)?.max(0.0);
    let n = in_range("refractive index", "(none)", glass.refractive_index, 1.1, 3.0)?;
    let k = in_range("extinction coefficient", "1/m", glass.extinction_per_m, 0.0, 100.0)?;
    let l_m = in_range("glass thickness", "m", glass.thickness_m, 0.0, 0.02)?;
    let sin_r = (1.0 - cos_i * cos_i).max(0.0).sqrt() / n;
    let cos_r = (1.0 - sin_r * sin_r).sqrt();
    let reflected_s = ((cos_i - n * cos_r) / (cos_i + n * cos_r)).powi(2);
    let reflected_p = ((cos_r - n * cos_i) / (cos_r + n * cos_i)).powi(2);
    let slant = (1.0 - f64::midpoint(reflected_s, reflected_p)) * (-k * l_m / cos_r).exp();
    let square = (1.0 - ((1.0 - n) / (1.0 + n)).powi(2)) * (-k * l_m).exp();
    Ok((slant / square).clamp(0.0, 1.0))
}

/// Modifier by the exponential model, which can also describe dirt.
///
/// # Equation
/// `K = (1 - exp(-cos AOI / a_r)) / (1 - exp(-1 / a_r))`
///
/// # Symbols
/// AOI = `aoi_deg`: degrees, 0 to 180. a_r: 0.05 to 0.5; [`MARTIN_RUIZ_A_R`] for clean glass, more for dirty.
///
/// # Limits
/// An angle-dependent share only: what dirt takes from square light is not in it.
///
/// # Source
/// Martin N., Ruiz J. M. (2001), Calculation of the PV modules angular losses under field conditions by means
/// of an analytical model, *Solar Energy Materials & Solar Cells* 70, 25-38,
/// doi:10.1016/S0927-0248(00)00408-6.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for an input outside the ranges.
///
/// # Example
/// 0.95791 at 60 degrees (pvlib 0.16.1).
/// ```
/// let k = wellwright_physics::sun::incidence::martin_ruiz(60.0, 0.16)?;
/// assert!((k - 0.95791).abs() < 1e-5);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn martin_ruiz(aoi_deg: f64, a_r: f64) -> Result<f64, PhysicsError> {
    let cos = cos_checked(aoi_deg)?.max(0.0);
    let a_r = in_range("coefficient a_r", "(none)", a_r, 0.05, 0.5)?;
    Ok((-(-cos / a_r).exp_m1()) / (-(-1.0 / a_r).exp_m1()))
}
