//! How likely measurements are when many errors are shared.
//!
//! Rows of one window share biases, tolerances and slow model errors. Each row carries its own error and
//! its loadings on the shared ones; the marginal density is then normal with covariance D + U U^T and is
//! computed by the matrix inversion lemma. A slower tail makes it robust: one channel that the model
//! misses costs bits, not the whole answer.

use nalgebra::{DMatrix, DVector};

/// Degrees of freedom of the tail beyond the ordinary.
const TAIL: f64 = 7.0;

/// Rows with shared and own errors.
#[derive(Debug, Clone, Default)]
pub struct SharedErrors {
    residual: Vec<f64>,
    own: Vec<f64>,
    loads: Vec<Vec<f64>>,
}

impl SharedErrors {
    /// Adds a row: measured minus predicted, its own error (1 sigma, above zero) and its loadings on the
    /// shared errors (each in units of 1 sigma; missing ones are zero).
    pub fn push(&mut self, residual: f64, own: f64, loads: Vec<f64>) {
        self.residual.push(residual);
        self.own.push(own.max(1e-6));
        self.loads.push(loads);
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.residual.len()
    }

    /// True when there is no row.
    pub fn is_empty(&self) -> bool {
        self.residual.is_empty()
    }

    /// The same rows less their mean: for a shared value that may lie anywhere.
    #[must_use]
    pub fn centred(mut self) -> SharedErrors {
        let mean = self.residual.iter().sum::<f64>() / self.len().max(1) as f64;
        for r in &mut self.residual {
            *r -= mean;
        }
        self
    }

    /// Only the rows for which `keep` holds.
    #[must_use]
    pub fn only(&self, keep: impl Fn(usize) -> bool) -> SharedErrors {
        let mut out = SharedErrors::default();
        for k in (0..self.len()).filter(|k| keep(*k)) {
            out.push(self.residual[k], self.own[k], self.loads[k].clone());
        }
        out
    }

    /// What the rows say of the first `n` shared errors: their mean, and their covariance, in units of 1 sigma
    /// before. `None` where the rows say nothing that can be computed.
    ///
    /// Equation: covariance (I + U^T D^-1 U)^-1 of all shared errors, mean that times U^T D^-1 r; the block of the
    /// first n is the marginal. Source: conditioning a normal density, any text.
    pub fn shared(&self, n: usize) -> Option<(DVector<f64>, DMatrix<f64>)> {
        let k = self.loads.iter().map(Vec::len).max().unwrap_or(0).max(n);
        let at = |i: usize, j: usize| self.loads[i].get(j).copied().unwrap_or(0.0);
        let u = DMatrix::from_fn(self.len(), k, |i, j| at(i, j) / self.own[i]);
        let r = DVector::from_fn(self.len(), |i, _| self.residual[i] / self.own[i]);
        let covariance = (DMatrix::<f64>::identity(k, k) + u.tr_mul(&u)).cholesky()?.inverse();
        let mean = &covariance * u.tr_mul(&r);
        mean.iter()
            .all(|m| m.is_finite())
            .then(|| (mean.rows(0, n).into(), covariance.view((0, 0), (n, n)).into()))
    }

    /// Squared distance and log determinant of the covariance.
    fn distance(&self) -> (f64, f64) {
        let n = self.len();
        let k = self.loads.iter().map(Vec::len).max().unwrap_or(0);
        let mut inner = DMatrix::<f64>::identity(k, k);
        let mut projected = DVector::<f64>::zeros(k);
        let (mut m2, mut log_det) = (0.0, 0.0);
        for row in 0..n {
            let w = 1.0 / self.own[row].powi(2);
            let r = self.residual[row];
            m2 += r * r * w;
            log_det -= w.ln();
            let u = &self.loads[row];
            for i in 0..u.len() {
                if u[i] == 0.0 {
                    continue;
                }
                let uw = u[i] * w;
                projected[i] += uw * r;
                for j in 0..=i {
                    inner[(i, j)] += uw * u[j];
                }
            }
        }
        for i in 0..k {
            for j in 0..i {
                inner[(j, i)] = inner[(i, j)];
            }
        }
        let Some(chol) = inner.cholesky() else { return (f64::INFINITY, log_det) };
        m2 -= projected.dot(&chol.solve(&projected));
        log_det += 2.0 * chol.l().diagonal().iter().map(|d| d.ln()).sum::<f64>();
        (if m2.is_nan() { f64::INFINITY } else { m2.max(0.0) }, log_det)
    }

    /// Natural log of the marginal density, robust.
    ///
    /// Equation: normal with covariance D + U U^T while the squared distance m2 is what n rows ordinarily give;
    /// beyond n it grows only as n + (nu + n) ln(1 + (m2 - n)/(nu + n)), the slope of a Student tail. A fit that
    /// is better than it should be is not taken for smaller errors.
    /// Symbols: nu [`TAIL`]. Source: robust regression by a loss that is bounded in its slope (Huber 1964), here
    /// on the whole window.
    pub fn log_density(&self) -> f64 {
        if self.is_empty() {
            return 0.0;
        }
        let n = self.len() as f64;
        let (m2, log_det) = self.distance();
        if !m2.is_finite() {
            return -1e6;
        }
        -0.5 * (n * (2.0 * std::f64::consts::PI).ln() + log_det + held(m2, n))
    }

    /// Measured less predicted, row by row.
    pub fn residuals(&self) -> &[f64] {
        &self.residual
    }

    /// These vectors (one number a row) times the inverse of the covariance.
    pub fn weighed(&self, vectors: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let k = self.loads.iter().map(Vec::len).max().unwrap_or(0);
        let w: Vec<f64> = self.own.iter().map(|s| s.powi(-2)).collect();
        let u = DMatrix::from_fn(self.len(), k, |i, j| self.loads[i].get(j).copied().unwrap_or(0.0));
        let wu = DMatrix::from_fn(self.len(), k, |i, j| w[i] * u[(i, j)]);
        let Some(inner) = (DMatrix::<f64>::identity(k, k) + u.tr_mul(&wu)).cholesky() else {
            return vectors.to_vec();
        };
        let of = |v: &Vec<f64>| {
            let v = DVector::from_column_slice(v);
            let shared = &wu * inner.solve(&wu.tr_mul(&v));
            (0..self.len()).map(|i| w[i] * v[i] - shared[i]).collect()
        };
        vectors.iter().map(of).collect()
    }

    /// Squared distance over the number of rows: about 1 when the model fits.
    pub fn misfit(&self) -> f64 {
        if self.is_empty() { 0.0 } else { self.distance().0 / self.len() as f64 }
    }
}

/// A squared distance of `n` rows with its slower tail, see [`SharedErrors::log_density`].
pub fn held(m2: f64, n: f64) -> f64 {
    if m2 <= n { m2 } else { n + (TAIL + n) * (1.0 + (m2 - n) / (TAIL + n)).ln() }
}

/// Log gamma for positive arguments (Lanczos, g = 7, n = 9; 1e-13).
pub fn ln_gamma(x: f64) -> f64 {
    const C: [f64; 9] = [
        0.999_999_999_999_809_9,
        676.520_368_121_885_1,
        -1_259.139_216_722_402_8,
        771.323_428_777_653_1,
        -176.615_029_162_140_6,
        12.507_343_278_686_905,
        -0.138_571_095_265_720_12,
        9.984_369_578_019_572e-6,
        1.505_632_735_149_311_6e-7,
    ];
    let x = x - 1.0;
    let t = x + 7.5;
    let sum = C[1..].iter().enumerate().fold(C[0], |a, (i, c)| a + c / (x + i as f64 + 1.0));
    0.5 * (2.0 * std::f64::consts::PI).ln() + (x + 0.5) * t.ln() - t + sum.ln()
}

/// log of the sum of exponentials.
pub fn log_sum_exp(values: impl IntoIterator<Item = f64>) -> f64 {
    let v: Vec<f64> = values.into_iter().collect();
    let top = v.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY { top } else { top + v.iter().map(|x| (x - top).exp()).sum::<f64>().ln() }
}

/// Half width of an 80 % interval in standard deviations of a normal law.
pub const Z80: f64 = 1.2816;

/// ln of a Student tail of 5 degrees of freedom, its top at 0: a slip must not decide. `z` in standard deviations.
pub fn ln_tail(z: f64) -> f64 {
    -3.0 * (1.0 + z * z / 5.0).ln()
}

/// Natural log of the area under [`ln_tail`].
pub const LN_AREA: f64 = 0.9686;

/// ln of the mean of exp of so many.
pub fn log_mean_exp<const N: usize>(logs: [f64; N]) -> f64 {
    log_sum_exp(logs) - (N as f64).ln()
}

/// Natural log density of a beta distribution at `x` (held inside 0.01..0.99); `a`, `b` more than 0.
pub fn ln_beta_density(x: f64, a: f64, b: f64) -> f64 {
    let x = x.clamp(0.01, 0.99);
    ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + (a - 1.0) * x.ln() + (b - 1.0) * (1.0 - x).ln()
}

/// Logistic function.
pub fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived: residuals (2.5, -1.0), unit variances, correlation 0.6: squared distance 16.0156.
    #[test]
    fn correlated_residuals_check_value() {
        let mut e = SharedErrors::default();
        let shared = 0.6f64.sqrt();
        e.push(2.5, 0.4f64.sqrt(), vec![shared]);
        e.push(-1.0, 0.4f64.sqrt(), vec![shared]);
        assert!((e.distance().0 - 16.015_625).abs() < 1e-6);
        // determinant 1 - 0.36
        assert!((e.distance().1 - 0.64f64.ln()).abs() < 1e-9);
    }

    #[test]
    fn weighed_rows_give_the_distance() {
        let mut e = SharedErrors::default();
        for (r, own, loads) in [(2.5, 0.6, vec![0.7, 0.1]), (-1.0, 0.4, vec![0.8]), (0.3, 1.2, vec![])] {
            e.push(r, own, loads);
        }
        let r = e.residuals().to_vec();
        let weighed = e.weighed(std::slice::from_ref(&r));
        let m2: f64 = r.iter().zip(&weighed[0]).map(|(a, b)| a * b).sum();
        assert!((m2 - e.distance().0).abs() < 1e-12);
    }

    #[test]
    fn rows_that_share_their_error_are_not_independent_evidence() {
        let one = {
            let mut e = SharedErrors::default();
            e.push(3.0, 0.1, vec![1.0]);
            e.misfit()
        };
        let mut many = SharedErrors::default();
        for _ in 0..50 {
            many.push(3.0, 0.1, vec![1.0]);
        }
        assert!((many.misfit() * 50.0 / one - 1.0).abs() < 0.02);
    }

    /// Derived: one row of 2.0 with own error 0.5 and loading 1: variance 1/(1 + 4), mean 4 x 2/5.
    #[test]
    fn one_row_narrows_what_it_shares() {
        let mut e = SharedErrors::default();
        e.push(2.0, 0.5, vec![1.0]);
        let (mean, covariance) = e.shared(2).unwrap();
        assert!((mean[0] - 1.6).abs() < 1e-12 && mean[1].abs() < 1e-12);
        assert!((covariance[(0, 0)] - 0.2).abs() < 1e-12 && (covariance[(1, 1)] - 1.0).abs() < 1e-12);
    }

    #[test]
    fn ln_gamma_of_half_integers() {
        // Gamma(1/2) = sqrt(pi), Gamma(5) = 24: exact values
        assert!((ln_gamma(0.5) - 0.5 * std::f64::consts::PI.ln()).abs() < 1e-12);
        assert!((ln_gamma(5.0) - 24f64.ln()).abs() < 1e-12);
    }
}
