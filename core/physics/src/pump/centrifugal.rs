//! Centrifugal pump end: the record's curve with affinity; reversed by the published complete
//! characteristics.

use crate::constants::G_M_S2;
use crate::error::PhysicsError;
use crate::pump::curve::Curve;
use crate::pump::{PumpCondition, Rotation};
use crate::suter::homologous;

/// Multistage centrifugal pump end.
///
/// Purpose: total head and shaft torque at a speed and flow.
/// Equation: affinity, H = w^2 h(Q/w), P = w^3 p(Q/w) with w = n / n_rated; h and p are monotone cubic
/// (Fritsch-Carlson) interpolants of the record's points. Power at no flow is `shutoff_power_share` of the
/// power at the best point. Off the rated speed power carries the shift of [`efficiency_shift`].
/// Limits: beyond the last point the curve goes on straight.
/// Source: affinity laws, any pump handbook; Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17, 238.
#[derive(Debug, Clone, PartialEq)]
pub struct Centrifugal {
    rated_rpm: f64,
    head: Curve,
    power_w: Curve,
    best_flow_m3_h: f64,
    best_head_m: f64,
    best_torque_nm: f64,
    best_efficiency: f64,
}

/// Where the head curve is flat the clearances set what runs back: no more than this share of the best flow
/// (engineering judgement).
const MOST_BACK: f64 = 0.5;

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
            best_efficiency: best[2],
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
        self.head_and_slope_m(rpm, flow_m3_h, c).0
    }

    /// Total head, m, and its slope with the flow, m per m3/h, at most 0 wherever the pump's curve falls.
    #[inline]
    pub fn head_and_slope_m(&self, rpm: f64, flow_m3_h: f64, c: &PumpCondition) -> (f64, f64) {
        let w = rpm / self.rated_rpm;
        if c.moves_nothing() || w <= 0.0 {
            return (0.0, 0.0);
        }
        let q = flow_m3_h / (1.0 - c.blockage).max(0.02);
        match c.rotation {
            Rotation::Forward => {
                let per_flow = 1.0 / (w * (1.0 - c.blockage).max(0.02) * (1.0 - c.gas).max(0.05));
                let q = q / w / (1.0 - c.gas).max(0.05);
                let (mut h, mut slope) = self.head.value_and_slope(q);
                h -= self.worn_off_m(q, c);
                slope -= c.wear * self.best_head_m * 0.4 / self.best_flow_m3_h;
                let scale = w * w * c.size_ratio * (1.0 - 0.5 * c.gas);
                (scale * h, scale * slope * per_flow)
            }
            Rotation::Reversed => {
                let at = |q: f64| homologous(-w, q / self.best_flow_m3_h).0 * self.best_head_m * c.size_ratio;
                let width = 1e-4 * w * self.best_flow_m3_h;
                let h = at(q);
                (h, (at(q + width) - h) / width / (1.0 - c.blockage).max(0.02))
            }
        }
    }

    /// Head lost to wear at a flow, both at rated speed, m. It is told as head lost at the best flow; of that 0.6 is
    /// missing at no flow, more beyond.
    fn worn_off_m(&self, flow_m3_h: f64, c: &PumpCondition) -> f64 {
        c.wear * self.best_head_m * (0.6 + 0.4 * flow_m3_h / self.best_flow_m3_h)
    }

    /// Flow that runs back through open clearances at a flow delivered, both at rated speed, m3/h: the impellers move
    /// both, and give the head of both.
    fn running_back_m3_h(&self, flow_m3_h: f64, c: &PumpCondition) -> f64 {
        if c.runs_back <= 0.0 {
            return 0.0;
        }
        let (_, slope) = self.head.value_and_slope(flow_m3_h);
        let most = MOST_BACK * self.best_flow_m3_h;
        let by_head =
            self.worn_off_m(flow_m3_h, c) / (-slope).max(1e-3 * self.best_head_m / self.best_flow_m3_h);
        c.runs_back * by_head.min(most)
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
                let q = q + self.running_back_m3_h(q, c);
                let near_shutoff = (1.0 - q / self.best_flow_m3_h).clamp(0.0, 1.0).powi(2);
                let shutoff = 1.0 + (c.shutoff_ratio - 1.0) * near_shutoff;
                let shift = efficiency_shift(self.best_efficiency, w);
                w * w * self.power_w.at(q).max(0.0) / omega_rad_s(self.rated_rpm)
                    * (1.0 - 0.6 * c.gas)
                    * shutoff
                    * (self.best_efficiency / (self.best_efficiency + shift))
            }
            Rotation::Reversed => {
                let (_, beta) = homologous(-w, flow_m3_h / self.best_flow_m3_h);
                beta.abs() * self.best_torque_nm
            }
        };
        torque * c.size_ratio / c.efficiency_ratio
    }
}

/// Change of the best efficiency when a pump runs at `w` times its rated speed; 0 at w = 1.
///
/// # Equation
/// d eta = (1 - eta) (1 - w^-0.1), held within 0.02 and a tenth of eta: losses of a smaller Reynolds number weigh more.
///
/// # Symbols
/// eta `best_efficiency` 0 to 1, at rated speed; w `speed_ratio` more than 0.
///
/// # Limits
/// At most 2 points either way: the exponent is an average over pumps of many sizes. The same share of power
/// is added at every flow, so head and flow keep their affinity.
///
/// # Source
/// The step-up form 1 - eta = (1 - eta1) (n1/n)^0.1 is handbook practice (from memory; exponents of 0.1 to
/// 0.2 are in use).
///
/// ```
/// # use wellwright_physics::pump::centrifugal::efficiency_shift;
/// assert_eq!(efficiency_shift(0.5, 1.0), 0.0);
/// assert!((efficiency_shift(0.56, 0.8) + 0.44 * (1.25f64.powf(0.1) - 1.0)).abs() < 1e-12);
/// assert_eq!(efficiency_shift(0.5, 0.2), -0.02); // held
/// ```
#[inline]
pub fn efficiency_shift(best_efficiency: f64, speed_ratio: f64) -> f64 {
    if speed_ratio == 1.0 {
        return 0.0;
    }
    let most = 0.02f64.min(0.1 * best_efficiency);
    ((1.0 - best_efficiency) * (1.0 - speed_ratio.powf(-0.1))).clamp(-most, most)
}

/// Angular speed, rad/s.
pub fn omega_rad_s(rpm: f64) -> f64 {
    rpm * std::f64::consts::PI / 30.0
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
        // power by affinity, and 2 points of 56 % lost to the smaller Reynolds number
        let torque = p.torque_nm(3000.0, 3.6, &c) / 4.0 * 0.56 / 0.54;
        assert!((p.torque_nm(1500.0, 1.8, &c) - torque).abs() < 1e-9);
    }

    /// What runs back is moved by the impellers: they stand at the flow of both, in head and in torque.
    #[test]
    fn worn_clearances_keep_their_torque() {
        let p = pump();
        let worn = PumpCondition { wear: 0.1, ..PumpCondition::default() };
        let back = PumpCondition { runs_back: 1.0, ..worn };
        let sound = PumpCondition::default();
        assert_eq!(p.head_m(3000.0, 3.0, &worn), p.head_m(3000.0, 3.0, &back));
        assert_eq!(p.torque_nm(3000.0, 3.0, &worn), p.torque_nm(3000.0, 3.0, &sound));
        let more = p.running_back_m3_h(3.0, &back);
        let (got, both) = (p.torque_nm(3000.0, 3.0, &back), p.torque_nm(3000.0, 3.0 + more, &sound));
        assert!((got - both).abs() < 1e-12 && got > p.torque_nm(3000.0, 3.0, &sound));
        // along the slope of the curve
        let lost = p.head_m(3000.0, 3.0, &sound) - p.head_m(3000.0, 3.0 + more, &sound);
        let worn_off = p.head_m(3000.0, 3.0, &sound) - p.head_m(3000.0, 3.0, &back);
        assert!((lost / worn_off - 1.0).abs() < 0.25, "{lost} {worn_off}");
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
