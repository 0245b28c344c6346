//! Friction in pipes and fittings.

mod friction;

use friction::friction_and_slope;
pub use friction::{LAMINAR_RE, TURBULENT_RE, colebrook, friction_factor};

use wellwright_domain::record::PipeMaterial;

use crate::constants::G_M_S2;
use crate::error::{PhysicsError, in_range};

/// A straight round pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pipe {
    /// Length, m, 0 or more.
    pub length_m: f64,
    /// Inner diameter, mm, more than 0.
    pub inner_mm: f64,
    /// Wall roughness, mm, 0 to 5 % of the diameter; see [`roughness_mm`].
    pub roughness_mm: f64,
}

impl Pipe {
    /// A pipe whose measures make sense.
    ///
    /// # Errors
    /// [`PhysicsError::OutOfRange`] for a length outside 0 to 100 000 m, an inner diameter outside 1 to
    /// 2000 mm or a roughness outside 0 to 5 % of the diameter.
    pub fn new(length_m: f64, inner_mm: f64, roughness_mm: f64) -> Result<Pipe, PhysicsError> {
        let inner_mm = in_range("inner diameter of the pipe", "mm", inner_mm, 1.0, 2000.0)?;
        Ok(Pipe {
            length_m: in_range("length of the pipe", "m", length_m, 0.0, 1e5)?,
            inner_mm,
            roughness_mm: in_range("roughness of the pipe", "mm", roughness_mm, 0.0, 0.05 * inner_mm)?,
        })
    }

    /// Head lost to friction, m; carries the sign of the flow.
    ///
    /// # Equation
    /// hf = f (L/D) v^2/(2 g) with [`friction_factor`]; below Re 2000 hf = 32 nu L v/(g D^2).
    ///
    /// # Symbols
    /// Q `flow_m3_h` any, m3/h; nu `nu_m2_s` kinematic viscosity, m2/s, 1e-7 to 1e-5.
    ///
    /// # Limits
    /// Steady flow in a full pipe. Rises with the flow everywhere, zero at zero.
    ///
    /// # Source
    /// Darcy-Weisbach; C. F. Colebrook (1939), *J. Inst. Civ. Eng.* 11, 133-156.
    ///
    /// ```
    /// # use wellwright_physics::pipe::Pipe;
    /// // 0.6 l/s in 100 m of smooth 26 mm pipe; an independent Colebrook solution gives 5.979 m.
    /// let pipe = Pipe { length_m: 100.0, inner_mm: 26.0, roughness_mm: 0.0015 };
    /// assert!((pipe.loss_m(0.6 * 3.6, 1.022e-6) - 5.979).abs() < 0.001);
    /// ```
    #[inline]
    pub fn loss_m(&self, flow_m3_h: f64, nu_m2_s: f64) -> f64 {
        self.loss_and_slope_m(flow_m3_h, nu_m2_s).0
    }

    /// Head lost to friction, m, and its slope with the flow, m per m3/h: as [`Pipe::loss_m`].
    ///
    /// # Equation
    /// dh/dQ = (h/Q) (2 + d ln f/d ln Re).
    #[inline]
    pub fn loss_and_slope_m(&self, flow_m3_h: f64, nu_m2_s: f64) -> (f64, f64) {
        let d = self.inner_mm / 1000.0;
        let v = self.velocity_m_s(flow_m3_h);
        let re = v.abs() * d / nu_m2_s;
        if re <= LAMINAR_RE {
            let per_v = 32.0 * nu_m2_s * self.length_m / (G_M_S2 * d * d);
            return (per_v * v, per_v * self.velocity_m_s(1.0));
        }
        let (f, slope) = friction_and_slope(re, self.roughness_mm / self.inner_mm);
        let h = f * self.length_m / d * v * v.abs() / (2.0 * G_M_S2);
        (h, h / flow_m3_h * (2.0 + slope))
    }

    /// Mean velocity, m/s; carries the sign of `flow_m3_h`.
    #[inline]
    pub fn velocity_m_s(&self, flow_m3_h: f64) -> f64 {
        velocity_m_s(flow_m3_h, self.inner_mm)
    }

    /// Head lost in fittings on this pipe, m: see [`minor_loss_m`].
    #[inline]
    pub fn minor_loss_m(&self, k: f64, flow_m3_h: f64) -> f64 {
        minor_loss_m(k, self.velocity_m_s(flow_m3_h))
    }

    /// Water in the pipe, litres.
    pub fn volume_l(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * self.inner_mm * self.inner_mm * self.length_m / 1000.0
    }
}

/// Mean velocity in a round pipe of `inner_mm`, m/s; carries the sign of `flow_m3_h`.
#[inline]
pub fn velocity_m_s(flow_m3_h: f64, inner_mm: f64) -> f64 {
    let d = inner_mm / 1000.0;
    flow_m3_h / 3600.0 / (std::f64::consts::FRAC_PI_4 * d * d)
}

/// Head lost in fittings, m; carries the sign of the flow.
///
/// # Equation
/// h = K v^2/(2 g).
///
/// # Symbols
/// K `k` sum of loss coefficients, 0 or more; v `velocity_m_s` in the pipe that K is given for, m/s.
///
/// # Source
/// Handbook practice; K from tables of fittings.
#[inline]
pub fn minor_loss_m(k: f64, velocity_m_s: f64) -> f64 {
    k * velocity_m_s * velocity_m_s.abs() / (2.0 * G_M_S2)
}

/// Head lost to friction by the Hazen-Williams formula, m; carries the sign of the flow.
///
/// # Equation
/// h = 10.67 L Q^1.852/(C^1.852 D^4.8704), Q in m3/s, D in m.
///
/// # Symbols
/// `flow_m3_h` m3/h; `length_m` m; `inner_mm` mm; C `c`: 150 PE and PVC, 120 to 130 galvanised, 100 old.
///
/// # Limits
/// Water near 15 degC, turbulent; knows no viscosity. A second opinion beside [`Pipe::loss_m`].
///
/// # Source
/// G. S. Williams, A. Hazen (1905), *Hydraulic Tables*; SI form.
///
/// ```
/// # use wellwright_physics::pipe::hazen_williams_m;
/// // 0.6 l/s, 100 m of 26 mm, C 150: 5.646 m by the EPANET 2.2 engine.
/// assert!((hazen_williams_m(2.16, 100.0, 26.0, 150.0) / 5.646 - 1.0).abs() < 0.002);
/// ```
pub fn hazen_williams_m(flow_m3_h: f64, length_m: f64, inner_mm: f64, c: f64) -> f64 {
    let q = flow_m3_h / 3600.0;
    let h = 10.67 * length_m * (q.abs() / c).powf(1.852) / (inner_mm / 1000.0).powf(4.8704);
    h.copysign(flow_m3_h)
}

/// Wall roughness of a pipe in good order, mm.
///
/// # Limits
/// Scale and rust raise it many times over: for steel and galvanised pipe take 30 % of doubt in the loss.
///
/// # Source
/// Handbook values: PE, PVC 0.0015; new steel 0.045; galvanised 0.15.
pub const fn roughness_mm(material: PipeMaterial) -> f64 {
    match material {
        PipeMaterial::Pe | PipeMaterial::Pvc => 0.0015,
        PipeMaterial::Steel => 0.045,
        PipeMaterial::Galvanised => 0.15,
    }
}
