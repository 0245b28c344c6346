//! A known volume at the outlet, timed: 20 l in 24 s is 3.000 m3/h to 2.9 % (derived).
//!
//! Parts everything that takes water from everything that does not, and a wrong flow meter from both: no sensor
//! error touches a bucket. At the wellhead the water has not passed the surface pipe.
//! Error: the bucket 3 %, the model 6 %, drops that nobody times, and what head and level leave open.

use wellwright_domain::check::{Answer, Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct BucketTest;

/// True when the bucket stood at the wellhead, before the surface pipe.
fn at_wellhead(made: &CheckMade) -> bool {
    matches!(made.answers.get("at_place"), Some(Answer::Word(w)) if w == "wellhead")
}

impl CheckModel for BucketTest {
    fn check(&self) -> Check {
        Check::BucketTest
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let size = crate::predict::reference_flow(p.healthy);
        let none = (0.0, 0.02 * size);
        let Some(load) = p.load() else { return vec![Foreseen::number(none.0, none.1)] };
        let wellhead = p.made.is_some_and(at_wellhead);
        let flow = if wellhead { load.water.wellhead_m3_h } else { load.water.tank_m3_h };
        let sigma = (0.07 * flow + 0.02 * size).hypot(p.flow_spread_m3_h(&load));
        vec![p.by_running((flow, sigma), none)]
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
