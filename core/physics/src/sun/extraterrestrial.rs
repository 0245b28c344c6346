//! Sunlight above the air: what there is before the atmosphere takes its share.

use std::f64::consts::TAU;

use crate::error::{PhysicsError, in_range};

/// Solar constant used with Spencer's series in the published check values, W/m2.
pub const SOLAR_CONSTANT_W_M2: f64 = 1366.1;

/// Irradiance above the atmosphere on a plane that faces the sun.
///
/// # Equation
/// `Ea = E0 (1.00011 + 0.034221 cos B + 0.00128 sin B + 0.000719 cos 2B + 0.000077 sin 2B)`,
/// `B = 2 pi (day - 1) / 365`
///
/// # Symbols
/// | symbol | argument | unit | valid |
/// |---|---|---|---|
/// | day | `day_of_year` | day, 1 = 1 January | 1 to 366 |
/// | E0 | `solar_constant_w_m2` | W/m2, usually [`SOLAR_CONSTANT_W_M2`] | 1300 to 1420 |
/// | Ea | result | W/m2 | |
///
/// # Limits
/// One value a day, right to about 0.01 % of the orbit's effect; the sun itself varies by 0.1 %.
///
/// # Source
/// Spencer J. W. (1971), Fourier series representation of the position of the sun, *Search* 2, 172.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a day or a constant outside the range.
///
/// # Example
/// 3 January 2024: 1414.02 W/m2.
/// ```
/// use wellwright_physics::sun::extraterrestrial::{SOLAR_CONSTANT_W_M2, extraterrestrial_w_m2};
/// let ea = extraterrestrial_w_m2(3, SOLAR_CONSTANT_W_M2)?;
/// assert!((ea - 1414.02).abs() < 0.01);
/// # Ok::<(), wellwright_physics::error::PhysicsError>(())
/// ```
pub fn extraterrestrial_w_m2(day_of_year: u32, solar_constant_w_m2: f64) -> Result<f64, PhysicsError> {
    let day = in_range("day of the year", "days", f64::from(day_of_year), 1.0, 366.0)?;
    let e0 = in_range("solar constant", "W/m2", solar_constant_w_m2, 1300.0, 1420.0)?;
    let b = TAU * (day - 1.0) / 365.0;
    Ok(e0
        * (1.00011
            + 0.034221 * b.cos()
            + 0.00128 * b.sin()
            + 0.000719 * (2.0 * b).cos()
            + 0.000077 * (2.0 * b).sin()))
}
