//! Liquid water near atmospheric pressure, and the head left at the intake.
//!
//! Between 0 and 60 degC, the range of groundwater.

use crate::constants::G_M_S2;
use crate::error::{PhysicsError, in_range};

/// Checks that the water is liquid and within the range that was compared with IAPWS tables.
fn liquid(temp_c: f64) -> Result<f64, PhysicsError> {
    in_range("water temperature", "degC", temp_c, 0.0, 60.0)
}

/// Density, kg/m3.
///
/// # Equation
/// rho = (sum of a_k T^k, k = 0..5)/(1 + 0.01687985 T).
///
/// # Symbols
/// T `temp_c` 0 to 60 degC.
///
/// # Limits
/// Air-free water at 101.325 kPa; within 2e-5 of IAPWS-95. Dissolved salt and depth are left out (100 m
/// of water add 0.05 %).
///
/// # Source
/// G. S. Kell (1975), *J. Chem. Eng. Data* 20, 97-105, doi:10.1021/je60064a005.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] outside 0 to 60 degC.
///
/// ```
/// # use wellwright_physics::water::density_kg_m3;
/// assert!((density_kg_m3(20.0).unwrap() - 998.207).abs() < 0.01); // IAPWS-95
/// ```
pub fn density_kg_m3(temp_c: f64) -> Result<f64, PhysicsError> {
    let t = liquid(temp_c)?;
    let top = 999.83952
        + t * (16.945176
            + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12))));
    Ok(top / (1.0 + 16.879850e-3 * t))
}

/// Dynamic viscosity, Pa s.
///
/// # Equation
/// mu = 1e-6 (280.68 T^-1.9 + 511.45 T^-7.7 + 61.131 T^-19.6 + 0.45903 T^-40), T in units of 300 K.
///
/// # Symbols
/// `temp_c` 0 to 60 degC.
///
/// # Source
/// IAPWS SR6-08(2011), *Supplementary Release on Properties of Liquid Water at 0.1 MPa*, eq. 7.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] outside 0 to 60 degC.
///
/// ```
/// # use wellwright_physics::water::viscosity_pa_s;
/// assert!((viscosity_pa_s(20.0).unwrap() - 1.0016e-3).abs() < 1e-7); // IAPWS 2008
/// ```
pub fn viscosity_pa_s(temp_c: f64) -> Result<f64, PhysicsError> {
    let x = ((liquid(temp_c)? + 273.15) / 300.0).ln();
    let term = |a: f64, b: f64| a * (b * x).exp();
    Ok(1e-6 * (term(280.68, -1.9) + term(511.45, -7.7) + term(61.131, -19.6) + term(0.45903, -40.0)))
}

/// Kinematic viscosity, m2/s: [`viscosity_pa_s`] over [`density_kg_m3`].
///
/// # Errors
/// [`PhysicsError::OutOfRange`] outside 0 to 60 degC.
pub fn kinematic_m2_s(temp_c: f64) -> Result<f64, PhysicsError> {
    Ok(viscosity_pa_s(temp_c)? / density_kg_m3(temp_c)?)
}

/// Vapour pressure, Pa.
///
/// # Equation
/// ln(p/pc) = (Tc/T) (a1 y + a2 y^1.5 + a3 y^3 + a4 y^3.5 + a5 y^4 + a6 y^7.5), y = 1 - T/Tc,
/// Tc = 647.096 K, pc = 22.064 MPa.
///
/// # Symbols
/// `temp_c` 0 to 60 degC.
///
/// # Source
/// W. Wagner, A. Pruss (1993), *J. Phys. Chem. Ref. Data* 22, 783-787, eq. 1 (IAPWS SR1-86).
///
/// # Errors
/// [`PhysicsError::OutOfRange`] outside 0 to 60 degC.
///
/// ```
/// # use wellwright_physics::water::vapour_pressure_pa;
/// assert!((vapour_pressure_pa(20.0).unwrap() - 2339.2).abs() < 0.3);
/// ```
pub fn vapour_pressure_pa(temp_c: f64) -> Result<f64, PhysicsError> {
    let t = liquid(temp_c)? + 273.15;
    let y = 1.0 - t / 647.096;
    let r = y.sqrt();
    let sum = -7.85951783 * y + 1.84408259 * y * r - 11.7866497 * y.powi(3) + 22.6807411 * y.powi(3) * r
        - 15.9618719 * y.powi(4)
        + 1.80122502 * y.powi(7) * r;
    Ok(22.064e6 * (647.096 / t * sum).exp())
}

/// Net positive suction head at the intake, m.
///
/// # Equation
/// NPSHa = (patm - pv)/(rho g) + submergence - hf.
///
/// # Symbols
/// patm `air_pa` 45 000 to 105 000 Pa; `temp_c` water, 0 to 60 degC; `submergence_m` water over the intake
/// while pumping, m (negative: the water is below it); hf `intake_loss_m` loss in screen and intake, m.
///
/// # Source
/// Handbook definition.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] outside 0 to 60 degC.
///
/// ```
/// # use wellwright_physics::water::npsh_available_m;
/// // 1500 m altitude (84.5597 kPa), 20 degC, 2 m of submergence: 10.40 m.
/// assert!((npsh_available_m(84_559.7, 20.0, 2.0, 0.0).unwrap() - 10.40).abs() < 0.005);
/// ```
pub fn npsh_available_m(
    air_pa: f64,
    temp_c: f64,
    submergence_m: f64,
    intake_loss_m: f64,
) -> Result<f64, PhysicsError> {
    let free_pa = air_pa - vapour_pressure_pa(temp_c)?;
    Ok(free_pa / (density_kg_m3(temp_c)? * G_M_S2) + submergence_m - intake_loss_m)
}
