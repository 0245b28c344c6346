//! What a window comes down to: silent stops, and the pumping that a well still feels after a rest.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_diagnosis::window::Look;
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::PumpState;
use wellwright_domain::sample::Sample;

/// Every ten seconds; `state` of each row.
fn rows(states: &[PumpState]) -> Vec<Sample> {
    let from: DateTime<FixedOffset> =
        DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").expect("an instant");
    let row = |(k, state): (usize, &PumpState)| {
        let mut s = Sample::new(from + TimeDelta::seconds(10) * i32::try_from(k).expect("few rows"))
            .with(Channel::ArrayV, 300.0);
        s = s.with(Channel::MotorRpm, if *state == PumpState::Running { 2400.0 } else { 0.0 });
        s.state = Some(*state);
        s
    };
    states.iter().enumerate().map(row).collect()
}

fn runs(n: usize) -> Vec<PumpState> {
    vec![PumpState::Running; n]
}

fn rests(n: usize) -> Vec<PumpState> {
    vec![PumpState::Stopped; n]
}

#[test]
fn silent_stops_count_with_and_without_rows_of_the_start() {
    let start = vec![PumpState::Starting; 2];
    for between in [vec![], start] {
        let states = [runs(30), rests(6), between.clone(), runs(30), rests(6), between, runs(30)].concat();
        let look = Look::new(&rows(&states), |_| true);
        assert_eq!(look.stops.silent, 2, "{:?}", look.stops);
    }
}

/// A rest takes as many minutes away as it lasts: the water comes back about as fast as it went.
#[test]
fn a_well_feels_the_run_before_a_short_rest() {
    // 10 min of pumping, a rest, 10 min of pumping
    let after = |rest_min: usize| {
        let states = [rests(6), runs(60), rests(6 * rest_min), runs(60)].concat();
        let look = Look::new(&rows(&states), |_| true);
        let last = look.steady.iter().max_by_key(|p| p.at).expect("a steady point").clone();
        (last.minutes, last.running)
    };
    let (fresh, short) = (after(30), after(2));
    assert!((fresh.0 - fresh.1).abs() < 1e-9, "{fresh:?}");
    assert!(short.0 > short.1 + 1.0, "{short:?}");
}
