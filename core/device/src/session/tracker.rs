//! Which frame comes next: gaps, repeats and restarts by sequence number.

use crate::frame::LiveFrame;

/// How many frames a late one may lie behind the last; parts of older ones have been given up.
const LATE_FRAMES: u32 = 8;

/// Where a frame stands after those before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The first of all.
    First,
    /// The very next.
    Next,
    /// After a gap: these numbers are missing.
    AfterGap {
        /// First missing.
        from: u32,
        /// Last missing.
        to: u32,
        /// How many.
        lost: u32,
    },
    /// The first after a restart of the controller.
    AfterRestart {
        /// Boot counter before.
        was: u16,
    },
    /// Came before, or too late to be put in order.
    Old,
}

/// The last frame, by its numbers.
#[derive(Debug, Clone, Copy, Default)]
pub struct Tracker {
    last: Option<(u16, u32, u64)>,
}

impl Tracker {
    /// Places a frame; an old one changes nothing.
    pub fn place(&mut self, frame: &LiveFrame) -> Place {
        let place = self.judge(frame);
        if place != Place::Old {
            self.last = Some((frame.boot, frame.seq, frame.uptime_ms));
        }
        place
    }

    fn judge(&self, frame: &LiveFrame) -> Place {
        let Some((boot, seq, uptime_ms)) = self.last else { return Place::First };
        let ahead = frame.seq.wrapping_sub(seq);
        // A controller that does not count its boots gives itself away: number and running time fall back.
        let fell_back = (0x8000_0000..LATE_FRAMES.wrapping_neg()).contains(&ahead);
        let uncounted = boot == 0 && fell_back && frame.uptime_ms < uptime_ms;
        if boot != frame.boot || uncounted {
            return Place::AfterRestart { was: boot };
        }
        match ahead {
            1 => Place::Next,
            0 | 0x8000_0000.. => Place::Old,
            _ => {
                Place::AfterGap { from: seq.wrapping_add(1), to: frame.seq.wrapping_sub(1), lost: ahead - 1 }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(tracker: &mut Tracker, boot: u16, seq: u32, uptime_ms: u64) -> Place {
        tracker.place(&LiveFrame::new(seq, uptime_ms).with_boot(boot))
    }

    #[test]
    fn next_gap_repeat_and_wrap() {
        let mut t = Tracker::default();
        assert_eq!(place(&mut t, 1, u32::MAX - 1, 1000), Place::First);
        assert_eq!(place(&mut t, 1, u32::MAX, 2000), Place::Next);
        assert_eq!(place(&mut t, 1, 0, 3000), Place::Next, "the number wraps");
        assert_eq!(place(&mut t, 1, 4, 7000), Place::AfterGap { from: 1, to: 3, lost: 3 });
        assert_eq!(place(&mut t, 1, 4, 7000), Place::Old);
        assert_eq!(place(&mut t, 1, 2, 5000), Place::Old);
        assert_eq!(place(&mut t, 1, 5, 8000), Place::Next, "an old one changes nothing");
    }

    #[test]
    fn a_restart_shows_in_the_boot_counter_or_in_the_running_time() {
        let mut t = Tracker::default();
        place(&mut t, 7, 100, 100_000);
        assert_eq!(place(&mut t, 8, 0, 500), Place::AfterRestart { was: 7 });
        let mut t = Tracker::default();
        place(&mut t, 0, 100, 100_000);
        assert_eq!(place(&mut t, 0, 3, 3_000), Place::AfterRestart { was: 0 });
        assert_eq!(place(&mut t, 0, 4, 4_000), Place::Next);
    }

    #[test]
    fn an_old_frame_is_no_restart() {
        let mut t = Tracker::default();
        place(&mut t, 0, 100, 100_000);
        assert_eq!(place(&mut t, 0, 95, 95_000), Place::Old, "late by a few");
        let mut t = Tracker::default();
        place(&mut t, 3, 100, 100_000);
        assert_eq!(place(&mut t, 3, 20, 20_000), Place::Old, "the boot counter is believed");
    }
}
