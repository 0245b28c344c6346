//! A known volume at the outlet, timed: 20 l in 24 s is 3.000 m3/h to 2.9 % (derived).

use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct BucketTest;

impl CheckModel for BucketTest {
    fn check(&self) -> Check {
        Check::BucketTest
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let load = p.load();
        let flow = load.map_or(0.0, |l| l.water.tank_m3_h);
        let spread = load.map_or(0.0, |l| p.flow_spread_m3_h(&l));
        let size = crate::predict::reference_flow(p.healthy);
        // the bucket itself 3 %, the model 6 %, and drops that nobody times
        vec![Foreseen::Number { mean: flow, sigma: (0.07 * flow + 0.02 * size).hypot(spread) }]
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let seconds = made.number("seconds").filter(|s| *s > 0.0);
        vec![made.number("litres").zip(seconds).map(|(l, s)| 3.6 * l / s)]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("m3/h", false))
    }
}
