//! Air at the site: pressure, temperature and density by altitude.
//!
//! The sun's refraction and the air mass need the pressure; a pump's suction limit needs it too. Nobody
//! carries a barometer to a well, so the standard atmosphere stands in for one: weather moves the true
//! pressure by 3 % at most.

use crate::constants::G_M_S2;
use crate::error::{PhysicsError, in_range};

/// Standard pressure at sea level, Pa (ICAO Doc 7488, 1993).
pub const SEA_LEVEL_PRESSURE_PA: f64 = 101_325.0;
/// Standard temperature at sea level, K (ICAO Doc 7488, 1993).
const SEA_LEVEL_K: f64 = 288.15;
/// Fall of temperature with height in the troposphere, K/m (ICAO Doc 7488, 1993).
const LAPSE_K_PER_M: f64 = 0.0065;
/// Nominal radius of the Earth for the geopotential altitude, m (ICAO Doc 7488, 1993).
const EARTH_RADIUS_M: f64 = 6_356_766.0;
/// Specific gas constant of dry air, J/(kg K) (ICAO Doc 7488, 1993).
const AIR_J_PER_KG_K: f64 = 287.052_87;
/// Lowest and highest altitude served, m: below the lowest dry land, above the highest.
pub const ALTITUDE_RANGE_M: [f64; 2] = [-500.0, 9000.0];

/// Standard temperature at a checked altitude, K.
fn temperature_k(altitude_m: f64) -> Result<f64, PhysicsError> {
    let [min, max] = ALTITUDE_RANGE_M;
    let h_m = in_range("altitude", "m", altitude_m, min, max)?;
    let geopotential_m = EARTH_RADIUS_M * h_m / (EARTH_RADIUS_M + h_m);
    Ok(SEA_LEVEL_K - LAPSE_K_PER_M * geopotential_m)
}

/// Air pressure of the standard atmosphere.
///
/// # Equation
/// `p = p0 (T / T0)^(g / (R L))`, `T = T0 - L H`, `H = r h / (r + h)`
///
/// # Symbols
/// | symbol | argument | unit | valid |
/// |---|---|---|---|
/// | h | `altitude_m` | m above sea level | -500 to 9000 |
/// | p | result | Pa | |
///
/// # Limits
/// Weather and season move the true pressure by about 3 %. Troposphere only.
///
/// # Source
/// ICAO Doc 7488/3, Manual of the ICAO Standard Atmosphere, 1993.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for an altitude outside the range.
///
/// # Example
/// Standard atmosphere at 2000 m: 79.501 kPa.
/// ```
/// let p_pa = wellwright_physics::atmosphere::pressure_pa(2000.0)?;
/// assert!((p_pa - 79_501.0).abs() < 1.0);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn pressure_pa(altitude_m: f64) -> Result<f64, PhysicsError> {
    let exponent = G_M_S2 / (AIR_J_PER_KG_K * LAPSE_K_PER_M);
    Ok(SEA_LEVEL_PRESSURE_PA * (temperature_k(altitude_m)? / SEA_LEVEL_K).powf(exponent))
}

/// Air temperature of the standard atmosphere, degC.
///
/// # Equation
/// `T = T0 - L H`, `H = r h / (r + h)`
///
/// # Symbols
/// `altitude_m`: m above sea level, -500 to 9000.
///
/// # Limits
/// A mean over the world and the year: **not a forecast of the air at the site**.
///
/// # Source
/// ICAO Doc 7488/3, 1993.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for an altitude outside the range.
///
/// # Example
/// Standard atmosphere at 1000 m: 8.501 degC.
/// ```
/// let air_c = wellwright_physics::atmosphere::temperature_c(1000.0)?;
/// assert!((air_c - 8.501).abs() < 1e-3);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn temperature_c(altitude_m: f64) -> Result<f64, PhysicsError> {
    Ok(temperature_k(altitude_m)? - 273.15)
}

/// Air density of the standard atmosphere, kg/m3.
///
/// # Equation
/// `rho = p / (R T)`
///
/// # Symbols
/// `altitude_m`: m above sea level, -500 to 9000.
///
/// # Limits
/// Dry air; humidity lowers it by 1 % at most.
///
/// # Source
/// ICAO Doc 7488/3, 1993.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for an altitude outside the range.
///
/// # Example
/// Standard atmosphere at sea level: 1.225 kg/m3.
/// ```
/// let rho = wellwright_physics::atmosphere::density_kg_m3(0.0)?;
/// assert!((rho - 1.225).abs() < 1e-4);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn density_kg_m3(altitude_m: f64) -> Result<f64, PhysicsError> {
    Ok(pressure_pa(altitude_m)? / (AIR_J_PER_KG_K * temperature_k(altitude_m)?))
}
