//! Checks made by hand, as evidence and as things worth doing next.
//!
//! A check is described by what it would show under a hypothesis: a few features, each a number with a spread
//! or a yes with a probability. The same description weighs an answer that was given and foresees the answers
//! that could come. To add a check: write its file with a [`CheckModel`] and name it in [`ALL`].

mod bucket_test;
mod controller_display;
mod dead_head_gauge;
mod lead_current;
mod lead_resistance;
mod look_and_listen;
mod pull_pump;
mod resting_level_sounding;
mod swap_two_leads;
mod tank_look;
mod valve_position;
mod water_level_sounding;
mod wellhead_gauge;

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;

use crate::case::Case;
use crate::causes::Hypothesis;
use crate::predict::outcome::OutcomeTable;
use crate::window::{Look, Outcome};

/// One feature of an answer, as a hypothesis foresees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Foreseen {
    /// A number, with spread.
    Number {
        /// Middle.
        mean: f64,
        /// 1 sigma.
        sigma: f64,
    },
    /// Yes with this probability.
    Yes(f64),
}

impl Foreseen {
    /// A share that is never quite sure.
    pub fn yes(p: f64) -> Foreseen {
        Foreseen::Yes(p.clamp(0.01, 0.99))
    }

    /// The middle of what is foreseen: the number, or the chance of a yes.
    pub fn middle(self) -> f64 {
        match self {
            Foreseen::Number { mean, .. } => mean,
            Foreseen::Yes(p) => p,
        }
    }

    /// Natural log density of an observed feature (1 and 0 for yes and no).
    pub fn log_density(self, seen: f64) -> f64 {
        match self {
            // Student tail, 5 degrees of freedom: a slip of the hand must not decide
            Foreseen::Number { mean, sigma } => {
                let z = (seen - mean) / sigma;
                -3.0 * (1.0 + z * z / 5.0).ln() - sigma.ln() - 0.9686
            }
            Foreseen::Yes(p) => (if seen > 0.5 { p } else { 1.0 - p }).ln(),
        }
    }
}

/// A plant under a hypothesis, as a check meets it.
pub struct Prediction<'a> {
    /// Plant with what is wrong.
    pub plant: &'a Plant,
    /// Plant with nothing wrong.
    pub healthy: &'a Plant,
    /// Hypothesis.
    pub hypothesis: &'a Hypothesis,
    /// Flow at 900 W/m2 over healthy.
    pub flow_share: f64,
    /// What the controller does.
    pub table: &'a OutcomeTable,
    /// Speed and minutes of pumping at which running checks were or would be made.
    pub running: Option<(f64, f64)>,
}

impl Prediction<'_> {
    /// The load at which a check while running is made; `None` when the pump would not run.
    pub fn load(&self) -> Option<Load> {
        let (rpm, minutes) = match self.running {
            Some(known) => known,
            None if self.table[Outcome::Runs as usize] < 0.3 => return None,
            None => {
                let level = Level::After { minutes: 60.0 };
                let m = Moment { irradiance_w_m2: 750.0, cell_c: 45.0, level, heat_share: 1.0 };
                (self.plant.operating_point(&m).load?.rpm, 60.0)
            }
        };
        Some(self.plant.load_at(rpm, Level::After { minutes }))
    }

    /// Spread of the flow at the tank from what is not known of head and level, m3/h: wide where the pump barely
    /// lifts.
    pub fn flow_spread_m3_h(&self, load: &Load) -> f64 {
        let flow = |head: f64| {
            let mut plant = self.plant.clone();
            plant.condition.pump.size_ratio *= head;
            plant.load_at(load.rpm, Level::After { minutes: 60.0 }).water.tank_m3_h
        };
        0.5 * (flow(1.05) - flow(0.95)).abs()
    }

    /// Which cause.
    pub fn cause(&self) -> Cause {
        self.hypothesis.cause
    }

    /// True for the hypothesis that nothing here explains it.
    pub fn is_unknown(&self) -> bool {
        self.cause() == Cause::Unknown
    }
}

/// What one check would show.
pub trait CheckModel: Sync {
    /// Which check.
    fn check(&self) -> Check;

    /// Features under a hypothesis.
    fn foresee(&self, p: &Prediction) -> Vec<Foreseen>;

    /// The same features in an answer; `None` where the person left it out.
    fn read(&self, made: &CheckMade) -> Vec<Option<f64>>;

    /// Unit in which the first feature is told, and whether it is a logarithm. `None`: it is a yes or no, or means
    /// nothing outside the ranking.
    fn unit(&self) -> Option<(&'static str, bool)> {
        None
    }

    /// Made while the pump runs? Such a check is not offered when the pump must be stopped.
    fn while_running(&self) -> bool {
        false
    }
}

/// Every check that is modelled.
pub static ALL: &[&dyn CheckModel] = &[
    &look_and_listen::LookAndListen,
    &controller_display::ControllerDisplay,
    &tank_look::TankLook,
    &bucket_test::BucketTest,
    &wellhead_gauge::WellheadGauge,
    &dead_head_gauge::DeadHeadGauge,
    &valve_position::ValvePosition,
    &water_level_sounding::WaterLevelSounding,
    &resting_level_sounding::RestingLevelSounding,
    &lead_current::LeadCurrent,
    &lead_resistance::LeadResistance,
    &swap_two_leads::SwapTwoLeads,
    &pull_pump::PullPump,
];

/// The model of a check.
pub fn model(check: Check) -> Option<&'static dyn CheckModel> {
    ALL.iter().copied().find(|m| m.check() == check)
}

/// Speed and minutes of the steady point nearest to a check.
pub fn running_at(look: &Look, made: Option<&CheckMade>) -> Option<(f64, f64)> {
    let at = made.and_then(|m| m.at);
    let point = match at {
        Some(t) => look.steady.iter().min_by_key(|p| (p.at - t).num_seconds().abs()),
        None => look.steady.last(),
    }?;
    Some((point.rpm()?, point.minutes))
}

/// log likelihood of one answer.
pub fn log_likelihood_of(made: &CheckMade, p: &Prediction) -> f64 {
    let Some(model) = model(made.check) else { return 0.0 };
    let seen = model.read(made);
    let foreseen = model.foresee(p);
    let loosen = if p.is_unknown() { 2.5 } else { 1.0 };
    foreseen
        .into_iter()
        .zip(seen)
        .filter_map(|(f, s)| {
            let f = match f {
                Foreseen::Number { mean, sigma } => Foreseen::Number { mean, sigma: sigma * loosen },
                Foreseen::Yes(q) if p.is_unknown() => Foreseen::Yes(0.5 * q + 0.25),
                sure @ Foreseen::Yes(_) => sure,
            };
            Some(f.log_density(s?))
        })
        .sum()
}

/// log likelihood of all answers. Repeats of one check share most of their error: they count as their mean.
pub fn log_likelihood(case: &Case, predict: impl Fn(&CheckMade) -> f64) -> f64 {
    let mut total = 0.0;
    for check in Check::ALL {
        let answers: Vec<f64> = case.checks.iter().filter(|m| m.check == *check).map(&predict).collect();
        if !answers.is_empty() {
            total += answers.iter().sum::<f64>() / answers.len() as f64;
        }
    }
    total
}
