//! The check that saves most.
//!
//! Each check that is possible and safe here ([`possible`]) is tried in thought ([`thought`]): the answers it could
//! give, how often, and what the ranking would be after each. What counts is the work that would still be wasted
//! ([`cost`]: acting on a wrong guess, at worst lifting the pump for nothing) less the check's own minutes. When no
//! check is worth its minutes the ranking is good enough to act on; then only the one that confirms it is left.

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
use thought::{Parts, Tried};

/// Minutes to begin any check: walking there, reading what to do.
const SETTING_OUT_MIN: f64 = 3.0;

/// While no cause stands out, a check of so many minutes may be suggested for what it tells alone, if it tells so
/// many bits.
const QUICK_MIN: f64 = 15.0;
const TELLING_BITS: f64 = 0.05;

/// From this probability on a cause stands out.
const STANDS_OUT: f64 = 0.9;

/// A check that confirms takes no more minutes than this.
const CONFIRM_MIN: f64 = 30.0;

/// Most suggestions.
const MOST: usize = 5;

/// One check with what it is worth.
struct Candidate {
    check: Check,
    cost: f64,
    tried: Tried,
}

impl Candidate {
    /// Minutes saved, its own taken off.
    fn net(&self) -> f64 {
        self.tried.saved_min - self.cost
    }

    /// Minutes saved in a minute of it.
    fn rate(&self) -> f64 {
        self.tried.saved_min / (self.cost + SETTING_OUT_MIN)
    }
}

/// Suggestions, best first. `must_stop`: only checks with the pump stopped.
///
/// A check is suggested when it saves more minutes than it takes; while no cause stands out, also when it is quick
/// and telling. When nothing is worth its minutes and a fault leads, the one that would confirm it best is still
/// named: nothing is repaired on a number alone.
pub fn next_checks(scorer: &Scorer, ranked: &[CauseScore], must_stop: bool) -> Vec<NextCheck> {
    let Some(first) = ranked.first() else { return Vec::new() };
    let costs = Costs::new(ranked);
    let parts = Parts::new(scorer, ranked);
    let mut candidates: Vec<Candidate> = checks::ALL
        .iter()
        .filter(|m| possible::is_possible(scorer, **m, must_stop))
        .filter_map(|m| {
            let info = m.check().info();
            let cost = if m.check() == Check::PullPump { CREW * info.minutes } else { info.minutes };
            Some(Candidate { check: m.check(), cost, tried: parts.try_in_thought(&costs, *m)? })
        })
        .collect();
    candidates.sort_by(|a, b| b.rate().total_cmp(&a.rate()));
    let sound = |c: Cause| matches!(c, Cause::Healthy | Cause::LowSun | Cause::StandingBy);
    let doubt = first.probability < STANDS_OUT || first.cause == Cause::Unknown;
    let open = doubt && !sound(first.cause);
    let worth = |c: &&Candidate| {
        c.net() > 0.0 || (open && c.tried.expected_bits >= TELLING_BITS && c.cost <= QUICK_MIN)
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
    if !out.is_empty() || sound(first.cause) {
        return out;
    }
    let confirming = candidates.iter().filter(|c| c.cost <= CONFIRM_MIN);
    let best = confirming.max_by(|a, b| a.tried.expected_bits.total_cmp(&b.tried.expected_bits));
    best.map(|c| tell(c, true)).into_iter().collect()
}
