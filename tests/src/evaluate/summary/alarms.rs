//! Alarms where nothing is wrong.

use serde::Serialize;
use wellwright_domain::cause::Cause;
use wellwright_domain::finding::Verdict;

use crate::evaluate::judge::Judged;
use crate::evaluate::stats::Share;

/// One kind of case without a fault, over every set.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Blameless {
    /// True cause.
    pub cause: Cause,
    /// The verdict is a right one.
    pub called_right: Share,
    /// The verdict is a fault.
    pub called_fault: Share,
    /// A fault stands first, or the verdict is one.
    pub alarm: Share,
}

/// All kinds.
#[derive(Debug, Clone, Serialize)]
pub struct Alarms {
    /// Healthy, low sun, standing by.
    pub kinds: Vec<Blameless>,
}

impl Alarms {
    /// Over all cases without a fault. Low sun is rightly `healthy` while it runs and `standing_by` while it stands;
    /// a system that stands by and ran for a part of the window may be called healthy too.
    pub fn of(cases: &[Judged]) -> Alarms {
        let kind = |cause: Cause| {
            let own = || cases.iter().filter(move |j| j.cause == cause);
            let right = |j: &Judged| match cause {
                Cause::Healthy => j.verdict == Verdict::Healthy,
                _ => matches!(j.verdict, Verdict::Healthy | Verdict::StandingBy),
            };
            Blameless {
                cause,
                called_right: Share::count(own(), right),
                called_fault: Share::count(own(), |j| j.verdict == Verdict::Fault),
                alarm: Share::count(own(), |j| j.verdict == Verdict::Fault || j.first().0.is_fault()),
            }
        };
        Alarms { kinds: [Cause::Healthy, Cause::LowSun, Cause::StandingBy].map(kind).to_vec() }
    }
}
