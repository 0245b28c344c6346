//! Following one controller: frames, loss and return, silence, steps that never answer, rests.

use wellwright_device::link::{LinkError, Step};
use wellwright_device::nameplate::Nameplate;
use wellwright_device::profile::Readable;
use wellwright_device::session::{Card, Effect, EndReason, Event, Notice, Phase, Reason, Target};

use crate::support::{Run, Told, card, frame, id, seen, serial, session, waiting};

#[test]
fn from_start_to_a_frame_and_stop() {
    let mut run = Run::new(session(Target::default()));
    run.now = 100;
    assert_eq!(
        run.step(seen("a")),
        [
            Effect::StopSearch,
            Effect::Phase(Phase::Connecting(id("a"))),
            Effect::Connect { attempt: 1, id: id("a") }
        ]
    );
    assert_eq!(
        run.connected(),
        [Effect::Phase(Phase::ReadingNameplate(id("a"))), Effect::ReadCard { attempt: 1 }]
    );
    let identified = Card::decode(&card("KH-1")).unwrap();
    assert_eq!(
        run.read(card("KH-1")),
        [
            Effect::Identified(Box::new(identified)),
            Effect::Phase(Phase::Subscribing(id("a"))),
            Effect::Subscribe { attempt: 1 }
        ]
    );
    assert_eq!(run.step(Event::Subscribed { attempt: 1 }), [Effect::Phase(Phase::Following(id("a")))]);
    assert_eq!(run.session.serial(), Some(&serial("KH-1")));
    run.now = 1000;
    assert_eq!(run.send(&frame(0)), [Told::Frame(0, 1000)]);
    assert_eq!(run.step(Event::Stop), [Effect::Disconnect, Effect::Ended(EndReason::Stopped)]);
    assert_eq!(run.session.deadline(), None);
    assert_eq!(run.step(Event::Start), [], "over is over");
}

#[test]
fn a_lost_link_comes_back_subscribes_again_and_the_gap_is_told() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    assert_eq!(run.send(&frame(10)), [Told::Frame(10, 0)]);
    assert_eq!(run.send(&frame(11)), [Told::Frame(11, 0)]);
    run.now = 2000;
    // Two of the three parts of a frame that will never be whole.
    let half = frame(12).to_parts(23);
    run.notify(half[0].clone());
    let effects = run.step(Event::LinkLost(id("a")));
    assert_eq!(effects[0], Effect::Disconnect);
    let (reason, until) = waiting(&effects).unwrap();
    assert_eq!((reason, until), (&Reason::Link(LinkError::LinkLost), 2500));
    assert!(effects.iter().any(|e| matches!(e, Effect::Notice(Notice::Faults(f)) if f.incomplete == 1)));

    assert_eq!(run.wait(), [Effect::Phase(Phase::Searching), Effect::StartSearch]);
    run.follow("a", "KH-1");
    assert_eq!(run.send(&frame(15)), [Told::Gap(12, 14, 3), Told::Frame(15, 2500)]);
    assert_eq!(run.send(&frame(15)).len(), 1, "a repeated frame is told as such and not delivered");
    assert_eq!(run.send(&frame(16)), [Told::Frame(16, 2500)]);
}

#[test]
fn silence_is_a_fault_and_noise_or_old_frames_are_no_sign_of_life() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    run.now = 1000;
    run.send(&frame(1));
    assert_eq!(run.session.deadline(), Some(9000), "8 s, more than 5 periods of 1 s");
    let effects = run.wait();
    assert_eq!(waiting(&effects).unwrap().0, &Reason::Silent { silent_ms: 8000 });

    run.wait();
    run.follow("a", "KH-1");
    let began = run.now;
    let mut last = Vec::new();
    for n in 1..=8 {
        run.now = began + n * 1000;
        last = run.notify(vec![n as u8; 20]);
        last.extend(run.notify(frame(1).to_parts(100).remove(0)));
    }
    let (reason, _) = waiting(&last).expect("given up by the noise itself, without any tick");
    assert_eq!(reason, &Reason::OnlyNoise { silent_ms: 8000 });
}

#[test]
fn a_slow_controller_may_be_silent_for_five_periods() {
    let mut run = Run::new(session(Target::default()));
    run.step(seen("a"));
    run.connected();
    let plate = Nameplate { period_ms: Some(60_000), ..Nameplate::default() };
    run.read(card("KH-1").with(Readable::Nameplate, plate.encode()));
    run.step(Event::Subscribed { attempt: 1 });
    assert_eq!(run.session.deadline(), Some(300_000));
}

#[test]
fn notifications_that_waited_are_judged_by_when_they_came() {
    let mut run = Run::new(session(Target::default()));
    run.follow("a", "KH-1");
    // The reader was slow for 20 s; nothing was silent.
    run.now = 20_000;
    for seq in 0..20 {
        let part = frame(seq).to_parts(100).remove(0);
        let effects = run.step(Event::Notification { at_ms: u64::from(seq) * 1000, bytes: part });
        assert!(matches!(&effects[..], [Effect::Deliver(r)] if r.at_ms == u64::from(seq) * 1000));
    }
    assert_eq!(run.session.deadline(), Some(27_000));
}

#[test]
fn every_step_that_never_answers_times_out() {
    let expected = [(Step::Connect, 20_000), (Step::Read, 10_000), (Step::Subscribe, 10_000)];
    for (step, patience) in expected {
        let mut run = Run::new(session(Target::default()));
        run.step(seen("a"));
        if step != Step::Connect {
            run.connected();
        }
        if step == Step::Subscribe {
            run.read(card("KH-1"));
        }
        assert_eq!(run.session.deadline(), Some(patience));
        let effects = run.wait();
        assert_eq!(effects[0], Effect::Disconnect, "{step:?}");
        assert_eq!(waiting(&effects).unwrap().0, &Reason::Link(LinkError::TimedOut(step)));
        // An answer after all is left out.
        assert_eq!(run.step(Event::Connected { attempt: 1 }), []);
        assert_eq!(run.step(Event::CardRead { attempt: 1, raw: Box::new(card("KH-1")) }), []);
        assert_eq!(run.step(Event::Subscribed { attempt: 1 }), []);
        assert_eq!(run.step(Event::Failed { attempt: 1, error: LinkError::LinkLost }), []);
    }
}

#[test]
fn rests_grow_and_start_short_again_after_settling() {
    let mut run = Run::new(session(Target::default()));
    let mut rests = Vec::new();
    for _ in 0..8 {
        // With a failure behind it, it is tried again only when nothing better came in the settling time.
        run.step(seen("a"));
        if *run.session.phase() == Phase::Searching {
            run.wait();
        }
        let before = run.now;
        let effects = run.failed(LinkError::Failed("refused".into()));
        rests.push(waiting(&effects).unwrap().1 - before);
        run.wait();
    }
    assert_eq!(rests, [500, 1000, 2000, 4000, 8000, 16_000, 30_000, 30_000]);
    run.step(seen("a"));
    run.wait();
    run.connected();
    run.read(card("KH-1"));
    let attempt = run.attempt;
    run.step(Event::Subscribed { attempt });
    run.send(&frame(1));
    let effects = run.step(Event::LinkLost(id("a")));
    assert_eq!(waiting(&effects).unwrap().1 - run.now, 30_000, "one frame is not settled");
    run.wait();
    run.follow("a", "KH-1");
    for seq in 2..14 {
        run.now += 1000;
        run.send(&frame(seq));
    }
    let effects = run.step(Event::LinkLost(id("a")));
    assert_eq!(waiting(&effects).unwrap().1 - run.now, 500);
}
