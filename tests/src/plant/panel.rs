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

/// Points of a curve between two currents at which a group of substrings gives out.
const NODES: usize = 56;

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
}

/// Substrings that are alike, at their light and temperature.
struct Lit {
    count: f64,
    /// Current at which they give out, A.
    most: f64,
    /// Voltage of one without current and the two constants of the curve.
    open_v: f64,
    a: f64,
    r: f64,
    bypass_v: f64,
}

impl Lit {
    fn new(module: &Module, count: usize, g: f64, cell_c: f64) -> Lit {
        let n = module.substrings as f64;
        let sun = (g / 1000.0).max(1e-5);
        let (a, r) = module.shape();
        let warm = cell_c - 25.0;
        Lit {
            count: count as f64,
            most: if sun < 1e-4 { 0.0 } else { sun * (module.isc + module.alpha * warm) },
            open_v: (module.voc + module.beta * warm + module.light_v * sun.ln()) / n,
            // The logarithmic part grows with absolute temperature, so the best point falls faster than Voc.
            a: a * (cell_c + 273.15) / 298.15 / n,
            r: r / n,
            bypass_v: module.bypass_v,
        }
    }

    /// Voltage of the group at a current.
    fn volts(&self, i: f64) -> f64 {
        let one = if i >= self.most {
            -1.0
        } else {
            self.open_v + self.a * (1.0 - i / self.most).ln() - self.r * i
        };
        self.count * one.max(-self.bypass_v)
    }
}

/// Voltage and current of one string, rising in voltage.
fn string_curve(groups: &[Lit]) -> Vec<(f64, f64)> {
    let mut ends: Vec<f64> = groups.iter().map(|g| g.most).collect();
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let volts = |i: f64| groups.iter().map(|g| g.volts(i)).sum::<f64>();
    let mut points = vec![(volts(0.0), 0.0)];
    let mut from = 0.0;
    for end in ends {
        // Dense where the voltage breaks down.
        for k in 1..=NODES {
            let left = 1.0 - k as f64 / NODES as f64;
            let i = from + (end - from) * (1.0 - left * left * left.sqrt());
            points.push((volts(i), i));
        }
        from = end;
    }
    points.reverse();
    let mut rising: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    for p in points {
        if rising.last().is_none_or(|last| p.0 > last.0 + 1e-9) {
            rising.push(p);
        } else if let Some(last) = rising.last_mut() {
            last.1 = last.1.min(p.1);
        }
    }
    rising
}

/// Current of a string at a voltage, A: none flows back at more than its own open voltage.
fn current_at(curve: &[(f64, f64)], v: f64) -> f64 {
    let k = curve.partition_point(|p| p.0 < v);
    if k == 0 || k == curve.len() {
        return if k == 0 { curve.first().map_or(0.0, |p| p.1) } else { 0.0 };
    }
    let (a, b) = (curve[k - 1], curve[k]);
    a.1 + (b.1 - a.1) * (v - a.0) / (b.0 - a.0)
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
        let kinds: Vec<(Vec<(f64, f64)>, f64)> = self
            .strings
            .iter()
            .map(|(groups, count)| {
                let lit: Vec<Lit> =
                    groups.iter().map(|g| Lit::new(&self.module, g.count, seen(g), cell_c)).collect();
                (string_curve(&lit), *count as f64)
            })
            .collect();
        let mut volts: Vec<f64> =
            kinds.iter().flat_map(|(curve, _)| curve.iter().map(|p| p.0)).filter(|v| *v > 0.0).collect();
        volts.sort_by(f64::total_cmp);
        volts.dedup_by(|a, b| *a - *b < 1e-6);
        if volts.last().is_none_or(|top| *top <= 1.0) {
            return Curve { v: vec![0.0, 0.1], i: vec![0.0, 0.0] };
        }
        volts.insert(0, 0.0);
        let mut curve = Curve { v: Vec::with_capacity(volts.len()), i: Vec::with_capacity(volts.len()) };
        for v in volts {
            let total: f64 = kinds.iter().map(|(curve, count)| current_at(curve, v) * count).sum();
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
        let first = self.v.partition_point(|v| *v <= v_peak);
        let k = first + self.v[first..].iter().zip(&self.i[first..]).take_while(|(v, i)| *v * *i > p).count();
        if k >= self.v.len() {
            return self.open_v();
        }
        let (va, ia) = if k == 0 || self.v[k - 1] < v_peak {
            (v_peak, self.current(v_peak))
        } else {
            (self.v[k - 1], self.i[k - 1])
        };
        let (vb, ib) = (self.v[k], self.i[k]);
        // v (ia + slope (v - va)) = p on the straight piece between two nodes.
        let slope = (ib - ia) / (vb - va).max(1e-12);
        let b = ia - slope * va;
        let v = if slope.abs() < 1e-12 {
            p / ia.max(1e-12)
        } else {
            (-b - (b * b + 4.0 * slope * p).max(0.0).sqrt()) / (2.0 * slope)
        };
        v.clamp(va, vb)
    }
}
