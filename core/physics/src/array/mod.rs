//! Panels as wired: strings of substrings with bypass diodes, seen from the controller's DC input.

mod mismatch;
mod shaded;

pub use mismatch::{Panel, mismatch_loss, unlike_strings};
pub use shaded::{BYPASS_V, Group, ShadedCurve, StringKind};

use crate::module::{Cell, ModuleModel, Point};
use crate::plant::condition::{ArrayCondition, Shade};

/// Array and its DC cable.
#[derive(Debug, Clone, PartialEq)]
pub struct Array {
    /// One module.
    pub module: ModuleModel,
    /// Substrings with a bypass diode in one module.
    pub substrings: u32,
    /// Modules in series.
    pub series: u32,
    /// Strings in parallel.
    pub strings: u32,
    /// Both conductors of the DC cable with connectors, ohm.
    pub dc_ohm: f64,
    /// Share of the data sheet's current that the array really gives (ageing, mismatch, tolerance).
    pub current_share: f64,
    /// Share of the data sheet's voltage.
    pub voltage_share: f64,
}

/// Current against voltage at the controller's input, at one irradiance and temperature.
#[derive(Debug, Clone, PartialEq)]
pub enum ArrayCurve {
    /// All alike: one diode curve, the whole array with its cable as one cell.
    Uniform(Cell),
    /// Partly shaded.
    Shaded(ShadedCurve),
}

/// A shaded substring is cooler by up to this much, K (engineering judgement: it keeps the air's and its
/// neighbours' heat).
const SHADE_COOLER_K: f64 = 8.0;

impl Array {
    /// Number of substrings in the whole array.
    pub fn substring_count(&self) -> f64 {
        f64::from(self.substrings * self.series * self.strings)
    }

    /// The curve at the controller's input.
    ///
    /// Symbols: `irradiance_w_m2` in the plane of the array, 0..1800; `cell_c` -50..120.
    /// Limits: all modules alike but for shade; bypass diodes ideal with a drop of [`BYPASS_V`].
    /// Source: De Soto et al. 2006 for the module; series and parallel by Kirchhoff.
    pub fn curve(&self, irradiance_w_m2: f64, cell_c: f64, c: &ArrayCondition) -> ArrayCurve {
        let strings = (f64::from(self.strings) - f64::from(c.open_strings)).max(0.0);
        let g = irradiance_w_m2 * self.current_share * c.current_ratio;
        let voltage = self.voltage_share * c.voltage_ratio;
        let total = f64::from(self.substrings * self.series);
        let missing = (c.missing_substrings / f64::from(self.strings)).min(total - 1.0);
        let present = total - missing;
        let dc_ohm = self.dc_ohm + c.dc_ohm;
        match c.shade {
            Some(shade) if shade.share > 0.0 && strings > 0.0 => {
                let per_substring = voltage / f64::from(self.substrings);
                let bright = self.module.at(g, cell_c).scaled(per_substring);
                let cooler = cell_c - SHADE_COOLER_K * (1.0 - shade.darkness);
                let dark = self.module.at(g * shade.darkness, cooler).scaled(per_substring);
                ArrayCurve::Shaded(ShadedCurve::new(
                    shaded_strings(shade, strings, present, bright, dark),
                    dc_ohm,
                ))
            }
            _ if c.missing_gathered && missing > 0.0 && strings > 1.0 => {
                let substring = self.module.at(g, cell_c).scaled(voltage / f64::from(self.substrings));
                ArrayCurve::Shaded(ShadedCurve::new(
                    unequal_strings(c.missing_substrings, strings, total, substring),
                    dc_ohm,
                ))
            }
            _ => {
                let cells = voltage * present / f64::from(self.substrings);
                // with every string open nothing is left to carry current: a dark array
                let (g, strings) = if strings > 0.0 { (g, strings) } else { (0.0, 1.0) };
                let module = self.module.at(g, cell_c);
                ArrayCurve::Uniform(module.scaled(cells).paralleled(strings).with_series_ohm(dc_ohm))
            }
        }
    }
}

/// Spreads shade over strings: gathered on as few as hold it, or evenly over all.
fn shaded_strings(shade: Shade, strings: f64, present: f64, bright: Cell, dark: Cell) -> Vec<StringKind> {
    let string = |dark_share: f64, count: f64| {
        let groups = [
            Group { count: present * (1.0 - dark_share), cell: bright },
            Group { count: present * dark_share, cell: dark },
        ];
        StringKind::new(count, groups)
    };
    if shade.gathered {
        let hit = (shade.share * strings).ceil().clamp(1.0, strings);
        vec![string((shade.share * strings / hit).min(1.0), hit), string(0.0, strings - hit)]
    } else {
        vec![string(shade.share, strings)]
    }
}

/// One string is not taken to have lost more than this share of its substrings.
const MOST_LOST: f64 = 0.7;

/// Strings that have lost substrings, as few as hold them, beside whole ones. `total`: substrings of a whole string.
fn unequal_strings(missing: f64, strings: f64, total: f64, cell: Cell) -> Vec<StringKind> {
    let hit = (missing / (MOST_LOST * total)).ceil().clamp(1.0, strings);
    let left = (total - missing / hit).max(1.0);
    let string = |substrings: f64, count: f64| StringKind::new(count, [Group { count: substrings, cell }]);
    vec![string(left, hit), string(total, strings - hit)]
}

impl ArrayCurve {
    /// Current at a voltage, A; never negative.
    pub fn current_a(&self, v: f64) -> f64 {
        match self {
            ArrayCurve::Uniform(cell) => cell.current_a(v).max(0.0),
            ArrayCurve::Shaded(s) => s.current_a(v),
        }
    }

    /// Open-circuit voltage, V.
    pub fn voc(&self) -> f64 {
        match self {
            ArrayCurve::Uniform(cell) => cell.voc(),
            ArrayCurve::Shaded(s) => s.voc(),
        }
    }

    /// The point of most power.
    pub fn best(&self) -> Point {
        match self {
            ArrayCurve::Uniform(cell) => cell.mpp(),
            ArrayCurve::Shaded(s) => {
                let none = Point { v: 0.0, i: 0.0, p: 0.0 };
                s.maxima().into_iter().max_by(|a, b| a.p.total_cmp(&b.p)).unwrap_or(none)
            }
        }
    }

    /// All local maxima, from low voltage to high.
    pub fn maxima(&self) -> Vec<Point> {
        match self {
            ArrayCurve::Uniform(cell) => vec![cell.mpp()],
            ArrayCurve::Shaded(s) => s.maxima(),
        }
    }

    /// Voltage on the falling side at which the array gives `power_w`; that of the best point when it cannot.
    pub fn voltage_for_power(&self, power_w: f64) -> f64 {
        self.voltage_above(&self.best(), self.voc(), power_w, f64::NAN)
    }

    /// As [`ArrayCurve::voltage_for_power`], with the best point and open circuit already at hand.
    pub(crate) fn voltage_above(&self, best: &Point, voc: f64, power_w: f64, near_v: f64) -> f64 {
        if power_w >= best.p {
            return best.v;
        }
        match self {
            ArrayCurve::Uniform(cell) => cell.voltage_for_power(best, voc, power_w, near_v),
            ArrayCurve::Shaded(s) => s.voltage_above(best, power_w),
        }
    }

    /// Voltage at which the array gives a current; `None` when it never gives so much.
    pub fn voltage_at(&self, current_a: f64) -> Option<f64> {
        match self {
            ArrayCurve::Uniform(cell) => (current_a < cell.isc()).then(|| cell.voltage_v(current_a)),
            ArrayCurve::Shaded(s) => s.voltage_at(current_a),
        }
    }
}
