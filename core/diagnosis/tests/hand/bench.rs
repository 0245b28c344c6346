//! A system without telemetry, and hypotheses about it.

use wellwright_diagnosis::Case;
use wellwright_diagnosis::causes::Hypothesis;
use wellwright_diagnosis::checks::{self, Foreseen, Here, Prediction};
use wellwright_diagnosis::predict::outcome::{self, OutcomeTable};
use wellwright_diagnosis::window::{Look, Outcome};
use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::plant::Plant;

/// A record, its plant and what was recorded of it.
pub struct Bench {
    pub system: System,
    pub plant: Plant,
    pub samples: Vec<Sample>,
}

impl Bench {
    pub fn new(system: System) -> Bench {
        Bench::with(system, Vec::new())
    }

    pub fn with(system: System, samples: Vec<Sample>) -> Bench {
        let (plant, _) = Plant::from_record(&system).unwrap();
        Bench { system, plant, samples }
    }

    /// Asks a check's model about a hypothesis.
    pub fn ask<T>(
        &self,
        h: &Hypothesis,
        made: Option<&CheckMade>,
        question: impl FnOnce(&Prediction) -> T,
    ) -> T {
        let mut plant = self.plant.clone();
        plant.condition = h.condition;
        let case = Case::new(&self.system).with_samples(&self.samples);
        let look = Look::new(&self.samples, |_| true);
        let table =
            h.outcome.unwrap_or_else(|| outcome::of_plant(&self.system, &self.plant, &plant, 0.0, None));
        let here =
            Here { case: &case, look: &look, healthy: &self.plant, level_m: 1.0, lifts_from_w_m2: 250.0 };
        question(&Prediction::new(here, &plant, h, &table, made))
    }

    pub fn foresee(&self, h: &Hypothesis, check: Check) -> Vec<Foreseen> {
        let model = checks::model(check).unwrap();
        self.ask(h, None, |p| model.foresee(p))
    }

    /// What was to be foreseen of a check that has been made.
    pub fn foresee_made(&self, h: &Hypothesis, made: &CheckMade) -> Vec<Foreseen> {
        let model = checks::model(made.check).unwrap();
        self.ask(h, Some(made), |p| model.foresee(p))
    }

    /// By how much an answer speaks for one hypothesis over another, natural log.
    pub fn speaks_for(&self, made: &CheckMade, h: &Hypothesis, over: &Hypothesis) -> f64 {
        let of = |h: &Hypothesis| self.ask(h, Some(made), |p| checks::log_likelihood_of(made, p));
        of(h) - of(over)
    }
}

pub fn healthy() -> Hypothesis {
    Hypothesis::new(Cause::Healthy)
}

/// A controller that mostly does this.
fn mostly(o: Outcome) -> OutcomeTable {
    let mut table = [0.01; Outcome::ALL.len()];
    table[o as usize] = 1.0 - 0.01 * (Outcome::ALL.len() - 1) as f64;
    table
}

pub fn stopped_by(cause: Cause, o: Outcome) -> Hypothesis {
    let mut h = Hypothesis::new(cause);
    h.outcome = Some(mostly(o));
    h
}

pub fn made(check: Check, answers: &[(&str, Answer)]) -> CheckMade {
    for (field, _) in answers {
        assert!(check.info().fields.iter().any(|(f, _)| f == field), "{} has no {field}", check.code());
    }
    CheckMade {
        check,
        at: None,
        answers: answers.iter().map(|(f, a)| ((*f).to_owned(), a.clone())).collect(),
    }
}

pub fn number(x: f64) -> Answer {
    Answer::Number(x)
}

pub fn yes(x: bool) -> Answer {
    Answer::Bool(x)
}

pub fn list(x: &[f64]) -> Answer {
    Answer::List(x.to_vec())
}
