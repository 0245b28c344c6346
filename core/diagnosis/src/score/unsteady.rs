//! How much the readings vary at one speed, against how much a hypothesis lets them.
//!
//! Steady water varies no more than its sensors do. Air in it, a level that hunts about the intake and what nobody
//! has described come and go.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;

use crate::causes::{Hypothesis, LooseLoad};
use crate::predict::Quantity;
use crate::window::{Look, Scatter, Unsteady};

/// What is seen of one quantity where the water is steady: scatter is as likely anywhere below a usual share, and
/// grows rarer above by a factor e in `fades` of its logarithm (engineering judgement).
struct Steadiness {
    /// Usual share of what lasts from row to row: not noise, which sensors differ in.
    lasting: f64,
    /// Usual share of all scatter, where what lasts is not known.
    all: f64,
    fades: f64,
    /// Its weight beside the others: they come and go together.
    counts: f64,
}

const TORQUE: Steadiness = Steadiness { lasting: 0.012, all: 0.03, fades: 0.4, counts: 1.0 };
const FLOW: Steadiness = Steadiness { lasting: 0.02, all: 0.05, fades: 0.5, counts: 0.8 };
const PRESSURE: Steadiness = Steadiness { lasting: 0.008, all: 0.05, fades: 0.35, counts: 1.0 };

/// Least and most scatter, share.
const LEAST: f64 = 0.002;
const MOST: f64 = 1.5;

impl Steadiness {
    /// log density of the logarithm of a scatter that varies with this chance.
    fn log_density(&self, seen: Option<Scatter>, varies: f64) -> f64 {
        let Some((seen, usual)) = seen.map(|s| self.told(s)) else { return 0.0 };
        let seen = seen.clamp(LEAST, MOST);
        let beyond = (seen / usual).ln();
        let steady = (-beyond.max(0.0) / self.fades).exp() / ((usual / LEAST).ln() + self.fades);
        let anywhere = 1.0 / (2.0 * MOST / usual).ln();
        let varying = if seen > 0.5 * usual { anywhere } else { 0.1 * anywhere };
        self.counts * (varies * varying + (1.0 - varies) * steady).ln()
    }

    /// What is compared, and the usual share of it.
    fn told(&self, seen: Scatter) -> (f64, f64) {
        seen.lasting.map_or((seen.all, self.all), |lasting| (lasting, self.lasting))
    }
}

/// How surely torque, flow and pressure vary under a hypothesis (engineering judgement).
fn varies(h: &Hypothesis) -> [f64; 3] {
    if h.at_times.is_some() {
        return [0.35, 0.5, 0.6];
    }
    match (h.cause, h.loose.load) {
        (Cause::GasInWater, _) => [0.9, 0.9, 0.5],
        (Cause::DryRunning, _) if h.torque_scatter > 0.0 => [0.9, 0.9, 0.3],
        (Cause::DryRunning, _) => [0.2, 0.5, 0.2],
        (Cause::WellYieldLimit, _) => [0.5, 0.5, 0.3],
        (Cause::Unknown, LooseLoad::Moments) => [0.8, 0.9, 0.7],
        (Cause::Unknown, LooseLoad::All) => [0.3; 3],
        (Cause::Unknown, LooseLoad::Only(Quantity::PhaseCurrent)) => [0.4, 0.05, 0.05],
        (Cause::Unknown, LooseLoad::Only(Quantity::Flow)) => [0.05, 0.5, 0.05],
        (Cause::Unknown, LooseLoad::Only(Quantity::Pressure)) => [0.05, 0.05, 0.5],
        _ => [0.003, 0.003, 0.001],
    }
}

/// Near its shut-off a pump gives much more or nothing for a hair of speed: flow is held against so much of the usual.
const LEAST_FLOW: f64 = 0.25;

/// What a look tells of scatter, that of the flow over no less than a part of the usual flow, m3/h.
fn seen(look: &Look, flow_size: f64) -> Unsteady {
    let flows: Vec<f64> = look.steady.iter().filter_map(|p| p.get(Channel::FlowM3H)).collect();
    let mean = flows.iter().sum::<f64>() / flows.len().max(1) as f64;
    let share = (mean / (LEAST_FLOW * flow_size)).clamp(0.0, 1.0);
    let smaller = |s: Scatter| Scatter { all: share * s.all, lasting: s.lasting.map(|l| share * l) };
    Unsteady { flow: look.unsteady.flow.map(smaller), ..look.unsteady }
}

/// The quantity that swings most beyond what is usual where the water is steady: its channel, the scatter seen and
/// the usual one, share.
pub fn told(look: &Look, flow_size: f64) -> Option<(Channel, f64, f64)> {
    let Unsteady { torque, flow, pressure } = seen(look, flow_size);
    let drawn = if look.has(Channel::PhaseUA) { Channel::PhaseUA } else { Channel::ArrayA };
    let all =
        [(drawn, torque, TORQUE), (Channel::FlowM3H, flow, FLOW), (Channel::WellheadKpa, pressure, PRESSURE)];
    all.into_iter()
        .filter_map(|(channel, seen, steadiness)| {
            let (seen, usual) = steadiness.told(seen?);
            Some((channel, seen, usual))
        })
        .max_by(|a, b| (a.1 / a.2).total_cmp(&(b.1 / b.2)))
}

/// log likelihood of the scatter of a look at a pump that usually gives `flow_size` m3/h.
pub fn log_likelihood(look: &Look, flow_size: f64, h: &Hypothesis) -> f64 {
    let Unsteady { torque, flow, pressure } = seen(look, flow_size);
    let [a, b, c] = varies(h);
    TORQUE.log_density(torque, a) + FLOW.log_density(flow, b) + PRESSURE.log_density(pressure, c)
}
