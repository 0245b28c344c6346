//! The little linear algebra that a Gaussian needs.

/// Lower triangle L with L Lᵀ = `a` (row by row, n x n); a diagonal that is not positive is lifted.
pub fn cholesky(a: &[f64], n: usize) -> Vec<f64> {
    let mut l = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| l[i * n + k] * l[j * n + k]).sum();
            l[i * n + j] = if i == j {
                (a[i * n + i] - sum).max(1e-10 * a[i * n + i].abs().max(1e-12)).sqrt()
            } else {
                (a[i * n + j] - sum) / l[j * n + j]
            };
        }
    }
    l
}

/// Solves L y = x.
pub fn forward(l: &[f64], n: usize, x: &[f64]) -> Vec<f64> {
    let mut y = vec![0.0; n];
    for i in 0..n {
        let sum: f64 = (0..i).map(|k| l[i * n + k] * y[k]).sum();
        y[i] = (x[i] - sum) / l[i * n + i];
    }
    y
}

/// log of the sum of exponentials.
pub fn log_sum_exp(x: &[f64]) -> f64 {
    let top = x.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if top == f64::NEG_INFINITY { top } else { top + x.iter().map(|v| (v - top).exp()).sum::<f64>().ln() }
}

/// Least-squares a + b t + c t², by the normal equations with a touch of ridge; fewer terms for few points.
pub fn curve(points: &[(f64, f64)]) -> [f64; 3] {
    let terms = if points.len() >= 12 { 3 } else { 1 };
    let row = |t: f64| [1.0, t, t * t];
    let mut a = vec![0.0; terms * terms];
    let mut b = vec![0.0; terms];
    for (t, y) in points {
        let r = row(*t);
        for i in 0..terms {
            b[i] += r[i] * y;
            for j in 0..terms {
                a[i * terms + j] += r[i] * r[j];
            }
        }
    }
    for i in 1..terms {
        a[i * terms + i] += 0.3;
    }
    let l = cholesky(&a, terms);
    let y = forward(&l, terms, &b);
    // Back substitution with the transpose.
    let mut x = [0.0; 3];
    for i in (0..terms).rev() {
        let sum: f64 = (i + 1..terms).map(|k| l[k * terms + i] * x[k]).sum();
        x[i] = (y[i] - sum) / l[i * terms + i];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_triangle_squares_back() {
        let a = [4.0, 2.0, 0.6, 2.0, 5.0, 1.0, 0.6, 1.0, 3.0];
        let l = cholesky(&a, 3);
        for i in 0..3 {
            for j in 0..3 {
                let back: f64 = (0..3).map(|k| l[i * 3 + k] * l[j * 3 + k]).sum();
                assert!((back - a[i * 3 + j]).abs() < 1e-12);
            }
        }
        let y = forward(&l, 3, &[1.0, 2.0, 3.0]);
        let back: Vec<f64> = (0..3).map(|i| (0..=i).map(|k| l[i * 3 + k] * y[k]).sum()).collect();
        assert!(back.iter().zip([1.0, 2.0, 3.0]).all(|(a, b)| (a - b).abs() < 1e-12));
    }

    #[test]
    fn a_curve_is_found_again() {
        let points: Vec<(f64, f64)> =
            (0..200).map(|k| f64::from(k) / 100.0 - 1.0).map(|t| (t, 2.0 - 3.0 * t + 0.5 * t * t)).collect();
        let c = curve(&points);
        assert!((c[0] - 2.0).abs() < 0.02 && (c[1] + 3.0).abs() < 0.05 && (c[2] - 0.5).abs() < 0.05, "{c:?}");
    }
}
