//! What the controller warns of while it runs.
//!
//! Most controllers stop for what they flag; some only say it, or keep the flag of an earlier stop. So a flag over a
//! running pump counts, but less than a stop would. Heat while it runs is told in [`super::heat`].

use crate::predict::outcome::OutcomeTable;
use crate::window::{Look, Outcome};

/// A flag in fewer of the running rows is a slip of the link.
const OFTEN: f64 = 0.1;

/// A flag stands there for no reason so often, and for its reason it names another so often (engineering judgement).
const FOR_NOTHING: f64 = 0.01;
const NAMES_ANOTHER: f64 = 0.3;

/// What it warns of while it runs.
pub fn warned(look: &Look) -> Option<Outcome> {
    let ran = look.stops.count(Outcome::Runs);
    let most = Outcome::ALL.into_iter().filter(|o| o.is_trip() && *o != Outcome::TooHot);
    let most = most.max_by_key(|o| look.stops.warned(*o))?;
    (look.stops.warned(most) as f64 > OFTEN * ran as f64).then_some(most)
}

/// log likelihood of that warning.
pub fn log_likelihood(look: &Look, table: &OutcomeTable) -> f64 {
    let Some(seen) = warned(look) else { return 0.0 };
    (FOR_NOTHING + (1.0 - NAMES_ANOTHER) * table[seen as usize]).ln()
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, TimeDelta};
    use wellwright_domain::flags::{Flag, Flags, PumpState};
    use wellwright_domain::sample::Sample;

    use super::*;
    use crate::predict::outcome;

    #[test]
    fn a_leak_that_is_flagged_over_a_running_pump_points_to_the_leak() {
        let from = DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap();
        let rows = |flags: Flags| -> Vec<Sample> {
            let row = |k| {
                let mut s = Sample::new(from + TimeDelta::seconds(k));
                (s.state, s.flags) = (Some(PumpState::Running), Some(flags));
                s
            };
            (0..60).map(row).collect()
        };
        let leak = outcome::with(&[(Outcome::GroundFault, 0.5)], Outcome::Runs);
        let sound = outcome::with(&[], Outcome::Runs);
        let for_leak = |flags| {
            let look = Look::new(&rows(flags), |_| true);
            log_likelihood(&look, &leak) - log_likelihood(&look, &sound)
        };
        assert_eq!(for_leak(Flags::NONE), 0.0);
        assert!(for_leak(Flags::NONE.with(Flag::GroundFault)) > 3.0);
        assert!(for_leak(Flags::NONE.with(Flag::PhaseLoss)).abs() < 0.3);
    }
}
