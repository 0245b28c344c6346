//! Insulation resistance brought to one temperature, so that two readings can be compared.

use crate::error::{PhysicsError, in_range};

/// Family of insulating material, which decides how fast its resistance falls with temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InsulationKind {
    /// Softens with heat: PVC, polyethylene. Halves every 10 K.
    Thermoplastic,
    /// Cured: cross-linked, varnished windings.
    Thermosetting,
}

/// Factor that brings an insulation reading to 40 degC.
///
/// # Equation
/// Thermoplastic: KT = 0.5^((40 - T)/10). Thermosetting: KT = exp[-4230 (1/(T + 273) - 1/313)] above
/// 40 degC, with -1245 in place of -4230 below.
///
/// # Symbols
/// T `temp_c` of the insulation: thermoplastic -10 to 85 degC, thermosetting 10 to 85 degC.
///
/// # Source
/// IEEE 43-2013, section 6.3 (from memory; the two families are confirmed by a trade association's
/// article).
///
/// # Errors
/// [`PhysicsError::OutOfRange`] outside those temperatures.
///
/// ```
/// # use wellwright_physics::conductor::{InsulationKind, insulation_factor};
/// assert!((insulation_factor(InsulationKind::Thermoplastic, 25.0).unwrap() - 0.35355).abs() < 1e-5);
/// ```
pub fn insulation_factor(kind: InsulationKind, temp_c: f64) -> Result<f64, PhysicsError> {
    const WHAT: &str = "temperature of the insulation";
    Ok(match kind {
        InsulationKind::Thermoplastic => {
            let t = in_range(WHAT, "degC", temp_c, -10.0, 85.0)?;
            0.5_f64.powf((40.0 - t) / 10.0)
        }
        InsulationKind::Thermosetting => {
            let t = in_range(WHAT, "degC", temp_c, 10.0, 85.0)?;
            let slope = if t > 40.0 { -4230.0 } else { -1245.0 };
            (slope * (1.0 / (t + 273.0) - 1.0 / 313.0)).exp()
        }
    })
}

/// Insulation resistance at 40 degC, Mohm: reading `mohm` at `temp_c` times [`insulation_factor`].
///
/// # Errors
/// As [`insulation_factor`].
pub fn insulation_mohm_at_40c(kind: InsulationKind, mohm: f64, temp_c: f64) -> Result<f64, PhysicsError> {
    Ok(mohm * insulation_factor(kind, temp_c)?)
}
