//! Five parameters from a data sheet.
//!
//! For a given ideality a and series resistance Rs the three points (short circuit, open circuit, best
//! point) are linear in the rest, so the search is two nested bracketed roots: Rs makes the best point
//! the best, a gives the slope of Voc. No starting guess, no divergence.

use super::cell::Cell;
use super::model::ModuleModel;
use crate::error::{PhysicsError, in_range};
use crate::roots::brent;

/// What a module's data sheet says at 1000 W/m2 and 25 degC.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DataSheet {
    /// Cells in series; only for [`FitResidual::ideality`].
    pub cells: f64,
    /// Short-circuit current, A.
    pub isc_a: f64,
    /// Open-circuit voltage, V.
    pub voc_v: f64,
    /// Current at the best point, A.
    pub imp_a: f64,
    /// Voltage at the best point, V.
    pub vmp_v: f64,
    /// Temperature coefficient of Isc, A/K.
    pub alpha_isc_a_per_k: f64,
    /// Temperature coefficient of Voc, V/K, negative.
    pub beta_voc_v_per_k: f64,
    /// Temperature coefficient of the greatest power, %/K, negative. Not fitted: the model has no freedom
    /// left for it. It tells how good the model is.
    pub gamma_pmp_pct_per_k: Option<f64>,
}

/// What a fit could not reproduce: model minus data sheet.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FitResidual {
    /// Largest relative error of Isc, Voc, Imp and Vmp.
    pub points: f64,
    /// Slope of Voc, V/K. Not zero when no curve through the three points has the wanted slope; the
    /// nearest is taken.
    pub beta_voc_v_per_k: f64,
    /// Slope of the greatest power, %/K, when the data sheet gives one.
    pub gamma_pmp_pct_per_k: Option<f64>,
    /// Ideality n of one cell; ordinary silicon lies between 0.8 and 1.6. Other values point to a wrong
    /// data sheet or a wrong count of cells.
    pub ideality: f64,
}

/// Smallest and largest Voc/a that is searched; real modules lie between 15 and 35.
const LARGEST_VOC_OVER_A: f64 = 80.0;

impl ModuleModel {
    /// Finds the parameters that pass through a data sheet's numbers.
    ///
    /// # Equation
    /// Five conditions at 1000 W/m2, 25 degC: I(0) = Isc; I(Voc) = 0; I(Vmp) = Imp; dP/dV = 0 at Vmp;
    /// dVoc/dT = beta.
    ///
    /// # Symbols
    /// The fields of [`DataSheet`]: `isc_a` 0.01 to 100 A, `voc_v` 0.5 to 500 V, `imp_a` between half of
    /// Isc and Isc, `vmp_v` between half of Voc and Voc, `beta_voc_v_per_k` between -1 % and -0.05 % of Voc
    /// per K.
    ///
    /// # Limits
    /// When no curve through the points has the wanted slope with Rs and Rsh positive, the nearest slope is
    /// taken and [`FitResidual::beta_voc_v_per_k`] says by how much it misses.
    ///
    /// # Source
    /// De Soto et al. (2006), section 3, doi:10.1016/j.solener.2005.06.010. The elimination is ours.
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] names the number outside its range; [`PhysicsError::CannotFit`] when
    /// the points are unlike any single-diode curve.
    ///
    /// ```
    /// # use wellwright_physics::module::{DataSheet, ModuleModel};
    /// let sheet = DataSheet {
    ///     cells: 60.0, isc_a: 8.88, voc_v: 37.6, imp_a: 8.38, vmp_v: 30.4,
    ///     alpha_isc_a_per_k: 0.003907, beta_voc_v_per_k: -0.118064, gamma_pmp_pct_per_k: Some(-0.43),
    /// };
    /// let best = ModuleModel::fit(&sheet).unwrap().at(1000.0, 25.0).mpp();
    /// assert!((best.p - 254.752).abs() < 1e-3);
    /// ```
    pub fn fit(sheet: &DataSheet) -> Result<ModuleModel, PhysicsError> {
        let points = Points::checked(sheet)?;
        let voc = sheet.voc_v;
        let beta = in_range("slope of Voc", "V/K", sheet.beta_voc_v_per_k, -0.01 * voc, -0.0005 * voc)?;
        let alpha = in_range(
            "slope of Isc",
            "A/K",
            sheet.alpha_isc_a_per_k,
            -0.005 * sheet.isc_a,
            0.005 * sheet.isc_a,
        )?;
        let (a_lo, a_hi) = points.ideality_range()?;
        let model = |a: f64| -> Option<ModuleModel> {
            let c = points.best_point_curve(a)?;
            Some(ModuleModel::from_reference(c.a, c.il, c.i0, c.rs, c.rsh, alpha))
        };
        let miss = |a: f64| model(a).map_or(f64::NAN, |m| m.beta_voc_v_per_k() - beta);
        // Voc falls faster with temperature the larger a is.
        let (miss_lo, miss_hi) = (miss(a_lo), miss(a_hi));
        let a = if miss_lo <= 0.0 {
            a_lo
        } else if miss_hi >= 0.0 {
            a_hi
        } else {
            brent(miss, a_lo, a_hi, 1e-12 * a_hi, "slope of Voc and ideality")?
        };
        let mut fitted = model(a).ok_or(UNLIKE)?;
        fitted.residual = points.residual(&fitted, sheet);
        Ok(fitted)
    }
}

const UNLIKE: PhysicsError = PhysicsError::CannotFit {
    what: "module curve",
    why: "the four numbers Isc, Voc, Imp, Vmp fit no single-diode curve; check them against the data sheet",
};

/// The three points of the curve.
#[derive(Clone, Copy)]
struct Points {
    isc: f64,
    voc: f64,
    imp: f64,
    vmp: f64,
}

impl Points {
    fn checked(s: &DataSheet) -> Result<Points, PhysicsError> {
        let isc = in_range("short-circuit current", "A", s.isc_a, 0.01, 100.0)?;
        let voc = in_range("open-circuit voltage", "V", s.voc_v, 0.5, 500.0)?;
        if s.vmp_v >= voc {
            return Err(PhysicsError::CannotFit {
                what: "module curve",
                why: "Vmp must be less than Voc; the two may have been swapped",
            });
        }
        if s.imp_a >= isc {
            return Err(PhysicsError::CannotFit {
                what: "module curve",
                why: "Imp must be less than Isc; the two may have been swapped",
            });
        }
        let imp = in_range("current at the best point", "A", s.imp_a, 0.505 * isc, isc)?;
        let vmp = in_range("voltage at the best point", "V", s.vmp_v, 0.505 * voc, voc)?;
        Ok(Points { isc, voc, imp, vmp })
    }

    /// The curve through the three points for a given a and Rs, and (dP/dV = 0) as a defect: negative
    /// while the greatest power lies above Vmp.
    fn through(&self, a: f64, rs: f64) -> (Cell, f64) {
        let &Points { isc, voc, imp, vmp } = self;
        let e_oc = (voc / a).exp_m1();
        let at_sc = (isc * rs / a).exp_m1() / e_oc;
        let vd = vmp + imp * rs;
        let at_mp = (vd / a).exp_m1() / e_oc;
        let (x, y) = (voc - isc * rs, voc - vd);
        let det = (1.0 - at_sc) * y - x * (1.0 - at_mp);
        let diode_at_voc = (isc * y - imp * x) / det;
        let g = ((1.0 - at_sc) * imp - (1.0 - at_mp) * isc) / det;
        let i0 = diode_at_voc / e_oc;
        let slope = i0 / a * (vd / a).exp() + g;
        let cell = Cell { il: diode_at_voc + g * voc, i0, rs, rsh: 1.0 / g.max(1e-9), a };
        (cell, slope * (vmp - imp * rs) - imp)
    }

    /// Series resistance at which the shunt conductance has fallen to zero.
    fn largest_rs(&self, a: f64) -> f64 {
        (self.voc - self.vmp + a * (1.0 - self.imp / self.isc).ln()) / self.imp
    }

    /// The curve with ideality `a` that has its best point at Vmp, when there is one with Rs, Rsh >= 0.
    fn best_point_curve(&self, a: f64) -> Option<Cell> {
        let rs_max = self.largest_rs(a).max(0.0);
        let defect = |rs: f64| self.through(a, rs).1;
        let rs = if defect(0.0) >= 0.0 {
            0.0
        } else if defect(rs_max) <= 0.0 {
            rs_max
        } else {
            brent(defect, 0.0, rs_max, 1e-15, "best point and series resistance").ok()?
        };
        let cell = self.through(a, rs).0;
        (cell.i0 > 0.0 && cell.il > 0.0).then_some(cell)
    }

    /// Idealities for which such a curve exists.
    fn ideality_range(&self) -> Result<(f64, f64), PhysicsError> {
        let lo = self.voc / LARGEST_VOC_OVER_A;
        let end = (self.voc - self.vmp) / -(1.0 - self.imp / self.isc).ln() * (1.0 - 1e-9);
        let bottom = |a: f64| self.through(a, 0.0).1;
        let top = |a: f64| self.through(a, self.largest_rs(a)).1;
        if end <= lo || bottom(lo) >= 0.0 || top(lo) <= 0.0 {
            return Err(UNLIKE);
        }
        let tol = 1e-12 * end;
        let mut hi = end;
        if top(end) < 0.0 {
            hi = hi.min(brent(top, lo, end, tol, "best point and ideality")?);
        }
        if bottom(end) > 0.0 {
            hi = hi.min(brent(bottom, lo, end, tol, "best point and ideality")?);
        }
        Ok((lo, hi * (1.0 - 1e-9)))
    }

    fn residual(&self, m: &ModuleModel, sheet: &DataSheet) -> FitResidual {
        let c = &m.reference;
        let best = c.mpp();
        let points = [(c.isc(), self.isc), (c.voc(), self.voc), (best.i, self.imp), (best.v, self.vmp)]
            .iter()
            .map(|(model, sheet)| (model / sheet - 1.0).abs())
            .fold(0.0, f64::max);
        FitResidual {
            points,
            beta_voc_v_per_k: m.beta_voc_v_per_k() - sheet.beta_voc_v_per_k,
            gamma_pmp_pct_per_k: sheet.gamma_pmp_pct_per_k.map(|g| m.gamma_pmp_pct_per_k() - g),
            ideality: c.a / (sheet.cells.max(1.0) * 0.025_692_579),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(isc_a: f64, voc_v: f64, imp_a: f64, vmp_v: f64, alpha: f64, beta: f64) -> DataSheet {
        DataSheet {
            cells: 60.0,
            isc_a,
            voc_v,
            imp_a,
            vmp_v,
            alpha_isc_a_per_k: alpha,
            beta_voc_v_per_k: beta,
            gamma_pmp_pct_per_k: None,
        }
    }

    #[test]
    fn swapped_numbers_are_named() {
        let e = ModuleModel::fit(&sheet(8.88, 30.4, 8.38, 37.6, 0.004, -0.118)).unwrap_err();
        assert!(e.to_string().contains("Vmp must be less than Voc"), "{e}");
        let e = ModuleModel::fit(&sheet(8.38, 37.6, 8.88, 30.4, 0.004, -0.118)).unwrap_err();
        assert!(e.to_string().contains("Imp must be less than Isc"), "{e}");
        let e = ModuleModel::fit(&sheet(8.88, 37.6, 8.38, 30.4, 0.004, -0.31e2)).unwrap_err();
        assert!(e.is_range(), "{e}");
    }

    #[test]
    fn unreachable_slope_is_reported_not_hidden() {
        let m = ModuleModel::fit(&sheet(8.88, 37.6, 8.38, 30.4, 0.003907, -0.2)).unwrap();
        assert!(m.residual.points < 1e-6, "{:?}", m.residual);
        assert!(m.residual.beta_voc_v_per_k > 0.03, "{:?}", m.residual);
    }
}
