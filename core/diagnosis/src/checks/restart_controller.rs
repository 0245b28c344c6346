//! Isolate, wait, switch on again, and watch where the array voltage settles.
//!
//! A controller that had lost the array's best point, or was hot, finds it again, two times in three; one that stands
//! on the wrong peak of a shaded array may find the right one; a dead one stays at open circuit, but for some that only
//! hung. Everything else settles where it was. Error: the sun moves in 10 min, 3 % of voltage and 15 % of current, and
//! as far as both moved over the window.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct RestartController;

/// Least current that is told as a logarithm, A.
const LEAST_A: f64 = 0.05;

/// A pump that is kept from running tries to while the ammeter is read so often, and what it draws then, A, with its
/// spread, 1 sigma of ln (engineering judgement).
const TRIES: f64 = 0.3;
const TRIES_A: f64 = 0.6;
const TRIES_LN: f64 = 0.7;

/// Where it settles: voltage, and ln of the current, each with 1 sigma.
type Settled = ((f64, f64), (f64, f64));

/// Of dead controllers so many only hung, and come back (engineering judgement).
const HUNG: f64 = 0.2;

/// Light that changes moves a reading so far at the most, 1 sigma of ln.
const MOST_MOVED: f64 = 0.4;

/// How far a reading moved over the window, half of the whole way, ln.
fn moved(p: &Prediction, channel: Channel) -> f64 {
    let readings = || p.look.steady.iter().filter_map(|s| s.get(channel)).filter(|x| *x > 0.0);
    let (least, most) = (readings().fold(f64::INFINITY, f64::min), readings().fold(0.0, f64::max));
    if most > least { (0.5 * (most / least).ln()).min(MOST_MOVED) } else { 0.0 }
}

/// Share of the first of two voltages once one is read.
fn share_after(share: f64, v: f64, first: (f64, f64), second: (f64, f64)) -> f64 {
    let density = |(mean, sigma): (f64, f64)| Foreseen::number(mean, sigma).log_density(v).exp();
    let (a, b) = (share * density(first), (1.0 - share) * density(second));
    if a + b > 0.0 { a / (a + b) } else { share }
}

impl CheckModel for RestartController {
    fn check(&self) -> Check {
        Check::RestartController
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let sun = p.sun();
        let (cell, _) = p.cell_c(sun.w_m2);
        let condition = &p.plant.condition.array;
        let curve = p.plant.array.curve(sun.w_m2, cell, condition);
        let (best, voc) = (curve.best(), curve.voc());
        let told = p.channel(Channel::ArrayV).zip(p.channel(Channel::ArrayA)).filter(|(_, a)| *a > LEAST_A);
        let point = p.operating_point().filter(|o| o.load.is_some()).map(|o| (o.dc.v, o.dc.i));
        let (v, a) = told.or(point).unwrap_or((voc, 0.0));
        let (near_v, near_a): (f64, f64) =
            if told.is_some() { (0.03, 0.15) } else { (0.06, 0.15f64.hypot(sun.spread)) };
        // no closer than the readings themselves stayed in this light
        let (near_v, near_a) =
            (near_v.hypot(moved(p, Channel::ArrayV)), near_a.hypot(moved(p, Channel::ArrayA)));
        let near_a = near_a.hypot(p.by_speed(|l| l.dc_w.max(1.0).ln()));
        let settled = |v: f64, a: f64| ((v, near_v * v), (a.max(LEAST_A).ln(), near_a));
        let open = ((voc, 0.04 * voc), (LEAST_A.ln(), 0.3));
        let running = settled(v, a);
        let volts = p.made.and_then(|m| m.number("array_v_after"));
        let mix = |share: f64, x: Settled, y: Settled| {
            // volts and amperes are of one point: how it settled is known once the volts are
            let known = volts.map_or(share, |v| share_after(share, v, x.0, y.0));
            vec![Foreseen::either(share, x.0, y.0), Foreseen::either(known, x.1, y.1)]
        };
        match p.cause() {
            // the heat has gone too
            Cause::PowerTrackingStuck | Cause::ControllerOverheating => {
                mix(0.65, settled(best.v, best.i), running)
            }
            Cause::PartialShade if condition.shade.is_some_and(|s| s.right_peak) => {
                mix(0.5, settled(best.v, best.i), running)
            }
            Cause::NoDcSupply => {
                vec![Foreseen::number(1.0, 2.0), Foreseen::number(LEAST_A.ln(), 0.3)]
            }
            Cause::ControllerFailed => mix(HUNG, settled(best.v, best.i), open),
            // one that is kept from running may try to all the same
            _ if p.runs() <= 0.0 => {
                let volts = Foreseen::number(open.0.0, open.0.1);
                vec![volts, Foreseen::either(1.0 - TRIES, open.1, (TRIES_A.ln(), TRIES_LN))]
            }
            _ => mix(p.runs(), running, open),
        }
    }

    fn needs_sun(&self) -> bool {
        true
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("array_v_after"), made.number("array_a_after").map(|a| a.max(LEAST_A).ln())]
    }

    fn starts_pump(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("V", false))
    }
}
