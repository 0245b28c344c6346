//! Bypass diodes conduct: whole substrings are missing, in every light.
//!
//! Open-circuit and best voltage fall by whole substrings. Never explains: less current, a change with the sun's
//! place in the sky.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};

/// See the module.
pub struct ShortedBypass;

/// Substrings missing over the whole array, and how often (engineering judgement: few more often than many).
const MISSING: [(f64, f64); 6] =
    [(1.0, 0.3), (2.0, 0.22), (3.0, 0.2), (5.0, 0.12), (7.0, 0.08), (10.0, 0.08)];

/// The same one by one, where each moves the voltage of a string by more than the meters leave open.
const MISSING_IN_FEW: [(f64, f64); 10] = [
    (1.0, 0.3),
    (2.0, 0.22),
    (3.0, 0.11),
    (4.0, 0.09),
    (5.0, 0.065),
    (6.0, 0.055),
    (7.0, 0.045),
    (8.0, 0.035),
    (9.0, 0.04),
    (10.0, 0.04),
];

/// Substrings in a string that are few.
const FEW: u32 = 30;

/// Lightning and heat mostly hit one string of several (engineering judgement).
const GATHERED: f64 = 0.65;

impl CauseModel for ShortedBypass {
    fn cause(&self) -> Cause {
        Cause::ShortedBypass
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Array, 2.2)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let array = &context.plant.array;
        let all = array.substring_count();
        let new = |n: f64, gathered: bool, weight: f64| {
            let new = Hypothesis::new(self.cause()).at(n).with(|c| c.array.missing_substrings = n);
            new.with(|c| c.array.missing_gathered = gathered).weighing(weight)
        };
        let ways: &[(bool, f64)] =
            if array.strings > 1 { &[(true, GATHERED), (false, 1.0 - GATHERED)] } else { &[(false, 1.0)] };
        let few = array.series * array.substrings <= FEW;
        let missing: &[(f64, f64)] = if few { &MISSING_IN_FEW } else { &MISSING };
        let fits = missing.iter().filter(|(n, _)| *n <= 1.0 || *n <= 0.7 * all);
        fits.flat_map(|(n, weight)| {
            ways.iter().map(move |(gathered, share)| new(*n, *gathered, weight * share))
        })
        .collect()
    }
}
