//! A look into the tank: how full is it, and does water arrive?
//!
//! Parts a float that is stuck from a tank that is full: with the tank-full stop on and room in the tank, the
//! signal is false. Error: the level by eye 5 %; a trickle is taken for none, one in twenty-five.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, yes_no};
use crate::likelihood::logistic;
use crate::window::Outcome;

/// See the module.
pub struct TankLook;

/// A full tank, %, and its spread.
const FULL: (f64, f64) = (96.0, 5.0);

/// A tank at any level, %, and its spread.
const ANY: (f64, f64) = (50.0, 28.0);

/// Chance that somebody who looks sees water arrive, by its share of the usual flow.
fn is_seen(share: f64) -> f64 {
    logistic((share - 0.04) / 0.01)
}

impl CheckModel for TankLook {
    fn check(&self) -> Check {
        Check::TankLook
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let size = crate::predict::reference_flow(p.healthy);
        let passes = p.load().map_or(0.0, |l| {
            let flows = p.flows_m3_h(&l, |l| l.water.tank_m3_h);
            flows.iter().map(|(share, q)| share * is_seen(*q / size)).sum::<f64>()
        });
        let arrives = 0.92 * p.runs() * passes + 0.04;
        // the stop that is seen, or that the cause makes
        let stopped_full = match p.observed() {
            Some(o) => f64::from(u8::from(o == Outcome::TankFull)),
            None => p.chance(Outcome::TankFull),
        };
        let level = match p.cause() {
            Cause::StuckFloat => Foreseen::number(0.85 * ANY.0, ANY.1),
            _ => Foreseen::either(0.97 * stopped_full + 0.03, FULL, ANY),
        };
        vec![Foreseen::yes(arrives), level]
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 1).then_some(("%", false))
    }

    fn field(&self, feature: usize) -> Option<&'static str> {
        (feature == 0).then_some("water_arriving")
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![yes_no(made, "water_arriving"), made.number("level_pct")]
    }
}
