//! The curve of a partly shaded array, with all its local maxima.
//!
//! A string's voltage at a current is explicit (each substring gives its own or the diode's drop), its
//! current at a voltage is not. Each kind of string therefore keeps a short table of the explicit direction with its
//! slopes: a cubic between two of its points lies so near the inverse that a step or two of Newton's method are exact.

use crate::module::{Cell, Point};

/// Forward drop of a conducting bypass diode, V (0.4 to 0.7 V by type; engineering choice).
pub const BYPASS_V: f64 = 0.5;

/// Points of the table in each stretch between two short-circuit currents.
const STEPS: usize = 12;

/// Voltages at which the sum of all strings is looked at for peaks.
const SCAN: usize = 90;

/// Equal substrings in series: how many, and one of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group {
    /// How many; need not be whole.
    pub count: f64,
    /// One of them.
    pub cell: Cell,
}

/// A voltage so near the one looked for that the last step of Newton's method is exact, share of the stretch between
/// two points of the table: what is left after the step goes with its square.
const LAST_STEP: f64 = 1e-4;

/// Steps after which the stretch is halved instead, and the most of both.
const CREEPS: usize = 10;
const MOST_STEPS: usize = 60;

/// One point of the explicit direction.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Node {
    v: f64,
    i: f64,
    /// dI/dV, A/V; infinite where bypass diodes carry everything.
    slope: f64,
}

/// Equal strings in parallel: how many, and what one is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct StringKind {
    count: f64,
    groups: Vec<Group>,
    /// Voltage rising.
    table: Vec<Node>,
}

impl StringKind {
    /// `count` equal strings, each made of `groups`. Groups that hold nothing are left out.
    pub fn new(count: f64, groups: impl IntoIterator<Item = Group>) -> StringKind {
        let mut groups: Vec<Group> = groups.into_iter().filter(|g| g.count > 0.0).collect();
        groups.sort_by(|a, b| b.cell.isc().total_cmp(&a.cell.isc()));
        let mut kind = StringKind { count, groups, table: Vec::new() };
        let tops: Vec<f64> = kind.groups.iter().map(|g| g.cell.isc()).chain([0.0]).collect();
        for pair in tops.windows(2) {
            for step in 0..STEPS {
                // dense below each short-circuit current, where the knee is
                let t = (step as f64 / STEPS as f64).powi(2);
                kind.table.push(kind.node(pair[0] - t * (pair[0] - pair[1])));
            }
        }
        kind.table.push(kind.node(0.0));
        kind
    }

    fn node(&self, i: f64) -> Node {
        let (v, ohm) = self.voltage_and_slope_v(i);
        Node { v, i, slope: 1.0 / ohm }
    }

    /// Voltage of one string at a current, V.
    pub fn voltage_v(&self, i: f64) -> f64 {
        self.groups.iter().map(|g| g.count * g.cell.voltage_v(i).max(-BYPASS_V)).sum()
    }

    /// Voltage of one string at a current, V, and its slope dV/dI, ohm.
    fn voltage_and_slope_v(&self, i: f64) -> (f64, f64) {
        self.groups.iter().fold((0.0, 0.0), |(v, slope), g| {
            let one = g.cell.voltage_and_slope_v(i);
            if one.0 > -BYPASS_V {
                (v + g.count * one.0, slope + g.count * one.1)
            } else {
                (v - g.count * BYPASS_V, slope)
            }
        })
    }

    /// Current of one string at a voltage, A; a string whose own voltage is lower gives none.
    fn current_a(&self, v: f64) -> f64 {
        if let [only] = self.groups.as_slice() {
            // one cell with more volts: exact both ways
            return only.cell.scaled(only.count).current_a(v).max(0.0);
        }
        let k = self.table.partition_point(|n| n.v < v);
        if k == 0 {
            return self.table[0].i;
        }
        if k == self.table.len() {
            return 0.0;
        }
        let (mut low, mut high) = (self.table[k - 1], self.table[k]);
        let last_step = LAST_STEP * (high.v - low.v);
        let mut i = between(low, high, v);
        for step in 0..MOST_STEPS {
            if high.v - low.v < 1e-7 {
                break;
            }
            let at = self.node(i);
            let newton = i - (at.v - v) * at.slope;
            let inside = newton > high.i && newton < low.i;
            if (at.v - v).abs() < last_step && inside {
                return newton;
            }
            if (at.v - v).abs() < 1e-7 {
                break;
            }
            if at.v < v {
                low = at;
            } else {
                high = at;
            }
            // current falls with voltage: high.i < low.i; where a straight line creeps towards a knee, halves do not
            i = match (newton > high.i && newton < low.i, step < CREEPS) {
                (true, true) => newton,
                (false, true) => straight(low, high, v),
                (_, false) => 0.5 * (low.i + high.i),
            };
        }
        i
    }

    /// Point behind the cable at a current of one string.
    fn at(&self, string_a: f64, dc_ohm: f64) -> Point {
        let i = self.count * string_a;
        let v = self.voltage_v(string_a) - i * dc_ohm;
        Point { v, i, p: v * i }
    }

    /// All local maxima of power, when all strings are of this kind: explicit in the current.
    fn maxima(&self, dc_ohm: f64) -> Vec<Point> {
        // the table's points lie dense in every knee; power at each is known already
        let power: Vec<f64> = self.table.iter().map(|n| n.i * (n.v - self.count * n.i * dc_ohm)).collect();
        let end = power.len() - 1;
        (0..=end)
            .filter(|&k| {
                let (before, after) = (k.saturating_sub(1), (k + 1).min(end));
                let rises = if k == 0 { power[k] > 0.0 } else { power[k] > power[before] };
                rises && (k == end || power[k] >= power[after])
            })
            .map(|k| {
                let (low, high) = (self.table[(k + 1).min(end)].i, self.table[k.saturating_sub(1)].i);
                self.at(golden(|i| self.at(i, dc_ohm).p, low, high), dc_ohm)
            })
            .filter(|p| p.p > 0.0)
            .collect()
    }
}

/// Current against voltage of strings that are not all alike, at the controller's input.
#[derive(Debug, Clone, PartialEq)]
pub struct ShadedCurve {
    kinds: Vec<StringKind>,
    dc_ohm: f64,
    voc: f64,
}

impl ShadedCurve {
    /// Strings in parallel behind a DC cable of `dc_ohm`.
    pub fn new(kinds: Vec<StringKind>, dc_ohm: f64) -> ShadedCurve {
        let kinds: Vec<StringKind> =
            kinds.into_iter().filter(|k| k.count > 0.0 && !k.groups.is_empty()).collect();
        let voc = kinds.iter().map(|k| k.voltage_v(0.0)).fold(0.0, f64::max);
        ShadedCurve { kinds, dc_ohm, voc }
    }

    /// Open-circuit voltage, V.
    pub fn voc(&self) -> f64 {
        self.voc
    }

    fn before_cable(&self, v: f64) -> f64 {
        self.kinds.iter().map(|k| k.count * k.current_a(v)).sum()
    }

    /// Current at a voltage at the controller's input, A.
    pub fn current_a(&self, v: f64) -> f64 {
        let most = self.before_cable(v);
        if self.dc_ohm <= 0.0 || most <= 0.0 {
            return most;
        }
        // an ordinary cable's drop is small, and substitution is there at once
        let mut near = most;
        for _ in 0..4 {
            let next = self.before_cable(v + near * self.dc_ohm);
            if (next - near).abs() < 1e-5 * most {
                return next;
            }
            near = next;
        }
        // what passes the cable falls as the current rises
        let spare = |i: f64| self.before_cable(v + i * self.dc_ohm) - i;
        crossing(spare, 0.0, most, 1e-7 * most)
    }

    /// Voltage at the controller's input at which the array gives a current; `None` when it never gives so much.
    pub fn voltage_at(&self, i: f64) -> Option<f64> {
        if let [only] = self.kinds.as_slice() {
            let string_a = i / only.count;
            return (only.table[0].i >= string_a).then(|| only.at(string_a, self.dc_ohm).v);
        }
        let array_v = crossing(|v| self.before_cable(v) - i, 0.0, self.voc, 1e-7 * self.voc);
        (self.before_cable(0.0) >= i).then_some(array_v - i * self.dc_ohm)
    }

    /// Voltage at the controller's input, above that of the point `best`, at which the array gives less than its most.
    pub fn voltage_above(&self, best: &Point, power_w: f64) -> f64 {
        if let [only] = self.kinds.as_slice() {
            let (most, at) = (best.i / only.count, |i: f64| only.at(i, self.dc_ohm));
            let less = crossing(|less| at(most - less).p - power_w, 0.0, most, 1e-9 * most);
            return at(most - less).v;
        }
        let from = best.v + best.i * self.dc_ohm;
        self.at(crossing(|v| self.at(v).p - power_w, from, self.voc, 1e-9 * self.voc)).v
    }

    /// Point at the controller's input for an array voltage.
    fn at(&self, array_v: f64) -> Point {
        let i = self.before_cable(array_v);
        let v = array_v - i * self.dc_ohm;
        Point { v, i, p: v * i }
    }

    /// All local maxima of power, from low voltage to high.
    pub fn maxima(&self) -> Vec<Point> {
        if let [only] = self.kinds.as_slice() {
            return only.maxima(self.dc_ohm);
        }
        let grid: Vec<f64> = (1..=SCAN).map(|k| self.voc * k as f64 / SCAN as f64).collect();
        let power: Vec<f64> = grid.iter().map(|v| self.at(*v).p).collect();
        let mut out = Vec::new();
        for k in 0..grid.len() {
            let before = if k == 0 { 0.0 } else { power[k - 1] };
            let after = power.get(k + 1).copied().unwrap_or(0.0);
            if power[k] > before && power[k] >= after {
                let low = if k == 0 { 0.0 } else { grid[k - 1] };
                let high = grid.get(k + 1).copied().unwrap_or(self.voc);
                out.push(self.at(golden(|v| self.at(v).p, low, high)));
            }
        }
        out
    }
}

/// Current at a voltage between two points: on the straight line.
fn straight(low: Node, high: Node, v: f64) -> f64 {
    if high.v > low.v { low.i + (high.i - low.i) * (v - low.v) / (high.v - low.v) } else { low.i }
}

/// As [`straight`], on the cubic with both slopes, where it stays between the two.
fn between(low: Node, high: Node, v: f64) -> f64 {
    let (dv, di) = (high.v - low.v, high.i - low.i);
    let t = (v - low.v) / dv;
    let (a, b) = (low.slope * dv - di, di - high.slope * dv);
    let cubic = low.i + t * di + t * (1.0 - t) * (a * (1.0 - t) + b * t);
    if cubic > high.i && cubic < low.i { cubic } else { straight(low, high, v) }
}

/// Where a function that falls from above zero at `low` to below it at `high` crosses zero, to `near`: false position
/// with the stale end's weight halved (the Illinois rule).
fn crossing(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64, near: f64) -> f64 {
    let (mut above, mut below) = (f(low), f(high));
    if above <= 0.0 {
        return low;
    }
    if below >= 0.0 {
        return high;
    }
    let mut x = low;
    for _ in 0..80 {
        let next = low + (high - low) * above / (above - below);
        let done = (next - x).abs() < near;
        x = next;
        if done {
            break;
        }
        let y = f(x);
        if y > 0.0 {
            (low, above) = (x, y);
            below *= 0.5;
        } else {
            (high, below) = (x, y);
            above *= 0.5;
        }
    }
    x
}

/// Maximum of a one-peaked function on [a, b], to 1e-3 of the interval.
fn golden(f: impl Fn(f64) -> f64, mut a: f64, mut b: f64) -> f64 {
    const R: f64 = 0.618_033_988_749_895;
    let stop = (b - a) * 1e-3;
    let (mut x, mut y) = (b - R * (b - a), a + R * (b - a));
    let (mut fx, mut fy) = (f(x), f(y));
    while b - a > stop {
        if fx > fy {
            b = y;
            (y, fy) = (x, fx);
            x = b - R * (b - a);
            fx = f(x);
        } else {
            a = x;
            (x, fx) = (y, fy);
            y = a + R * (b - a);
            fy = f(y);
        }
    }
    0.5 * (a + b)
}
