//! Pipes: Hazen-Williams friction, h = 10.67 L Q^1.852 / (C^1.852 d^4.87) in SI (Williams and Hazen
//! 1905; EPANET 2 manual), and fittings as K v^2 / 2g.

/// Standard gravity, m/s2.
pub const GRAVITY: f64 = 9.80665;

/// Exponent of the flow.
pub const EXPONENT: f64 = 1.852;

/// One run of pipe.
#[derive(Debug, Clone, Copy)]
pub struct Pipe {
    /// m.
    pub length: f64,
    /// Inner diameter, m.
    pub bore: f64,
    /// Hazen-Williams coefficient.
    pub c: f64,
    /// Sum of fitting coefficients.
    pub k: f64,
}

impl Pipe {
    /// Section, m2.
    pub fn area(&self) -> f64 {
        std::f64::consts::PI / 4.0 * self.bore * self.bore
    }

    /// Volume, m3.
    pub fn volume(&self) -> f64 {
        self.area() * self.length
    }

    /// Coefficients of q^1.852 and of q^2.
    pub fn terms(&self) -> [f64; 2] {
        let square = self.k / (2.0 * GRAVITY * self.area().powi(2));
        [10.67 * self.length / (self.c.powf(EXPONENT) * self.bore.powf(4.87)), square]
    }

    /// Head lost at `q` m3/s, m.
    pub fn loss(&self, q: f64) -> f64 {
        if q <= 0.0 {
            return 0.0;
        }
        let [friction, square] = self.terms();
        friction * q.powf(EXPONENT) + square * q * q
    }
}
