//! The simulated controller over the in-process link, through the same session as a real one.

use std::time::Duration;

use wellwright_device::driver::{self, Config, SessionEvent};
use wellwright_device::frame::LiveFrame;
use wellwright_device::layout::field;
use wellwright_device::part::Assembler;
use wellwright_device::session::{Card, Policy, Target};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_sim::{Fault, Pace, Scenario, SimController, SimSystem};

fn short(system: &System, cause: Cause) -> (Scenario, Vec<Sample>) {
    let scenario = Scenario::plan(system, Fault::of(cause), 2).unwrap().with_length_s(400);
    let samples = SimSystem::play(system, &scenario).unwrap().collect();
    (scenario, samples)
}

fn assert_same(frame: &LiveFrame, sample: &Sample) {
    assert_eq!((frame.state, frame.flags), (sample.state, sample.flags));
    for c in Channel::ALL {
        match (frame.value(c), sample.raw(c)) {
            (Some(got), Some(said)) => {
                assert!((got - said).abs() <= 0.5001 * field(c).resolution(), "{}: {got} {said}", c.code());
            }
            (got, said) => assert_eq!(got, said, "{}", c.code()),
        }
    }
}

#[test]
fn frames_decode_back_to_the_samples() {
    for system in [kestrel_hollow(), dovecote_bend()] {
        for cause in Fault::SIMULATED {
            let (scenario, samples) = short(&system, cause);
            let (_link, controller) = SimController::connect(&system, &scenario);
            let mut assembler = Assembler::default();
            for (seq, sample) in (0..).zip(&samples) {
                let sent = controller.frame(sample, seq);
                let mut whole = None;
                for part in sent.to_parts(23) {
                    assert!(part.len() <= 20);
                    whole = assembler.take(&part).or(whole);
                }
                let (frame, _) = whole.expect("a whole frame");
                assert_eq!(frame.seq, seq);
                assert_eq!(controller.instant(frame.uptime_ms), sample.at);
                assert_same(&frame, sample);
            }
            assert_eq!(assembler.faults().total(), 0);
        }
    }
}

/// Follows a whole play; gives the card, the frames with the times they came at, and how many were sent.
async fn follow(
    pace: Pace,
) -> (Card, Vec<(LiveFrame, chrono::DateTime<chrono::FixedOffset>)>, u32, Vec<Sample>) {
    let system = kestrel_hollow();
    let (scenario, samples) = short(&system, Cause::Healthy);
    let (link, controller) = SimController::connect(&system, &scenario);
    let mut config = Config::new(Target::default()).with_policy(Policy::in_process());
    config.wall_clock = controller.wall_clock();
    let mut session = driver::start(link, config);
    let played = samples.clone();
    let last = played.len() as u32 - 1;
    let player = tokio::spawn(async move { controller.play(played, pace).await });
    let (mut card, mut frames) = (None, Vec::new());
    while frames.last().is_none_or(|(f, _): &(LiveFrame, _)| f.seq != last) {
        match session.next().await.expect("it goes on") {
            SessionEvent::Identified(c) => card = Some(*c),
            SessionEvent::Frame { frame, received_at, .. } => frames.push((*frame, received_at)),
            SessionEvent::Gap { lost, .. } => panic!("{lost} frames lost"),
            _ => {}
        }
    }
    (card.unwrap(), frames, player.await.unwrap(), samples)
}

#[tokio::test]
async fn as_fast_as_possible_loses_nothing() {
    let (card, frames, sent, samples) = follow(Pace::AsFast).await;
    assert_eq!(sent, 400);
    assert_eq!(frames.len(), 400);
    for ((frame, _), sample) in frames.iter().zip(&samples) {
        assert_same(frame, sample);
    }
    assert_eq!(card.identity.serial.as_str(), "DEMO-0001");
    assert_eq!(card.nameplate.max_rpm, Some(3300.0));
    assert_eq!(card.nameplate.period_ms, Some(1000));
    assert!(card.nameplate.has(Channel::WaterLevelM) && !card.nameplate.has(Channel::AirC));
    assert_eq!(card.status.clock.unwrap(), samples[0].at);
}

#[tokio::test(start_paused = true)]
async fn at_a_pace_time_goes_as_said_and_the_clock_follows() {
    let began = tokio::time::Instant::now();
    let (_, frames, sent, samples) = follow(Pace::Times(100.0)).await;
    assert_eq!(sent, 400);
    // 399 s at a hundred times, after the session has found, read and subscribed
    let took = began.elapsed();
    assert!(took >= Duration::from_millis(3990) && took < Duration::from_secs(6), "{took:?}");
    for ((_, received_at), sample) in frames.iter().zip(&samples) {
        assert_eq!(*received_at, sample.at);
    }
}

#[tokio::test(start_paused = true)]
async fn a_frame_that_nobody_hears_is_counted_in_the_status() {
    let system = dovecote_bend();
    let (scenario, samples) = short(&system, Cause::Healthy);
    let (link, controller) = SimController::connect(&system, &scenario);
    let mut session = driver::start(link, Config::new(Target::default()));
    let end = controller.end().clone();
    let player = tokio::spawn(async move { controller.play(samples, Pace::Times(1.0)).await });
    let mut seen = 0;
    let mut dropped = None;
    while let Some(event) = session.next().await {
        match event {
            SessionEvent::Frame { .. } => {
                seen += 1;
                if seen == 50 {
                    end.set_hidden(true);
                    end.lose_link();
                    let end = end.clone();
                    tokio::spawn(async move {
                        tokio::time::sleep(Duration::from_secs(5)).await;
                        end.set_hidden(false);
                    });
                }
                if seen > 60 {
                    break;
                }
            }
            SessionEvent::Identified(card) => dropped = Some(card.status.dropped_frames),
            _ => {}
        }
    }
    assert!(dropped.unwrap() >= 4, "{dropped:?}");
    player.abort();
}
