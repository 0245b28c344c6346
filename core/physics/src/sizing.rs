//! Arithmetic of a design check: strings in the cold, water past a motor, pressure at a shut valve, and the
//! smallest conductor that keeps its drop within a limit.

use wellwright_domain::record::Conductor;

use crate::conductor::{dc_drop_v, ohm_per_m, three_phase_drop_v};
use crate::constants::G_M_S2;
use crate::error::{PhysicsError, in_range};

/// Sizes of submersible cable that any shop has, thin to thick (common practice, no single source).
pub const COMMON_AWG: [Conductor; 4] =
    [Conductor::Awg(14), Conductor::Awg(12), Conductor::Awg(10), Conductor::Awg(8)];
/// The same in metric sizes.
pub const COMMON_MM2: [Conductor; 4] =
    [Conductor::Mm2(2.5), Conductor::Mm2(4.0), Conductor::Mm2(6.0), Conductor::Mm2(10.0)];

/// Open-circuit voltage of a string at a cell temperature, V.
///
/// # Equation
/// V = n (Voc + beta (T - 25)).
///
/// # Symbols
/// n `series` modules; Voc `voc_v`, V at 25 degC; beta `beta_v_per_k`, V/K, negative; T `cell_c`, degC: the
/// coldest air at dawn, when cells are as cold as the air.
///
/// # Limits
/// Linear; 1000 W/m2, so a little high for the weak light of a cold morning.
///
/// # Source
/// Definition of the data sheet's coefficient (IEC 60891, IEC 61215); the coldest morning is common practice.
///
/// ```
/// # use wellwright_physics::sizing::string_voc_v;
/// // 10 x 37.6 + 10 x -0.129 x (-2 - 25) = 410.83 V
/// assert!((string_voc_v(10.0, 37.6, -0.129, -2.0) - 410.83).abs() < 1e-9);
/// ```
pub fn string_voc_v(series: f64, voc_v: f64, beta_v_per_k: f64, cell_c: f64) -> f64 {
    series * (voc_v + beta_v_per_k * (cell_c - 25.0))
}

/// Cell temperature at which a string's open-circuit voltage reaches `limit_v`, degC; `None` without a
/// coefficient. Symbols and equation as in [`string_voc_v`].
///
/// ```
/// # use wellwright_physics::sizing::reaches_at_c;
/// // 25 + (450/10 - 37.6)/-0.129 = -32.36 degC
/// assert!((reaches_at_c(10.0, 37.6, -0.129, 450.0).unwrap() + 32.36).abs() < 0.01);
/// ```
pub fn reaches_at_c(series: f64, voc_v: f64, beta_v_per_k: f64, limit_v: f64) -> Option<f64> {
    let at = 25.0 + (limit_v / series - voc_v) / beta_v_per_k;
    at.is_finite().then_some(at)
}

/// Speed of the water past a motor that hangs in a casing below the intake, m/s.
///
/// # Equation
/// v = Q / (pi/4 (Dc^2 - Dm^2)).
///
/// # Symbols
/// Q `flow_m3_h`, m3/h; Dc `casing_mm`, Dm `motor_mm`, mm.
///
/// # Limits
/// All the water must come from below the motor: where it enters above, none passes without a sleeve.
///
/// # Source
/// Continuity. Least speeds of 0.08 to 0.16 m/s are common practice, no single source.
///
/// # Errors
/// [`PhysicsError::OutOfRange`] for a motor as wide as the casing or wider.
///
/// ```
/// # use wellwright_physics::sizing::past_motor_m_s;
/// // 5 m3/h, 150 mm casing, 96 mm motor: 1.3889e-3 m3/s / 0.010433 m2 = 0.1331 m/s
/// assert!((past_motor_m_s(5.0, 150.0, 96.0).unwrap() - 0.1331).abs() < 1e-4);
/// ```
pub fn past_motor_m_s(flow_m3_h: f64, casing_mm: f64, motor_mm: f64) -> Result<f64, PhysicsError> {
    in_range("outer diameter of the motor", "mm", motor_mm, 0.0, 0.999 * casing_mm)?;
    let free_m2 = std::f64::consts::FRAC_PI_4 * (casing_mm.powi(2) - motor_mm.powi(2)) * 1e-6;
    Ok(flow_m3_h / 3600.0 / free_m2)
}

/// Pressure of a head of water, kPa: rho g H; H `head_m`, m; rho `density_kg_m3`, kg/m3.
///
/// ```
/// # use wellwright_physics::sizing::pressure_kpa;
/// assert!((pressure_kpa(94.38, 997.77) - 923.5).abs() < 0.1);
/// ```
pub fn pressure_kpa(head_m: f64, density_kg_m3: f64) -> f64 {
    density_kg_m3 * G_M_S2 * head_m / 1000.0
}

/// How a cable carries its current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leads {
    /// Three leads to a motor; current and voltage rms, line to line.
    Three,
    /// Out and back, DC.
    Two,
}

/// A stretch of cable with its load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// How it carries its current.
    pub leads: Leads,
    /// One way, m.
    pub length_m: f64,
    /// Current of one lead, A.
    pub current_a: f64,
    /// Voltage that the drop is a share of, V.
    pub voltage_v: f64,
    /// Conductor temperature, degC.
    pub conductor_c: f64,
}

/// A conductor with its drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConductorDrop {
    /// Size.
    pub conductor: Conductor,
    /// Drop, % of the run's voltage.
    pub drop_pct: f64,
}

impl Run {
    /// Drop of this run with a conductor.
    ///
    /// # Equation
    /// sqrt(3) L r I / V for three leads, 2 L r I / V for two: see [`crate::conductor`].
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] for a size or temperature outside the tables.
    pub fn with(&self, conductor: Conductor) -> Result<ConductorDrop, PhysicsError> {
        let r = ohm_per_m(conductor, self.conductor_c)?;
        let drop_v = match self.leads {
            Leads::Three => three_phase_drop_v(r, self.length_m, self.current_a),
            Leads::Two => dc_drop_v(r, self.length_m, self.current_a),
        };
        Ok(ConductorDrop { conductor, drop_pct: 100.0 * drop_v / self.voltage_v })
    }

    /// The first of `sizes` (thin to thick) whose drop is within `limit_pct`; `None` when not even the last is.
    ///
    /// # Limits
    /// Drop alone decides: how hot a conductor may get in its place is for the local code.
    ///
    /// # Errors
    /// As [`Run::with`].
    pub fn smallest(
        &self,
        sizes: &[Conductor],
        limit_pct: f64,
    ) -> Result<Option<ConductorDrop>, PhysicsError> {
        for &size in sizes {
            let sized = self.with(size)?;
            if sized.drop_pct <= limit_pct {
                return Ok(Some(sized));
            }
        }
        Ok(None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drop_cable(voltage_v: f64, current_a: f64, length_m: f64) -> Run {
        Run { leads: Leads::Three, length_m, current_a, voltage_v, conductor_c: 28.0 }
    }

    /// Three-conductor submersible cable lies between AWG 14 and AWG 10 by length: common practice, no single
    /// source. Drop within 5 %.
    #[test]
    fn usual_systems_get_the_sizes_of_the_trade() {
        // low voltage: about 60 V line to line, 5 A
        let low = [(20.0, 14), (35.0, 14), (50.0, 12), (75.0, 10)];
        // high voltage: about 180 V line to line, 5 A
        let high = [(30.0, 14), (60.0, 14), (100.0, 14), (140.0, 12), (200.0, 10)];
        for (volts, table) in [(60.0, &low[..]), (180.0, &high[..])] {
            for &(length, awg) in table {
                let pick = drop_cable(volts, 5.0, length).smallest(&COMMON_AWG, 5.0).unwrap().unwrap();
                assert_eq!(pick.conductor, Conductor::Awg(awg), "{volts} V, {length} m: {pick:?}");
            }
        }
    }

    /// By hand: AWG 12 has 3.3088 mm2 (ASTM B258), 1/58/3.3088 = 5.2108e-3 ohm/m at 20 degC, x 264.5/254.5 =
    /// 5.4155e-3 at 30; 66 m, 5 A: sqrt(3) x 66 x 5.4155e-3 x 5 = 3.0954 V = 1.7197 % of 180 V.
    #[test]
    fn a_drop_by_hand() {
        let run = Run { conductor_c: 30.0, ..drop_cable(180.0, 5.0, 66.0) };
        assert!((run.with(Conductor::Awg(12)).unwrap().drop_pct - 1.7197).abs() < 1e-3);
        // two leads of 6 mm2 class 5 (3.30 ohm/km), 25 m, 8.38 A at 20 degC: 1.3827 V of 304 V
        let dc =
            Run { leads: Leads::Two, length_m: 25.0, current_a: 8.38, voltage_v: 304.0, conductor_c: 20.0 };
        assert!((dc.with(Conductor::Mm2(6.0)).unwrap().drop_pct - 0.4548).abs() < 1e-3);
    }

    #[test]
    fn longer_is_never_thinner_and_too_long_gets_none() {
        let mut last = 0.0;
        for tenth in 1..60 {
            let run = drop_cable(180.0, 6.0, 5.0 * f64::from(tenth));
            let area = match run.smallest(&COMMON_MM2, 5.0).unwrap().map(|s| s.conductor) {
                Some(Conductor::Mm2(a)) => a,
                _ => f64::INFINITY,
            };
            assert!(area >= last);
            last = area;
        }
        assert_eq!(drop_cable(24.0, 10.0, 200.0).smallest(&COMMON_AWG, 5.0).unwrap(), None);
    }

    #[test]
    fn a_motor_wider_than_its_casing_is_refused() {
        assert!(past_motor_m_s(5.0, 100.0, 100.0).unwrap_err().is_range());
    }
}
