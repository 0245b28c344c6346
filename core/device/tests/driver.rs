//! The driver on in-process links, with time that jumps: the whole way from bytes to events.

use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};
use tokio::time::{Instant, sleep, timeout};
use wellwright_device::capture::{Capture, CaptureEvent};
use wellwright_device::driver::{self, Config, Running, SessionEvent};
use wellwright_device::find::{Nearness, find};
use wellwright_device::frame::LiveFrame;
use wellwright_device::identity::Identity;
use wellwright_device::link::{LinkError, Step};
use wellwright_device::memory_link::{self, MemoryController};
use wellwright_device::nameplate::Nameplate;
use wellwright_device::queue::NOTIFICATIONS;
use wellwright_device::replay_link::{Pace, ReplayLink};
use wellwright_device::session::{Card, EndReason, Notice, Phase, Policy, RawCard, Reason, Target};
use wellwright_device::status::Status;
use wellwright_domain::channel::Channel;

fn card(serial: &str) -> Card {
    Card {
        identity: Identity {
            serial: serial.parse().unwrap(),
            maker: Some("invented".into()),
            model: None,
            firmware: None,
            hardware: None,
        },
        nameplate: Nameplate { period_ms: Some(1000), ..Nameplate::default() },
        status: Status::default(),
    }
}

fn frame(seq: u32) -> LiveFrame {
    let mut frame = LiveFrame::new(seq, u64::from(seq) * 1000).with_boot(1);
    for channel in Channel::ALL {
        frame.set(channel, Some(1.0 + f64::from(seq)));
    }
    frame
}

fn epoch() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-03-14T10:00:00+02:00").unwrap()
}

/// A session whose wall clock follows the test's time.
fn start(link: impl wellwright_device::link::Link, policy: Policy) -> Running {
    let began = Instant::now();
    let mut config = Config::new(Target::default()).with_policy(policy);
    config.wall_clock = Arc::new(move || epoch() + TimeDelta::from_std(began.elapsed()).unwrap());
    driver::start(link, config)
}

async fn next(running: &mut Running) -> SessionEvent {
    timeout(Duration::from_hours(1), running.next()).await.expect("an event in time").expect("not over")
}

/// Events up to the first that `until` wants; it is the last.
async fn collect(running: &mut Running, until: impl Fn(&SessionEvent) -> bool) -> Vec<SessionEvent> {
    let mut events = vec![next(running).await];
    while !events.last().is_some_and(&until) {
        events.push(next(running).await);
    }
    events
}

fn numbers(events: &[SessionEvent]) -> Vec<u32> {
    events
        .iter()
        .filter_map(|e| match e {
            SessionEvent::Frame { frame, .. } => Some(frame.seq),
            _ => None,
        })
        .collect()
}

fn is_frame(seq: u32) -> impl Fn(&SessionEvent) -> bool {
    move |e| matches!(e, SessionEvent::Frame { frame, .. } if frame.seq == seq)
}

fn waiting_for(reason: Reason) -> impl Fn(&SessionEvent) -> bool {
    move |e| matches!(e, SessionEvent::Phase(Phase::WaitingToTryAgain { reason: r, .. }) if *r == reason)
}

async fn send(controller: &MemoryController, seqs: std::ops::Range<u32>) {
    for seq in seqs {
        assert!(controller.send_frame(&frame(seq)).await, "frame {seq}");
    }
}

#[tokio::test(start_paused = true)]
async fn frames_arrive_with_their_times_and_the_session_stops_when_asked() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    let mut running = start(link, Policy::default());
    controller.subscribed().await;
    for seq in 0..5 {
        sleep(Duration::from_secs(1)).await;
        send(&controller, seq..seq + 1).await;
    }
    let events = collect(&mut running, is_frame(4)).await;
    assert!(events.contains(&SessionEvent::Identified(Box::new(card("KH-1")))));
    assert_eq!(numbers(&events), [0, 1, 2, 3, 4]);
    let times: Vec<_> = events
        .iter()
        .filter_map(|e| match e {
            SessionEvent::Frame { received_at, frame: f, raw } => {
                assert_eq!(LiveFrame::decode(raw).unwrap(), **f);
                Some(*received_at)
            }
            _ => None,
        })
        .collect();
    for pair in times.windows(2) {
        assert_eq!((pair[1] - pair[0]).num_milliseconds(), 1000);
    }
    running.stop();
    assert_eq!(running.next().await, Some(SessionEvent::Ended(EndReason::Stopped)));
    assert_eq!(running.next().await, None);
    assert!(!controller.is_subscribed(), "it let go of the link first");
}

#[tokio::test(start_paused = true)]
async fn dropping_the_handle_lets_go_of_the_link() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    let running = start(link, Policy::default());
    controller.subscribed().await;
    drop(running);
    timeout(Duration::from_mins(1), async {
        while controller.is_subscribed() {
            sleep(Duration::from_millis(10)).await;
        }
    })
    .await
    .unwrap();
}

#[tokio::test(start_paused = true)]
async fn refused_lost_and_back_with_the_gap_told() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    controller.refuse_connects(2);
    let mut running = start(link, Policy::default());
    controller.subscribed().await;
    send(&controller, 0..3).await;
    let events = collect(&mut running, is_frame(2)).await;
    let refused =
        events.iter().filter(|e| matches!(e, SessionEvent::Phase(Phase::WaitingToTryAgain { .. }))).count();
    assert_eq!(refused, 2);

    controller.lose_link();
    assert!(!controller.send_frame(&frame(3)).await, "nobody listens");
    controller.subscribed().await;
    send(&controller, 7..9).await;
    let events = collect(&mut running, is_frame(8)).await;
    assert!(events.iter().any(waiting_for(Reason::Link(LinkError::LinkLost))));
    assert!(events.contains(&SessionEvent::Gap { from: 3, to: 6, lost: 4 }));
    assert_eq!(numbers(&events), [7, 8]);
}

#[tokio::test(start_paused = true)]
async fn a_controller_that_never_answers_times_out_and_is_tried_again() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    controller.set_mute(true);
    let mut running = start(link, Policy::default());
    collect(&mut running, waiting_for(Reason::Link(LinkError::TimedOut(Step::Read)))).await;
    controller.set_mute(false);
    collect(&mut running, |e| matches!(e, SessionEvent::Phase(Phase::Following(_)))).await;
}

#[tokio::test(start_paused = true)]
async fn silence_is_noticed_without_any_event() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    let mut running = start(link, Policy::default());
    controller.subscribed().await;
    send(&controller, 0..1).await;
    let silent = |e: &SessionEvent| {
        matches!(e, SessionEvent::Phase(Phase::WaitingToTryAgain { reason: Reason::Silent { .. }, .. }))
    };
    collect(&mut running, silent).await;
    controller.subscribed().await;
    send(&controller, 1..2).await;
    assert_eq!(numbers(&collect(&mut running, is_frame(1)).await), [1]);
}

#[tokio::test(start_paused = true)]
async fn a_changed_serial_ends_the_session() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    let mut running = start(link, Policy::default());
    controller.subscribed().await;
    controller.set_card(card("KH-9").encode());
    controller.lose_link();
    let events = collect(&mut running, |e| matches!(e, SessionEvent::Ended(_))).await;
    let Some(SessionEvent::Ended(EndReason::SerialChanged { was, now, .. })) = events.last() else {
        panic!("{:?}", events.last())
    };
    assert_eq!((was.as_str(), now.as_str()), ("KH-1", "KH-9"));
    assert!(!controller.is_subscribed());
}

#[tokio::test(start_paused = true)]
async fn a_required_value_that_is_missing_is_named() {
    let (link, _controller) = memory_link::pair_raw(RawCard::default());
    let mut running = start(link, Policy::default());
    let reason = Reason::Link(LinkError::NotThisProfile("serial"));
    collect(&mut running, waiting_for(reason)).await;
}

/// The reader sleeps while a flood comes: memory stays bounded, what was dropped is counted, and the
/// session lives on.
#[tokio::test(start_paused = true)]
async fn a_flood_past_a_slow_reader_is_counted() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    controller.set_mtu(200);
    let mut running = start(link, Policy::in_process());
    controller.subscribed().await;
    let mut refused = 0;
    for seq in 0..20_000 {
        refused += u64::from(!controller.notify(&frame(seq).to_parts(200)[0]));
        if seq % 100 == 0 {
            tokio::task::yield_now().await;
        }
    }
    assert!(refused > 20_000 - 2 * NOTIFICATIONS as u64);
    // This one waits for room, so the reader must wake meanwhile.
    let last = tokio::spawn(async move { send(&controller, 20_000..20_001).await });
    let events = collect(&mut running, is_frame(20_000)).await;
    last.await.unwrap();
    let told = events.iter().rev().find_map(|e| match e {
        SessionEvent::Notice(Notice::Overflow { lost }) => Some(*lost),
        _ => None,
    });
    let lost: u64 = events
        .iter()
        .map(|e| if let SessionEvent::Gap { lost, .. } = e { u64::from(*lost) } else { 0 })
        .sum();
    assert_eq!(lost, refused, "every dropped frame shows as a gap");
    assert!(told.is_some_and(|t| t > 0 && t <= refused), "{told:?} of {refused}");
    assert_eq!(numbers(&events).len() as u64, 20_001 - refused);
}

/// A source that can wait loses nothing, however slow the reader.
#[tokio::test(start_paused = true)]
async fn a_patient_source_loses_nothing() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    let mut running = start(link, Policy::in_process());
    let source = tokio::spawn(async move {
        controller.subscribed().await;
        send(&controller, 0..10_000).await;
        controller
    });
    let events = collect(&mut running, is_frame(9_999)).await;
    assert_eq!(numbers(&events), (0..10_000).collect::<Vec<_>>());
    assert!(!events.iter().any(|e| matches!(e, SessionEvent::Notice(_) | SessionEvent::Gap { .. })));
    source.await.unwrap();
}

#[tokio::test(start_paused = true)]
async fn a_recording_is_played_again_with_its_lost_link() {
    let mut capture = Capture { card: card("KH-1").encode(), events: Vec::new() };
    for seq in [0, 1, 2, 5, 6] {
        if seq == 5 {
            capture.events.push((2_500, CaptureEvent::Lost));
        }
        let parts = frame(seq).to_parts(23).into_iter();
        capture.events.extend(parts.map(|p| (u64::from(seq) * 1000, CaptureEvent::Live(p))));
    }
    let capture = Capture::parse(&capture.to_text()).unwrap();
    for pace in [Pace::Times(1.0), Pace::Times(100.0), Pace::AsFastAsTaken] {
        let mut running = start(ReplayLink::new(capture.clone(), pace), Policy::in_process());
        let events = collect(&mut running, |e| matches!(e, SessionEvent::Ended(_))).await;
        assert_eq!(numbers(&events), [0, 1, 2, 5, 6], "{pace:?}");
        assert!(events.contains(&SessionEvent::Gap { from: 3, to: 4, lost: 2 }));
        let end = EndReason::NeedsPerson(LinkError::EndOfRecording);
        assert_eq!(events.last(), Some(&SessionEvent::Ended(end)));
    }
}

#[tokio::test(start_paused = true)]
async fn what_is_in_reach_is_found() {
    let (link, controller) = memory_link::pair(&card("KH-1"));
    let found = find(&link, Duration::from_secs(3)).await.unwrap();
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].nearness(), Nearness::Unknown);
    controller.set_hidden(true);
    assert_eq!(find(&link, Duration::from_secs(3)).await.unwrap(), []);
}
