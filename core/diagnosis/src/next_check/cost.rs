//! The work that a ranking would still waste.
//!
//! Who acts on it tries the remedies in the order of probability over cost (Heckerman, Breese and Rommelse 1995)
//! until one was right, three at the most before it is begun anew; every wrong one is wasted. One lift settles
//! everything that sits in the pump. To leave a sound system alone costs nothing; to leave a faulty one costs another
//! trip.

use wellwright_domain::cause::{Cause, PumpOut};
use wellwright_domain::check::Check;

use crate::rank::CauseScore;

/// People of a lifting crew: its minutes count this often (common practice, no single source).
pub const CREW: f64 = 3.0;

/// Minutes lost when a fault is left alone: another trip (engineering judgement).
const ANOTHER_TRIP_MIN: f64 = 180.0;

/// Minutes lost when the wrong thing is repaired without lifting: the work, and another trip (engineering
/// judgement).
const WRONG_REPAIR_MIN: f64 = 60.0 + ANOTHER_TRIP_MIN;

/// Remedies that are tried in a row.
const PATIENCE: usize = 3;

/// A cause that may sit below or above does so with this share each.
const ABOVE: f64 = 0.5;

/// Which remedies a cause takes part in.
#[derive(Debug, Clone, Copy)]
enum Remedy {
    Leave,
    Own,
    Maybe,
    Lift,
    Specialist,
}

/// Remedies of the ranked causes.
pub struct Costs {
    of: Vec<Remedy>,
    lift_min: f64,
}

impl Costs {
    /// For causes in this order.
    pub fn new(ranked: &[CauseScore]) -> Costs {
        let of = ranked.iter().map(|c| remedy(c.cause)).collect();
        Costs { of, lift_min: CREW * Check::PullPump.info().minutes }
    }

    /// Minutes wasted on average, when the causes have these probabilities.
    pub fn wasted_min(&self, beliefs: &[f64]) -> f64 {
        let (mut leave, mut lift, mut specialist) = (0.0, 0.0, 0.0);
        let mut remedies: Vec<(f64, f64)> = Vec::with_capacity(self.of.len() + 3);
        for (remedy, p) in self.of.iter().zip(beliefs) {
            match remedy {
                Remedy::Leave => leave += p,
                Remedy::Own => remedies.push((*p, WRONG_REPAIR_MIN)),
                Remedy::Maybe => {
                    remedies.push((ABOVE * p, WRONG_REPAIR_MIN));
                    lift += (1.0 - ABOVE) * p;
                }
                Remedy::Lift => lift += p,
                Remedy::Specialist => specialist += p,
            }
        }
        remedies.extend([(leave, ANOTHER_TRIP_MIN), (lift, self.lift_min), (specialist, self.lift_min)]);
        remedies.sort_by(|a, b| (b.0 / b.1).total_cmp(&(a.0 / a.1)));
        let mut left = 1.0;
        let mut wasted = 0.0;
        for (p, minutes) in remedies.into_iter().take(PATIENCE) {
            left -= p;
            if left <= 1e-9 {
                return wasted;
            }
            wasted += minutes * left;
        }
        // then it is begun anew
        wasted + left * WRONG_REPAIR_MIN
    }
}

fn remedy(cause: Cause) -> Remedy {
    match cause {
        Cause::Healthy | Cause::LowSun | Cause::StandingBy => Remedy::Leave,
        Cause::Unknown => Remedy::Specialist,
        _ => match cause.info().pump_out {
            PumpOut::No => Remedy::Own,
            PumpOut::Maybe => Remedy::Maybe,
            PumpOut::Yes => Remedy::Lift,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn costs(causes: &[Cause]) -> Costs {
        Costs { of: causes.iter().map(|c| remedy(*c)).collect(), lift_min: 720.0 }
    }

    #[test]
    fn a_sure_cause_wastes_nothing_and_doubt_about_the_pump_is_dear() {
        let c = costs(&[Cause::WornPump, Cause::ClosedValve, Cause::Healthy]);
        assert!(c.wasted_min(&[1.0, 0.0, 0.0]) < 1e-6);
        // the valve is tried first, in vain half the time, before anybody lifts
        assert!((c.wasted_min(&[0.5, 0.5, 0.0]) - 120.0).abs() < 1e-9);
        // two that both sit in the pump need no telling apart
        let both = costs(&[Cause::WornPump, Cause::BlockedIntake]);
        assert!(both.wasted_min(&[0.5, 0.5]) < 1e-6);
    }
}
