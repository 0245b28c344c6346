//! The clock behind the readings is wrong: the day's sun stands at the wrong hour.
//!
//! A mirrored morning and afternoon, sun at night, noon at nine. Never explains: anything about water or current.

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis};
use crate::predict::sky::SkyShift;

/// See the module.
pub struct ClockError;

/// Hours either way: telemetry clock less true time.
const HOURS: [f64; 10] = [0.7, 1.4, 2.2, 3.1, 4.1, 5.3, 6.6, 8.1, 9.8, 11.6];

impl CauseModel for ClockError {
    fn cause(&self) -> Cause {
        Cause::ClockError
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Controller, 2.0)]
    }

    fn water(&self) -> Option<f64> {
        Some(1.0)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        HOURS
            .into_iter()
            .flat_map(|h| [h, -h])
            .map(|hours| {
                let mut h = Hypothesis::new(self.cause()).at(hours);
                h.sky = SkyShift { clock_h: hours, ..SkyShift::default() };
                h
            })
            .collect()
    }
}
