//! Mechanisms that the catalogue does not know show visibly.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flags, PumpState};

use crate::plant::{Case, Order, Outside, SensorSet, make};

fn cases(outside: Outside, n: u64) -> impl Iterator<Item = Case> {
    let order =
        Order { seed: 71, outside: Some(outside), sensors: Some(SensorSet::Full), ..Order::default() };
    (0..n).map(move |index| make(&Order { index, ..order }))
}

#[test]
fn the_answer_is_unknown_and_the_word_reads_back() {
    for outside in Outside::ALL {
        assert_eq!(Outside::from_word(outside.word()), Some(outside));
        for case in cases(outside, 2) {
            assert_eq!((case.cause, case.outside, case.severity), (Cause::Unknown, Some(outside), None));
            assert!(case.name.starts_with("unknown-"));
        }
    }
}

#[test]
fn a_neighbour_draws_the_level_down_with_the_sun_also_while_ours_stands() {
    let mut deeper = 0;
    for case in cases(Outside::NeighbourWell, 8) {
        let deepest = case.truth.iter().map(|t| t.depth).fold(0.0, f64::max);
        let usual =
            case.healthy.well.rest + case.healthy.well.settled(case.healthy.settled_flow(1000.0, 20.0));
        deeper += usize::from(deepest > usual + 1.0);
    }
    assert!(deeper >= 5, "{deeper}");
}

#[test]
fn a_tee_takes_water_now_and_not_then() {
    for case in cases(Outside::TimedTee, 8) {
        let running = || case.truth.iter().filter(|t| t.flow > 0.5);
        let open = running().filter(|t| t.arrives < 0.9 * t.flow).count();
        assert!(open > 0, "{}", case.name);
        let period = case.plant.odd.timer.unwrap().0;
        if case.window.seconds > 2.0 * period && case.window.spacing < 0.1 * period {
            assert!(running().any(|t| t.arrives > 0.99 * t.flow), "{}", case.name);
        }
    }
}

#[test]
fn radio_stops_it_without_a_flag() {
    for case in cases(Outside::RadioStops, 8) {
        let bare =
            case.truth.iter().filter(|t| t.state == PumpState::Stopped && t.flags == Flags::NONE).count();
        assert!(bare * 50 > case.truth.len(), "{}: {bare} of {}", case.name, case.truth.len());
    }
}

#[test]
fn a_soft_hose_breathes() {
    for case in cases(Outside::BreathingHose, 8).filter(|c| c.window.spacing <= 5.0) {
        let flow: Vec<f64> =
            case.truth.iter().filter(|t| t.state == PumpState::Running).map(|t| t.flow).collect();
        let late = &flow[flow.len() / 2..];
        let (most, least) =
            (late.iter().copied().fold(0.0, f64::max), late.iter().copied().fold(f64::MAX, f64::min));
        assert!(least < 0.9 * most, "{}: {least} {most}", case.name);
    }
}

#[test]
fn a_ceiling_cuts_the_currents() {
    let mut cut = 0;
    for case in cases(Outside::CurrentCeiling, 8) {
        let seen = case.samples.iter().filter_map(|s| s.get(Channel::ArrayA)).fold(0.0, f64::max);
        let real = case.truth.iter().map(|t| t.a).fold(0.0, f64::max);
        cut += usize::from(seen < 0.9 * real);
    }
    assert!(cut >= 4, "{cut}");
}

#[test]
fn an_order_for_unknown_takes_one_of_them() {
    let case = make(&Order { seed: 72, cause: Some(Cause::Unknown), ..Order::default() });
    assert!(case.cause == Cause::Unknown && case.outside.is_some());
}
