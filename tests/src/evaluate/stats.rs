//! Shares with their intervals, and calibration.

use serde::Serialize;

use crate::plant::dice::Dice;

/// Two-sided 95 % point of the normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// A share with its Wilson interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Share {
    /// Hits.
    pub hits: usize,
    /// Out of.
    pub of: usize,
    /// hits / of.
    pub share: f64,
    /// Wilson 95 % interval (Wilson 1927).
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

impl Share {
    /// `hits` of `of`; nothing of nothing is anywhere between 0 and 1.
    pub fn of(hits: usize, of: usize) -> Share {
        if of == 0 {
            return Share { hits, of, share: 0.0, low: 0.0, high: 1.0 };
        }
        let (n, p) = (of as f64, hits as f64 / of as f64);
        let scale = 1.0 + Z * Z / n;
        let middle = (p + Z * Z / (2.0 * n)) / scale;
        let half = Z / scale * (p * (1.0 - p) / n + Z * Z / (4.0 * n * n)).sqrt();
        Share { hits, of, share: p, low: (middle - half).max(0.0), high: (middle + half).min(1.0) }
    }

    /// Counts what fulfils a condition.
    pub fn count<'a, T: 'a>(all: impl Iterator<Item = &'a T>, hit: impl Fn(&T) -> bool) -> Share {
        let (mut hits, mut of) = (0, 0);
        for x in all {
            of += 1;
            hits += usize::from(hit(x));
        }
        Share::of(hits, of)
    }
}

/// One bin of a reliability diagram.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Bin {
    /// Mean probability given.
    pub said: f64,
    /// Share that was right.
    pub right: Share,
}

/// Expected calibration error of the top label.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Calibration {
    /// Mean distance of said and right, weighted by count.
    pub error: f64,
    /// 95 % interval by resampling the cases.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Bins of equal count, lowest first.
    pub bins: Vec<Bin>,
}

/// Bins of a reliability diagram.
const BINS: usize = 10;

/// Resamplings for the interval.
const RESAMPLES: usize = 600;

fn bins(sorted: &[(f64, bool)]) -> Vec<Bin> {
    let n = sorted.len();
    (0..BINS)
        .map(|b| &sorted[b * n / BINS..(b + 1) * n / BINS])
        .filter(|part| !part.is_empty())
        .map(|part| Bin {
            said: part.iter().map(|x| x.0).sum::<f64>() / part.len() as f64,
            right: Share::count(part.iter(), |x| x.1),
        })
        .collect()
}

fn error(bins: &[Bin]) -> f64 {
    let all: usize = bins.iter().map(|b| b.right.of).sum();
    bins.iter().map(|b| (b.said - b.right.share).abs() * b.right.of as f64).sum::<f64>() / all.max(1) as f64
}

/// Calibration of (probability said, right) pairs; `None` without at least one a bin.
pub fn calibration(pairs: &[(f64, bool)]) -> Option<Calibration> {
    if pairs.len() < BINS {
        return None;
    }
    let of = |mut pairs: Vec<(f64, bool)>| {
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        bins(&pairs)
    };
    let bins = of(pairs.to_vec());
    let mut dice = Dice::new(31, pairs.len() as u64, 5);
    let mut errors: Vec<f64> =
        (0..RESAMPLES).map(|_| error(&of((0..pairs.len()).map(|_| dice.pick(pairs)).collect()))).collect();
    errors.sort_by(f64::total_cmp);
    let quantile = |q: f64| errors[(q * (RESAMPLES - 1) as f64).round() as usize];
    Some(Calibration { error: error(&bins), low: quantile(0.025), high: quantile(0.975), bins })
}

/// Mean with its standard error; `None` of nothing.
pub fn mean(values: &[f64]) -> Option<(f64, f64)> {
    let n = values.len() as f64;
    if values.is_empty() {
        return None;
    }
    let m = values.iter().sum::<f64>() / n;
    let var = values.iter().map(|v| (v - m).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
    Some((m, (var / n).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wilson_intervals_as_published() {
        // Newcombe, Statistics in Medicine 17 (1998) 857, table I, score method without continuity correction
        // (from memory; the formula above gives the same four digits).
        for (r, n, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let s = Share::of(r, n);
            assert!((s.low - low).abs() < 1e-4 && (s.high - high).abs() < 1e-4, "{s:?}");
        }
    }

    #[test]
    fn what_keeps_its_word_has_no_error_and_what_boasts_has() {
        let honest: Vec<(f64, bool)> = (0..1000).map(|i| (0.75, i % 4 != 0)).collect();
        let c = calibration(&honest).unwrap();
        assert!(c.error < 0.01 && c.low <= c.error + 0.05 && c.bins.len() == 10, "{}", c.error);
        let boast: Vec<(f64, bool)> = (0..1000).map(|i| (0.95, i % 2 == 0)).collect();
        let c = calibration(&boast).unwrap();
        assert!((c.error - 0.45).abs() < 0.01 && c.low > 0.3, "{}", c.error);
        assert!(calibration(&honest[..5]).is_none());
    }
}
