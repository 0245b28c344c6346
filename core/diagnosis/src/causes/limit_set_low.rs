//! A limit of speed, current or power is set below the record.
//!
//! Readings stop at one value although the array could give more. The limit is looked for where the readings of
//! this window stop. Never explains: a speed that falls with the sun, a reading that stops at the record's limit.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hold, Hypothesis};
use crate::window::{Look, Steady};

/// See the module.
pub struct LimitSetLow;

/// Share of the record's limit (contract), with a little room for the sensors.
const RANGE: (f64, f64) = (0.28, 0.95);

impl CauseModel for LimitSetLow {
    fn cause(&self) -> Cause {
        Cause::LimitSetLow
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Controller, 2.6)]
    }

    fn hypotheses(&self, context: &Context) -> Vec<Hypothesis> {
        let c = &context.plant.controller;
        let tops = context.look.map_or([None; 3], |look| {
            [
                top(look, Steady::rpm).map(|n| n / c.max_rpm),
                top(look, Steady::phase_a).map(|a| a / c.max_phase_a),
                top(look, Steady::dc_w).map(|w| w / c.max_power_w),
            ]
        });
        let mut out = Vec::new();
        for (kind, (share, weight)) in tops.into_iter().zip([0.45, 0.25, 0.3]).enumerate() {
            let Some(share) = share.filter(|s| (RANGE.0..=RANGE.1).contains(s)) else { continue };
            out.push(limited(kind, share).weighing(weight));
        }
        if out.is_empty() {
            // nothing shows where it would be: any of them, in the middle of the range
            out.extend((0..3).map(|kind| limited(kind, 0.6)));
        }
        out
    }
}

fn limited(kind: usize, share: f64) -> Hypothesis {
    let mut h = Hypothesis::new(Cause::LimitSetLow).at(share.clamp(0.3, 0.9)).with(|c| match kind {
        0 => c.controller.speed_share = share,
        1 => c.controller.current_share = share,
        _ => c.controller.power_share = share,
    });
    h.hold = Some([Hold::Speed, Hold::Current, Hold::Power][kind]);
    h
}

/// The highest value at which the window ran with a voltage to compare: a limit lies nowhere below it.
fn top(look: &Look, of: impl Fn(&Steady) -> Option<f64>) -> Option<f64> {
    let told = look.steady.iter().filter(|p| p.get(Channel::ArrayV).is_some());
    told.filter_map(of).max_by(f64::total_cmp)
}
