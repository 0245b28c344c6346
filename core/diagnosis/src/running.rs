//! Does the pump run now? As telemetry says; where there is none, or none so late, as somebody saw or read it.
//!
//! What must be stopped, and which checks may be made, hangs on it.

use wellwright_domain::check::{Check, CheckMade};

use crate::checks::{model, shows_running};
use crate::window::{Look, Outcome};

/// What is known of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Running {
    /// It runs, or starts again and again by itself.
    Yes,
    /// It stands.
    No,
    /// Nobody told.
    NotKnown,
}

/// Protective stops in a window from which on the next start is expected to come by itself.
const CYCLES: usize = 3;

/// It stops and starts again and again by itself.
pub fn cycles(look: &Look) -> bool {
    look.stops.trips >= CYCLES
}

/// What a check tells that was made after the last row, else what telemetry says, else the last check that tells it.
/// `checks` in the order in which they were made.
pub fn running(look: &Look, checks: &[CheckMade]) -> Running {
    match seen_since(look, checks) {
        Running::NotKnown => {}
        seen => return seen,
    }
    match look.stops.last {
        _ if look.stops.starting => Running::Yes,
        Some(Outcome::Runs) => Running::Yes,
        // nobody heard of it since
        Some(Outcome::CommsLost) | None => by_hand(checks.iter()),
        // whoever switched it off has stopped it
        Some(last) if cycles(look) && !last.is_meant() && !look.stops.waits_no_more() => Running::Yes,
        Some(_) => Running::No,
    }
}

/// What a check tells that was made after the last row.
pub fn seen_since(look: &Look, checks: &[CheckMade]) -> Running {
    let later = |c: &&CheckMade| c.at.zip(look.span).is_some_and(|(at, (_, last))| at > last);
    by_hand(checks.iter().filter(later))
}

/// The last check that tells it.
fn by_hand<'a>(checks: impl DoubleEndedIterator<Item = &'a CheckMade>) -> Running {
    let seen = checks.rev().find_map(seen_running);
    seen.map_or(Running::NotKnown, |yes| if yes { Running::Yes } else { Running::No })
}

/// Clamps that read less than this together, A, have found no current.
const LEAST_A: f64 = 0.15;

/// Whether a check saw it run.
fn seen_running(made: &CheckMade) -> Option<bool> {
    match made.check {
        Check::LookAndListen => made.yes("running"),
        Check::ControllerDisplay => shows_running(made),
        Check::BucketTest => made.number("litres").filter(|l| *l > 0.0).map(|_| true),
        Check::LeadCurrent => {
            let amps = ["u_a", "v_a", "w_a"].map(|lead| made.number(lead).unwrap_or(0.0));
            (amps.iter().sum::<f64>() > LEAST_A).then_some(true)
        }
        // these may be made, or made again, on a pump that stands
        Check::WaterLook | Check::WashModules | Check::StringCurrent | Check::ArrayTerminalVoltage => None,
        // made while it runs, by what they are
        check => model(check).filter(|m| m.while_running()).map(|_| true),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, TimeDelta};
    use wellwright_domain::check::Answer;
    use wellwright_domain::flags::{Flag, Flags, PumpState};
    use wellwright_domain::sample::Sample;

    fn made(check: Check, field: &str, answer: Answer) -> CheckMade {
        CheckMade { check, at: None, answers: [(field.to_owned(), answer)].into_iter().collect() }
    }

    fn rows(states: &[PumpState]) -> Vec<Sample> {
        let from = DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap();
        let row = |(k, state): (i64, &PumpState)| {
            let mut s = Sample::new(from + TimeDelta::seconds(30 * k));
            s.state = Some(*state);
            s.flags = (*state == PumpState::Tripped).then_some(Flags::NONE.with(Flag::UnderLoad));
            s
        };
        (0..).zip(states).map(row).collect()
    }

    #[test]
    fn telemetry_comes_first() {
        use PumpState::{Running as Runs, Tripped};
        let hand = [made(Check::LookAndListen, "running", Answer::Bool(true))];
        let of =
            |states: &[PumpState], checks: &[CheckMade]| running(&Look::new(&rows(states), |_| true), checks);
        assert_eq!(of(&[Runs, Runs], &[]), Running::Yes);
        assert_eq!(of(&[Runs, Tripped], &hand), Running::No);
        let cycling: Vec<PumpState> = [Runs, Tripped, Tripped].repeat(4);
        assert_eq!(of(&cycling, &[]), Running::Yes, "the next start comes by itself");
    }

    /// A pump that cycled runs again by itself, but not for ever and not at night.
    #[test]
    fn a_pump_that_stood_for_hours_does_not_run() {
        use PumpState::{Running as Runs, Tripped};
        let cycling: Vec<PumpState> = [Runs, Tripped, Tripped].repeat(4);
        let after = |rests: usize| [&cycling[..], &vec![Tripped; rests]].concat();
        let of = |states: &[PumpState], up: bool| running(&Look::new(&rows(states), |_| up), &[]);
        assert_eq!((of(&after(20), true), of(&after(400), true)), (Running::Yes, Running::No));
        let dusk = rows(&cycling).last().unwrap().at;
        let at_night = Look::new(&rows(&after(20)), |at| at <= dusk);
        assert_eq!(running(&at_night, &[]), Running::No);
    }

    #[test]
    fn who_looks_after_the_last_row_knows_better() {
        use PumpState::{Running as Runs, Starting, Stopped};
        let rows = rows(&[Runs, Stopped]);
        let look = Look::new(&rows, |_| true);
        let seen = |after: i64| {
            let mut made = made(Check::LookAndListen, "running", Answer::Bool(true));
            made.at = Some(rows[1].at + TimeDelta::seconds(after));
            running(&look, &[made])
        };
        assert_eq!((seen(-20), seen(3600)), (Running::No, Running::Yes));
        let starts = Look::new(&self::rows(&[Stopped, Starting]), |_| true);
        assert_eq!(running(&starts, &[]), Running::Yes);
    }

    #[test]
    fn a_link_that_is_lost_tells_nothing() {
        let mut rows = rows(&[PumpState::Running, PumpState::Stopped]);
        rows[1].state = None;
        rows[1].flags = Some(Flags::NONE.with(Flag::CommsLost));
        let look = Look::new(&rows, |_| true);
        let stands = made(Check::LookAndListen, "running", Answer::Bool(false));
        assert_eq!(running(&look, &[]), Running::NotKnown);
        assert_eq!(running(&look, &[stands]), Running::No);
    }

    #[test]
    fn without_telemetry_the_last_look_tells() {
        let nothing = Look::new(&[], |_| true);
        let runs = made(Check::LookAndListen, "running", Answer::Bool(true));
        let stands = made(Check::ControllerDisplay, "state", Answer::State(PumpState::Stopped));
        let sounded = made(Check::WaterLevelSounding, "depth_m", Answer::Number(59.9));
        let of = |checks: &[CheckMade]| running(&nothing, checks);
        assert_eq!(of(&[]), Running::NotKnown);
        assert_eq!(of(&[stands.clone(), runs.clone()]), Running::Yes);
        assert_eq!(of(&[runs, stands.clone()]), Running::No);
        assert_eq!(of(&[stands, sounded]), Running::Yes, "that is sounded while it runs");
    }
}
