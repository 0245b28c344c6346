//! Copper between the parts: resistance by trade size and temperature, drop and loss, insulation.

mod drop;
mod insulation;

pub use drop::{dc_drop_v, dc_loss_w, loop_ohm, three_phase_drop_v, three_phase_loss_w};
pub use insulation::{InsulationKind, insulation_factor, insulation_mohm_at_40c};

use wellwright_domain::record::Conductor;

use crate::error::{PhysicsError, in_range};

/// Resistivity of annealed copper of 100 % conductivity at 20 degC, ohm mm2/m (IEC 60028: 1/58).
pub const COPPER_OHM_MM2_PER_M: f64 = 1.0 / 58.0;

/// Section mm2 and highest resistance at 20 degC, ohm/km, IEC 60228 class 5, plain copper (from
/// reproductions of the table that agree with each other).
const CLASS_5: [(f64, f64); 9] = [
    (1.5, 13.3),
    (2.5, 7.98),
    (4.0, 4.95),
    (6.0, 3.30),
    (10.0, 1.91),
    (16.0, 1.21),
    (25.0, 0.780),
    (35.0, 0.554),
    (50.0, 0.386),
];

/// Resistance of one conductor, ohm per metre.
///
/// # Equation
/// AWG: R20 = rho/A, rho = 1/58 ohm mm2/m, A from [`awg_area_mm2`] (solid copper).
/// mm2: the table of IEC 60228 class 5, plain copper, which is the highest resistance allowed: 11 to 16 %
/// above rho over the nominal section. Then R(T) = R20 (234.5 + T)/254.5.
///
/// # Symbols
/// `conductor` AWG 0 to 30 or 0.2 to 1000 mm2; T `temp_c` -40 to 120 degC.
///
/// # Limits
/// Between the sizes of the table the logarithm of R is linear in the logarithm of the section; beyond its
/// ends R goes with 1/section. Stranding and contacts add some per cent: an ohmmeter on a real drop cable
/// may read 15 % higher.
///
/// # Source
/// ASTM B258 (AWG); IEC 60228 table 3 and annex (class 5, temperature); IEC 60028 (copper).
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a size or a temperature outside those ranges.
///
/// ```
/// # use wellwright_domain::record::Conductor;
/// # use wellwright_physics::conductor::ohm_per_m;
/// // NFPA 70 chapter 9 table 8: AWG 12 solid, 75 degC, 1.93 ohm per 1000 ft.
/// let kft = 304.8 * ohm_per_m(Conductor::Awg(12), 75.0).unwrap();
/// assert!((kft - 1.93).abs() < 0.005);
/// // IEC 60228 class 5: 4 mm2, 4.95 ohm/km at 20 degC.
/// assert!((ohm_per_m(Conductor::Mm2(4.0), 20.0).unwrap() - 0.00495).abs() < 1e-12);
/// ```
pub fn ohm_per_m(conductor: Conductor, temp_c: f64) -> Result<f64, PhysicsError> {
    let r20 = match conductor {
        Conductor::Awg(n) => {
            in_range("wire gauge", "AWG", f64::from(n), 0.0, 30.0)?;
            COPPER_OHM_MM2_PER_M / awg_area_mm2(n)
        }
        Conductor::Mm2(a) => {
            class_5_ohm_per_km(in_range("conductor section", "mm2", a, 0.2, 1000.0)?) / 1000.0
        }
    };
    Ok(r20 * copper_factor(in_range("conductor temperature", "degC", temp_c, -40.0, 120.0)?))
}

/// Copper's resistance at a temperature over that at 20 degC.
///
/// # Equation
/// (234.5 + T)/254.5; T `temp_c`, -40 to 200 degC.
///
/// # Source
/// IEC 60228, annex on temperature correction.
///
/// ```
/// # use wellwright_physics::conductor::copper_factor;
/// assert!((copper_factor(80.0) - 1.23576).abs() < 1e-5);
/// ```
pub fn copper_factor(temp_c: f64) -> f64 {
    (234.5 + temp_c) / 254.5
}

/// Diameter of a solid AWG conductor, mm.
///
/// # Equation
/// d = 0.127 mm x 92^((36 - n)/39); `n` gauge number, 0 (1/0) to 40.
///
/// # Source
/// ASTM B258.
///
/// ```
/// # use wellwright_physics::conductor::awg_diameter_mm;
/// assert!((awg_diameter_mm(12) - 2.05253).abs() < 1e-5);
/// ```
pub fn awg_diameter_mm(n: i32) -> f64 {
    0.127 * 92.0_f64.powf(f64::from(36 - n) / 39.0)
}

/// Section of a solid AWG conductor, mm2; see [`awg_diameter_mm`].
pub fn awg_area_mm2(n: i32) -> f64 {
    std::f64::consts::FRAC_PI_4 * awg_diameter_mm(n).powi(2)
}

fn class_5_ohm_per_km(area_mm2: f64) -> f64 {
    let (first, last) = (CLASS_5[0], CLASS_5[CLASS_5.len() - 1]);
    if area_mm2 <= first.0 {
        return first.1 * first.0 / area_mm2;
    }
    for pair in CLASS_5.windows(2) {
        let ((a0, r0), (a1, r1)) = (pair[0], pair[1]);
        if area_mm2 <= a1 {
            let share = (area_mm2 / a0).ln() / (a1 / a0).ln();
            return r0 * (share * (r1 / r0).ln()).exp();
        }
    }
    last.1 * last.0 / area_mm2
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resistance_falls_with_section_without_steps() {
        let mut last = f64::INFINITY;
        let mut a = 0.2;
        while a < 1000.0 {
            let r = class_5_ohm_per_km(a);
            assert!(r < last && r > 17.24 / a, "{a} mm2: {r}");
            last = r;
            a *= 1.01;
        }
    }
}
