//! How many notifications a second are let through.

/// What to do with one notification.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Verdict {
    /// Take it.
    Take,
    /// Over the budget of this second.
    Drop,
    /// Over the budget of so many seconds in a row that the link is not worth keeping.
    GiveUp,
}

/// Counts notifications in seconds of the session's clock.
#[derive(Debug, Clone)]
pub(super) struct Budget {
    per_s: Option<u32>,
    flood_s: u32,
    second: u64,
    taken: u32,
    over: bool,
    seconds_over: u32,
    dropped: u64,
}

impl Budget {
    pub fn new(per_s: Option<u32>, flood_s: u32) -> Budget {
        Budget { per_s, flood_s, second: 0, taken: 0, over: false, seconds_over: 0, dropped: 0 }
    }

    pub fn take(&mut self, now_ms: u64) -> Verdict {
        let Some(most) = self.per_s else { return Verdict::Take };
        let second = now_ms / 1000;
        if second != self.second {
            let in_a_row = self.over && second == self.second + 1;
            self.seconds_over = if in_a_row { self.seconds_over + 1 } else { 0 };
            (self.second, self.taken, self.over) = (second, 0, false);
        }
        self.taken = self.taken.saturating_add(1);
        if self.taken <= most {
            return Verdict::Take;
        }
        self.over = true;
        self.dropped += 1;
        if self.seconds_over + 1 >= self.flood_s { Verdict::GiveUp } else { Verdict::Drop }
    }

    /// A new connection starts with a clean sheet.
    pub fn reset(&mut self) {
        (self.taken, self.over, self.seconds_over) = (0, false, 0);
    }

    /// Dropped since the session began.
    pub fn dropped(&self) -> u64 {
        self.dropped
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_is_cut_and_a_lasting_flood_ends_it() {
        let mut b = Budget::new(Some(10), 3);
        let mut in_second = |s: u64, n: u32| (0..n).map(|_| b.take(s * 1000)).collect::<Vec<_>>();
        assert_eq!(in_second(0, 12)[9..], [Verdict::Take, Verdict::Drop, Verdict::Drop]);
        assert!(in_second(1, 10).iter().all(|v| *v == Verdict::Take), "a quiet second clears it");
        assert_eq!(in_second(2, 11)[10], Verdict::Drop);
        assert_eq!(in_second(3, 11)[10], Verdict::Drop);
        assert_eq!(in_second(4, 11)[10], Verdict::GiveUp);
        assert_eq!(b.dropped(), 5);
    }
}
