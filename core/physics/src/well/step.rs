//! Drawdown of a pumped well from two coefficients.

/// Jacob's step-drawdown law.
///
/// # Equation
/// s = B Q + C Q^2: B is loss in the aquifer (and laminar loss at the well), C turbulent loss at the well.
///
/// # Symbols
/// B `b` m per m3/h, 0 or more; C `c` m per (m3/h)^2, 0 or more; both for a stated time of pumping.
///
/// # Source
/// C. E. Jacob (1947), *Trans. ASCE* 112, 1047-1070; M. S. Hantush (1964), *Adv. Hydrosci.* 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepDrawdown {
    /// Linear coefficient, m per m3/h.
    pub b: f64,
    /// Quadratic coefficient, m per (m3/h)^2.
    pub c: f64,
}

impl StepDrawdown {
    /// Drawdown at a flow, m; carries the sign of `flow_m3_h` (water let down the pipe raises the level).
    ///
    /// ```
    /// # use wellwright_physics::well::StepDrawdown;
    /// let well = StepDrawdown { b: 0.5, c: 0.1 };
    /// assert!((well.drawdown_m(4.0) - 3.6).abs() < 1e-12);
    /// ```
    #[inline]
    pub fn drawdown_m(&self, flow_m3_h: f64) -> f64 {
        flow_m3_h * (self.b + self.c * flow_m3_h.abs())
    }

    /// Flow that draws the level down by `drawdown_m`, m3/h; infinite for a well without loss.
    ///
    /// # Equation
    /// Q = 2 s/(B + sqrt(B^2 + 4 C s)): the positive root, written so that C = 0 needs no case.
    #[inline]
    pub fn flow_m3_h(&self, drawdown_m: f64) -> f64 {
        if drawdown_m == 0.0 {
            return 0.0;
        }
        let root = (self.b * self.b + 4.0 * self.c * drawdown_m.abs()).sqrt();
        2.0 * drawdown_m / (self.b + root)
    }

    /// Share of the drawdown that is linear, 0 to 1 (well efficiency).
    ///
    /// # Limits
    /// B includes linear loss at the well, so this flatters a well with a poor gravel pack.
    ///
    /// # Source
    /// W. H. Bierschenk (1963), *IASH Publ.* 64.
    pub fn efficiency(&self, flow_m3_h: f64) -> f64 {
        let loss = self.b + self.c * flow_m3_h.abs();
        if loss > 0.0 { self.b / loss } else { 1.0 }
    }

    /// Specific capacity Q/s, m3/h per m of drawdown.
    pub fn specific_capacity_m2_h(&self, flow_m3_h: f64) -> f64 {
        1.0 / (self.b + self.c * flow_m3_h.abs())
    }

    /// The same well with coefficients per m3/d, as pumping tests are printed: `b` d/m2, `c` d2/m5.
    #[must_use]
    pub fn from_per_day(b: f64, c: f64) -> StepDrawdown {
        StepDrawdown { b: b * 24.0, c: c * 576.0 }
    }
}
