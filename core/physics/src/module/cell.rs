//! The current-voltage curve at one irradiance and temperature.
//!
//! Everything is solved in the voltage across the diode, Vd = V + I Rs, in which the curve is explicit
//! and its defect convex: Newton's method from above then never overshoots.

/// Floor of 1/Rsh, 1/ohm: a cell in the dark has a finite, if huge, voltage at any current.
const LEAST_CONDUCTANCE: f64 = 1e-12;

/// A point of a current-voltage curve.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// Voltage, V.
    pub v: f64,
    /// Current, A.
    pub i: f64,
    /// Power, W.
    pub p: f64,
}

/// A single-diode source: a module, or by [`Cell::scaled`] a share of its cells in series.
///
/// # Equation
/// I = IL - I0 [exp((V + I Rs)/a) - 1] - (V + I Rs)/Rsh
///
/// # Symbols
/// The fields; valid for `il >= 0`, `i0 > 0`, `rs >= 0`, `rsh > 0`, `a > 0`.
///
/// # Limits
/// No reverse breakdown and no bypass diode: far beyond short circuit the voltage falls without end,
/// and whoever adds modules up puts the bypass diode in.
///
/// # Source
/// W. De Soto, S. A. Klein, W. A. Beckman (2006), *Solar Energy* 80, 78-88, eq. 1,
/// doi:10.1016/j.solener.2005.06.010.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Light current IL, A.
    pub il: f64,
    /// Diode saturation current I0, A.
    pub i0: f64,
    /// Series resistance Rs, ohm.
    pub rs: f64,
    /// Shunt resistance Rsh, ohm.
    pub rsh: f64,
    /// Modified ideality a = n Ns k Tc/q, V.
    pub a: f64,
}

impl Cell {
    /// Current at a terminal voltage, A; any finite `v`, negative too.
    ///
    /// # Equation
    /// Root in Vd of Vd (1 + Rs/Rsh) + Rs I0 exp(Vd/a) = V + Rs (IL + I0).
    ///
    /// # Source
    /// The defining equation; [`Cell`].
    #[inline]
    pub fn current_a(&self, v: f64) -> f64 {
        let g = self.conductance();
        let vd = if self.rs > 0.0 {
            balance(1.0 + self.rs * g, self.rs * self.i0, self.a, v + self.rs * (self.il + self.i0))
        } else {
            v
        };
        self.current_at_diode(vd)
    }

    /// Terminal voltage at a current, V; any finite `i`. Beyond short circuit it is large and negative.
    ///
    /// # Equation
    /// Root in Vd of Vd/Rsh + I0 exp(Vd/a) = IL + I0 - I, then V = Vd - I Rs.
    ///
    /// # Source
    /// The defining equation; [`Cell`].
    #[inline]
    pub fn voltage_v(&self, i: f64) -> f64 {
        balance(self.conductance(), self.i0, self.a, self.il + self.i0 - i) - i * self.rs
    }

    /// Terminal voltage at a current, V, and its slope dV/dI, ohm (negative): as [`Cell::voltage_v`].
    #[inline]
    pub(crate) fn voltage_and_slope_v(&self, i: f64) -> (f64, f64) {
        let g = self.conductance();
        let (vd, diode_a) = balance_and_exp(g, self.i0, self.a, self.il + self.i0 - i);
        (vd - i * self.rs, -self.rs - 1.0 / (g + diode_a / self.a))
    }

    /// Short-circuit current, A.
    #[inline]
    pub fn isc(&self) -> f64 {
        self.current_a(0.0)
    }

    /// Open-circuit voltage, V.
    #[inline]
    pub fn voc(&self) -> f64 {
        self.voltage_v(0.0)
    }

    /// The point of greatest power; zero in the dark.
    ///
    /// # Equation
    /// Root in Vd of dP/dVd = I - g (Vd - 2 Rs I) = 0 with g = -dI/dVd = (I0/a) exp(Vd/a) + 1/Rsh.
    ///
    /// # Source
    /// The curve taken along the diode voltage: J. W. Bishop (1988), *Solar Cells* 25, 73-89,
    /// doi:10.1016/0379-6787(88)90059-2.
    pub fn mpp(&self) -> Point {
        if self.il <= 0.0 {
            return Point::default();
        }
        let g_sh = self.conductance();
        let rs = self.rs;
        let ratio = (self.il / self.i0.max(f64::MIN_POSITIVE)).max(f64::MIN_POSITIVE);
        let (mut lo, mut hi) = (0.0, self.a * ratio.ln_1p());
        // Best point of the same diode without resistances, one step of ln(1 + x/a) correction.
        let plain = hi - self.a * (hi / self.a).ln_1p();
        let mut vd = hi - self.a * ((plain - 1.8 * rs * self.il).max(0.0) / self.a).ln_1p();
        for _ in 0..60 {
            let exp = self.i0 * (vd / self.a).exp();
            let i = self.il + self.i0 - exp - vd * g_sh;
            let g = exp / self.a + g_sh;
            let lever = vd - 2.0 * rs * i;
            let h = i - g * lever;
            if h > 0.0 {
                lo = vd;
            } else {
                hi = vd;
            }
            let slope = -g - exp / (self.a * self.a) * lever - g * (1.0 + 2.0 * rs * g);
            let newton = vd - h / slope;
            let settled = (newton - vd).abs() <= 1e-9 * self.a;
            vd = if settled || (newton > lo && newton < hi) { newton } else { 0.5 * (lo + hi) };
            if settled {
                break;
            }
        }
        let i = self.current_at_diode(vd);
        let v = vd - rs * i;
        Point { v, i, p: v * i }
    }

    /// Voltage above that of the best point at which the power is `power_w`, V; `power_w` from 0 to less than
    /// `best.p`, `voc` as by [`Cell::voc`]. `near_v` is a voltage near it, if known: it saves time only.
    ///
    /// # Equation
    /// Root in Vd of V I = P between the best point and open circuit, where V I falls ever faster: Newton's
    /// method from open circuit, inside a bracket.
    pub(crate) fn voltage_for_power(&self, best: &Point, voc: f64, power_w: f64, near_v: f64) -> f64 {
        let g_sh = self.conductance();
        let (mut lo, mut hi) = (best.v + best.i * self.rs, voc);
        let near = near_v + power_w / near_v * self.rs;
        let mut vd = if near > lo && near < hi {
            near
        } else {
            // as if power fell with the square of the distance from the best point
            lo + (hi - lo) * (1.0 - power_w / best.p).max(0.0).sqrt()
        };
        for _ in 0..60 {
            let exp = self.i0 * (vd / self.a).exp();
            let i = self.il + self.i0 - exp - vd * g_sh;
            let miss = (vd - self.rs * i) * i - power_w;
            if miss > 0.0 {
                lo = vd;
            } else {
                hi = vd;
            }
            let newton = vd - miss / (i - (exp / self.a + g_sh) * (vd - 2.0 * self.rs * i));
            let settled = (newton - vd).abs() <= 1e-9 * self.a;
            vd = if settled || (newton > lo && newton < hi) { newton } else { 0.5 * (lo + hi) };
            if settled || hi - lo <= 1e-14 * hi {
                break;
            }
        }
        vd - self.rs * self.current_at_diode(vd)
    }

    /// The same cells, but only a share of them in series: a substring of `share_of_cells` = 1/3, or ten
    /// modules as one with 10. Currents stay, voltages and resistances scale.
    #[must_use]
    #[inline]
    pub fn scaled(&self, share_of_cells: f64) -> Cell {
        Cell {
            rs: self.rs * share_of_cells,
            rsh: self.rsh * share_of_cells,
            a: self.a * share_of_cells,
            ..*self
        }
    }

    /// `strings` of these side by side: currents add, resistances divide. More than 0.
    #[must_use]
    #[inline]
    pub fn paralleled(&self, strings: f64) -> Cell {
        Cell {
            il: self.il * strings,
            i0: self.i0 * strings,
            rs: self.rs / strings,
            rsh: self.rsh / strings,
            ..*self
        }
    }

    /// The same source behind `ohm` more of cable, 0 or more; its voltage is then that at the cable's end.
    #[must_use]
    #[inline]
    pub fn with_series_ohm(&self, ohm: f64) -> Cell {
        Cell { rs: self.rs + ohm, ..*self }
    }

    /// Current at a diode voltage, A.
    #[inline]
    pub fn current_at_diode(&self, vd: f64) -> f64 {
        self.il - self.i0 * (vd / self.a).exp_m1() - vd * self.conductance()
    }

    #[inline]
    fn conductance(&self) -> f64 {
        (1.0 / self.rsh).max(LEAST_CONDUCTANCE)
    }
}

/// Solves p y + q exp(y/a) = d for y, with p, q, a > 0.
///
/// Each term alone bounds y from above, the left side is convex and rising: Newton comes down to the
/// root without passing it.
#[inline]
fn balance(p: f64, q: f64, a: f64, d: f64) -> f64 {
    balance_and_exp(p, q, a, d).0
}

/// As [`balance`], with q exp(y/a).
#[inline]
fn balance_and_exp(p: f64, q: f64, a: f64, d: f64) -> (f64, f64) {
    let line = d / p;
    let mut y = if d > q { line.min(a * (d / q).ln()) } else { line.min(0.0) };
    let mut exp = 0.0;
    for _ in 0..50 {
        exp = q * (y / a).exp();
        let step = (p * y + exp - d) / (p + exp / a);
        y -= step;
        if step.abs() <= 1e-8 * a {
            exp *= 1.0 - step / a;
            break;
        }
    }
    (y, exp)
}

#[cfg(test)]
mod tests {
    use super::*;

    const CELL: Cell = Cell { il: 8.884117, i0: 1.497143e-10, rs: 0.3233, rsh: 697.390381, a: 1.5161 };

    #[test]
    fn current_and_voltage_are_inverse() {
        for v in [-37.6, -5.0, 0.0, 10.0, 30.4, 37.0, 40.0, 60.0] {
            let i = CELL.current_a(v);
            assert!((CELL.voltage_v(i) - v).abs() < 1e-9, "{v}: {}", CELL.voltage_v(i));
        }
    }

    #[test]
    fn dark_and_overdriven_cells_stay_finite() {
        let dark = Cell { il: 0.0, rsh: f64::INFINITY, ..CELL };
        assert_eq!(dark.mpp(), Point::default());
        assert!(dark.voc().abs() < 1e-9);
        assert!(dark.voltage_v(1.0) < -1e6);
        assert!(CELL.voltage_v(9.5) < -100.0 && CELL.voltage_v(1e9).is_finite());
    }

    #[test]
    fn three_thirds_make_a_module() {
        let third = CELL.scaled(1.0 / 3.0);
        assert!((3.0 * third.voltage_v(5.0) - CELL.voltage_v(5.0)).abs() < 1e-10);
        assert!((3.0 * third.mpp().p - CELL.mpp().p).abs() < 1e-9);
    }
}
