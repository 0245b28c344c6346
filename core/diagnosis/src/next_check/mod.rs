//! The check that saves most.
//!
//! Each check that is possible and safe here ([`possible`]) is tried in thought ([`thought`]): the answers it could
//! give, how often, and what the ranking would be after each. What counts is the work that would still be wasted
//! ([`cost`]: acting on a wrong guess, at worst lifting the pump for nothing) and, while no cause stands out, the
//! doubt that goes, less the check's own minutes. When no check is worth its minutes the ranking is good enough to
//! act on; then only the one that confirms it is left.

mod cost;
mod possible;
mod thought;
mod why;

use wellwright_domain::cause::Cause;
use wellwright_domain::check::Check;
use wellwright_domain::finding::NextCheck;

use crate::checks;
use crate::rank::CauseScore;
use crate::score::Scorer;

use cost::{CREW, Costs};
use possible::is_possible;
use thought::{Parts, Tried};

/// Minutes to begin any check: walking there, reading what to do.
const SETTING_OUT_MIN: f64 = 3.0;

/// What a bit of doubt that goes is worth while no cause stands out, minutes: two hours of looking at the wrong thing
/// (engineering judgement). With it checks come first that tell much, not only those that spare the next remedy.
const BIT_MIN: f64 = 120.0;

/// From this probability on a cause stands out.
const STANDS_OUT: f64 = 0.9;

/// A check that confirms takes no more minutes than this.
const CONFIRM_MIN: f64 = 30.0;

/// It tells at least so much on whether it is the leading cause.
const CONFIRM_BITS: f64 = 0.01;

/// Of those that confirm nearly as well as the best, by this share, the quickest is named.
const NEARLY: f64 = 0.5;

/// Nobody is sent to learn less than so many bits, however quick it is, unless it spares more minutes than it takes.
const LEAST_BITS: f64 = 0.03;

/// Most suggestions.
const MOST: usize = 5;

/// One check with what it is worth.
struct Candidate {
    check: Check,
    cost: f64,
    tried: Tried,
}

impl Candidate {
    /// Minutes gained on average; `open`: no cause stands out yet.
    fn gain(&self, open: bool) -> f64 {
        self.tried.saved_min + if open { BIT_MIN * self.tried.expected_bits } else { 0.0 }
    }

    /// Minutes gained in a minute of it.
    fn rate(&self, open: bool) -> f64 {
        self.gain(open) / (self.cost + SETTING_OUT_MIN)
    }
}

/// Suggestions, best first. `left_standing`: only checks with the pump stopped.
///
/// A check is suggested when it gains more minutes than it takes. When nothing is worth its minutes and a fault
/// leads, the one that would confirm it best is still named: nothing is repaired on a number alone.
pub fn next_checks(scorer: &Scorer, ranked: &[CauseScore], left_standing: bool) -> Vec<NextCheck> {
    let Some(first) = ranked.first() else { return Vec::new() };
    let costs = Costs::new(ranked);
    let parts = Parts::new(scorer, ranked);
    let mut candidates: Vec<Candidate> = checks::ALL
        .iter()
        .filter(|m| is_possible(scorer, **m, left_standing))
        .filter_map(|m| {
            let info = m.check().info();
            let cost = if m.check() == Check::PullPump { CREW * info.minutes } else { info.minutes };
            Some(Candidate { check: m.check(), cost, tried: parts.try_in_thought(&costs, *m)? })
        })
        .collect();
    let open = first.probability < STANDS_OUT || first.cause == Cause::Unknown;
    candidates.sort_by(|a, b| b.rate(open).total_cmp(&a.rate(open)));
    let worth = |c: &&Candidate| {
        let tells = c.tried.saved_min > c.cost || c.tried.expected_bits >= LEAST_BITS;
        tells && c.gain(open) > c.cost
    };
    let tell = |c: &Candidate, confirms: bool| NextCheck {
        code: c.check,
        minutes: c.check.info().minutes,
        cost: c.cost,
        expected_bits: (c.tried.expected_bits * 1000.0).round() / 1000.0,
        separates: c.tried.separates.clone(),
        cautions: c.check.info().cautions.clone(),
        why: Some(if confirms {
            why::confirms(first.cause)
        } else {
            why::tells(&c.tried.separates, first.cause)
        }),
    };
    let out: Vec<NextCheck> = candidates.iter().filter(worth).take(MOST).map(|c| tell(c, false)).collect();
    let sound = first.cause.is_sound();
    if !out.is_empty() || sound {
        return out;
    }
    // nobody opens a joint to confirm anything else than what it mends
    let fits = |c: &Candidate| c.check != Check::SwapTwoLeads || first.cause == Cause::ReversedRotation;
    let confirming = candidates
        .iter()
        .filter(|c| fits(c) && c.cost <= CONFIRM_MIN && c.tried.bits_on_first >= CONFIRM_BITS);
    let most = confirming.clone().map(|c| c.tried.bits_on_first).fold(0.0, f64::max);
    let nearly = confirming.filter(|c| c.tried.bits_on_first >= NEARLY * most);
    nearly.min_by(|a, b| a.cost.total_cmp(&b.cost)).map(|c| tell(c, true)).into_iter().collect()
}
