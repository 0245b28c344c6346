//! What happens while frames come: assembling, ordering, the watchdog, and notices that stay few.

use super::budget::{Budget, Verdict};
use super::{Effect, Notice, Place, Policy, Reason, Received, Tracker};
use crate::part::{Assembler, FaultCounts};

/// The part of a session that deals with notifications. It lives as long as the session, so that a gap
/// over a lost link is seen.
#[derive(Debug)]
pub(super) struct Follow {
    assembler: Assembler,
    tracker: Tracker,
    budget: Budget,
    silence_ms: u64,
    began_ms: u64,
    last_frame_ms: u64,
    last_notification_ms: u64,
    overflow: u64,
    repeated: u64,
    notice_every_ms: u64,
    told: Told,
}

/// What was told last of each kind.
#[derive(Debug, Default)]
struct Told {
    at_ms: Option<u64>,
    faults: FaultCounts,
    overflow: u64,
    flood: u64,
    repeated: u64,
}

impl Follow {
    pub fn new(policy: &Policy) -> Follow {
        Follow {
            assembler: Assembler::default(),
            tracker: Tracker::default(),
            budget: Budget::new(policy.notifications_per_s, policy.flood_s),
            silence_ms: policy.silence_for(None),
            began_ms: 0,
            last_frame_ms: 0,
            last_notification_ms: 0,
            overflow: 0,
            repeated: 0,
            notice_every_ms: policy.notice_every_ms,
            told: Told::default(),
        }
    }

    pub fn faults(&self) -> FaultCounts {
        self.assembler.faults()
    }

    pub fn bytes_held(&self) -> usize {
        self.assembler.bytes_held()
    }

    /// A controller that proved who it is will be asked for frames: silence counts from here.
    pub fn expect(&mut self, silence_ms: u64, now_ms: u64) {
        self.silence_ms = silence_ms;
        self.last_frame_ms = now_ms;
    }

    pub fn begin(&mut self, now_ms: u64) {
        self.began_ms = now_ms;
        self.last_frame_ms = now_ms;
    }

    pub fn lasted_ms(&self, now_ms: u64) -> u64 {
        now_ms.saturating_sub(self.began_ms)
    }

    /// When the silence has lasted too long, ms.
    pub fn due_ms(&self) -> u64 {
        self.last_frame_ms.saturating_add(self.silence_ms)
    }

    pub fn silence(&self, now_ms: u64) -> Reason {
        let silent_ms = now_ms.saturating_sub(self.last_frame_ms);
        if self.last_notification_ms > self.last_frame_ms {
            Reason::OnlyNoise { silent_ms }
        } else {
            Reason::Silent { silent_ms }
        }
    }

    pub fn overflowed(&mut self, lost: u64) {
        self.overflow = self.overflow.saturating_add(lost);
    }

    /// Takes a notification; the error is why the link is not worth keeping.
    pub fn notification(&mut self, at_ms: u64, bytes: &[u8], out: &mut Vec<Effect>) -> Result<(), Reason> {
        self.last_notification_ms = self.last_notification_ms.max(at_ms);
        match self.budget.take(at_ms) {
            Verdict::Take => {}
            Verdict::Drop => return Ok(()),
            Verdict::GiveUp => return Err(Reason::Flooding { dropped: self.budget.dropped() }),
        }
        let Some((frame, raw)) = self.assembler.take(bytes) else { return self.check_silence(at_ms) };
        match self.tracker.place(&frame) {
            Place::Old => {
                self.repeated = self.repeated.saturating_add(1);
                return self.check_silence(at_ms);
            }
            Place::First | Place::Next => {}
            Place::AfterGap { from, to, lost } => out.push(Effect::Gap { from, to, lost }),
            Place::AfterRestart { was } => {
                out.push(Effect::Notice(Notice::Restarted { was, now: frame.boot }));
            }
        }
        // Only what is new feeds the watchdog: noise and old frames are no sign of life.
        self.last_frame_ms = self.last_frame_ms.max(at_ms);
        out.push(Effect::Deliver(Box::new(Received { at_ms, frame, raw })));
        Ok(())
    }

    /// Noise that never pauses must not keep the watchdog from being asked. The time is that of the
    /// notification: when the reader was slow, newer ones still wait.
    fn check_silence(&self, at_ms: u64) -> Result<(), Reason> {
        if at_ms >= self.due_ms() { Err(self.silence(at_ms)) } else { Ok(()) }
    }

    /// The connection is gone: what was under way is given up and everything is told.
    pub fn leave(&mut self, out: &mut Vec<Effect>) {
        self.assembler.reset();
        self.budget.reset();
        self.tell_all(out);
    }

    /// Tells what is new, but not more often than the policy allows.
    pub fn tell(&mut self, now_ms: u64, out: &mut Vec<Effect>) {
        let due = self.told.at_ms.is_none_or(|at| now_ms >= at.saturating_add(self.notice_every_ms));
        if due && self.tell_all(out) {
            self.told.at_ms = Some(now_ms);
        }
    }

    fn tell_all(&mut self, out: &mut Vec<Effect>) -> bool {
        let before = out.len();
        let now = Told {
            at_ms: self.told.at_ms,
            faults: self.assembler.faults(),
            overflow: self.overflow,
            flood: self.budget.dropped(),
            repeated: self.repeated,
        };
        if now.faults != self.told.faults {
            out.push(Effect::Notice(Notice::Faults(now.faults)));
        }
        if now.overflow != self.told.overflow {
            out.push(Effect::Notice(Notice::Overflow { lost: now.overflow }));
        }
        if now.flood != self.told.flood {
            out.push(Effect::Notice(Notice::Flood { dropped: now.flood }));
        }
        if now.repeated != self.told.repeated {
            out.push(Effect::Notice(Notice::Repeated { frames: now.repeated }));
        }
        self.told = now;
        out.len() > before
    }
}
