//! How likely a recording is under each cause, learnt from references of the same site.
//!
//! Numbers: a Gaussian with long tails around a curve. For each cause each number follows a parabola in the rank of
//! the severity; what is left over has the cause's own widths and a correlation shrunk towards that of all causes. A
//! second density puts the same kernel on every reference itself. Signs: smoothed counts, taken as independent.
//! The two densities, the signs and the forest are weighed by three figures, the same for all causes of a site, chosen
//! where they foretell held-back recordings best.

use std::collections::BTreeMap;

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Situation;

use super::features::Features;
use super::linear::{cholesky, curve, forward, log_sum_exp};
use crate::plant::circumstances::SITUATIONS;

/// A reference with its answer.
#[derive(Debug, Clone)]
pub struct Example {
    /// True cause.
    pub cause: Cause,
    /// True severity.
    pub severity: Option<f64>,
    /// Situation.
    pub situation: Situation,
    /// What was recorded, in short.
    pub features: Features,
}

/// Degrees of freedom of the tails.
const TAIL: f64 = 8.0;
/// Width of the kernel over the width around the curve.
const KERNEL: f64 = 0.75;
/// Trust in a cause's own correlation.
const OWN: f64 = 0.25;
/// References that the common width counts for.
const COMMON: f64 = 4.0;

struct Class {
    cause: Cause,
    /// Curve of each number.
    curves: Vec<[f64; 3]>,
    /// Covariance of what is left over.
    cov: Vec<f64>,
    /// Position on the curve and numbers of each reference, gaps filled from the curve.
    points: Vec<(f64, Vec<f64>)>,
    patterns: BTreeMap<u32, f64>,
    signs: Vec<f64>,
    count: f64,
}

/// A class seen through the numbers that one recording has: triangle, whitened curve points and references.
struct Lens {
    triangle: Vec<f64>,
    log_det: f64,
    curve: Vec<Vec<f64>>,
    points: Vec<Vec<f64>>,
}

/// Everything learnt.
pub struct Density {
    classes: Vec<Class>,
    patterns: BTreeMap<u32, f64>,
    lenses: BTreeMap<(usize, Vec<usize>), Lens>,
}

/// log densities of one recording under one cause.
#[derive(Debug, Clone, Copy)]
pub struct Parts {
    /// Cause.
    pub cause: Cause,
    /// Signs and pattern.
    pub signs: f64,
    /// Around the curve.
    pub curve: f64,
    /// Around the references.
    pub kernel: f64,
    /// Of the forest, the situation counted in.
    pub forest: f64,
}

/// How the parts are put together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mixing {
    /// Share of the curve.
    pub curve: f64,
    /// Exponent on the numbers.
    pub temper: f64,
    /// Weight of the forest against the densities, both as logarithms.
    pub forest: f64,
}

impl Mixing {
    /// All that are tried.
    pub fn all() -> Vec<Mixing> {
        let mut all = Vec::new();
        for curve in [0.1, 0.5, 0.9] {
            for temper in [0.25, 0.4, 0.7, 1.0] {
                all.extend([0.0, 0.3, 0.6, 0.8, 1.0].map(|forest| Mixing { curve, temper, forest }));
            }
        }
        all
    }

    /// log density of everything, the situation included, up to a constant.
    pub fn log(&self, p: &Parts, situation: Situation) -> f64 {
        let numbers = log_sum_exp(&[self.curve.ln() + p.curve, (1.0 - self.curve).ln() + p.kernel]);
        let density = p.signs + self.temper * numbers + log_situation(p.cause, situation);
        (1.0 - self.forest) * density + self.forest * p.forest
    }
}

/// Chance of a situation under a cause.
pub fn log_situation(cause: Cause, situation: Situation) -> f64 {
    let all: f64 = SITUATIONS.iter().map(|s| cause.prior_weight(*s)).sum();
    (cause.prior_weight(situation) / all).max(1e-9).ln()
}

/// Places on the curve: ranks of the severity from -1 to 1.
fn ranks(own: &[&Example]) -> Vec<f64> {
    let severities: Vec<f64> = own.iter().map(|e| e.severity.unwrap_or(0.0)).collect();
    let n = severities.len() as f64;
    severities
        .iter()
        .map(|s| {
            let below = severities.iter().filter(|x| *x < s).count() as f64;
            let equal = severities.iter().filter(|x| *x == s).count() as f64;
            2.0 * (below + 0.5 * equal) / n - 1.0
        })
        .collect()
}

fn along(c: &[f64; 3], t: f64) -> f64 {
    c[0] + c[1] * t + c[2] * t * t
}

/// What the curves leave over, reference by reference.
type Left = Vec<Vec<Option<f64>>>;

struct Fit {
    curves: Vec<[f64; 3]>,
    left: Left,
    variance: Vec<Option<f64>>,
    at: Vec<f64>,
}

fn fit(own: &[&Example], size: usize, overall: &[[f64; 3]]) -> Fit {
    let at = ranks(own);
    let value = |e: &Example, j: usize| e.features.numbers[j];
    let curves: Vec<[f64; 3]> = (0..size)
        .map(|j| {
            let points: Vec<(f64, f64)> =
                own.iter().zip(&at).filter_map(|(e, t)| Some((*t, value(e, j)?))).collect();
            if points.len() < 3 { overall[j] } else { curve(&points) }
        })
        .collect();
    let left: Left = own
        .iter()
        .zip(&at)
        .map(|(e, t)| (0..size).map(|j| value(e, j).map(|x| x - along(&curves[j], *t))).collect())
        .collect();
    let variance = (0..size)
        .map(|j| {
            let all: Vec<f64> = left.iter().filter_map(|l| l[j]).collect();
            let lost = if all.len() >= 12 { 3.0 } else { 1.0 };
            (all.len() >= 4)
                .then(|| all.iter().map(|x| x * x).sum::<f64>() / (all.len() as f64 - lost).max(1.0))
        })
        .collect();
    Fit { curves, left, variance, at }
}

/// Correlation of leftovers over their widths, in pairs, with a firm diagonal.
fn correlation<'a>(rows: impl Iterator<Item = (&'a Vec<Option<f64>>, &'a [f64])>, n: usize) -> Vec<f64> {
    let (mut sums, mut counts) = (vec![0.0; n * n], vec![0.0; n * n]);
    for (row, widths) in rows {
        for i in 0..n {
            let Some(a) = row[i] else { continue };
            for j in 0..i {
                if let Some(b) = row[j] {
                    sums[i * n + j] += (a / widths[i]).clamp(-4.0, 4.0) * (b / widths[j]).clamp(-4.0, 4.0);
                    counts[i * n + j] += 1.0;
                }
            }
        }
    }
    let mut out = vec![0.0; n * n];
    for i in 0..n {
        out[i * n + i] = 1.0;
        for j in 0..i {
            let r = (sums[i * n + j] / (counts[i * n + j] + 6.0)).clamp(-0.97, 0.97) * 0.94;
            out[i * n + j] = r;
            out[j * n + i] = r;
        }
    }
    out
}

impl Density {
    /// Learns from references.
    pub fn learn(examples: &[&Example]) -> Density {
        let size = examples.first().map_or(0, |e| e.features.numbers.len());
        let mut causes: Vec<Cause> = examples.iter().map(|e| e.cause).collect();
        causes.sort();
        causes.dedup();
        let whole: Vec<(f64, f64)> = (0..size)
            .map(|j| {
                let all: Vec<f64> = examples.iter().filter_map(|e| e.features.numbers[j]).collect();
                let n = all.len().max(1) as f64;
                let mean = all.iter().sum::<f64>() / n;
                (mean, (all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).max(1e-8))
            })
            .collect();
        let overall: Vec<[f64; 3]> = whole.iter().map(|(m, _)| [*m, 0.0, 0.0]).collect();
        let owns: Vec<Vec<&Example>> =
            causes.iter().map(|c| examples.iter().copied().filter(|e| e.cause == *c).collect()).collect();
        let fits: Vec<Fit> = owns.iter().map(|own| fit(own, size, &overall)).collect();
        let common: Vec<f64> = (0..size)
            .map(|j| {
                let mut all: Vec<f64> = fits.iter().filter_map(|f| f.variance[j]).collect();
                all.sort_by(f64::total_cmp);
                let middle = all.get(all.len() / 2).copied().unwrap_or(whole[j].1);
                middle.max(1e-4 * whole[j].1)
            })
            .collect();
        let widths: Vec<Vec<f64>> = fits
            .iter()
            .zip(&owns)
            .map(|(f, own)| {
                let n = own.len() as f64;
                (0..size)
                    .map(|j| match f.variance[j] {
                        Some(v) => ((n * v + COMMON * common[j]) / (n + COMMON)).sqrt(),
                        None => whole[j].1.sqrt(),
                    })
                    .collect()
            })
            .collect();
        let shared = correlation(
            fits.iter().zip(&widths).flat_map(|(f, w)| f.left.iter().map(move |l| (l, w.as_slice()))),
            size,
        );
        let mut patterns: BTreeMap<u32, f64> = BTreeMap::new();
        for e in examples {
            *patterns.entry(e.features.pattern).or_default() += 1.0 / examples.len() as f64;
        }
        let classes = (0..causes.len())
            .map(|k| {
                let (f, w) = (&fits[k], &widths[k]);
                let own = correlation(f.left.iter().map(|l| (l, w.as_slice())), size);
                let mut cov = vec![0.0; size * size];
                for i in 0..size {
                    for j in 0..size {
                        let r = OWN * own[i * size + j] + (1.0 - OWN) * shared[i * size + j];
                        cov[i * size + j] = r * w[i] * w[j];
                    }
                }
                class(causes[k], &owns[k], f, cov)
            })
            .collect();
        Density { classes, patterns, lenses: BTreeMap::new() }
    }

    /// log densities of a recording under each cause.
    pub fn parts(&mut self, f: &Features) -> Vec<Parts> {
        let seen: Vec<usize> = (0..f.numbers.len()).filter(|j| f.numbers[*j].is_some()).collect();
        let x: Vec<f64> = seen.iter().filter_map(|j| f.numbers[*j]).collect();
        let base = self.patterns.get(&f.pattern).copied().unwrap_or(0.0) + 0.002;
        (0..self.classes.len())
            .map(|k| {
                let class = &self.classes[k];
                let lens = self.lenses.entry((k, seen.clone())).or_insert_with(|| Lens::new(class, &seen));
                let (curve, kernel) = lens.densities(&x);
                let of_pattern = class.patterns.get(&f.pattern).copied().unwrap_or(0.0);
                let mut signs = ((of_pattern + base) / (class.count + 1.0)).ln();
                for (sign, p) in f.signs.iter().zip(&class.signs) {
                    signs += match sign {
                        Some(true) => p.ln(),
                        Some(false) => (1.0 - p).ln(),
                        None => 0.0,
                    };
                }
                Parts { cause: class.cause, signs, curve, kernel, forest: 0.0 }
            })
            .collect()
    }
}

fn class(cause: Cause, own: &[&Example], f: &Fit, cov: Vec<f64>) -> Class {
    let points = own
        .iter()
        .zip(&f.at)
        .map(|(e, t)| {
            let filled = e.features.numbers.iter().zip(&f.curves);
            (*t, filled.map(|(x, c)| x.unwrap_or_else(|| along(c, *t))).collect())
        })
        .collect();
    let mut patterns: BTreeMap<u32, f64> = BTreeMap::new();
    for e in own {
        *patterns.entry(e.features.pattern).or_default() += 1.0;
    }
    let signs = (0..own.first().map_or(0, |e| e.features.signs.len()))
        .map(|k| {
            let asked: Vec<bool> = own.iter().filter_map(|e| e.features.signs[k]).collect();
            let yes = asked.iter().filter(|y| **y).count() as f64;
            (yes + 0.5) / (asked.len() as f64 + 2.0)
        })
        .collect();
    Class { cause, curves: f.curves.clone(), cov, points, patterns, signs, count: own.len() as f64 }
}

impl Lens {
    fn new(class: &Class, seen: &[usize]) -> Lens {
        let n = seen.len();
        let size = class.curves.len();
        let mut cov = vec![0.0; n * n];
        for (a, i) in seen.iter().enumerate() {
            for (b, j) in seen.iter().enumerate() {
                cov[a * n + b] = class.cov[i * size + j];
            }
        }
        let triangle = cholesky(&cov, n);
        let log_det = (0..n).map(|i| triangle[i * n + i].ln()).sum();
        let white = |all: Vec<f64>| forward(&triangle, n, &all);
        let curve = class
            .points
            .iter()
            .map(|(t, _)| white(seen.iter().map(|j| along(&class.curves[*j], *t)).collect()))
            .collect();
        let points = class.points.iter().map(|(_, x)| white(seen.iter().map(|j| x[*j]).collect())).collect();
        Lens { triangle, log_det, curve, points }
    }

    /// Around the curve and around the references. Constants that all causes share are left out.
    fn densities(&self, x: &[f64]) -> (f64, f64) {
        let n = x.len();
        let y = forward(&self.triangle, n, x);
        let mean = |centres: &[Vec<f64>], h: f64| {
            let logs: Vec<f64> = centres
                .iter()
                .map(|c| {
                    let q: f64 = c.iter().zip(&y).map(|(a, b)| (a - b).powi(2)).sum::<f64>() / (h * h);
                    -0.5 * (TAIL + n as f64) * (1.0 + q / TAIL).ln() - n as f64 * h.ln()
                })
                .collect();
            log_sum_exp(&logs) - (centres.len() as f64).ln() - self.log_det
        };
        (mean(&self.curve, 1.0), mean(&self.points, KERNEL))
    }
}
