//! Puts parts together again, whatever comes, in bounded memory.

use std::collections::VecDeque;
use std::fmt;

use super::{Header, MAX_PARTS};
use crate::error::FrameError;
use crate::frame::{LiveFrame, MAX_LEN};

/// Frames that may be under way at once. A radio link keeps order, so two would do.
const OPEN_FRAMES: usize = 3;
/// Finished frames that are remembered to know a repeated part.
const REMEMBERED: usize = 4;
/// After how many finished frames one that is still open is given up: long before the low byte of the
/// sequence number comes round again.
const PATIENCE: u32 = 8;

/// How often each kind of fault was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FaultCounts {
    /// Notifications without a valid header or with nothing after it.
    pub malformed: u64,
    /// Notifications, or frames by their sum of parts, longer than any frame may be.
    pub oversized: u64,
    /// Parts that had come before, or that contradict one that had.
    pub repeated: u64,
    /// Frames given up because parts of them never came.
    pub incomplete: u64,
    /// Frames whose check sum is wrong.
    pub damaged: u64,
    /// Frames with a right check sum that do not follow the profile.
    pub unreadable: u64,
}

impl FaultCounts {
    /// All faults.
    pub fn total(&self) -> u64 {
        self.malformed + self.oversized + self.repeated + self.incomplete + self.damaged + self.unreadable
    }
}

impl fmt::Display for FaultCounts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kinds = [
            (self.malformed, "malformed"),
            (self.oversized, "oversized"),
            (self.repeated, "repeated"),
            (self.incomplete, "incomplete"),
            (self.damaged, "damaged"),
            (self.unreadable, "unreadable"),
        ];
        let mut said = kinds.iter().filter(|(count, _)| *count > 0).peekable();
        if said.peek().is_none() {
            return f.write_str("none");
        }
        for (place, (count, kind)) in said.enumerate() {
            write!(f, "{}{count} {kind}", if place == 0 { "" } else { ", " })?;
        }
        Ok(())
    }
}

#[derive(Debug)]
struct OpenFrame {
    seq: u8,
    count: u8,
    parts: [Option<Box<[u8]>>; MAX_PARTS],
    bytes: usize,
    opened_at: u32,
}

impl OpenFrame {
    fn is_complete(&self) -> bool {
        self.parts[..usize::from(self.count)].iter().all(Option::is_some)
    }

    fn joined(&self) -> Vec<u8> {
        self.parts.iter().flatten().flat_map(|part| part.iter().copied()).collect()
    }
}

/// A frame that was given out, kept to know its parts when they come again.
#[derive(Debug)]
struct Finished {
    seq: u8,
    count: u8,
    parts: Vec<Box<[u8]>>,
}

/// Takes notifications in any order and gives back whole frames.
///
/// Parts may be lost, repeated, out of order, cut short, too long, or noise: each is counted and none
/// harms a later frame. Memory is bounded by [`Assembler::MAX_BYTES`].
#[derive(Debug, Default)]
pub struct Assembler {
    open: VecDeque<OpenFrame>,
    finished: VecDeque<Finished>,
    finished_count: u32,
    faults: FaultCounts,
}

impl Assembler {
    /// Most bytes of parts that are held at once.
    pub const MAX_BYTES: usize = (OPEN_FRAMES + REMEMBERED) * MAX_LEN;

    /// Takes one notification; gives back the frame that it completed, with its bytes.
    pub fn take(&mut self, notification: &[u8]) -> Option<(LiveFrame, Vec<u8>)> {
        let Some((header, body)) = Header::parse(notification) else {
            self.faults.malformed += 1;
            return None;
        };
        if body.len() > MAX_LEN {
            self.faults.oversized += 1;
            return None;
        }
        if self.is_known(header, body) {
            self.faults.repeated += 1;
            return None;
        }
        let mut frame = self.frame_for(header);
        let place = &mut frame.parts[usize::from(header.index)];
        if place.is_some() {
            // Two different parts with one place: one of them is wrong and nothing says which.
            self.faults.repeated += 1;
            self.faults.incomplete += 1;
            return None;
        }
        *place = Some(body.into());
        frame.bytes += body.len();
        if frame.bytes > MAX_LEN {
            self.faults.oversized += 1;
            return None;
        }
        if frame.is_complete() {
            return self.finish(frame);
        }
        self.open.push_back(frame);
        None
    }

    /// Forgets what is under way, as after a lost link; the counts stay.
    pub fn reset(&mut self) {
        self.faults.incomplete += self.open.len() as u64;
        self.open.clear();
        self.finished.clear();
    }

    /// Faults so far.
    pub fn faults(&self) -> FaultCounts {
        self.faults
    }

    /// Bytes of parts held now.
    pub fn bytes_held(&self) -> usize {
        let open: usize = self.open.iter().map(|f| f.bytes).sum();
        let finished: usize = self.finished.iter().flat_map(|f| &f.parts).map(|p| p.len()).sum();
        open + finished
    }

    /// True when the very same part was taken before.
    fn is_known(&self, header: Header, body: &[u8]) -> bool {
        let index = usize::from(header.index);
        let of_open = self
            .open
            .iter()
            .filter(|f| (f.seq, f.count) == (header.seq, header.count))
            .filter_map(|f| f.parts[index].as_ref());
        let of_finished = self
            .finished
            .iter()
            .filter(|f| (f.seq, f.count) == (header.seq, header.count))
            .filter_map(|f| f.parts.get(index));
        of_open.chain(of_finished).any(|known| **known == *body)
    }

    /// Takes out the open frame that a part belongs to, or opens one, giving up what must make room.
    fn frame_for(&mut self, header: Header) -> OpenFrame {
        let now = self.finished_count;
        let before = self.open.len();
        self.open.retain(|f| {
            now.wrapping_sub(f.opened_at) <= PATIENCE && (f.seq != header.seq || f.count == header.count)
        });
        self.faults.incomplete += (before - self.open.len()) as u64;
        if let Some(at) = self.open.iter().position(|f| f.seq == header.seq)
            && let Some(frame) = self.open.remove(at)
        {
            return frame;
        }
        if self.open.len() == OPEN_FRAMES {
            self.open.pop_front();
            self.faults.incomplete += 1;
        }
        OpenFrame {
            seq: header.seq,
            count: header.count,
            parts: Default::default(),
            bytes: 0,
            opened_at: now,
        }
    }

    fn finish(&mut self, frame: OpenFrame) -> Option<(LiveFrame, Vec<u8>)> {
        let bytes = frame.joined();
        let decoded = LiveFrame::decode(&bytes);
        match decoded {
            // A header that names another frame than the one inside is as damaged as a wrong check sum.
            Ok(live) if live.seq.to_le_bytes()[0] == frame.seq => {
                self.finished_count = self.finished_count.wrapping_add(1);
                if self.finished.len() == REMEMBERED {
                    self.finished.pop_front();
                }
                let parts = frame.parts.into_iter().flatten().collect();
                self.finished.push_back(Finished { seq: frame.seq, count: frame.count, parts });
                return Some((live, bytes));
            }
            Ok(_) | Err(FrameError::Checksum { .. } | FrameError::TooShort { .. }) => {
                self.faults.damaged += 1;
            }
            Err(FrameError::TooLong { .. } | FrameError::Version { .. }) => self.faults.unreadable += 1,
        }
        None
    }
}
