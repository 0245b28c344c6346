//! The level sensor reads wrong; everything else agrees with the record.
//!
//! Never explains: a sounding that agrees with it, power or flow other than healthy.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::situation::Touched;

use super::{CauseModel, Context, Hypothesis, SensorWrong};

/// See the module.
pub struct LevelSensorError;

/// Readings less the truth, m.
const WRONG: [f64; 16] =
    [-20.0, -16.0, -12.5, -9.5, -7.0, -5.0, -3.2, -1.8, 1.8, 3.2, 5.0, 7.0, 9.5, 12.5, 16.0, 20.0];

impl CauseModel for LevelSensorError {
    fn cause(&self) -> Cause {
        Cause::LevelSensorError
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
                Hypothesis::new(self.cause()).at(x).misread(Channel::WaterLevelM, SensorWrong::Offset(x))
            })
            .collect()
    }
}
