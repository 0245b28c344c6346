//! Strings of unlike modules: what is lost because the weakest carries the current of all.

use super::{Group, ShadedCurve, StringKind};
use crate::module::ModuleModel;

/// One module in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Panel {
    /// Its model.
    pub module: ModuleModel,
    /// Irradiance on it, W/m2, 0..1800.
    pub irradiance_w_m2: f64,
    /// Its cells' temperature, degC.
    pub cell_c: f64,
    /// Substrings with a bypass diode in it, 1 or more.
    pub substrings: u32,
}

/// The curve of strings of unlike modules in parallel, behind a DC cable of `dc_ohm`.
///
/// # Equation
/// V(I) of a string is the sum of max(V_substring(I), -[`BYPASS_V`](super::BYPASS_V)); currents of strings add
/// at equal V.
///
/// # Symbols
/// `strings` each a list of [`Panel`]s in series; empty strings count as open. `dc_ohm` 0 or more.
///
/// # Limits
/// One irradiance and temperature a module: shade inside a module is [`Group`]'s matter.
///
/// # Source
/// Kirchhoff; De Soto et al. (2006) for each module.
pub fn unlike_strings(strings: &[Vec<Panel>], dc_ohm: f64) -> ShadedCurve {
    let kinds = strings.iter().filter(|s| !s.is_empty()).map(|string| {
        let groups = string.iter().map(|p| {
            let n = f64::from(p.substrings.max(1));
            Group { count: n, cell: p.module.at(p.irradiance_w_m2, p.cell_c).scaled(1.0 / n) }
        });
        StringKind::new(1.0, groups)
    });
    ShadedCurve::new(kinds.collect(), dc_ohm)
}

/// Share of power that a set of strings loses because its modules differ, 0 to 1: 1 less the best point of
/// all together over the sum of each one's own.
pub fn mismatch_loss(strings: &[Vec<Panel>]) -> f64 {
    let alone: f64 = strings.iter().flatten().map(|p| p.module.at(p.irradiance_w_m2, p.cell_c).mpp().p).sum();
    let together = unlike_strings(strings, 0.0).maxima().iter().map(|m| m.p).fold(0.0, f64::max);
    if alone > 0.0 { 1.0 - together / alone } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn panel(current: f64) -> Panel {
        let module =
            ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907);
        Panel { module, irradiance_w_m2: 1000.0 * current, cell_c: 25.0, substrings: 3 }
    }

    #[test]
    fn alike_modules_lose_nothing() {
        let strings = vec![vec![panel(0.9); 10]; 2];
        assert!(mismatch_loss(&strings).abs() < 1e-5, "{}", mismatch_loss(&strings));
        assert_eq!(mismatch_loss(&[]), 0.0);
    }

    /// Derived: near its best current I* a module gives P* - k/2 (I - I*)^2, so modules in series lose
    /// k/2 times the sum of (I* - mean)^2 (the first term of L. L. Bucciarelli (1979), *Solar Energy* 23,
    /// 277-288). k is taken from the module's own curve.
    #[test]
    fn small_spread_costs_its_square() {
        let shares = [0.99, 0.992, 0.995, 0.998, 1.0, 1.0, 1.002, 1.005, 1.008, 1.01];
        let one = panel(1.0).module.at(1000.0, 25.0);
        let best = one.mpp();
        let power = |i: f64| i * one.voltage_v(i);
        let h = 0.01;
        let k = -(power(best.i + h) - 2.0 * best.p + power(best.i - h)) / (h * h);
        let squares: f64 = shares.iter().map(|s: &f64| (best.i * (s - 1.0)).powi(2)).sum();
        let expected = 0.5 * k * squares / (10.0 * best.p);
        let found = mismatch_loss(&[shares.iter().map(|s| panel(*s)).collect()]);
        assert!((found / expected - 1.0).abs() < 0.1, "{found} against {expected}");
    }

    /// One module of ten with half the current: it is bypassed, and a tenth and the diodes' drop are lost.
    #[test]
    fn a_weak_module_is_bypassed() {
        let mut string = vec![panel(1.0); 10];
        string[3] = panel(0.5);
        let best = unlike_strings(&[string], 0.0).maxima().iter().map(|m| m.p).fold(0.0, f64::max);
        let nine = 9.0 * 254.752 - 3.0 * crate::array::BYPASS_V * 8.38;
        assert!((best / nine - 1.0).abs() < 0.002, "{best} against {nine}");
    }
}
