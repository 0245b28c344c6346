//! Shade on part of the array.
//!
//! Shaded substrings either drop out (the controller stands on the left peak: voltage down by whole
//! substrings, current as in the sun) or hold the string's current down (right peak). How dark the shade is,
//! and over how many strings it lies, is latent. Never explains: anything below the controller's input.

use wellwright_domain::cause::Cause;
use wellwright_physics::plant::Shade;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct PartialShade;

/// Irradiance in the shade over that in the sun: dense, ordinary, thin (engineering judgement).
const DARKNESS: [f64; 4] = [0.12, 0.25, 0.42, 0.62];

/// Shares that stand for all where the controller holds the right peak, whose voltage hardly hangs on them.
const RIGHT: usize = 5;

/// Steps between shares where it holds the best peak: of ln of the share, and, since the voltage of the left peak
/// goes with what is left in the sun, of ln of that.
const STEP: (f64, f64) = (0.35, 0.1);

/// The controller mostly finds the higher peak.
const CAUGHT: f64 = 0.25;

impl CauseModel for PartialShade {
    fn cause(&self) -> Cause {
        Cause::PartialShade
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let range = self.cause().info().severity.as_ref().map_or((0.03, 0.8), |s| (s.low, s.high));
        let array = &context.plant.array;
        let layouts: &[bool] = if array.strings > 1 { &[true, false] } else { &[false] };
        let best = weighed(whole(fine(range), array.substring_count()));
        let right = weighed(whole(log_grid(range.0, range.1, RIGHT).collect(), array.substring_count()));
        let mut out = Vec::new();
        for (right_peak, shares, weight) in [(false, best, 1.0 - CAUGHT), (true, right, CAUGHT)] {
            for (share, of_share) in shares {
                for darkness in DARKNESS {
                    for &gathered in layouts {
                        let shade = Shade { share, darkness, gathered, right_peak };
                        let new = Hypothesis::new(self.cause()).at(share).weighing(weight * of_share);
                        out.push(new.with(|c| c.array.shade = Some(shade)));
                    }
                }
            }
        }
        out
    }
}

/// Shares as dense as [`STEP`] asks.
fn fine((low, high): (f64, f64)) -> Vec<f64> {
    let mut out = vec![low];
    let mut share = low;
    while share < high {
        share = (share * STEP.0.exp()).min(1.0 - (1.0 - share) * (-STEP.1).exp()).min(high);
        out.push(share);
    }
    out
}

/// The nearest shares of whole substrings, each once; at least one substring stays in the sun.
fn whole(mut shares: Vec<f64>, substrings: f64) -> Vec<f64> {
    for s in &mut shares {
        *s = (*s * substrings).round().clamp(1.0, (substrings - 1.0).max(1.0)) / substrings;
    }
    shares.dedup();
    shares
}

/// With the part of a prior even in ln of the share that each stands for.
fn weighed(shares: Vec<f64>) -> Vec<(f64, f64)> {
    let edge = |a: f64, b: f64| (a * b).sqrt();
    let ends = |k: usize| {
        let low = if k == 0 { shares[0] * (-0.5 * STEP.0).exp() } else { edge(shares[k - 1], shares[k]) };
        let high = shares.get(k + 1).map_or(shares[k] * (0.5 * STEP.1).exp(), |next| edge(shares[k], *next));
        (high / low).ln()
    };
    let of: Vec<f64> = (0..shares.len()).map(ends).collect();
    let sum: f64 = of.iter().sum();
    shares.iter().zip(of).map(|(share, w)| (*share, w / sum)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_left_peak_is_never_far_from_a_share() {
        let shares = whole(fine((0.03, 0.8)), 60.0);
        assert!(shares.len() < 24, "{shares:?}");
        for s in shares.windows(2) {
            assert!(s[1] > s[0] && ((1.0 - s[0]) / (1.0 - s[1])).ln() < 0.13, "{s:?}");
        }
        assert_eq!(whole(fine((0.03, 0.8)), 3.0), [1.0 / 3.0, 2.0 / 3.0]);
    }

    #[test]
    fn the_prior_is_even_in_the_logarithm() {
        let w = weighed(whole(fine((0.03, 0.8)), 1000.0));
        let below: f64 = w.iter().filter(|(s, _)| *s < 0.155).map(|(_, w)| w).sum();
        assert!((below - 0.5).abs() < 0.06, "{below}");
    }
}
