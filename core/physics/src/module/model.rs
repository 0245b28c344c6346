//! Five parameters at standard conditions and how they move with irradiance and temperature.

use super::cell::Cell;
use super::fit::FitResidual;

/// Irradiance of standard test conditions, W/m2.
pub const IRRADIANCE_REF_W_M2: f64 = 1000.0;
/// Cell temperature of standard test conditions, degC.
pub const CELL_C_REF: f64 = 25.0;

const KELVIN: f64 = 273.15;
/// Boltzmann constant, eV/K (exact in SI: 1.380649e-23 / 1.602176634e-19).
const K_EV: f64 = 8.617_333_262e-5;
/// Band gap of silicon at 25 degC, eV, and its relative slope, 1/K (De Soto 2006).
const EG_REF_EV: f64 = 1.121;
const EG_SLOPE_PER_K: f64 = -0.0002677;
/// Cells outside this range are treated as at its end, degC.
const CELL_C_RANGE: (f64, f64) = (-100.0, 200.0);
/// Below this irradiance the shunt resistance grows no further, W/m2.
const DARK_W_M2: f64 = 1e-3;

/// A module's single-diode parameters at 1000 W/m2 and 25 degC.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ModuleModel {
    /// The curve at standard conditions.
    pub reference: Cell,
    /// Temperature coefficient of the short-circuit current, A/K.
    pub alpha_isc_a_per_k: f64,
    /// How far the model stays from the data sheet; zero for given parameters.
    pub residual: FitResidual,
}

impl ModuleModel {
    /// A model from known parameters.
    ///
    /// # Symbols
    /// `a_ref` V, `il_ref` A, `i0_ref` A, `rs` ohm, `rsh_ref` ohm: see [`Cell`];
    /// `alpha_isc_a_per_k` A/K, 0 to 0.001 of Isc. The CEC variant of the model multiplies this
    /// coefficient by (1 - Adjust/100) before it is given here.
    ///
    /// # Source
    /// De Soto et al. (2006), doi:10.1016/j.solener.2005.06.010; CEC variant: A. P. Dobos (2012), *J. Sol.
    /// Energy Eng.* 134, 021011.
    pub fn from_reference(
        a_ref: f64,
        il_ref: f64,
        i0_ref: f64,
        rs: f64,
        rsh_ref: f64,
        alpha_isc_a_per_k: f64,
    ) -> ModuleModel {
        ModuleModel {
            reference: Cell { il: il_ref, i0: i0_ref, rs, rsh: rsh_ref, a: a_ref },
            alpha_isc_a_per_k,
            residual: FitResidual::default(),
        }
    }

    /// The curve at an irradiance and a cell temperature.
    ///
    /// # Equation
    /// IL = G/Gref [IL,ref + alpha (Tc - Tref)]; a = a_ref Tc/Tref; Rsh = Rsh,ref Gref/G; Rs constant;
    /// I0 = I0,ref (Tc/Tref)^3 exp[Eg,ref/(k Tref) - Eg/(k Tc)], Eg = 1.121 eV (1 - 0.0002677 (Tc - Tref)).
    ///
    /// # Symbols
    /// G `irradiance_w_m2`, effective, 0 to 1500 W/m2, less than 0 counts as 0; Tc `cell_c`, degC, -100 to
    /// 200, beyond counts as the end.
    ///
    /// # Limits
    /// Crystalline silicon. Spectrum and angle of incidence belong in G.
    ///
    /// # Source
    /// De Soto et al. (2006), eqs. 2-10, doi:10.1016/j.solener.2005.06.010.
    ///
    /// ```
    /// # use wellwright_physics::module::ModuleModel;
    /// // A generic 60-cell module; its data sheet says 30.4 V and 8.38 A at the best point.
    /// let m = ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907);
    /// let best = m.at(1000.0, 25.0).mpp();
    /// assert!((best.v / 30.4 - 1.0).abs() < 1e-4 && (best.i / 8.38 - 1.0).abs() < 1e-4);
    /// ```
    pub fn at(&self, irradiance_w_m2: f64, cell_c: f64) -> Cell {
        let r = &self.reference;
        let suns = irradiance_w_m2.max(0.0) / IRRADIANCE_REF_W_M2;
        let dt = cell_c.clamp(CELL_C_RANGE.0, CELL_C_RANGE.1) - CELL_C_REF;
        let t_ref = CELL_C_REF + KELVIN;
        let warm = 1.0 + dt / t_ref;
        let gap = EG_REF_EV / (K_EV * t_ref);
        let boltzmann = (gap - gap * (1.0 + EG_SLOPE_PER_K * dt) / warm).exp();
        Cell {
            il: suns * (r.il + self.alpha_isc_a_per_k * dt).max(0.0),
            i0: r.i0 * warm * warm * warm * boltzmann,
            rs: r.rs,
            rsh: r.rsh / suns.max(DARK_W_M2 / IRRADIANCE_REF_W_M2),
            a: r.a * warm,
        }
    }

    /// Slope of the open-circuit voltage with temperature at 1000 W/m2 and 25 degC, V/K (central
    /// difference over 2 K).
    pub fn beta_voc_v_per_k(&self) -> f64 {
        let voc = |t| self.at(IRRADIANCE_REF_W_M2, t).voc();
        0.5 * (voc(CELL_C_REF + 1.0) - voc(CELL_C_REF - 1.0))
    }

    /// Slope of the greatest power with temperature at 1000 W/m2 and 25 degC, %/K (central difference
    /// over 2 K).
    pub fn gamma_pmp_pct_per_k(&self) -> f64 {
        let p = |t| self.at(IRRADIANCE_REF_W_M2, t).mpp().p;
        50.0 * (p(CELL_C_REF + 1.0) - p(CELL_C_REF - 1.0)) / p(CELL_C_REF)
    }
}
