//! What the traces share: a card, events, and a run that keeps the effects.

use wellwright_device::frame::LiveFrame;
use wellwright_device::identity::{Identity, Serial};
use wellwright_device::link::LinkError;
use wellwright_device::nameplate::Nameplate;
use wellwright_device::session::{
    Card, Effect, Event, PeripheralId, Phase, Policy, RawCard, Reason, Session, Sighting, Target,
};
use wellwright_device::status::Status;
use wellwright_domain::channel::Channel;

pub fn id(name: &str) -> PeripheralId {
    PeripheralId(name.into())
}

pub fn serial(text: &str) -> Serial {
    text.parse().unwrap()
}

pub fn card(text: &str) -> RawCard {
    Card {
        identity: Identity {
            serial: serial(text),
            maker: None,
            model: Some("demo".into()),
            firmware: None,
            hardware: None,
        },
        nameplate: Nameplate { period_ms: Some(1000), ..Nameplate::default() },
        status: Status::default(),
    }
    .encode()
}

pub fn seen(name: &str) -> Event {
    Event::Seen(Sighting { id: id(name), name: None, rssi_dbm: Some(-60) })
}

pub fn policy() -> Policy {
    Policy { jitter: 0.0, ..Policy::default() }
}

pub fn session(target: Target) -> Session {
    Session::new(target, policy(), 1)
}

pub fn frame(seq: u32) -> LiveFrame {
    let mut frame = LiveFrame::new(seq, u64::from(seq) * 1000).with_boot(1);
    frame.set(Channel::ArrayV, Some(300.0));
    frame
}

/// A session with the number of its present attempt.
pub struct Run {
    pub session: Session,
    pub attempt: u32,
    pub now: u64,
}

impl Run {
    pub fn new(session: Session) -> Run {
        let mut run = Run { session, attempt: 0, now: 0 };
        let effects = run.step(Event::Start);
        assert_eq!(effects, [Effect::Phase(Phase::Searching), Effect::StartSearch]);
        run
    }

    pub fn step(&mut self, event: Event) -> Vec<Effect> {
        let effects = self.session.step(event, self.now);
        for effect in &effects {
            if let Effect::Connect { attempt, .. } = effect {
                self.attempt = *attempt;
            }
        }
        effects
    }

    /// Goes on to the deadline.
    pub fn wait(&mut self) -> Vec<Effect> {
        self.now = self.session.deadline().expect("something is awaited");
        self.step(Event::Tick)
    }

    pub fn read(&mut self, raw: RawCard) -> Vec<Effect> {
        let attempt = self.attempt;
        self.step(Event::CardRead { attempt, raw: Box::new(raw) })
    }

    pub fn connected(&mut self) -> Vec<Effect> {
        let attempt = self.attempt;
        self.step(Event::Connected { attempt })
    }

    pub fn failed(&mut self, error: LinkError) -> Vec<Effect> {
        let attempt = self.attempt;
        self.step(Event::Failed { attempt, error })
    }

    /// From searching to following a peripheral.
    pub fn follow(&mut self, name: &str, serial: &str) {
        assert!(self.step(seen(name)).contains(&Effect::Phase(Phase::Connecting(id(name)))));
        self.connected();
        self.read(card(serial));
        let attempt = self.attempt;
        self.step(Event::Subscribed { attempt });
        assert_eq!(*self.session.phase(), Phase::Following(id(name)));
    }

    pub fn notify(&mut self, bytes: Vec<u8>) -> Vec<Effect> {
        let at_ms = self.now;
        self.step(Event::Notification { at_ms, bytes })
    }

    /// Sends a frame in parts; what was told, with frames as their numbers.
    pub fn send(&mut self, frame: &LiveFrame) -> Vec<Told> {
        let mut told = Vec::new();
        for part in frame.to_parts(23) {
            told.extend(self.notify(part).into_iter().map(|e| match e {
                Effect::Deliver(received) => Told::Frame(received.frame.seq, received.at_ms),
                Effect::Gap { from, to, lost } => Told::Gap(from, to, lost),
                other => Told::Other(other),
            }));
        }
        told
    }
}

#[derive(Debug, PartialEq)]
pub enum Told {
    Frame(u32, u64),
    Gap(u32, u32, u32),
    Other(Effect),
}

pub fn waiting(effects: &[Effect]) -> Option<(&Reason, u64)> {
    effects.iter().find_map(|e| match e {
        Effect::Phase(Phase::WaitingToTryAgain { reason, until_ms }) => Some((reason, *until_ms)),
        _ => None,
    })
}
