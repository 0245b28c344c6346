//! How much of the last minutes lay in the sun: cells warm and cool slowly, so that after a cloud they are still cool,
//! and in its shadow still warm.
//!
//! The power itself tells sun from shadow where light changes within minutes: beside the most of the minutes around it
//! it is near, or far below.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::sample::Sample;

/// Thermal time constant of a module, min (common practice: 5 to 10 in a light wind, no single source).
const WARMS_MIN: f64 = 7.0;

/// Minutes before and after in which the most is looked for.
const AROUND_MIN: usize = 20;

/// From this share of the most on it lies in the sun: a limit may hide that there is more.
const SUNNY: f64 = 0.6;

/// Share of the time in the sun: 1 = all of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lit {
    /// At the moment itself.
    pub now: f64,
    /// Over the time that cells remember.
    pub lately: f64,
}

/// From this share of the highest speed around on, less power is less load, not less light.
const FAST: f64 = 0.95;

/// So long after a start the ramp tells nothing of the light.
const RAMP: TimeDelta = TimeDelta::minutes(3);

/// What a row tells of the light: power, W, and speed, rpm; nothing of both where the array cannot carry the lowest
/// speed.
#[derive(Debug, Clone, Copy, Default)]
struct Pull {
    w: f64,
    rpm: f64,
}

impl Pull {
    fn of(s: &Sample) -> Option<Pull> {
        match s.state {
            Some(PumpState::Stopped | PumpState::Tripped) => {
                s.flags.is_some_and(|f| f.has(Flag::LowPower)).then(Pull::default)
            }
            Some(PumpState::Starting) => None,
            _ => Some(Pull {
                w: s.get(Channel::ArrayV)? * s.get(Channel::ArrayA)?,
                rpm: s.get(Channel::MotorRpm)?,
            }),
        }
    }

    fn most(self, other: Pull) -> Pull {
        Pull { w: self.w.max(other.w), rpm: self.rpm.max(other.rpm) }
    }

    fn is_sunny(self, around: Pull) -> bool {
        self.w >= SUNNY * around.w || self.rpm >= FAST * around.rpm
    }
}

/// What each row tells; `None` where it stands for another reason, and on a ramp.
fn pulls(samples: &[Sample]) -> Vec<Option<Pull>> {
    let mut started: Option<DateTime<FixedOffset>> = None;
    let mut stood = false;
    let of = |s: &Sample| {
        let runs = s.turns();
        if runs && stood {
            started = Some(s.at);
        }
        stood = !runs;
        Pull::of(s).filter(|_| !runs || started.is_none_or(|at| s.at - at > RAMP))
    };
    samples.iter().map(of).collect()
}

/// Every row of a window, in its order.
pub fn lit(samples: &[Sample]) -> Vec<Lit> {
    let Some(first) = samples.first() else { return Vec::new() };
    let minute = |s: &Sample| ((s.at - first.at).max(TimeDelta::zero()).num_seconds() / 60) as usize;
    let pulls = pulls(samples);
    // rows that tell nothing may stand any time later
    let last = samples.iter().zip(&pulls).rfind(|(_, pull)| pull.is_some()).map_or(0, |(s, _)| minute(s));
    let mut most = vec![Pull::default(); last + 1];
    for (s, pull) in samples.iter().zip(&pulls) {
        if let (Some(most), Some(pull)) = (most.get_mut(minute(s)), pull) {
            *most = most.most(*pull);
        }
    }
    let around = |m: usize| {
        let to = (m + AROUND_MIN + 1).min(most.len());
        most[m.saturating_sub(AROUND_MIN)..to].iter().copied().fold(Pull::default(), Pull::most)
    };
    let around: Vec<Pull> = (0..most.len()).map(around).collect();
    let mut lately: Option<f64> = None;
    let mut before = first.at;
    let mut out = Vec::with_capacity(samples.len());
    for (s, pull) in samples.iter().zip(&pulls) {
        let around = around.get(minute(s)).copied().unwrap_or_default();
        let told = pull.filter(|_| around.w > 0.0);
        let now = told.map(|pull| if pull.is_sunny(around) { 1.0 } else { 0.0 });
        let past = (s.at - before).num_milliseconds() as f64 / 60_000.0;
        before = s.at;
        if let Some(now) = now {
            let kept = (-past.max(0.0) / WARMS_MIN).exp();
            lately = Some(lately.map_or(now, |l| kept * l + (1.0 - kept) * now));
        }
        let lately = lately.unwrap_or(1.0);
        out.push(Lit { now: now.unwrap_or(lately), lately });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows a minute apart with these powers, W.
    fn rows(watts: impl Iterator<Item = f64>) -> Vec<Sample> {
        let from = DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap();
        let row = |(k, w): (i64, f64)| {
            let mut s = Sample::new(from + TimeDelta::minutes(k));
            s.state = Some(PumpState::Running);
            s.set(Channel::ArrayV, Some(100.0));
            s.set(Channel::ArrayA, Some(w / 100.0));
            s.set(Channel::MotorRpm, Some(3000.0 * (w / 1000.0).cbrt()));
            s
        };
        (0..).zip(watts).map(row).collect()
    }

    #[test]
    fn steady_light_and_a_slow_day_lie_in_the_sun() {
        let day = (0..600).map(|k| 1000.0 * (std::f64::consts::PI * f64::from(k + 30) / 660.0).sin());
        for l in lit(&rows(day)) {
            assert!(l.now > 0.5 && l.lately > 0.9, "{l:?}");
        }
    }

    #[test]
    fn a_silent_row_ages_later_costs_nothing() {
        let mut rows = rows((0..30).map(|_| 1000.0));
        rows.push(Sample::new(DateTime::parse_from_rfc3339("9999-12-31T00:00:00Z").unwrap()));
        assert_eq!(lit(&rows).len(), 31);
    }

    #[test]
    fn less_load_is_no_shadow() {
        let mut rows = rows((0..40).map(|k| if k < 20 { 1000.0 } else { 300.0 }));
        for s in &mut rows {
            s.set(Channel::MotorRpm, Some(2990.0));
        }
        assert!(lit(&rows).iter().all(|l| *l == Lit { now: 1.0, lately: 1.0 }));
    }

    #[test]
    fn after_a_cloud_it_was_dark_lately() {
        let all = lit(&rows((0..40).map(|k| if (15..30).contains(&k) { 300.0 } else { 1000.0 })));
        assert!(all[14].lately > 0.99 && all[29].now < 0.5 && all[29].lately < 0.2);
        assert!(all[30].now > 0.5 && all[30].lately < 0.3, "{:?}", all[30]);
        assert!(all[39].lately > all[31].lately);
    }
}
