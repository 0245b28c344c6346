//! Where a falling function crosses zero: regula falsi with the Illinois rule (Dowell and Jarratt 1971),
//! and a halving whenever that closes in too slowly.

/// The crossing of a falling `f` between `low` (where it is `f_low` > 0) and `high` (where it is `f_high` <= 0),
/// to `tolerance` in the argument; the side where `f` is still positive.
pub fn falling(
    f: impl Fn(f64) -> f64,
    (mut low, mut f_low): (f64, f64),
    (mut high, mut f_high): (f64, f64),
    tolerance: f64,
) -> f64 {
    let mut side = 0_i8;
    for round in 0..120 {
        let width = high - low;
        if width <= tolerance {
            break;
        }
        let secant = low + width * f_low / (f_low - f_high);
        // A little inside, so that both ends close in.
        let x = if round % 3 == 2 || !secant.is_finite() {
            f64::midpoint(low, high)
        } else {
            secant.clamp(low + 0.3 * tolerance, high - 0.3 * tolerance)
        };
        let y = f(x);
        if y > 0.0 {
            (low, f_low) = (x, y);
            if side == 1 {
                f_high *= 0.5;
            }
            side = 1;
        } else {
            (high, f_high) = (x, y);
            if side == -1 {
                f_low *= 0.5;
            }
            side = -1;
        }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::falling;

    #[test]
    fn crossings_of_smooth_and_broken_functions_are_found() {
        let smooth = |x: f64| 2.0 - x * x;
        assert!((falling(smooth, (0.0, 2.0), (8.0, -62.0), 1e-7) - 2.0_f64.sqrt()).abs() < 2e-7);
        let broken = |x: f64| if x < 0.3 { 1.0 } else { -1000.0 };
        assert!((falling(broken, (0.0, 1.0), (1.0, -1000.0), 1e-7) - 0.3).abs() < 2e-7);
    }
}
