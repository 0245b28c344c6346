//! Others in reach, serials that change, noise, floods, and anything at all.

use proptest::prelude::*;
use wellwright_device::link::LinkError;
use wellwright_device::part::Assembler;
use wellwright_device::profile::Readable;
use wellwright_device::session::{
    Candidates, Effect, EndReason, Event, Notice, Phase, Policy, RawCard, Reason, Session, Target,
};

use crate::support::{Run, Told, card, frame, id, policy, seen, serial, session, waiting};

#[test]
fn the_controller_asked_for_is_found_among_others() {
    let mut run = Run::new(session(Target::serial(serial("KH-2"))));
    run.step(seen("a"));
    run.connected();
    assert_eq!(
        run.read(card("KH-1")),
        [
            Effect::Notice(Notice::NotThisOne { id: id("a"), serial: serial("KH-1") }),
            Effect::Disconnect,
            Effect::Phase(Phase::Searching),
            Effect::StartSearch
        ]
    );
    assert_eq!(run.step(seen("a")), [], "a stranger is not tried twice");
    run.follow("b", "KH-2");
}

#[test]
fn a_search_that_finds_only_others_says_so() {
    let mut run = Run::new(session(Target::serial(serial("KH-2"))));
    run.step(seen("a"));
    run.connected();
    run.read(card("KH-1"));
    run.step(seen("a"));
    run.wait();
    let effects = run.wait();
    let (reason, _) = waiting(&effects).unwrap();
    assert_eq!(reason, &Reason::OnlyOthers { wanted: serial("KH-2"), others: 1 });
    assert_eq!(effects[0], Effect::StopSearch);
    assert_eq!(
        reason.to_string(),
        "controller KH-2 is not in reach; 1 other(s) are: go nearer, or check the serial number"
    );
}

#[test]
fn nothing_in_reach_rests_and_gives_up_only_when_told_to() {
    let mut run =
        Run::new(Session::new(Target::default(), Policy { give_up_ms: Some(45_000), ..policy() }, 1));
    run.wait();
    let effects = run.wait();
    assert_eq!(run.now, 30_000);
    assert_eq!(waiting(&effects).unwrap(), (&Reason::NotFound, 30_500));
    run.wait();
    run.wait();
    let effects = run.wait();
    assert_eq!(run.now, 60_500);
    assert_eq!(
        effects[1],
        Effect::Ended(EndReason::GaveUp { searched_ms: 60_500, reason: Reason::NotFound })
    );
    assert_eq!(effects[0], Effect::StopSearch);
}

#[test]
fn a_peripheral_that_changes_its_serial_is_refused() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    run.send(&frame(1));
    run.step(Event::LinkLost(id("a")));
    run.wait();
    run.step(seen("a"));
    run.connected();
    let effects = run.read(card("KH-9"));
    let reason = EndReason::SerialChanged { id: id("a"), was: serial("KH-1"), now: serial("KH-9") };
    assert!(reason.to_string().contains("gave serial number KH-1 and now KH-9: refused"));
    assert_eq!(effects, [Effect::Disconnect, Effect::Ended(reason)]);
}

#[test]
fn the_same_controller_under_another_address_is_followed_on() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    run.send(&frame(1));
    run.step(Event::LinkLost(id("a")));
    run.wait();
    assert_eq!(run.step(seen("b")), [], "for a while the known address is waited for");
    let effects = run.wait();
    assert!(effects.contains(&Effect::Phase(Phase::Connecting(id("b")))));
    run.connected();
    run.read(card("KH-1"));
    let attempt = run.attempt;
    run.step(Event::Subscribed { attempt });
    assert!(matches!(run.send(&frame(2))[..], [Told::Frame(2, _)]));
}

#[test]
fn an_unusable_card_is_a_reason_and_not_the_end() {
    let cases = [
        (card("KH-1").with(Readable::Serial, *b"\0"), "the serial number must be"),
        (card("KH-1").with(Readable::Nameplate, [1, 2]), "nameplate is 2 bytes long"),
        (card("KH-1").with(Readable::Status, [9; 23]), "status has profile version 9"),
    ];
    for (raw, text) in cases {
        let mut run = Run::new(session(Target::default()));
        run.step(seen("a"));
        run.connected();
        let effects = run.read(raw);
        assert_eq!(effects[0], Effect::Disconnect);
        let reason = waiting(&effects).unwrap().0.to_string();
        assert!(reason.starts_with(text), "{reason}");
    }
}

#[test]
fn what_only_a_person_can_mend_ends_it() {
    for error in [LinkError::NoAdapter, LinkError::NoService, LinkError::PermissionDenied] {
        let mut run = Run::new(session(Target::default()));
        let effects = run.step(Event::SearchFailed(error.clone()));
        assert_eq!(effects, [Effect::StopSearch, Effect::Ended(EndReason::NeedsPerson(error))]);
    }
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    let effects = run.step(Event::RadioOff);
    let reason = waiting(&effects).unwrap().0;
    assert_eq!(reason.to_string(), "Bluetooth is off: switch it on");
}

#[test]
fn a_burst_is_cut_and_a_flood_costs_the_session() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    let mut seq = 0;
    let mut frames = 0;
    let mut flooded = None;
    'flood: for second in 1..60 {
        run.now = second * 1000;
        for _ in 0..1000 {
            seq += 1;
            let effects = run.notify(frame(seq).to_parts(200).remove(0));
            frames += effects.iter().filter(|e| matches!(e, Effect::Deliver(_))).count();
            assert!(effects.len() <= 8);
            if let Some((reason, _)) = waiting(&effects) {
                flooded = Some((reason.clone(), second));
                break 'flood;
            }
        }
    }
    assert_eq!(flooded, Some((Reason::Flooding { dropped: 9 * 600 + 1 }, 10)));
    assert_eq!(frames, 10 * 400);
}

#[test]
fn notices_of_a_noisy_peripheral_are_few() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    let mut notices = 0;
    for ms in 0..5000 {
        run.now = ms;
        if ms % 1000 == 501 {
            run.send(&frame(ms as u32));
        }
        if ms % 4 == 0 {
            notices += run.notify(vec![0]).len();
        }
    }
    assert_eq!(run.session.faults().malformed, 1250);
    assert!((4..=6).contains(&notices), "{notices}");
}

#[test]
fn a_lost_queue_is_told() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    assert_eq!(run.step(Event::Overflow { lost: 7 }), [Effect::Notice(Notice::Overflow { lost: 7 })]);
    run.now = 1000;
    assert_eq!(run.step(Event::Overflow { lost: 2 }), [Effect::Notice(Notice::Overflow { lost: 9 })]);
}

#[test]
fn what_was_queued_before_this_connection_is_left_out() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    run.step(Event::LinkLost(id("a")));
    run.wait();
    run.follow("a", "KH-1");
    let old = Event::Notification { at_ms: run.now - 1, bytes: frame(1).to_parts(100).remove(0) };
    assert_eq!(run.step(old), []);
}

#[test]
fn a_crowd_of_invented_addresses_stays_bounded() {
    let mut run = Run::new(session(Target::serial(serial("KH-2"))));
    for n in 0..10_000 {
        run.now += 10;
        run.step(seen(&format!("x{n}")));
        if matches!(run.session.phase(), Phase::Connecting(_)) {
            run.connected();
            run.read(card("KH-1"));
        }
        assert!(run.session.held().1 <= Candidates::MOST);
    }
    run.wait();
    run.follow("the one", "KH-2");
}

/// Any event at all, with attempt numbers that may be right.
fn any_event() -> impl Strategy<Value = Event> {
    let name = prop_oneof![Just("a"), Just("b"), Just("c")];
    let attempt = 0u32..6;
    let error = prop_oneof![
        Just(LinkError::LinkLost),
        Just(LinkError::BluetoothOff),
        Just(LinkError::Failed("x".into())),
        Just(LinkError::NotThisProfile("live")),
    ];
    let raw =
        prop_oneof![Just(card("KH-1")), Just(card("KH-1")), Just(card("KH-2")), Just(RawCard::default())];
    prop_oneof![
        4 => name.clone().prop_map(seen),
        4 => attempt.clone().prop_map(|attempt| Event::Connected { attempt }),
        4 => (attempt.clone(), raw).prop_map(|(attempt, raw)| Event::CardRead { attempt, raw: Box::new(raw) }),
        4 => attempt.clone().prop_map(|attempt| Event::Subscribed { attempt }),
        1 => (attempt, error.clone()).prop_map(|(attempt, error)| Event::Failed { attempt, error }),
        1 => error.prop_map(Event::SearchFailed),
        1 => name.prop_map(|n| Event::LinkLost(id(n))),
        1 => Just(Event::RadioOff),
        4 => Just(Event::Tick),
        4 => (any::<u64>(), 0u32..30).prop_map(|(at_ms, seq)| {
            Event::Notification { at_ms, bytes: frame(seq).to_parts(200).remove(0) }
        }),
        2 => (any::<u64>(), proptest::collection::vec(any::<u8>(), 0..30))
            .prop_map(|(at_ms, bytes)| Event::Notification { at_ms, bytes }),
        1 => (0u64..5).prop_map(|lost| Event::Overflow { lost }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Whatever comes in whatever order: no panic, bounded memory, frames in order and never twice, work
    /// for the link only in a sensible order, and always something to wait for until it is over.
    #[test]
    fn invariants_hold(events in proptest::collection::vec((any_event(), 0u64..5000), 1..200)) {
        let mut s = session(Target::default());
        let (mut now, mut last, mut connected, mut searching, mut ended) = (0, None, false, false, false);
        let all = std::iter::once((Event::Start, 0)).chain(events);
        for (event, dt) in all {
            now += dt;
            for effect in s.step(event, now) {
                prop_assert!(!ended, "an effect after the end");
                match effect {
                    Effect::Deliver(received) => {
                        prop_assert!(received.at_ms <= now);
                        prop_assert!(last.is_none_or(|l| received.frame.seq > l));
                        last = Some(received.frame.seq);
                    }
                    Effect::StartSearch => { prop_assert!(!searching && !connected); searching = true; }
                    Effect::StopSearch => { prop_assert!(searching); searching = false; }
                    Effect::Connect { .. } => { prop_assert!(!connected && !searching); connected = true; }
                    Effect::ReadCard { .. } | Effect::Subscribe { .. } => prop_assert!(connected),
                    Effect::Disconnect => { prop_assert!(connected); connected = false; }
                    Effect::Ended(_) => { prop_assert!(!connected && !searching); ended = true; }
                    _ => {}
                }
            }
            prop_assert_eq!(s.deadline().is_none(), ended);
            prop_assert!(s.held().0 <= Assembler::MAX_BYTES);
        }
    }
}
