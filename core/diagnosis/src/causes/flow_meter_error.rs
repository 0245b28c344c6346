//! The flow meter reads wrong; everything else agrees with the record.
//!
//! Never explains: a bucket that agrees with it, power or pressure other than healthy.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis, SensorWrong};

/// See the module.
pub struct FlowMeterError;

/// Readings over the truth.
const WRONG: [f64; 14] = [0.0, 0.15, 0.3, 0.42, 0.54, 0.64, 0.73, 0.81, 0.88, 1.1, 1.18, 1.27, 1.38, 1.5];

impl CauseModel for FlowMeterError {
    fn cause(&self) -> Cause {
        Cause::FlowMeterError
    }

    fn worked_on(&self) -> &'static [(Touched, f64)] {
        &[(Touched::Sensor, 2.8)]
    }

    fn water(&self) -> Option<f64> {
        Some(1.0)
    }

    fn hypotheses(&self, _: &Context) -> Vec<Hypothesis> {
        WRONG
            .into_iter()
            .map(|x| Hypothesis::new(self.cause()).at(x).misread(Channel::FlowM3H, SensorWrong::Ratio(x)))
            .collect()
    }
}
