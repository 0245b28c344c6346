//! The irradiance sensor reads wrong; everything else agrees with the record.
//!
//! Never explains: a hand-held meter that agrees with it, less water.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis, SensorWrong};

/// See the module.
pub struct IrradianceSensorError;

/// Readings over the truth.
const WRONG: [f64; 13] = [0.5, 0.57, 0.64, 0.71, 0.78, 0.85, 0.91, 1.09, 1.16, 1.24, 1.32, 1.41, 1.5];

impl CauseModel for IrradianceSensorError {
    fn cause(&self) -> Cause {
        Cause::IrradianceSensorError
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
            .map(|x| {
                Hypothesis::new(self.cause()).at(x).misread(Channel::IrradianceWM2, SensorWrong::Ratio(x))
            })
            .collect()
    }
}
