//! How hot the cells get: from the air, the sun and the wind.

/// Heat loss without wind, Faiman's U0, W/(m2 K); open rack.
pub const FAIMAN_U0: f64 = 25.0;
/// Heat loss per wind speed, Faiman's U1, W s/(m3 K); open rack.
pub const FAIMAN_U1: f64 = 6.84;

/// Module temperature (back of the module) by Faiman's model, degC.
///
/// # Equation
/// Tm = Ta + G/(U0 + U1 ws), U0 = 25, U1 = 6.84.
///
/// # Symbols
/// G `irradiance_w_m2` 0 to 1500 W/m2; Ta `air_c` -50 to 60 degC; ws `wind_m_s` at module height, 0 to
/// 30 m/s (less counts as 0).
///
/// # Limits
/// Steady sun, modules with air on both sides. Expect 3 K of spread.
///
/// # Source
/// D. Faiman (2008), *Prog. Photovolt.* 16, 307-315, doi:10.1002/pip.813; IEC 61853-2.
///
/// ```
/// # use wellwright_physics::cell_temperature::faiman;
/// assert_eq!(faiman(0.0, 20.0, 1.0), 20.0);
/// assert!((faiman(800.0, 20.0, 1.0) - 45.13).abs() < 0.01); // 800 / 31.84 above air
/// ```
pub fn faiman(irradiance_w_m2: f64, air_c: f64, wind_m_s: f64) -> f64 {
    air_c + irradiance_w_m2 / (FAIMAN_U0 + FAIMAN_U1 * wind_m_s.max(0.0))
}

/// Cell temperature from the nominal operating cell temperature of the data sheet, degC.
///
/// # Equation
/// Tc = Ta + G (NOCT - 20)/800.
///
/// # Symbols
/// G `irradiance_w_m2` W/m2; Ta `air_c` degC; NOCT `noct_c` 40 to 55 degC.
///
/// # Limits
/// Wind of 1 m/s, open circuit: a little high for a module that delivers power.
///
/// # Source
/// Definition of NOCT: 800 W/m2, 20 degC, 1 m/s (IEC 61215).
///
/// ```
/// # use wellwright_physics::cell_temperature::noct;
/// assert_eq!(noct(800.0, 20.0, 47.0), 47.0);
/// ```
pub fn noct(irradiance_w_m2: f64, air_c: f64, noct_c: f64) -> f64 {
    air_c + irradiance_w_m2 * (noct_c - 20.0) / 800.0
}

/// Cell temperature from the temperature of the module's back, degC.
///
/// # Equation
/// Tc = Tm + 3 K G/1000.
///
/// # Symbols
/// Tm `back_c` degC; G `irradiance_w_m2` W/m2.
///
/// # Limits
/// Open rack, glass and polymer back sheet.
///
/// # Source
/// D. L. King, W. E. Boyson, J. A. Kratochvil (2004), SAND2004-3535, eq. 12.
///
/// ```
/// # use wellwright_physics::cell_temperature::cell_from_back;
/// assert_eq!(cell_from_back(50.0, 1000.0), 53.0);
/// ```
pub fn cell_from_back(back_c: f64, irradiance_w_m2: f64) -> f64 {
    back_c + 3.0 * irradiance_w_m2 / 1000.0
}
