//! Panels: an explicit current-voltage curve with empirical coefficients, substrings with bypass
//! diodes, strings in parallel and the cable to the controller.
//!
//! Curve, explicit in the voltage: V = Voc + A ln(1 - I/Isc) - R I. A and R follow from two conditions
//! on the data-sheet point: it lies on the curve, and dP/dI is zero there (derived here; no shunt, no
//! physics of the junction). Light and temperature shift it as IEC 60891 procedure 2 does: Isc with the
//! light and alpha, Voc with beta and the logarithm of the light.

use super::sun::Light;

/// One module, as built.
#[derive(Debug, Clone)]
pub struct Module {
    /// Short-circuit current, A, at 1000 W/m2, 25 degC.
    pub isc: f64,
    /// Open-circuit voltage, V.
    pub voc: f64,
    /// Current at the best point, A.
    pub imp: f64,
    /// Voltage at the best point, V.
    pub vmp: f64,
    /// A/K.
    pub alpha: f64,
    /// V/K.
    pub beta: f64,
    /// V for each factor e of light.
    pub light_v: f64,
    /// Substrings, each with a bypass diode.
    pub substrings: usize,
    /// Drop of a conducting bypass diode, V.
    pub bypass_v: f64,
}

/// Substrings of one string that see the same light.
#[derive(Debug, Clone, Copy)]
pub struct Group {
    /// How many.
    pub count: usize,
    /// Share of the direct light that reaches them.
    pub beam: f64,
    /// Share of the diffuse light that reaches them.
    pub diffuse: f64,
}

/// All panels and the cable to the controller.
#[derive(Debug, Clone)]
pub struct Panels {
    /// Module.
    pub module: Module,
    /// Kinds of strings: their groups and how many such strings are in parallel.
    pub strings: Vec<(Vec<Group>, usize)>,
    /// Share of light lost over the whole array (soiling, mismatch).
    pub dull: f64,
    /// Both conductors and connectors, ohm.
    pub dc_ohm: f64,
}

/// Voltage and current at the controller's input, from low voltage to open circuit.
#[derive(Debug, Clone, Default)]
pub struct Curve {
    /// V.
    pub v: Vec<f64>,
    /// A.
    pub i: Vec<f64>,
}

const NODES: usize = 90;

impl Module {
    /// The logarithmic voltage A and the series resistance R of the curve.
    fn shape(&self) -> (f64, f64) {
        let (y, v) = (self.imp / self.isc, self.vmp / self.voc);
        let log = -(1.0 - y).ln();
        // In units of Voc and Isc: log A + y R = 1 - v and A / (1 - y) + R = v / y.
        let a = (2.0 * v - 1.0) / (y / (1.0 - y) - log);
        let r = v / y - a / (1.0 - y);
        let (a, r) = if r < 0.0 { ((1.0 - v) / log, 0.0) } else { (a, r) };
        (a * self.voc, r * self.voc / self.isc)
    }

    /// Voltage of one substring carrying `i` A at `g` W/m2 and `t` degC.
    fn substring_v(&self, i: f64, g: f64, t: f64) -> f64 {
        let sun = g / 1000.0;
        if sun < 1e-4 {
            return -self.bypass_v;
        }
        let x = i / (sun * (self.isc + self.alpha * (t - 25.0)));
        if x >= 1.0 {
            return -self.bypass_v;
        }
        let (a, r) = self.shape();
        // The logarithmic part grows with absolute temperature, so the best point falls faster than Voc.
        let a = a * (t + 273.15) / 298.15;
        let v = self.voc + a * (1.0 - x).ln() - r * i + self.beta * (t - 25.0) + self.light_v * sun.ln();
        (v / self.substrings as f64).max(-self.bypass_v)
    }
}

impl Panels {
    /// Substrings in all.
    pub fn substrings(&self) -> usize {
        self.strings.iter().map(|(g, n)| n * g.iter().map(|g| g.count).sum::<usize>()).sum()
    }

    /// The curve at the controller's input.
    pub fn curve(&self, light: Light, cell_c: f64) -> Curve {
        let seen = |g: &Group| {
            (light.beam * light.glass * g.beam + 0.96 * light.diffuse * g.diffuse) * (1.0 - self.dull)
        };
        let string_v = |groups: &[Group], i: f64| -> f64 {
            groups.iter().map(|g| g.count as f64 * self.module.substring_v(i, seen(g), cell_c)).sum()
        };
        let top = self.strings.iter().map(|(g, _)| string_v(g, 0.0)).fold(0.0, f64::max);
        let brightest = self.strings.iter().flat_map(|(g, _)| g.iter().map(seen)).fold(0.0, f64::max);
        let i_top = brightest / 1000.0 * (self.module.isc + self.module.alpha * (cell_c - 25.0));
        let mut curve = Curve::default();
        if top <= 1.0 {
            return Curve { v: vec![0.0, 0.1], i: vec![0.0, 0.0] };
        }
        for k in 0..=NODES {
            let v = top * (k as f64 / NODES as f64).powf(0.7);
            let mut total = 0.0;
            for (groups, count) in &self.strings {
                if string_v(groups, 0.0) <= v {
                    continue;
                }
                let (mut low, mut high) = (0.0, i_top);
                for _ in 0..22 {
                    let mid = f64::midpoint(low, high);
                    if string_v(groups, mid) > v { low = mid } else { high = mid }
                }
                total += low * *count as f64;
            }
            curve.v.push(v - total * self.dc_ohm);
            curve.i.push(total);
        }
        curve
    }
}

impl Curve {
    /// Open-circuit voltage, V.
    pub fn open_v(&self) -> f64 {
        self.v.last().copied().unwrap_or(0.0)
    }

    /// Current at a voltage, A.
    pub fn current(&self, v: f64) -> f64 {
        let k = self.v.partition_point(|x| *x < v);
        if k == 0 {
            return self.i[0];
        }
        if k >= self.v.len() {
            return 0.0;
        }
        let share = (v - self.v[k - 1]) / (self.v[k] - self.v[k - 1]).max(1e-9);
        self.i[k - 1] + share * (self.i[k] - self.i[k - 1])
    }

    /// Power at a voltage, W.
    pub fn power(&self, v: f64) -> f64 {
        v * self.current(v)
    }

    /// Voltages of the local maxima of power at or above `min_v`, lowest first.
    pub fn peaks(&self, min_v: f64) -> Vec<f64> {
        let p = |k: usize| if self.v[k] < min_v { -1.0 } else { self.v[k] * self.i[k] };
        let mut found = Vec::new();
        for k in 1..self.v.len() - 1 {
            if p(k) > 0.0 && p(k) >= p(k - 1) && p(k) > p(k + 1) {
                // Vertex of the parabola through three nodes.
                let (x0, x1, x2) = (self.v[k - 1], self.v[k], self.v[k + 1]);
                let (y0, y1, y2) = (x0 * self.i[k - 1], p(k), p(k + 1));
                let num = (x1 - x0).powi(2) * (y1 - y2) - (x1 - x2).powi(2) * (y1 - y0);
                let den = (x1 - x0) * (y1 - y2) - (x1 - x2) * (y1 - y0);
                let shift = if den.abs() > 1e-12 { 0.5 * num / den } else { 0.0 };
                found.push((x1 - shift).clamp(x0, x2).max(min_v));
            }
        }
        found
    }

    /// The highest power at or above a voltage: (V, W).
    pub fn best(&self, min_v: f64) -> (f64, f64) {
        self.peaks(min_v)
            .into_iter()
            .map(|v| (v, self.power(v)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((min_v, self.power(min_v)))
    }

    /// The voltage above `v_peak` where the array gives just `p` W.
    pub fn above(&self, v_peak: f64, p: f64) -> f64 {
        let (mut low, mut high) = (v_peak, self.open_v());
        for _ in 0..24 {
            let mid = f64::midpoint(low, high);
            if self.power(mid) > p { low = mid } else { high = mid }
        }
        f64::midpoint(low, high)
    }
}
