//! Shade on part of the array.
//!
//! Shaded substrings either drop out (the controller stands on the left peak: voltage down by whole
//! substrings, current as in the sun) or hold the string's current down (right peak). How dark the shade is,
//! and over how many strings it lies, is latent. Never explains: anything below the controller's input.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;
use wellwright_physics::plant::Shade;

use super::{CauseModel, Context, Hypothesis, log_grid};

/// See the module.
pub struct PartialShade;

/// Irradiance in the shade over that in the sun: dense, ordinary, thin (engineering judgement).
const DARKNESS: [f64; 4] = [0.12, 0.25, 0.42, 0.62];

/// Shares of a large array that stand for all.
const SHARES: usize = 9;

/// An array of so few substrings shows each by its voltage.
const FEW: f64 = 12.0;

impl CauseModel for PartialShade {
    fn cause(&self) -> Cause {
        Cause::PartialShade
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 2.2)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let range = self.cause().info().severity.as_ref().map_or((0.03, 0.8), |s| (s.low, s.high));
        let array = &context.plant.array;
        let layouts: &[bool] = if array.strings > 1 { &[true, false] } else { &[false] };
        let mut out = Vec::new();
        for (share, of_share) in shares(range, array.substring_count()) {
            for darkness in DARKNESS {
                for &gathered in layouts {
                    // controllers mostly find the higher peak
                    for (right_peak, weight) in [(false, 0.75), (true, 0.25)] {
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

/// Shares that stand for all, with weights: even in ln of the share, of a small array those of whole substrings.
fn shares((low, high): (f64, f64), substrings: f64) -> Vec<(f64, f64)> {
    if substrings > FEW {
        return log_grid(low, high, SHARES).map(|share| (share, 1.0)).collect();
    }
    let whole = (1..substrings as usize).map(|k| k as f64);
    let weighed = whole.map(|k| (k / substrings, ((k + 0.5) / (k - 0.5)).ln()));
    let inside: Vec<(f64, f64)> = weighed.filter(|(share, _)| (low..=high).contains(share)).collect();
    // half of a single substring, where there is no more
    if inside.is_empty() { vec![(0.5, 1.0)] } else { inside }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_array_loses_whole_substrings() {
        let few: Vec<f64> = shares((0.03, 0.8), 9.0).iter().map(|s| 9.0 * s.0).collect();
        assert!(few.iter().zip(1..=7).all(|(s, k)| (s - f64::from(k)).abs() < 1e-9), "{few:?}");
        assert!(few.len() == 7 && shares((0.03, 0.8), 60.0).len() == SHARES);
        assert!(!shares((0.03, 0.8), 1.0).is_empty());
    }
}
