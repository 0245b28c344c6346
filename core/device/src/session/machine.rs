//! The machine itself: search, connect, prove who it is, and what follows a failure. What happens while
//! frames come is in `follow.rs`.

use super::follow::Follow;
use super::{
    Backoff, Candidates, Card, Effect, EndReason, Event, Notice, PeripheralId, Phase, Policy, RawCard,
    Reason, Sighting, Target,
};
use crate::identity::Serial;
use crate::link::{LinkError, Step};
use crate::part::FaultCounts;

/// One session. Feed it with [`Session::step`]; call it with [`Event::Tick`] at [`Session::deadline`].
#[derive(Debug)]
pub struct Session {
    policy: Policy,
    phase: Phase,
    /// When the present phase, or its present part, has lasted too long, ms.
    due_ms: u64,
    attempt: u32,
    attempt_began_ms: u64,
    search_began_ms: u64,
    /// Since when nothing is followed, ms.
    away_since_ms: u64,
    wanted: Option<Serial>,
    /// The peripheral that gave the wanted serial.
    proven: Option<PeripheralId>,
    candidates: Candidates,
    backoff: Backoff,
    follow: Follow,
}

impl Session {
    /// A session that has not begun. `seed` decides the jitter of rests.
    pub fn new(target: Target, policy: Policy, seed: u64) -> Session {
        Session {
            phase: Phase::Idle,
            due_ms: u64::MAX,
            attempt: 0,
            attempt_began_ms: 0,
            search_began_ms: 0,
            away_since_ms: 0,
            wanted: target.serial,
            proven: None,
            candidates: Candidates::default(),
            backoff: Backoff::new(policy.first_rest_ms, policy.longest_rest_ms, policy.jitter, seed),
            follow: Follow::new(&policy),
            policy,
        }
    }

    /// Where it stands.
    pub fn phase(&self) -> &Phase {
        &self.phase
    }

    /// When an [`Event::Tick`] is due if nothing else happens, ms; `None` when nothing is awaited.
    pub fn deadline(&self) -> Option<u64> {
        let due = if matches!(self.phase, Phase::Following(_)) { self.follow.due_ms() } else { self.due_ms };
        (due != u64::MAX).then_some(due)
    }

    /// The serial that is looked for or followed, once known.
    pub fn serial(&self) -> Option<&Serial> {
        self.wanted.as_ref()
    }

    /// Unusable notifications so far.
    pub fn faults(&self) -> FaultCounts {
        self.follow.faults()
    }

    /// Bytes of unfinished frames and number of remembered peripherals: the two things that grow, bounded
    /// by [`Assembler::MAX_BYTES`](crate::part::Assembler::MAX_BYTES) and [`Candidates::MOST`].
    pub fn held(&self) -> (usize, usize) {
        (self.follow.bytes_held(), self.candidates.len())
    }

    /// Takes one event at a time in ms (never going back) and says what to do.
    pub fn step(&mut self, event: Event, now_ms: u64) -> Vec<Effect> {
        let mut out = Vec::new();
        if matches!(self.phase, Phase::Ended(_)) {
            return out;
        }
        match event {
            Event::Start => self.start(now_ms, &mut out),
            Event::Stop => self.end(EndReason::Stopped, &mut out),
            Event::Tick => self.tick(now_ms, &mut out),
            Event::SearchFailed(error) => {
                if self.phase == Phase::Searching {
                    self.fail(error.into(), now_ms, &mut out);
                }
            }
            Event::Seen(sighting) => self.seen(&sighting, now_ms, &mut out),
            Event::Connected { attempt } => self.connected(attempt, now_ms, &mut out),
            Event::CardRead { attempt, raw } => self.card_read(attempt, &raw, now_ms, &mut out),
            Event::Subscribed { attempt } => self.subscribed(attempt, now_ms, &mut out),
            Event::Failed { attempt, error } => {
                if attempt == self.attempt && self.phase.peripheral().is_some() {
                    self.fail(error.into(), now_ms, &mut out);
                }
            }
            Event::Notification { at_ms, bytes } => self.notification(at_ms, &bytes, now_ms, &mut out),
            Event::Overflow { lost } => self.follow.overflowed(lost),
            Event::LinkLost(id) => {
                if self.phase.peripheral() == Some(&id) {
                    self.fail(LinkError::LinkLost.into(), now_ms, &mut out);
                }
            }
            Event::RadioOff => {
                if self.phase == Phase::Searching || self.phase.peripheral().is_some() {
                    self.fail(LinkError::BluetoothOff.into(), now_ms, &mut out);
                }
            }
        }
        // Events that never pause must not keep a deadline from being seen. While following, the deadline
        // is that of the last frame, and newer ones may still wait.
        if !matches!(self.phase, Phase::Following(_)) {
            self.tick(now_ms, &mut out);
        }
        self.follow.tell(now_ms, &mut out);
        out
    }

    fn start(&mut self, now_ms: u64, out: &mut Vec<Effect>) {
        if self.phase == Phase::Idle {
            self.away_since_ms = now_ms;
            self.search(now_ms, out);
        }
    }

    fn enter(&mut self, phase: Phase, due_ms: u64, out: &mut Vec<Effect>) {
        self.phase = phase.clone();
        self.due_ms = due_ms;
        out.push(Effect::Phase(phase));
    }

    fn search(&mut self, now_ms: u64, out: &mut Vec<Effect>) {
        self.candidates.begin_search();
        self.search_began_ms = now_ms;
        self.enter(Phase::Searching, now_ms + self.policy.settle_ms.min(self.policy.search_ms), out);
        out.push(Effect::StartSearch);
    }

    /// For the settling time a search takes only the peripheral that has proved its serial, or with none
    /// proven one that never failed; after it, the best there is.
    fn seen(&mut self, sighting: &Sighting, now_ms: u64, out: &mut Vec<Effect>) {
        if self.phase != Phase::Searching {
            return;
        }
        self.candidates.see(sighting);
        let settling = now_ms < self.search_began_ms + self.policy.settle_ms;
        let choice = match &self.proven {
            Some(id) if *id == sighting.id => Some(id.clone()),
            Some(_) if settling => None,
            None if settling => self.candidates.fresh(),
            _ => self.candidates.any(),
        };
        if let Some(id) = choice {
            self.connect(id, now_ms, out);
        }
    }

    fn connect(&mut self, id: PeripheralId, now_ms: u64, out: &mut Vec<Effect>) {
        self.attempt = self.attempt.wrapping_add(1);
        self.attempt_began_ms = now_ms;
        out.push(Effect::StopSearch);
        self.enter(Phase::Connecting(id.clone()), now_ms + self.policy.connect_ms, out);
        out.push(Effect::Connect { attempt: self.attempt, id });
    }

    fn connected(&mut self, attempt: u32, now_ms: u64, out: &mut Vec<Effect>) {
        if let Phase::Connecting(id) = &self.phase
            && attempt == self.attempt
        {
            let id = id.clone();
            self.enter(Phase::ReadingNameplate(id), now_ms + self.policy.read_ms, out);
            out.push(Effect::ReadCard { attempt });
        }
    }

    fn card_read(&mut self, attempt: u32, raw: &RawCard, now_ms: u64, out: &mut Vec<Effect>) {
        let Phase::ReadingNameplate(id) = &self.phase else { return };
        if attempt != self.attempt {
            return;
        }
        let id = id.clone();
        let serial = match Card::serial(raw) {
            Ok(serial) => serial,
            Err(error) => return self.fail(error.into(), now_ms, out),
        };
        if let Some(wanted) = self.wanted.clone().filter(|w| *w != serial) {
            if self.proven.as_ref() == Some(&id) {
                return self.end(EndReason::SerialChanged { id, was: wanted, now: serial }, out);
            }
            self.candidates.is_stranger(&id);
            out.push(Effect::Notice(Notice::NotThisOne { id, serial }));
            out.push(Effect::Disconnect);
            return self.search(now_ms, out);
        }
        match Card::decode(raw) {
            Ok(card) => {
                self.wanted = Some(serial);
                self.proven = Some(id.clone());
                self.candidates.succeeded(&id);
                self.follow.expect(self.policy.silence_for(card.nameplate.period_ms), now_ms);
                out.push(Effect::Identified(Box::new(card)));
                self.enter(Phase::Subscribing(id), now_ms + self.policy.subscribe_ms, out);
                out.push(Effect::Subscribe { attempt });
            }
            Err(error) => self.fail(error.into(), now_ms, out),
        }
    }

    fn subscribed(&mut self, attempt: u32, now_ms: u64, out: &mut Vec<Effect>) {
        if let Phase::Subscribing(id) = &self.phase
            && attempt == self.attempt
        {
            let id = id.clone();
            self.follow.begin(now_ms);
            self.enter(Phase::Following(id), u64::MAX, out);
        }
    }

    fn notification(&mut self, at_ms: u64, bytes: &[u8], now_ms: u64, out: &mut Vec<Effect>) {
        // The answer to subscribing may come after the first notifications. What was queued before this
        // connection belongs to an earlier one.
        let listening = matches!(self.phase, Phase::Subscribing(_) | Phase::Following(_));
        if !listening || at_ms < self.attempt_began_ms {
            return;
        }
        if let Err(reason) = self.follow.notification(at_ms.min(now_ms), bytes, out) {
            self.fail(reason, now_ms, out);
        } else if self.follow.lasted_ms(now_ms) >= self.policy.settled_ms
            && matches!(self.phase, Phase::Following(_))
        {
            self.backoff.reset();
        }
    }

    fn tick(&mut self, now_ms: u64, out: &mut Vec<Effect>) {
        if self.deadline().is_none_or(|due| now_ms < due) {
            return;
        }
        match &self.phase {
            Phase::Idle | Phase::Ended(_) => {}
            Phase::Searching => self.search_tick(now_ms, out),
            Phase::Connecting(_) => self.fail(LinkError::TimedOut(Step::Connect).into(), now_ms, out),
            Phase::ReadingNameplate(_) => self.fail(LinkError::TimedOut(Step::Read).into(), now_ms, out),
            Phase::Subscribing(_) => self.fail(LinkError::TimedOut(Step::Subscribe).into(), now_ms, out),
            Phase::Following(_) => self.fail(self.follow.silence(now_ms), now_ms, out),
            Phase::WaitingToTryAgain { .. } => self.search(now_ms, out),
        }
    }

    fn search_tick(&mut self, now_ms: u64, out: &mut Vec<Effect>) {
        let search_end = self.search_began_ms + self.policy.search_ms;
        if let Some(id) = self.candidates.any() {
            self.connect(id, now_ms, out);
        } else if now_ms < search_end {
            self.due_ms = search_end;
        } else {
            let reason = match (&self.wanted, self.candidates.strangers()) {
                (Some(wanted), others @ 1..) => Reason::OnlyOthers { wanted: wanted.clone(), others },
                _ => Reason::NotFound,
            };
            self.fail(reason, now_ms, out);
        }
    }

    /// Gives up what is under way and rests, or ends when only a person can help or patience is over.
    fn fail(&mut self, reason: Reason, now_ms: u64, out: &mut Vec<Effect>) {
        if matches!(self.phase, Phase::Following(_)) {
            self.away_since_ms = now_ms;
        } else if let Some(id) = self.phase.peripheral() {
            self.candidates.failed(id);
        }
        if let Reason::Link(error) = &reason
            && error.needs_person()
        {
            return self.end(EndReason::NeedsPerson(error.clone()), out);
        }
        let searched_ms = now_ms.saturating_sub(self.away_since_ms);
        if self.policy.give_up_ms.is_some_and(|most| searched_ms >= most) {
            return self.end(EndReason::GaveUp { searched_ms, reason }, out);
        }
        self.leave(out);
        let mut until_ms = now_ms + self.backoff.next_rest();
        if let Some(most) = self.policy.give_up_ms {
            until_ms = until_ms.min(self.away_since_ms + most);
        }
        self.enter(Phase::WaitingToTryAgain { reason, until_ms }, until_ms, out);
    }

    fn end(&mut self, reason: EndReason, out: &mut Vec<Effect>) {
        self.leave(out);
        self.phase = Phase::Ended(reason.clone());
        self.due_ms = u64::MAX;
        out.push(Effect::Ended(reason));
    }

    fn leave(&mut self, out: &mut Vec<Effect>) {
        // Answers still under way belong to nobody from here on.
        self.attempt = self.attempt.wrapping_add(1);
        if self.phase == Phase::Searching {
            out.push(Effect::StopSearch);
        } else if self.phase.peripheral().is_some() {
            out.push(Effect::Disconnect);
        }
        self.follow.leave(out);
    }
}
