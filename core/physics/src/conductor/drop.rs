//! Voltage drop and heat in a cable.

/// Drop of a two-wire DC cable, V.
///
/// # Equation
/// dU = 2 L r I. A block-commutated (six-step) drive carries its current in two of three leads at a time:
/// the same equation with the DC link current.
///
/// # Symbols
/// r `ohm_per_m` one conductor, ohm/m; L `length_m` one way, m; I `current_a`, A. All 0 or more.
///
/// # Source
/// Ohm's law.
///
/// ```
/// # use wellwright_physics::conductor::dc_drop_v;
/// // 100 m of 4 mm2 class 5 (IEC 60228: 4.95 ohm/km) with 8 A.
/// assert!((dc_drop_v(0.00495, 100.0, 8.0) - 7.920).abs() < 1e-9);
/// ```
pub fn dc_drop_v(ohm_per_m: f64, length_m: f64, current_a: f64) -> f64 {
    loop_ohm(ohm_per_m, length_m) * current_a
}

/// Heat in a two-wire DC cable, W: 2 L r I^2. Symbols as in [`dc_drop_v`].
pub fn dc_loss_w(ohm_per_m: f64, length_m: f64, current_a: f64) -> f64 {
    loop_ohm(ohm_per_m, length_m) * current_a * current_a
}

/// Resistance out and back through two conductors, ohm: 2 L r. Symbols as in [`dc_drop_v`].
pub fn loop_ohm(ohm_per_m: f64, length_m: f64) -> f64 {
    2.0 * ohm_per_m * length_m
}

/// Drop of a three-wire cable between two leads, V rms.
///
/// # Equation
/// dU = sqrt(3) L r I.
///
/// # Symbols
/// r `ohm_per_m` ohm/m; L `length_m` one way, m; I `current_a_rms`, A rms of one lead.
///
/// # Limits
/// Sinusoidal and balanced currents near unity power factor; the cable's inductance is left out.
///
/// # Source
/// Ohm's law and the three-phase phasor sum.
///
/// ```
/// # use wellwright_physics::conductor::three_phase_drop_v;
/// // 60 m of 2.5 mm2 class 5 at 30 degC: r L = 0.49761 ohm; 6 A rms give 5.1713 V.
/// assert!((three_phase_drop_v(0.49761 / 60.0, 60.0, 6.0) - 5.1713).abs() < 1e-3);
/// ```
pub fn three_phase_drop_v(ohm_per_m: f64, length_m: f64, current_a_rms: f64) -> f64 {
    3.0_f64.sqrt() * ohm_per_m * length_m * current_a_rms
}

/// Heat in a three-wire cable, W: 3 L r I^2. Symbols as in [`three_phase_drop_v`].
pub fn three_phase_loss_w(ohm_per_m: f64, length_m: f64, current_a_rms: f64) -> f64 {
    3.0 * ohm_per_m * length_m * current_a_rms * current_a_rms
}
