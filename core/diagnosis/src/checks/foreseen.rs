//! What one feature of an answer is foreseen to be: a number with a spread, one of two such numbers, anything between
//! two, a yes with a probability, or what is known already.

use crate::likelihood::{LN_AREA, ln_tail};

/// A number with its spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bell {
    /// Middle.
    pub mean: f64,
    /// 1 sigma, more than 0.
    pub sigma: f64,
}

impl Bell {
    /// Natural log density. A slip of the hand must not decide.
    fn log_density(self, seen: f64) -> f64 {
        ln_tail((seen - self.mean) / self.sigma) - self.sigma.ln() - LN_AREA
    }
}

/// One feature of an answer, as a hypothesis foresees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Foreseen {
    /// A number, with spread.
    Number {
        /// Middle.
        mean: f64,
        /// 1 sigma.
        sigma: f64,
    },
    /// One of two numbers: it hangs on something that the hypothesis leaves open.
    Either {
        /// Share of the first.
        p: f64,
        /// The one.
        first: Bell,
        /// The other.
        second: Bell,
    },
    /// Anywhere between two numbers alike.
    Between {
        /// Lowest.
        low: f64,
        /// Highest, above the lowest.
        high: f64,
        /// How sharp both ends are, 1 sigma.
        edge: f64,
    },
    /// Yes with this probability.
    Yes(f64),
    /// Whatever it is, it tells nothing that was not known before.
    Known,
}

impl Foreseen {
    /// A number with its spread.
    pub fn number(mean: f64, sigma: f64) -> Foreseen {
        Foreseen::Number { mean, sigma: sigma.max(1e-6) }
    }

    /// The first pair (middle, 1 sigma) with share `p`, else the second. A share of 0 or 1 leaves one number.
    pub fn either(p: f64, first: (f64, f64), second: (f64, f64)) -> Foreseen {
        let bell = |(mean, sigma): (f64, f64)| Bell { mean, sigma: sigma.max(1e-6) };
        match p {
            p if p >= 1.0 => Foreseen::number(first.0, first.1),
            p if p <= 0.0 => Foreseen::number(second.0, second.1),
            p => Foreseen::Either { p, first: bell(first), second: bell(second) },
        }
    }

    /// Anywhere from `low` to `high`, in whichever order; `edge`: how sharp the ends are, 1 sigma.
    pub fn between(low: f64, high: f64, edge: f64) -> Foreseen {
        Foreseen::Between { low: low.min(high), high: high.max(low), edge: edge.max(1e-6) }
    }

    /// A share that is never quite sure.
    pub fn yes(p: f64) -> Foreseen {
        Foreseen::Yes(p.clamp(0.01, 0.99))
    }

    /// The middle of what is foreseen: the (likelier) number, or the chance of a yes.
    pub fn middle(self) -> f64 {
        match self {
            Foreseen::Number { mean, .. } => mean,
            Foreseen::Either { p, first, second } => {
                if p >= 0.5 {
                    first.mean
                } else {
                    second.mean
                }
            }
            Foreseen::Between { low, high, .. } => 0.5 * (low + high),
            Foreseen::Yes(p) => p,
            Foreseen::Known => 0.0,
        }
    }

    /// Natural log density of an observed feature (1 and 0 for yes and no).
    pub fn log_density(self, seen: f64) -> f64 {
        match self {
            Foreseen::Number { mean, sigma } => Bell { mean, sigma }.log_density(seen),
            Foreseen::Either { p, first, second } => {
                let (a, b) = (p.ln() + first.log_density(seen), (1.0 - p).ln() + second.log_density(seen));
                let top = a.max(b);
                top + ((a - top).exp() + (b - top).exp()).ln()
            }
            Foreseen::Between { low, high, edge } => {
                let beyond = (low - seen).max(seen - high).max(0.0);
                ln_tail(beyond / edge) - (high - low + edge * LN_AREA.exp()).ln()
            }
            Foreseen::Yes(p) => (if seen > 0.5 { p } else { 1.0 - p }).ln(),
            Foreseen::Known => 0.0,
        }
    }

    /// The same under a fault that nothing here describes: wider, and less sure.
    #[must_use]
    pub fn loosened(self) -> Foreseen {
        const WIDER: f64 = 2.5;
        match self {
            Foreseen::Number { mean, sigma } => Foreseen::Number { mean, sigma: WIDER * sigma },
            Foreseen::Either { p, first, second } => {
                let wide = |b: Bell| Bell { mean: b.mean, sigma: WIDER * b.sigma };
                Foreseen::Either { p: 0.5 * p + 0.25, first: wide(first), second: wide(second) }
            }
            Foreseen::Between { low, high, edge } => Foreseen::Between { low, high, edge: WIDER * edge },
            Foreseen::Yes(p) => Foreseen::Yes(0.5 * p + 0.25),
            Foreseen::Known => self,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn densities_are_densities() {
        let sum = |f: Foreseen| -> f64 {
            let (step, n) = (0.01, 40_000);
            (0..n).map(|k| f.log_density((f64::from(k) - f64::from(n) / 2.0) * step).exp() * step).sum()
        };
        assert!((sum(Foreseen::number(3.0, 2.0)) - 1.0).abs() < 2e-3);
        assert!((sum(Foreseen::either(0.3, (-20.0, 1.0), (10.0, 3.0))) - 1.0).abs() < 2e-3);
        assert!((sum(Foreseen::between(30.0, 12.0, 1.3)) - 1.0).abs() < 2e-3);
        assert_eq!(Foreseen::either(1.0, (2.0, 1.0), (9.0, 1.0)), Foreseen::number(2.0, 1.0));
        let yes = Foreseen::yes(0.8);
        assert!((yes.log_density(1.0).exp() + yes.log_density(0.0).exp() - 1.0).abs() < 1e-12);
        // what was known before parts nothing from nothing, not even what is loose
        assert_eq!(Foreseen::Known.loosened().log_density(4.6), 0.0);
    }
}
