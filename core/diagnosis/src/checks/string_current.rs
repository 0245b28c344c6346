//! Each string clamped under load: how many carry nothing, how far the others lie apart, how many there are.
//!
//! Parts an open string, and shade that lies on one string, from what lies over the whole array. Error: strings
//! of one build agree within 5 % in stable light (common practice of the field standard, from memory); a moving
//! sun while the clamp goes round; its zero, 0.05 A.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_physics::plant::Shade;

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct StringCurrent;

/// A string that gives less than this share of the best one carries nothing: in the deepest shade the sky alone gives
/// more (engineering judgement).
const CARRIES: f64 = 0.06;

/// Strings of one build in stable light: spread over their mean.
const ALIKE: f64 = 0.03;

/// Zero of a DC clamp, A.
const ZERO_A: f64 = 0.05;

/// Less than this in the best string tells nothing about the others, A.
const LEAST_A: f64 = 0.4;

/// How far sound strings lie apart: more in weak light, where the zero of the clamp counts, and near open circuit,
/// where strings that hardly differ in voltage share what little is taken unequally.
fn alike(p: &Prediction, strings: f64) -> (f64, f64) {
    let sun = p.sun();
    let best = p.plant.array.curve(sun.w_m2, p.cell_c(sun.w_m2).0, &p.plant.condition.array).best().i;
    let running = p.operating_point().filter(|o| o.load.is_some()).map(|o| o.dc.i);
    let amps = p.channel(Channel::ArrayA).or(running).unwrap_or(best).max(0.05);
    let idle = (1.0 - amps / best.max(0.05)).clamp(0.0, 1.0);
    let sigma = 0.02f64.hypot(1.5 * ZERO_A * strings / amps).hypot(0.08 * idle);
    (ALIKE + 0.5 * sigma, sigma)
}

fn spread(p: &Prediction, strings: f64) -> Foreseen {
    let alike = alike(p, strings);
    match p.plant.condition.array.shade {
        Some(Shade { gathered: true, darkness, .. }) if strings > 1.0 => {
            // from all of the string's light to that of the shade, as much of it as lies on one string
            let least = darkness.clamp(0.05, 1.0);
            let most = (1.0 - least) * strings / (strings - 1.0 + least);
            Foreseen::between(alike.0, most, 0.1)
        }
        Some(_) if strings > 1.0 => Foreseen::number(0.03 + alike.0, 0.05f64.hypot(alike.1)),
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
        if best < LEAST_A {
            return vec![None, None, count, Some(0.0)];
        }
        let live: Vec<f64> =
            amps.iter().copied().filter(|a| *a >= (CARRIES * best).max(3.0 * ZERO_A)).collect();
        let mean = live.iter().sum::<f64>() / live.len() as f64;
        let least = live.iter().copied().fold(f64::INFINITY, f64::min);
        let apart = (live.len() > 1).then(|| (best - least) / mean);
        vec![Some((amps.len() - live.len()) as f64), apart, count, Some(0.0)]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("count", false))
    }
}
