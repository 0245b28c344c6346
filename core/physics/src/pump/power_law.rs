//! A pump curve as a power law, from the few points that a leaflet gives.

use crate::error::PhysicsError;

/// H = A - B Q^C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerLaw {
    /// Head without flow, m.
    pub a: f64,
    /// Coefficient, m per (m3/h)^C.
    pub b: f64,
    /// Exponent.
    pub c: f64,
}

impl PowerLaw {
    /// Through one design point: A = 4/3 H, C = 2, no head left at twice the flow.
    ///
    /// # Source
    /// EPANET 2.2 user manual, one-point pump curve.
    ///
    /// ```
    /// # use wellwright_physics::pump::PowerLaw;
    /// let law = PowerLaw::one_point(0.8 * 3.6, 60.0);
    /// assert!((law.a - 80.0).abs() < 1e-12 && law.head_m(2.0 * 0.8 * 3.6).abs() < 1e-9);
    /// ```
    pub fn one_point(flow_m3_h: f64, head_m: f64) -> PowerLaw {
        PowerLaw { a: head_m * 4.0 / 3.0, b: head_m / 3.0 / flow_m3_h.powi(2), c: 2.0 }
    }

    /// Through no flow and two more points.
    ///
    /// # Equation
    /// C = ln[(A - H2)/(A - H1)]/ln(Q2/Q1), B = (A - H1)/Q1^C.
    ///
    /// # Symbols
    /// `shutoff_m` head without flow, m; `first`, `second` flow m3/h and head m, flow rising, head falling.
    ///
    /// # Source
    /// EPANET 2.2 user manual, three-point pump curve.
    ///
    /// # Errors
    /// [`PhysicsError::CannotFit`] when flow does not rise or head does not fall.
    ///
    /// ```
    /// # use wellwright_physics::pump::PowerLaw;
    /// let law = PowerLaw::three_points(90.0, [0.8 * 3.6, 75.0], [1.4 * 3.6, 48.0])?;
    /// assert!((law.c - 1.83987).abs() < 5e-6);
    /// assert!((law.b * 3600f64.powf(law.c) / 7.48166e6 - 1.0).abs() < 1e-5); // per (m3/s)^C
    /// # Ok::<(), wellwright_physics::error::PhysicsError>(())
    /// ```
    pub fn three_points(shutoff_m: f64, first: [f64; 2], second: [f64; 2]) -> Result<PowerLaw, PhysicsError> {
        let falls = shutoff_m > first[1] && first[1] > second[1];
        if !(falls && first[0] > 0.0 && second[0] > first[0]) {
            return Err(PhysicsError::CannotFit {
                what: "pump curve",
                why: "flow must rise and head must fall from point to point",
            });
        }
        let c = ((shutoff_m - second[1]) / (shutoff_m - first[1])).ln() / (second[0] / first[0]).ln();
        Ok(PowerLaw { a: shutoff_m, b: (shutoff_m - first[1]) / first[0].powf(c), c })
    }

    /// Head at a flow, m; `flow_m3_h` 0 or more.
    pub fn head_m(&self, flow_m3_h: f64) -> f64 {
        self.a - self.b * flow_m3_h.powf(self.c)
    }
}

/// Specific speed of one stage, n sqrt(Q)/H^0.75 (rpm, m3/s, m).
///
/// # Symbols
/// n `rpm`; Q `flow_m3_h` m3/h and H `head_m` m of one stage, both at the best point.
///
/// # Source
/// Definition; 51.64 times as much in US units (rpm, gal/min, ft).
///
/// ```
/// # use wellwright_physics::pump::specific_speed;
/// assert!((specific_speed(2900.0, 0.83 * 3.6, 8.0) - 17.56).abs() < 0.01);
/// let us = 2900.0 * (0.83 / 3.785_411_784 * 60.0_f64).sqrt() / (8.0_f64 / 0.3048).powf(0.75);
/// assert!((us / specific_speed(2900.0, 0.83 * 3.6, 8.0) - 51.64).abs() < 0.01);
/// ```
pub fn specific_speed(rpm: f64, flow_m3_h: f64, head_m: f64) -> f64 {
    rpm * (flow_m3_h / 3600.0).sqrt() / head_m.powf(0.75)
}
