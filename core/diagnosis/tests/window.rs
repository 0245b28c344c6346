//! What a window comes down to: silent stops, and the pumping that a well still feels after a rest.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_diagnosis::predict::outcome::observed;
use wellwright_diagnosis::window::{Look, Outcome};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::sample::Sample;

/// Every ten seconds; `state` of each row.
fn rows(states: &[PumpState]) -> Vec<Sample> {
    let from: DateTime<FixedOffset> =
        DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").expect("an instant");
    let row = |(k, state): (usize, &PumpState)| {
        let mut s = Sample::new(from + TimeDelta::seconds(10) * i32::try_from(k).expect("few rows"))
            .with(Channel::ArrayV, 300.0);
        s = s.with(Channel::MotorRpm, if *state == PumpState::Running { 2400.0 } else { 0.0 });
        (s.state, s.flags) = (Some(*state), Some(Flags::NONE));
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

/// Without a column of flags a trip is a trip all the same, of a kind that nobody tells.
#[test]
fn a_trip_needs_no_flag() {
    let states = [runs(30), vec![PumpState::Tripped; 30], runs(30), vec![PumpState::Tripped; 30]].concat();
    let mut all = rows(&states);
    for s in &mut all {
        s.flags = None;
    }
    let look = Look::new(&all, |_| true);
    assert_eq!((look.stops.trips, look.stops.last), (2, Some(Outcome::SomeTrip)), "{:?}", look.stops);
    // whoever says flags, and says none, says nothing
    let look = Look::new(&rows(&states), |_| true);
    assert_eq!((look.stops.trips, look.stops.last), (0, Some(Outcome::Silent)), "{:?}", look.stops);
}

/// Without a column of states flags and speed tell.
#[test]
fn a_stop_needs_no_state() {
    let states = [runs(30), rests(30)].concat();
    let of = |flags: Option<Flags>| {
        let mut all = rows(&states);
        for s in &mut all {
            s.flags = flags.filter(|_| s.state == Some(PumpState::Stopped));
            s.state = None;
        }
        Look::new(&all, |_| true).stops.last
    };
    assert_eq!(of(Some(Flags::NONE.with(Flag::DryProbe))), Some(Outcome::Dry));
    assert_eq!(of(Some(Flags::NONE.with(Flag::TankFull))), Some(Outcome::TankFull));
    assert_eq!(of(None), Some(Outcome::Stands));
}

/// A pump that ran and was then switched off stands as meant; one that tripped before does not.
#[test]
fn switching_off_hides_no_trip() {
    let seen = |before: &[PumpState]| {
        let states = [before, &rests(200)].concat();
        let mut all = rows(&states);
        for s in &mut all {
            s.flags = Some(match s.state {
                Some(PumpState::Tripped) => Flags::NONE.with(Flag::OverCurrent),
                Some(PumpState::Stopped) => Flags::NONE.with(Flag::SwitchedOff),
                _ => Flags::NONE,
            });
        }
        observed(&Look::new(&all, |_| true))
    };
    assert_eq!(seen(&runs(60)), Some(Outcome::SwitchedOff));
    let trips = [runs(5), vec![PumpState::Tripped; 6]].concat();
    assert_eq!(seen(&trips.repeat(4)), Some(Outcome::Overload));
}

/// What the last row says holds at night too: a pump that ran until dusk does not run at midnight.
#[test]
fn night_is_the_last_that_is_known() {
    let all = rows(&[runs(30), rests(30)].concat());
    let dusk = all[30].at;
    let look = Look::new(&all, |at| at < dusk);
    assert_eq!((look.stops.night, look.stops.last), (30, Some(Outcome::Silent)));
}

/// Nobody blames the night for a leak to ground.
#[test]
fn a_protective_stop_at_night_is_seen() {
    let of = |flag: Flag| {
        let mut all = rows(&rests(30));
        for s in &mut all {
            s.flags = Some(Flags::NONE.with(flag));
        }
        let look = Look::new(&all, |_| false);
        (observed(&look), look.stops.night)
    };
    assert_eq!(of(Flag::GroundFault), (Some(Outcome::GroundFault), 30));
    assert_eq!(of(Flag::DryProbe), (Some(Outcome::Dry), 30));
    assert_eq!(of(Flag::TankFull), (None, 30));
}

/// Seconds after a stop the level is no level of rest.
#[test]
fn a_level_of_rest_has_rested() {
    let of = |rest_min: usize| {
        let mut all = rows(&[runs(60), rests(6 * rest_min), runs(60)].concat());
        let ends = all[60].at;
        for s in &mut all {
            let after = (s.at - ends).num_seconds() as f64 / 60.0;
            let level =
                if s.state == Some(PumpState::Running) { 45.0 } else { 45.0 - after.clamp(0.0, 15.0) };
            s.set(Channel::WaterLevelM, Some(level));
        }
        Look::new(&all, |_| true).stops.rest_level_m
    };
    assert_eq!((of(5), of(25)), (None, Some(30.0)));
}

/// What says nothing at all is neither a stop nor a run.
#[test]
fn silence_is_no_standing() {
    let mut all = rows(&[runs(30), vec![PumpState::Tripped; 30], rests(700)].concat());
    for s in &mut all[30..60] {
        s.flags = Some(Flags::NONE.with(Flag::OverCurrent));
    }
    assert!(Look::new(&all, |_| true).stops.stood_min > 100.0);
    for s in &mut all[60..] {
        (s.state, s.flags) = (None, None);
        s.set(Channel::MotorRpm, None);
    }
    let stops = Look::new(&all, |_| true).stops;
    assert!(stops.stood_min < 6.0 && !stops.stays_tripped(), "{stops:?}");
}
