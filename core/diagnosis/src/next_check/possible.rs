//! Which checks may be offered: possible at this place, safe for this pump now, with the tools at hand, and not
//! made yet.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::record::{PumpKind, System};
use wellwright_domain::situation::Situation;

use crate::case::Case;
use crate::checks::{CheckModel, counts, stands};
use crate::running::{Running, running, seen_since};
use crate::score::Scorer;
use crate::window::{Look, Outcome};

/// Water that must stand over the intake before the dry input may be bridged, m (engineering judgement).
const PROVED_OVER_INTAKE_M: f64 = 1.0;

/// A level was measured in the same hour.
const FRESH_MIN: i64 = 60;

/// True when the check may be offered. `stopped`: the pump must stand meanwhile.
pub fn is_possible(scorer: &Scorer, model: &dyn CheckModel, stopped: bool) -> bool {
    let (case, look) = (scorer.case, scorer.look);
    let check = model.check();
    let made = case.checks.iter().any(|c| c.check == check && counts(c, scorer.plant));
    let moved = model.while_running() || model.starts_pump();
    // nothing is heard of a pump that must stand
    let silent = stopped && check == Check::LookAndListen;
    let unsafe_now = stopped && moved || silent || never(case, look, check);
    let cannot = made
        || model.while_running() && stands_now(case, look)
        || lacks_tool(case, check)
        || barred(case.system, check);
    !unsafe_now && !cannot && input_may_be_bridged(case, look, check)
}

/// As it was seen after the last row, else as telemetry has it, else as it was seen last.
fn stands_now(case: &Case, look: &Look) -> bool {
    match seen_since(look, case.checks) {
        Running::Yes => false,
        Running::No => true,
        Running::NotKnown if look.rows > 0 => stands(look),
        Running::NotKnown => running(look, case.checks) == Running::No,
    }
}

/// What the table of checks says about when a check is never made.
fn never(case: &Case, look: &Look, check: Check) -> bool {
    let helical = case.system.pump.kind == PumpKind::HelicalRotor;
    let in_service = case.situation.unwrap_or_default() == Situation::InService;
    match check.info().never_for.as_str() {
        "" => false,
        "helical_rotor" => helical,
        "helical_rotor and in_service" => helical && in_service,
        "in_service or (pump still in the well)" => in_service || in_the_well(case, look),
        // a condition that this version does not know: rather not
        _ => true,
    }
}

/// There is telemetry or a check that only a pump in the well can give, or somebody noticed how it runs.
fn in_the_well(case: &Case, look: &Look) -> bool {
    let at_the_well = |c: &CheckMade| {
        matches!(
            c.check,
            Check::BucketTest
                | Check::TankLook
                | Check::WellheadGauge
                | Check::DeadHeadGauge
                | Check::WaterLevelSounding
                | Check::ColumnDrain
                | Check::SwapTwoLeads
        )
    };
    look.rows > 0 || case.noticed.is_some_and(|n| !n.is_empty()) || case.checks.iter().any(at_the_well)
}

fn lacks_tool(case: &Case, check: Check) -> bool {
    let tool = check.info().tool.to_lowercase();
    case.missing_tools.iter().any(|t| !t.trim().is_empty() && tool.contains(&t.trim().to_lowercase()))
}

/// What the record says cannot be done there.
fn barred(system: &System, check: Check) -> bool {
    let Some(a) = &system.access else { return false };
    let denied = |key: Option<bool>| key == Some(false);
    match check {
        Check::WaterLevelSounding | Check::RestingLevelSounding => denied(a.sounding),
        Check::WellheadGauge => denied(a.gauge_port),
        Check::DeadHeadGauge => denied(a.gauge_port) || denied(a.wellhead_valve),
        Check::BucketTest => denied(a.outlet_reachable),
        _ => false,
    }
}

/// An input is bridged only where it exists and the pump stands; the dry input only with water proved.
fn input_may_be_bridged(case: &Case, look: &Look, check: Check) -> bool {
    let protection = case.system.protection.as_ref();
    let runs = running(look, case.checks) == Running::Yes;
    match check {
        Check::BridgeDryInput => {
            !runs && protection.is_none_or(|p| p.dry_probe_depth_m.is_some()) && water_is_proved(case, look)
        }
        Check::BridgeFloatInput => {
            !runs && !names_another_reason(look) && protection.is_none_or(|p| p.tank_float)
        }
        _ => true,
    }
}

/// The controller says why it stands, and it is not the float.
fn names_another_reason(look: &Look) -> bool {
    let float_or_nothing = |o: Outcome| {
        use Outcome::{CommsLost, Runs, Silent, SomeTrip, Stands, TankFull};
        matches!(o, TankFull | Silent | Stands | SomeTrip | CommsLost | Runs)
    };
    look.stops.last.is_some_and(|o| !float_or_nothing(o))
}

/// Water over the intake was measured by hand within the hour. Without times of day the sounding counts as made
/// now. A level sensor is no proof: it may be what is wrong.
fn water_is_proved(case: &Case, look: &Look) -> bool {
    let times = case.checks.iter().filter_map(|c| c.at);
    let now: Option<DateTime<FixedOffset>> = times.chain(look.span.map(|s| s.1)).max();
    let deep_enough = case.system.well.intake_depth_m - PROVED_OVER_INTAKE_M;
    case.checks.iter().any(|c| {
        let sounded = matches!(c.check, Check::WaterLevelSounding | Check::RestingLevelSounding);
        let over = c.number("depth_m").is_some_and(|d| d <= deep_enough);
        let fresh = match (c.at, now) {
            (Some(at), Some(now)) => now - at <= TimeDelta::minutes(FRESH_MIN),
            _ => true,
        };
        sounded && over && fresh
    }) && no_dry_sounding(case)
}

/// No sounding found the water at the intake.
fn no_dry_sounding(case: &Case) -> bool {
    let intake = case.system.well.intake_depth_m;
    !case.checks.iter().any(|c| c.number("depth_m").is_some_and(|d| d > intake - PROVED_OVER_INTAKE_M))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks;
    use wellwright_domain::check::Answer;
    use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
    use wellwright_domain::flags::{Flag, Flags, PumpState};
    use wellwright_domain::sample::Sample;
    use wellwright_physics::plant::Plant;

    fn possible(
        system: &System,
        samples: &[Sample],
        made: &[CheckMade],
        check: Check,
        stopped: bool,
    ) -> bool {
        let case = Case {
            situation: Some(Situation::InService),
            checks: made,
            ..Case::new(system).with_samples(samples)
        };
        let (plant, assumed) = Plant::from_record(system).unwrap();
        let look = Look::new(samples, |_| true);
        let scorer = Scorer::new(&case, &plant, &assumed, &look);
        is_possible(&scorer, checks::model(check).unwrap(), stopped)
    }

    fn sounded(depth_m: f64, at: &str) -> CheckMade {
        let answers = [("depth_m".to_owned(), Answer::Number(depth_m))].into_iter().collect();
        let at = DateTime::parse_from_rfc3339(at).ok();
        CheckMade { check: Check::RestingLevelSounding, at, answers }
    }

    fn standing() -> Vec<Sample> {
        let at =
            |k: i64| DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap() + TimeDelta::minutes(k);
        let row = |k| {
            let mut s = Sample::new(at(k));
            s.state = Some(PumpState::Stopped);
            s.flags = Some(Flags::NONE.with(Flag::DryProbe));
            s
        };
        (0..30).map(row).collect()
    }

    #[test]
    fn the_dry_input_is_bridged_with_water_proved_in_the_same_hour() {
        let (system, rows) = (kestrel_hollow(), standing());
        let offered = |made: &[CheckMade]| possible(&system, &rows, made, Check::BridgeDryInput, false);
        assert!(offered(&[sounded(32.0, "2026-03-14T10:05:00Z")]));
        assert!(!offered(&[]));
        assert!(!offered(&[sounded(32.0, "2026-03-14T08:05:00Z")]), "hours ago");
        assert!(!offered(&[sounded(59.5, "2026-03-14T10:05:00Z")]), "the intake hangs at 60 m");
        // one sounding too deep is enough to leave it
        let both = [sounded(32.0, "2026-03-14T10:05:00Z"), sounded(59.5, "2026-03-14T10:20:00Z")];
        assert!(!offered(&both));
        assert!(
            !possible(&dovecote_bend(), &rows, &both[..1], Check::BridgeDryInput, false),
            "no probe there"
        );
    }

    /// Nobody bridges a float where the controller says that the sun is too weak.
    #[test]
    fn a_float_is_bridged_only_where_it_may_be_what_holds_the_pump() {
        let stood_by = |flags: Flags| {
            let mut rows = standing();
            for row in &mut rows {
                row.flags = Some(flags);
            }
            possible(&kestrel_hollow(), &rows, &[], Check::BridgeFloatInput, false)
        };
        assert!(stood_by(Flags::NONE.with(Flag::TankFull)));
        assert!(stood_by(Flags::NONE), "nothing is said");
        assert!(!stood_by(Flags::NONE.with(Flag::LowPower)));
    }

    #[test]
    fn a_pump_that_must_stand_is_not_started() {
        let system = kestrel_hollow();
        for check in Check::ALL {
            let m = checks::model(*check).unwrap();
            if m.while_running() || m.starts_pump() {
                assert!(!possible(&system, &[], &[], *check, true), "{}", check.code());
            }
        }
        assert!(possible(&system, &[], &[], Check::ValvePosition, true));
        assert!(possible(&system, &[], &[], Check::BucketTest, false));
        assert!(!possible(&system, &standing(), &[], Check::BucketTest, false), "it stands");
    }
}
