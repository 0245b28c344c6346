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

impl CauseModel for PartialShade {
    fn cause(&self) -> Cause {
        Cause::PartialShade
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let range = self.cause().info().severity.as_ref().map_or((0.03, 0.8), |s| (s.low, s.high));
        let layouts: &[bool] = if context.plant.array.strings > 1 { &[true, false] } else { &[false] };
        let mut out = Vec::new();
        for share in log_grid(range.0, range.1, 9) {
            for darkness in DARKNESS {
                for &gathered in layouts {
                    for right_peak in [false, true] {
                        let shade = Shade { share, darkness, gathered, right_peak };
                        let mut h =
                            Hypothesis::new(self.cause()).at(share).with(|c| c.array.shade = Some(shade));
                        // controllers mostly find the higher peak
                        h.weight = if right_peak { 0.25 } else { 0.75 };
                        out.push(h);
                    }
                }
            }
        }
        out
    }
}
