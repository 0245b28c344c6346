//! What is the same everywhere, and what is usual where nobody measured.

/// Standard gravity, m/s2 (exact by definition, CGPM 1901).
pub const G_M_S2: f64 = 9.80665;

/// Water of a well whose temperature nobody wrote down, degC (engineering judgement: near the mean of the year).
pub const WATER_C: f64 = 18.0;
