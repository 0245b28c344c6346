//! Starts: how long the water takes to come, and what the gauge shows before.

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::PumpState;
use wellwright_domain::sample::Sample;

/// Rows further apart than this cannot tell when water came, s.
const FINE_S: i64 = 30;

/// A shorter rest, in minutes, is a row that was misread: nothing drains and nothing comes late after it.
const BRIEF_MIN: f64 = 0.3;

/// Water has come when the flow passes this share of its usual value.
const CAME: f64 = 0.3;

/// One start inside a window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Rest before it, minutes; at least this when the rest began before the window.
    pub rest_min: f64,
    /// Seconds until water came; `None` without a flow meter.
    pub delay_s: Option<f64>,
    /// Gauge at the end of the rest, kPa.
    pub rest_kpa: Option<f64>,
}

/// Starts of a window whose runs lasted long enough to show water.
pub fn starts(samples: &[Sample]) -> Vec<Start> {
    let mut flows: Vec<f64> = samples
        .iter()
        .filter(|s| turns(s))
        .filter_map(|s| s.get(Channel::FlowM3H))
        .filter(|q| *q > 0.0)
        .collect();
    flows.sort_by(f64::total_cmp);
    let usual = flows.get(flows.len() / 2).copied();
    let mut out = Vec::new();
    let mut rest: Option<(DateTime<FixedOffset>, Option<f64>)> = None;
    let mut run: Option<(DateTime<FixedOffset>, Start)> = None;
    for (k, s) in samples.iter().enumerate() {
        if turns(s) {
            if run.is_none()
                && let Some((since, rest_kpa)) = rest.take()
            {
                let fine = k > 0 && (s.at - samples[k - 1].at).num_seconds() <= FINE_S;
                let rest_min = (s.at - since).num_seconds() as f64 / 60.0;
                run = fine.then_some((s.at, Start { rest_min, delay_s: None, rest_kpa }));
            }
            if let (Some((at, start)), Some(usual), Some(q)) = (&mut run, usual, s.get(Channel::FlowM3H))
                && start.delay_s.is_none()
                && q > CAME * usual
            {
                start.delay_s = Some((s.at - *at).num_milliseconds() as f64 / 1000.0);
            }
        } else if s.state.is_some() || s.get(Channel::MotorRpm).is_some() {
            // a row that says neither is no rest
            if let Some((_, start)) = run.take() {
                out.push(start);
            }
            let kpa = s.get(Channel::WellheadKpa);
            rest = Some(match rest {
                Some((since, before)) => (since, kpa.or(before)),
                None => (s.at, kpa),
            });
        }
    }
    out.extend(run.map(|(_, start)| start));
    // a run that ended before water came says little about why
    out.retain(|s| s.rest_min >= BRIEF_MIN && (s.delay_s.is_some() || s.rest_kpa.is_some()));
    out
}

fn turns(s: &Sample) -> bool {
    s.turns() && !matches!(s.state, Some(PumpState::Stopped | PumpState::Tripped))
}
