//! Each string clamped under load: how many carry nothing, how far the others lie apart, how many there are.
//!
//! Parts an open string, and shade that lies on one string, from what lies over the whole array. Error: strings
//! of one build agree within 5 % in stable light (common practice of the field standard, from memory); a moving
//! sun while the clamp goes round.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_physics::plant::Shade;

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct StringCurrent;

/// A string that gives less than this share of the best one carries nothing.
const CARRIES: f64 = 0.2;

/// Strings of one build in stable light: spread over their mean.
const ALIKE: f64 = 0.03;

fn spread(p: &Prediction, strings: f64) -> Foreseen {
    let alike = (ALIKE, 0.02);
    match p.plant.condition.array.shade {
        Some(Shade { gathered: true, darkness, .. }) if strings > 1.0 => {
            Foreseen::either(0.75, (0.6 * (1.0 - darkness), 0.25), alike)
        }
        Some(_) if strings > 1.0 => Foreseen::number(0.06, 0.05),
        _ => Foreseen::number(alike.0, alike.1),
    }
}

impl CheckModel for StringCurrent {
    fn check(&self) -> Check {
        Check::StringCurrent
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let array = &p.plant.array;
        let strings = f64::from(array.strings);
        let open = f64::from(p.plant.condition.array.open_strings);
        // counted in the record, or only assumed
        let counted = if p.system().array.strings.is_some() { 0.2 } else { 0.5 * strings };
        let count = match p.cause() {
            Cause::RecordMismatch => {
                let other = (strings * p.plant.condition.array.current_ratio).round().max(1.0);
                let share = p.hypothesis.of.map_or(0.4, |of| if of == "strings" { 0.97 } else { 0.02 });
                Foreseen::either(share, (other, counted), (strings, counted))
            }
            _ => Foreseen::number(strings, counted),
        };
        let idle = if p.runs() < 0.5 || p.cause() == Cause::NoDcSupply { 0.9 } else { 0.03 };
        vec![Foreseen::number(open, 0.2), spread(p, strings), count, Foreseen::yes(idle)]
    }

    fn needs_sun(&self) -> bool {
        true
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let Some(Answer::List(amps)) = made.answers.get("amps") else { return vec![None; 4] };
        let best = amps.iter().copied().fold(0.0, f64::max);
        let count = Some(amps.len() as f64);
        if best < 0.1 {
            return vec![None, None, count, Some(1.0)];
        }
        let live: Vec<f64> = amps.iter().copied().filter(|a| *a >= CARRIES * best).collect();
        let mean = live.iter().sum::<f64>() / live.len() as f64;
        let least = live.iter().copied().fold(f64::INFINITY, f64::min);
        let apart = (live.len() > 1).then(|| (best - least) / mean);
        vec![Some((amps.len() - live.len()) as f64), apart, count, Some(0.0)]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self) -> Option<(&'static str, bool)> {
        Some(("count", false))
    }
}
