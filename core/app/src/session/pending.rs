//! What came and is not in the store yet: bounded, and what is let go leaves a gap that says so.

use chrono::{DateTime, FixedOffset};
use wellwright_store::{Batch, Gap, RawFrame, Reading, SessionId};

/// Readings that are kept while the store refuses: more than an hour at one a second.
pub(super) const MOST: usize = 4096;

/// Why a gap is there: the store refused for too long.
const REASON: &str = "not_stored";

/// Frames and readings, one of each for every frame that came, and the gaps between them.
#[derive(Debug, Default)]
pub(super) struct Pending {
    frames: Vec<RawFrame>,
    readings: Vec<Reading>,
    gaps: Vec<Gap>,
    /// Instant of the last reading that the store has taken.
    stored_to: Option<DateTime<FixedOffset>>,
}

impl Pending {
    /// Nothing waits.
    pub(super) fn is_empty(&self) -> bool {
        self.frames.is_empty() && self.readings.is_empty() && self.gaps.is_empty()
    }

    /// Readings that wait.
    pub(super) fn readings(&self) -> usize {
        self.readings.len()
    }

    /// A stretch in which something was said and not received.
    pub(super) fn push_gap(&mut self, gap: Gap) {
        self.gaps.push(gap);
    }

    /// One frame more; gives how many readings had to be let go for it.
    pub(super) fn push(&mut self, frame: RawFrame, reading: Reading) -> usize {
        self.frames.push(frame);
        self.readings.push(reading);
        let over = self.readings.len().saturating_sub(MOST);
        if over > 0 {
            self.let_go(over);
        }
        over
    }

    /// Lets the oldest go; gaps told later grow from the same one.
    fn let_go(&mut self, over: usize) {
        let first = self.readings[0].sample.at;
        self.frames.drain(..over);
        self.readings.drain(..over);
        let to = self.readings[0].sample.at;
        let missing = u32::try_from(over).unwrap_or(u32::MAX);
        match self.gaps.iter_mut().find(|g| g.reason == REASON && g.to == first) {
            Some(gap) => {
                gap.to = to;
                gap.missing = gap.missing.map(|m| m.saturating_add(missing));
            }
            None => self.gaps.push(Gap {
                from: self.stored_to.unwrap_or(first),
                to,
                missing: Some(missing),
                reason: REASON.to_owned(),
            }),
        }
    }

    /// Everything, as one batch of a session.
    pub(super) fn take(&mut self, session: SessionId) -> Batch {
        let (frames, readings) = (std::mem::take(&mut self.frames), std::mem::take(&mut self.readings));
        Batch::Live { session, frames, readings, gaps: std::mem::take(&mut self.gaps) }
    }

    /// Puts a batch that was refused back before what came meanwhile; gives how many readings had to be let
    /// go, because together they are too many.
    pub(super) fn put_back(&mut self, batch: Batch) -> usize {
        let Batch::Live { mut frames, mut readings, mut gaps, .. } = batch else { return 0 };
        frames.append(&mut self.frames);
        readings.append(&mut self.readings);
        gaps.append(&mut self.gaps);
        (self.frames, self.readings, self.gaps) = (frames, readings, gaps);
        let over = self.readings.len().saturating_sub(MOST);
        if over > 0 {
            self.let_go(over);
        }
        over
    }

    /// Remembers how far the store has got.
    pub(super) fn stored(&mut self, batch: &Batch) {
        if let Batch::Live { readings, .. } = batch {
            self.stored_to = readings.last().map(|r| r.sample.at).or(self.stored_to);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeDelta;
    use wellwright_device::profile;
    use wellwright_domain::sample::Sample;

    fn at(second: usize) -> DateTime<FixedOffset> {
        let noon = DateTime::parse_from_rfc3339("2026-03-14T12:00:00+02:00").unwrap();
        noon + TimeDelta::seconds(i64::try_from(second).unwrap())
    }

    fn push(pending: &mut Pending, seconds: std::ops::Range<usize>) -> usize {
        let one = |n| {
            let bytes = n_bytes(n);
            let frame = RawFrame { received: at(n), characteristic: profile::LIVE, bytes };
            pending.push(frame, Reading::from(Sample::new(at(n))))
        };
        seconds.map(one).sum()
    }

    fn n_bytes(n: usize) -> Vec<u8> {
        n.to_le_bytes().to_vec()
    }

    #[test]
    fn what_is_put_back_comes_before_what_came_meanwhile() {
        let mut pending = Pending::default();
        push(&mut pending, 0..3);
        let batch = pending.take(SessionId(1));
        assert!(pending.is_empty());
        push(&mut pending, 3..5);
        assert_eq!(pending.put_back(batch), 0);
        let Batch::Live { frames, readings, .. } = pending.take(SessionId(1)) else { panic!("live") };
        assert_eq!(
            readings.iter().map(|r| r.sample.at).collect::<Vec<_>>(),
            (0..5).map(at).collect::<Vec<_>>()
        );
        assert_eq!(
            frames.iter().map(|f| f.bytes.clone()).collect::<Vec<_>>(),
            (0..5).map(n_bytes).collect::<Vec<_>>()
        );
    }

    #[test]
    fn what_is_let_go_is_the_oldest_and_leaves_one_gap_that_counts_it() {
        let mut pending = Pending::default();
        push(&mut pending, 0..10);
        let batch = pending.take(SessionId(1));
        pending.stored(&batch);
        assert_eq!(push(&mut pending, 10..10 + MOST + 5), 5);
        // refused as a whole, while three more came
        let batch = pending.take(SessionId(1));
        assert_eq!(push(&mut pending, 15 + MOST..18 + MOST), 0);
        assert_eq!(pending.put_back(batch), 3);
        let Batch::Live { frames, readings, gaps, .. } = pending.take(SessionId(1)) else { panic!("live") };
        assert_eq!((frames.len(), readings.len()), (MOST, MOST));
        assert_eq!((readings[0].sample.at, &frames[0].bytes), (at(18), &n_bytes(18)));
        let gap = Gap { from: at(9), to: at(18), missing: Some(8), reason: REASON.to_owned() };
        assert_eq!(gaps, [gap]);
    }
}
