//! A smooth curve through the points of a data sheet that never turns where the points do not.

/// Monotone piecewise cubic through points, straight beyond the ends.
///
/// # Source
/// F. N. Fritsch, R. E. Carlson (1980), *SIAM J. Numer. Anal.* 17, 238-246; weights of the slopes by
/// F. N. Fritsch, J. Butland (1984), *SIAM J. Sci. Stat. Comput.* 5, 300-304.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Curve {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Curve {
    pub(super) fn new(x: Vec<f64>, y: Vec<f64>) -> Curve {
        let n = x.len();
        let d: Vec<f64> = (0..n - 1).map(|i| (y[i + 1] - y[i]) / (x[i + 1] - x[i])).collect();
        let mut slope = vec![0.0; n];
        for i in 1..n - 1 {
            if d[i - 1] * d[i] > 0.0 {
                let (h0, h1) = (x[i] - x[i - 1], x[i + 1] - x[i]);
                let (w1, w2) = (2.0 * h1 + h0, h1 + 2.0 * h0);
                slope[i] = (w1 + w2) / (w1 / d[i - 1] + w2 / d[i]);
            }
        }
        let end = |h0: f64, h1: f64, d0: f64, d1: f64| {
            let m = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
            if m * d0 <= 0.0 {
                0.0
            } else if d0 * d1 <= 0.0 && m.abs() > 3.0 * d0.abs() {
                3.0 * d0
            } else {
                m
            }
        };
        if n == 2 {
            slope = vec![d[0]; 2];
        } else {
            slope[0] = end(x[1] - x[0], x[2] - x[1], d[0], d[1]);
            slope[n - 1] = end(x[n - 1] - x[n - 2], x[n - 2] - x[n - 3], d[n - 2], d[n - 3]);
        }
        Curve { x, y, slope }
    }

    /// Value at `x`.
    #[inline]
    pub(super) fn at(&self, x: f64) -> f64 {
        self.value_and_slope(x).0
    }

    /// Value and slope at `x`.
    #[inline]
    pub(super) fn value_and_slope(&self, x: f64) -> (f64, f64) {
        let n = self.x.len();
        if x <= self.x[0] {
            return (self.y[0] + self.slope[0] * (x - self.x[0]), self.slope[0]);
        }
        if x >= self.x[n - 1] {
            return (self.y[n - 1] + self.slope[n - 1] * (x - self.x[n - 1]), self.slope[n - 1]);
        }
        let mut i = 0;
        while x > self.x[i + 1] {
            i += 1;
        }
        let (h, rise) = (self.x[i + 1] - self.x[i], self.y[i + 1] - self.y[i]);
        let t = (x - self.x[i]) / h;
        let (m0, m1) = (h * self.slope[i], h * self.slope[i + 1]);
        // y = y0 + t (m0 + t (c2 + t c3))
        let (c2, c3) = (3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise);
        (self.y[i] + t * (m0 + t * (c2 + t * c3)), (m0 + t * (2.0 * c2 + t * 3.0 * c3)) / h)
    }

    /// Where the curve, straightened beyond its end, reaches zero.
    pub(super) fn zero(&self) -> f64 {
        let n = self.x.len();
        self.x[n - 1] - self.y[n - 1] / self.slope[n - 1].min(-1e-9)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn goes_through_its_points_and_never_turns() {
        let (x, y) = (vec![0.0, 1.0, 2.0, 5.0, 6.0], vec![9.0, 8.9, 5.0, 4.0, 0.5]);
        let c = Curve::new(x.clone(), y.clone());
        x.iter().zip(&y).for_each(|(x, y)| assert!((c.at(*x) - y).abs() < 1e-12));
        let mut before = c.at(-1.0);
        for k in -99..800 {
            let now = c.at(f64::from(k) * 0.01);
            assert!(now <= before + 1e-12, "turns at {k}");
            before = now;
        }
    }

    #[test]
    fn slope_is_that_of_the_value() {
        let c = Curve::new(vec![0.0, 1.0, 2.0, 5.0], vec![9.0, 8.0, 5.0, 4.0]);
        for x in [-0.5, 0.2, 1.7, 3.3, 4.9, 6.0] {
            let numeric = (c.at(x + 1e-6) - c.at(x - 1e-6)) / 2e-6;
            assert!((c.value_and_slope(x).1 - numeric).abs() < 1e-6, "{x}");
        }
    }
}
