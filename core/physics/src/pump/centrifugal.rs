//! Centrifugal pump end: the record's curve with affinity; reversed by the published complete
//! characteristics.

use crate::error::PhysicsError;
use crate::pump::{PumpCondition, Rotation};
use crate::suter::homologous;

/// Standard gravity, m/s2 (exact by definition, CGPM 1901).
pub const G_M_S2: f64 = 9.80665;

/// Multistage centrifugal pump end.
///
/// Purpose: total head and shaft torque at a speed and flow.
/// Equation: affinity, H = w^2 h(Q/w), P = w^3 p(Q/w) with w = n / n_rated; h and p are monotone cubic
/// (Fritsch-Carlson) interpolants of the record's points. Power at no flow is `shutoff_power_share` of the
/// power at the best point.
/// Limits: no efficiency shift with Reynolds number; beyond the last point the curve goes on straight.
/// Source: affinity laws, any pump handbook; Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17, 238.
#[derive(Debug, Clone, PartialEq)]
pub struct Centrifugal {
    rated_rpm: f64,
    head: Curve,
    power_w: Curve,
    best_flow_m3_h: f64,
    best_head_m: f64,
    best_torque_nm: f64,
}

impl Centrifugal {
    /// From rows of flow m3/h, head m and hydraulic efficiency at `rated_rpm`.
    ///
    /// Errors: fewer than three points, flow not rising, head not falling, efficiency outside 0..1.
    pub fn new(
        rated_rpm: f64,
        rows: &[[f64; 3]],
        shutoff_power_share: f64,
        density_kg_m3: f64,
    ) -> Result<Self, PhysicsError> {
        let bad = |why| PhysicsError::CannotFit { what: "pump curve", why };
        if rows.len() < 3 {
            return Err(bad("it has fewer than three points"));
        }
        if rows.iter().flatten().any(|v| !v.is_finite()) {
            return Err(bad("it holds a value that is not a number"));
        }
        for pair in rows.windows(2) {
            if pair[1][0] <= pair[0][0] {
                return Err(bad("flow does not rise from point to point"));
            }
            if pair[1][1] >= pair[0][1] {
                return Err(bad("head does not fall from point to point"));
            }
        }
        if rows.iter().any(|r| !(0.0..=1.0).contains(&r[2])) {
            return Err(bad("an efficiency lies outside 0 to 1"));
        }
        let best = rows
            .iter()
            .filter(|r| r[0] > 0.0 && r[2] > 0.0)
            .max_by(|a, b| a[2].total_cmp(&b[2]))
            .ok_or_else(|| bad("no point has both flow and efficiency"))?;
        let hydraulic_w = |r: &[f64; 3]| density_kg_m3 * G_M_S2 * r[0] / 3600.0 * r[1];
        let best_power_w = hydraulic_w(best) / best[2];
        let mut flow = Vec::new();
        let mut power = Vec::new();
        if rows[0][0] > 0.0 {
            flow.push(0.0);
            power.push(shutoff_power_share * best_power_w);
        }
        for r in rows {
            let p = if r[0] <= 0.0 || r[2] <= 0.02 {
                if r[0] <= 0.0 { shutoff_power_share * best_power_w } else { continue }
            } else {
                hydraulic_w(r) / r[2]
            };
            flow.push(r[0]);
            power.push(p);
        }
        let mut head_flow: Vec<f64> = rows.iter().map(|r| r[0]).collect();
        let mut head: Vec<f64> = rows.iter().map(|r| r[1]).collect();
        if head_flow[0] > 0.0 {
            // to no flow along a parabola through the first two points
            let curvature = (head[0] - head[1]) / (head_flow[1].powi(2) - head_flow[0].powi(2));
            head.insert(0, head[0] + curvature * head_flow[0].powi(2));
            head_flow.insert(0, 0.0);
        }
        Ok(Centrifugal {
            rated_rpm,
            head: Curve::new(head_flow, head),
            power_w: Curve::new(flow, power),
            best_flow_m3_h: best[0],
            best_head_m: best[1],
            best_torque_nm: best_power_w / omega_rad_s(rated_rpm),
        })
    }

    /// Speed of the curve, rpm.
    pub fn rated_rpm(&self) -> f64 {
        self.rated_rpm
    }

    /// Flow at the best point and rated speed, m3/h.
    pub fn best_flow_m3_h(&self) -> f64 {
        self.best_flow_m3_h
    }

    /// Head at the best point and rated speed, m.
    pub fn best_head_m(&self) -> f64 {
        self.best_head_m
    }

    /// Shaft torque at the best point and rated speed, N m.
    pub fn best_torque_nm(&self) -> f64 {
        self.best_torque_nm
    }

    /// Largest flow worth asking for at `rpm`, m3/h: where the straightened curve has lost all its head.
    pub fn max_flow_m3_h(&self, rpm: f64) -> f64 {
        rpm / self.rated_rpm * self.head.zero()
    }

    /// Total head at a speed and flow, m. May be negative beyond the zero-head flow.
    pub fn head_m(&self, rpm: f64, flow_m3_h: f64, c: &PumpCondition) -> f64 {
        if c.moves_nothing() {
            return 0.0;
        }
        let w = rpm / self.rated_rpm;
        if w <= 0.0 {
            return 0.0;
        }
        let capacity = (1.0 - c.blockage).max(0.02);
        let q = flow_m3_h / capacity;
        match c.rotation {
            Rotation::Forward => {
                let q = q / w / (1.0 - c.gas).max(0.05);
                let mut h = self.head.at(q);
                // wear: leakage costs more head where the head is high
                h -= c.wear * self.best_head_m * (0.6 + 0.4 * q / self.best_flow_m3_h);
                w * w * h * c.size_ratio * (1.0 - 0.5 * c.gas)
            }
            Rotation::Reversed => {
                let (h, _) = homologous(-w, q / self.best_flow_m3_h);
                h * self.best_head_m * c.size_ratio
            }
        }
    }

    /// Shaft torque at a speed and flow, N m.
    pub fn torque_nm(&self, rpm: f64, flow_m3_h: f64, c: &PumpCondition) -> f64 {
        let w = rpm / self.rated_rpm;
        if w <= 0.0 || c.uncoupled {
            return 0.0;
        }
        if let Some(share) = c.dry_torque_share {
            return share * self.best_torque_nm * w * w;
        }
        let torque = match c.rotation {
            Rotation::Forward => {
                let q = flow_m3_h / w / (1.0 - 0.5 * c.gas).max(0.05);
                let near_shutoff = (1.0 - q / self.best_flow_m3_h).clamp(0.0, 1.0).powi(2);
                let shutoff = 1.0 + (c.shutoff_ratio - 1.0) * near_shutoff;
                w * w * self.power_w.at(q).max(0.0) / omega_rad_s(self.rated_rpm)
                    * (1.0 - 0.6 * c.gas)
                    * shutoff
            }
            Rotation::Reversed => {
                let (_, beta) = homologous(-w, flow_m3_h / self.best_flow_m3_h);
                beta.abs() * self.best_torque_nm
            }
        };
        torque * c.size_ratio / c.efficiency_ratio
    }
}

/// Angular speed, rad/s.
pub fn omega_rad_s(rpm: f64) -> f64 {
    rpm * std::f64::consts::PI / 30.0
}

/// Monotone piecewise cubic through points, straight beyond the ends.
#[derive(Debug, Clone, PartialEq)]
struct Curve {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Curve {
    fn new(x: Vec<f64>, y: Vec<f64>) -> Curve {
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

    fn at(&self, x: f64) -> f64 {
        let n = self.x.len();
        if x <= self.x[0] {
            return self.y[0] + self.slope[0] * (x - self.x[0]);
        }
        if x >= self.x[n - 1] {
            return self.y[n - 1] + self.slope[n - 1] * (x - self.x[n - 1]);
        }
        let mut i = 0;
        while x > self.x[i + 1] {
            i += 1;
        }
        let h = self.x[i + 1] - self.x[i];
        let t = (x - self.x[i]) / h;
        let (t2, t3) = (t * t, t * t * t);
        self.y[i] * (2.0 * t3 - 3.0 * t2 + 1.0)
            + self.y[i + 1] * (3.0 * t2 - 2.0 * t3)
            + h * (self.slope[i] * (t3 - 2.0 * t2 + t) + self.slope[i + 1] * (t3 - t2))
    }

    /// Where the curve, straightened beyond its end, reaches zero.
    fn zero(&self) -> f64 {
        let n = self.x.len();
        self.x[n - 1] - self.y[n - 1] / self.slope[n - 1].min(-1e-9)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pump() -> Centrifugal {
        let rows = [
            [0.0, 78.0, 0.0],
            [1.2, 75.5, 0.32],
            [2.4, 70.0, 0.50],
            [3.6, 61.0, 0.56],
            [4.8, 47.0, 0.52],
            [5.6, 34.0, 0.42],
        ];
        Centrifugal::new(3000.0, &rows, 0.5, 998.2).unwrap()
    }

    #[test]
    fn affinity_holds() {
        let (p, c) = (pump(), PumpCondition::default());
        let full = p.head_m(3000.0, 3.6, &c);
        assert!((full - 61.0).abs() < 1e-9);
        assert!((p.head_m(1500.0, 1.8, &c) - full / 4.0).abs() < 1e-9);
        assert!((p.torque_nm(1500.0, 1.8, &c) - p.torque_nm(3000.0, 3.6, &c) / 4.0).abs() < 1e-9);
    }

    /// Donsky 1961, tabulated in Wylie & Streeter, *Fluid Transients*: at the same speed reversed shut-off
    /// head 0.634 and torque 0.684 of the best point's; free discharge near 0.4365 of the best flow.
    #[test]
    fn reversed_as_published() {
        let p = pump();
        let c = PumpCondition { rotation: Rotation::Reversed, ..PumpCondition::default() };
        assert!((p.head_m(3000.0, 0.0, &c) / 61.0 - 0.634).abs() < 0.001);
        assert!((p.torque_nm(3000.0, 0.0, &c) / p.best_torque_nm() - 0.684).abs() < 0.001);
        assert!((p.head_m(3000.0, 0.4365 * 3.6, &c) / 61.0).abs() < 0.005);
    }

    #[test]
    fn a_curve_that_is_none_is_an_error() {
        assert!(Centrifugal::new(3000.0, &[[0.0, 78.0, 0.0], [1.2, 75.5, 0.3]], 0.5, 998.2).is_err());
        let rising = [[0.0, 70.0, 0.0], [1.0, 71.0, 0.3], [2.0, 60.0, 0.5]];
        let message = Centrifugal::new(3000.0, &rising, 0.5, 998.2).unwrap_err().to_string();
        assert!(message.contains("head does not fall"), "{message}");
    }
}
