//! What was known before anything was measured: the lead maps, the situation, what was touched and noticed.
//!
//! Its words are put in where the question is known.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Situation;

use super::piece::Piece;
use super::{Teller, Telling};

pub const PIECES: [Telling; 2] = [|t| Some(lead_map(t)), |t| Some(situation(t))];

fn lead_map(t: &Teller) -> Piece {
    Piece::of_check("lead_map", t.regime, t.bits(&|s| s.parts.parity))
}

fn situation(t: &Teller) -> Piece {
    let weight = t.bits(&|s| s.parts.noticed) + situation_bits(t);
    Piece::of_check("situation", t.regime, weight)
}

/// Bits by which situation and what was touched move the cause, against not being told either.
fn situation_bits(t: &Teller) -> f64 {
    let case = t.scorer.case;
    if case.situation.is_none() && case.touched.is_none() {
        return 0.0;
    }
    let untold = |c: Cause| match case.situation {
        Some(_) => Situation::ALL.iter().map(|s| c.prior_weight(*s)).sum::<f64>(),
        None => c.prior_weight(Situation::default()),
    };
    let all: f64 = t.ranked.iter().map(|c| untold(c.cause)).sum();
    let odds = |p: f64| (p / (1.0 - p)).log2();
    odds(t.of.prior) - odds(untold(t.of.cause) / all)
}
