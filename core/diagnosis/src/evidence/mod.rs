//! Evidence in bits: what each channel, check and circumstance says for or against a cause.
//!
//! The weight of one piece is log2 of its likelihood under the cause over its likelihood under the mixture of
//! the other causes (mixed by their prior), that piece alone and counted as the ranking counts it.
//!
//! A piece is added where its kind is told: [`load`] for what is compared at the measured speed, [`array`](mod@array)
//! for sun and limits, [`swings`] for currents that differ and readings that vary, [`standing`] for rests and starts,
//! [`says`] for what the controller does and says, [`by_hand`] for checks, [`beforehand`] for what was known before.

mod array;
mod beforehand;
mod by_hand;
mod load;
mod piece;
mod says;
mod standing;
mod swings;

use wellwright_domain::cause::Cause;
use wellwright_domain::finding::{Evidence, Regime};

use crate::likelihood::log_sum_exp;
use crate::rank::CauseScore;
use crate::score::{Scored, Scorer};
use crate::verdict::running_regime;
use piece::Piece;

/// Pieces weaker than this are not told, bits.
const LEAST_BITS: f64 = 0.2;

/// How one piece is told; `None` where there is nothing to tell.
type Telling = fn(&Teller) -> Option<Piece>;

/// Every piece but the checks.
const PIECES: [&[Telling]; 6] =
    [&load::PIECES, &array::PIECES, &swings::PIECES, &standing::PIECES, &says::PIECES, &beforehand::PIECES];

/// Evidence about `of`, strongest first. `regime`: what held the pump for most of the window.
pub fn evidence(scorer: &Scorer, ranked: &[CauseScore], of: &CauseScore, regime: Regime) -> Vec<Evidence> {
    let teller = Teller { scorer, ranked, of, regime };
    let told = PIECES.iter().flat_map(|pieces| pieces.iter()).filter_map(|tell| tell(&teller));
    let by_hand = scorer.case.checks.iter().map(|made| by_hand::tell(&teller, made));
    let mut out: Vec<Evidence> = told.chain(by_hand).map(Piece::told).collect();
    out.retain(|e| e.weight_bits.abs() >= LEAST_BITS);
    out.sort_by(|a, b| b.weight_bits.abs().total_cmp(&a.weight_bits.abs()));
    out
}

/// Who tells: one ranking and the cause that is spoken of.
struct Teller<'a, 's> {
    scorer: &'a Scorer<'a>,
    ranked: &'a [CauseScore<'s>],
    of: &'a CauseScore<'s>,
    regime: Regime,
}

impl<'s> Teller<'_, 's> {
    /// The hypothesis that stands for the cause.
    fn best(&self) -> &'s Scored {
        self.of.hypotheses[0].0
    }

    /// The hypothesis that stands for the healthy plant.
    fn healthy(&self) -> Option<&'s Scored> {
        self.ranked.iter().find(|c| c.cause == Cause::Healthy).map(|c| c.hypotheses[0].0)
    }

    /// What held the pump where it ran.
    fn running(&self) -> Regime {
        running_regime(self.scorer.plant, self.scorer.look).unwrap_or(self.regime)
    }

    /// log2 of one piece's likelihood under the cause over that under the others, from its natural log likelihood
    /// under a hypothesis.
    fn bits(&self, likelihood: &dyn Fn(&Scored) -> f64) -> f64 {
        // each cause speaks through its leading hypotheses, weighed by how well they fit all in all
        let of_cause = |c: &CauseScore| {
            let leading = || c.hypotheses.iter().take(3).map(|(s, w)| (s, w.max(1e-12).ln()));
            // the shares left out are no evidence
            log_sum_exp(leading().map(|(s, w)| w + likelihood(s))) - log_sum_exp(leading().map(|(_, w)| w))
        };
        let others: Vec<&CauseScore> = self.ranked.iter().filter(|c| c.cause != self.of.cause).collect();
        let weight: f64 = others.iter().map(|c| c.prior).sum();
        let mixed = log_sum_exp(others.iter().map(|c| (c.prior / weight).ln() + of_cause(c)));
        (of_cause(self.of) - mixed) / std::f64::consts::LN_2
    }
}
