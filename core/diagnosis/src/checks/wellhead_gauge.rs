//! Gauge before the wellhead valve, running.
//!
//! High: the way after it is shut or narrow. Low: little water passes, or the way below is blocked. A pressure
//! sensor that reads wrong does not move it. Error: the gauge 3 % and 4 kPa, the model 4.5 % and 5 kPa, less where a
//! sensor has told it; a column that stands may have drained.

use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};
use crate::predict::column::stands_kpa;

/// See the module.
pub struct WellheadGauge;

impl CheckModel for WellheadGauge {
    fn check(&self) -> Check {
        Check::WellheadGauge
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let column = p.plant.water.pipes.column_kpa();
        let standing = (0.6 * column, 6.0 + 0.35 * column);
        let Some(load) = p.load() else { return vec![Foreseen::number(standing.0, standing.1)] };
        let kpa = load.water.wellhead_kpa;
        let drained = stands_kpa(p.plant, &load.water).map_or(0.0, |column| 0.35 * column);
        let class = p.system().sensors.pressure_share();
        let reading = p.channel(Channel::WellheadKpa);
        let by_speed = p.by_speed(|l| l.water.wellhead_kpa);
        let sensor = (class * reading.unwrap_or(0.0).abs() + 4.0).hypot(by_speed);
        let own = (kpa, (0.045 * kpa + 5.0).hypot(drained).hypot(by_speed));
        let (kpa, sigma) = p.drawn_to(Channel::WellheadKpa, reading, own, sensor);
        vec![p.by_running((kpa, sigma.hypot(0.03 * kpa + 4.0)), standing)]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("kpa")]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("kPa", false))
    }
}
