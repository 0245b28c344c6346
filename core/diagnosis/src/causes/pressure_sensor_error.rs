//! The pressure sensor reads wrong; everything else agrees with the record.
//!
//! Never explains: a gauge that agrees with it, power or flow other than healthy.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis, SensorWrong};

/// See the module.
pub struct PressureSensorError;

/// Readings over the truth.
const WRONG: [f64; 14] = [0.0, 0.15, 0.3, 0.42, 0.54, 0.64, 0.73, 0.81, 0.88, 1.12, 1.2, 1.3, 1.4, 1.5];

impl CauseModel for PressureSensorError {
    fn cause(&self) -> Cause {
        Cause::PressureSensorError
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
            .map(|x| Hypothesis::new(self.cause()).at(x).misread(Channel::WellheadKpa, SensorWrong::Ratio(x)))
            .collect()
    }
}
