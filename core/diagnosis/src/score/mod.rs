//! How well each hypothesis explains one look, part by part.

mod array;
mod compared;
pub mod electrical;
pub mod heat;
pub mod held;
pub mod load;
mod parts;
pub mod resting;
pub mod rhythm;
pub mod starts;
pub mod still;
pub mod straight;
mod told;
pub mod unsteady;
pub mod warned;

use wellwright_domain::cause::Cause;
use wellwright_domain::situation::Situation;
use wellwright_physics::plant::{Assumed, Condition, Plant};

use self::array::SunMemo;
use self::straight::Drawing;
use crate::baseline::{Baseline, Beside};
use crate::case::Case;
use crate::causes::{self, Context, Hypothesis};
use crate::checks;
use crate::impossible::Bounds;
use crate::likelihood::{SharedErrors, log_mean_exp};
use crate::nuisance::{Nuisance, level_of, nuisances};
use crate::predict::column::{Column, valve_fitted};
use crate::predict::outcome::{self, OutcomeTable};
use crate::predict::sun::{SunFit, SunSide};
use crate::predict::{Measured, Quantity, reference_flow};
use crate::prior;
use crate::rank::log_share;
use crate::window::{Look, Outcome, Steady};
pub use parts::Parts;

/// Water that people take for none, share of the usual.
const STANDS: f64 = 0.1;

/// A hypothesis so far behind the best is not looked at a second time, natural log.
const LEFT_BEHIND: f64 = 16.0;

/// Everything about one look that the hypotheses share.
pub struct Scorer<'a> {
    /// What is asked.
    pub case: &'a Case<'a>,
    /// Healthy plant.
    pub plant: &'a Plant,
    /// Window.
    pub look: &'a Look,
    /// Load side, measured.
    pub measured: Measured,
    /// Array side, measured.
    pub sun: SunSide,
    /// What the controller was seen to do.
    pub observed: Option<Outcome>,
    /// Shared by the causes.
    pub context: Context<'a>,
    known: Option<&'a Baseline>,
    nuisances: Vec<Nuisance>,
    /// Which of them is the resting level, and its spread, m.
    level: (usize, f64),
    /// At each point: a healthy plant would leave the speed to the sun.
    left_to_sun: Vec<bool>,
    flow_size: f64,
    typical_rpm: f64,
    healthy_flow: resting::FlowOfSun,
    /// How surely it stands as meant, where no row tells it.
    shown: Option<f64>,
    /// Water in the pipes before a start.
    column: Column,
    /// What no array of the record can pass.
    pub bounds: Bounds,
}

/// One hypothesis with its score.
pub struct Scored {
    /// Hypothesis.
    pub hypothesis: Hypothesis,
    /// Parts of the likelihood.
    pub parts: Parts,
    /// log of the prior of the cause (same for all its hypotheses).
    pub log_prior: f64,
    /// Load side rows under this hypothesis, for evidence.
    pub load: load::LoadFit,
    /// Array side under this hypothesis.
    pub sun: SunFit,
    /// Flow at 900 W/m2 over that of a healthy plant.
    pub flow_share: f64,
    /// What it makes the controller do.
    pub table: OutcomeTable,
}

impl<'a> Scorer<'a> {
    /// Prepares a look.
    pub fn new(case: &'a Case<'a>, plant: &'a Plant, assumed: &[Assumed], look: &'a Look) -> Scorer<'a> {
        let measured = Measured::new(case.system, plant, look);
        let sun = SunSide::new(case.system, plant, assumed, look);
        let speeds: Vec<f64> = look.steady.iter().filter_map(Steady::rpm).collect();
        let typical_rpm =
            if speeds.is_empty() { 0.0 } else { speeds.iter().sum::<f64>() / speeds.len() as f64 };
        let nuisances = nuisances(case.system, assumed);
        let level = level_of(&nuisances);
        let left_to_sun = measured.points.iter().map(|p| electrical::only_sun_limits(plant, p)).collect();
        Scorer {
            case,
            plant,
            look,
            left_to_sun,
            measured,
            sun,
            observed: outcome::observed(look),
            context: Context::new(case.system, plant).looking_at(look),
            flow_size: reference_flow(plant),
            known: None,
            nuisances,
            level,
            typical_rpm,
            healthy_flow: resting::FlowOfSun::new(plant),
            shown: resting::shown(case, plant),
            column: Column {
                first_ever: case.situation == Some(Situation::FirstStart),
                valve: valve_fitted(case.system),
            },
            bounds: Bounds::new(case.system, plant, assumed, look),
        }
    }

    /// With what a baseline tells.
    #[must_use]
    pub fn knowing(mut self, baseline: Option<&'a Baseline>) -> Scorer<'a> {
        self.known = baseline;
        self
    }

    /// Scores every hypothesis of every cause that applies. `memo` keeps what further hypotheses can share.
    pub fn score_all(&self, memo: &mut Memo) -> Vec<Scored> {
        let situation = self.case.situation.unwrap_or_default();
        let mut out = Vec::new();
        for model in causes::ALL {
            let cause = model.cause();
            let left_out = self.case.left_out.contains(&cause);
            if left_out || !cause.applies(self.case.system, |c| self.look.is_fitted(c)) {
                continue;
            }
            let log_prior = self.log_prior(cause, situation);
            let mut hypotheses = model.hypotheses(&self.context);
            let total: f64 = hypotheses.iter().map(|h| h.weight).sum();
            for h in &mut hypotheses {
                h.weight /= total;
            }
            for h in hypotheses {
                out.push(self.score(h, log_prior, memo));
            }
        }
        let best = out.iter().map(log_share).fold(f64::NEG_INFINITY, f64::max);
        for s in out.iter_mut().filter(|s| log_share(s) > best - LEFT_BEHIND) {
            self.draw_nearer(s, memo);
        }
        out
    }

    fn log_prior(&self, cause: Cause, situation: Situation) -> f64 {
        let parts = causes::model(cause).worked_on();
        let touched = self.case.touched.map_or(1.0, |t| prior::touched_factor(parts, t, situation));
        (cause.prior_weight(situation) * touched).ln()
    }

    /// The load side hangs on the condition without array and controller: hypotheses share its predictions.
    fn load_fit(
        &self,
        h: &Hypothesis,
        plant: &Plant,
        memo: &mut Vec<(Hypothesis, straight::Predicted)>,
    ) -> load::LoadFit {
        let drawing = self.drawing(h, plant);
        let at = memo.iter().position(|(o, _)| same_load(o, h)).unwrap_or_else(|| {
            memo.push((h.clone(), drawing.at_record()));
            memo.len() - 1
        });
        let lines = &memo[at].1;
        self.compare_load(h, plant, drawing.coming_and_going(lines).as_ref().unwrap_or(lines))
    }

    fn drawing<'d>(&'d self, h: &'d Hypothesis, plant: &'d Plant) -> Drawing<'d> {
        Drawing { measured: &self.measured, plant, list: &self.nuisances, h }
    }

    fn compare_load(&self, h: &Hypothesis, plant: &Plant, predicted: &straight::Predicted) -> load::LoadFit {
        let beside = Beside::of(self.known.and_then(Baseline::load));
        let may_be_empty = self.column.may_be_empty(h);
        load::fit(
            &self.measured,
            plant,
            predicted,
            h,
            load::Pipes { flow_size: self.flow_size, may_be_empty, level: self.level },
            beside,
        )
    }

    /// Compares the load side once more where the first comparison puts what is not known ([`Drawing::nearer`]).
    pub fn draw_nearer(&self, s: &mut Scored, memo: &Memo) {
        if self.known.and_then(Baseline::load).is_some() {
            // what a baseline tells has moved it already
            return;
        }
        let h = &s.hypothesis;
        let mut plant = self.plant.clone();
        plant.condition = h.condition;
        let Some((_, first)) = memo.load.iter().find(|(o, _)| same_load(o, h)) else { return };
        if let Some(nearer) = self.drawing(h, &plant).nearer((first, &s.load)) {
            s.load = s.load.clone().redrawn(self.compare_load(h, &plant, &nearer));
            s.parts.load = s.load.log_likelihood;
        }
    }

    /// Scores one hypothesis.
    pub fn score(&self, h: Hypothesis, log_prior: f64, memo: &mut Memo) -> Scored {
        let mut plant = self.plant.clone();
        plant.condition = h.condition;
        let load = self.load_fit(&h, &plant, &mut memo.load);
        let (sun, held) = self.sun_and_held(&h, &plant, &mut memo.sun);
        let (by_physics, flow_m3_h) = self.what_it_does(&plant, &mut memo.does);
        let table = h.outcome.unwrap_or(by_physics);
        let flow_share = self.flow_share(&h, flow_m3_h, &table);
        let mut parts = Parts {
            load: load.log_likelihood,
            sun: sun.log_likelihood,
            held,
            unbalance: electrical::unbalance_log_likelihood(
                &self.measured.points,
                &plant,
                &h,
                h.loose.unbalance,
            ),
            parity: prior::parity_log_likelihood(self.case.system, is_reversed(&h)),
            resting: self.resting(&h, &sun),
            still: self.still(&h).total(),
            rhythm: rhythm::without_a_word(self.look, h.cause)
                + rhythm::of_full_tank(self.look, h.cause)
                + rhythm::between_trips(self.look, self.observed, &h),
            unsteady: unsteady::log_likelihood(self.look, self.flow_size, &h),
            starts: self.came(&h).total(),
            heat: heat::log_likelihood(self.look, self.plant, h.cause),
            impossible: self.bounds.log_likelihood(&plant, &h),
            ..Parts::default()
        };
        parts.warned = warned::log_likelihood(self.look, &table);
        parts.outcome = self.observed.map_or(0.0, |seen| outcome::chance(&table, seen).ln());
        if let Some(noticed) = self.case.noticed {
            let stops = self.stops_again(&table);
            let of = |share: f64| prior::noticed_log_likelihood(share, stops, noticed);
            parts.noticed = prior::signs_log_likelihood(causes::model(h.cause).signs(), noticed);
            parts.noticed += match h.cause {
                // people know that there is no water without sun
                Cause::Unknown | Cause::LowSun => log_mean_exp([of(0.0), of(0.5), of(1.0)]),
                Cause::StandingBy => log_mean_exp([of(0.0), of(1.0), of(1.0)]),
                // whatever stops it, people see that it stands
                _ => of(if self.stands() { flow_share.min(STANDS) } else { flow_share }),
            };
        }
        parts.checks = checks::log_likelihood(self.case, |made| {
            let here = self.here();
            let p = checks::Prediction::new(here, &plant, &h, &table, Some(made));
            checks::log_likelihood_of(made, &p)
        });
        Scored { hypothesis: h, parts, log_prior, load, sun, flow_share, table }
    }

    /// The plant under a scored hypothesis.
    pub fn plant_of(&self, s: &Scored) -> Plant {
        Plant { condition: s.hypothesis.condition, ..self.plant.clone() }
    }

    /// What a plant makes its controller do, and its water at 900 W/m2, m3/h. Which peak of a shaded array is held
    /// changes neither by much: hypotheses share them.
    fn what_it_does(
        &self,
        plant: &Plant,
        memo: &mut Vec<(Condition, OutcomeTable, f64)>,
    ) -> (OutcomeTable, f64) {
        let mut plain = plant.condition;
        if let Some(shade) = &mut plain.array.shade {
            shade.right_peak = false;
        }
        if let Some((_, table, flow)) = memo.iter().find(|(c, ..)| *c == plain) {
            return (*table, *flow);
        }
        let dark = self.look.stops.low_power_irradiance;
        let table = outcome::of_plant(self.case.system, self.plant, plant, self.typical_rpm, dark);
        let table = resting::in_this_light(table, self.look, &self.healthy_flow);
        let point = plant.operating_point(&self.context.reference);
        let flow = point.load.map_or(0.0, |l| l.water.tank_m3_h);
        memo.push((plain, table, flow));
        (table, flow)
    }

    /// Water left at 900 W/m2 over that of a healthy plant, when the controller lets it run.
    fn flow_share(&self, h: &Hypothesis, flow_m3_h: f64, table: &OutcomeTable) -> f64 {
        if let Some(share) = causes::model(h.cause).water() {
            return share;
        }
        let runs: f64 = table[Outcome::Runs as usize];
        (flow_m3_h / self.context.reference_flow_m3_h).min(1.5) * if runs > 0.3 { 1.0 } else { STANDS }
    }
}

/// The load side of both hangs on the same.
fn same_load(a: &Hypothesis, b: &Hypothesis) -> bool {
    let same = |a: &Condition, b: &Condition| a.pump == b.pump && a.lead == b.lead && a.water == b.water;
    let edge = |of: Option<Condition>, h: &Hypothesis| of.unwrap_or(h.condition);
    same(&a.condition, &b.condition)
        && same(&edge(a.edge, a), &edge(b.edge, b))
        && same(&edge(a.second_edge, a), &edge(b.second_edge, b))
        && a.torque_sigma == b.torque_sigma
        && a.level_sigma_m == b.level_sigma_m
}

/// What hypotheses share.
#[derive(Default)]
pub struct Memo {
    load: Vec<(Hypothesis, straight::Predicted)>,
    sun: SunMemo,
    does: Vec<(Condition, OutcomeTable, f64)>,
}

/// True when the hypothesis turns the pump backwards.
pub fn is_reversed(h: &Hypothesis) -> bool {
    h.condition.pump.rotation == wellwright_physics::pump::Rotation::Reversed
}

/// Rows of one quantity only.
pub fn only_quantity(errors: &SharedErrors, measured: &Measured, quantity: Quantity) -> SharedErrors {
    errors.only(|k| measured.rows.get(k).is_some_and(|r| r.quantity == quantity))
}
