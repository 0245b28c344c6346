//! What a check made by hand says.

use wellwright_domain::check::CheckMade;

use super::Teller;
use super::piece::Piece;
use crate::checks::{self, CheckModel, Foreseen, Prediction};
use crate::score::Scored;

/// A check beside what a healthy system and the cause would have shown.
pub fn tell(t: &Teller, made: &CheckMade) -> Piece {
    let scorer = t.scorer;
    let here = scorer.here();
    // the ranking takes the mean of what is answered again
    let repeats = scorer.case.checks.iter().filter(|c| c.check == made.check).count().max(1) as f64;
    let weight = t.bits(&|s| {
        let plant = scorer.plant_of(s);
        let p = Prediction::new(here, &plant, &s.hypothesis, &s.table, Some(made));
        checks::log_likelihood_of(made, &p) / repeats
    });
    let piece = Piece::of_check(made.check.code(), t.regime, weight);
    let Some(model) = checks::model(made.check) else { return piece };
    let foreseen = |s: &Scored| {
        let plant = scorer.plant_of(s);
        model.foresee(&Prediction::new(here, &plant, &s.hypothesis, &s.table, Some(made)))
    };
    let (healthy, cause, seen) = (t.healthy().map(foreseen), foreseen(t.best()), model.read(made));
    let Some(k) = spoke(model, healthy.as_deref(), &cause, &seen) else { return piece };
    let (if_healthy, if_cause) = (healthy.as_ref().map(|f| f[k].middle()), cause[k].middle());
    if let Some((unit, is_log)) = model.unit(k) {
        let told = |x: f64| if is_log { x.exp() } else { x };
        let piece = piece.unit(unit).measured(seen[k].map(told));
        return piece.if_healthy(if_healthy.map(told)).if_cause(told(if_cause));
    }
    let yes = |x: f64| x.is_finite().then_some(x > 0.5);
    let Some(field) = model.field(k) else {
        let piece = piece.measured(seen[k].and_then(yes));
        return piece.if_healthy(if_healthy.and_then(yes)).if_cause(yes(if_cause));
    };
    let said = |x: Option<f64>| x.and_then(yes).map(|y| format!("{field}={}", if y { "yes" } else { "no" }));
    let piece = piece.measured(said(seen[k]));
    piece.if_healthy(said(if_healthy)).if_cause(said(Some(if_cause)))
}

/// The answered feature that parts the cause most from a healthy system, of those that can be told in words.
fn spoke(
    model: &dyn CheckModel,
    healthy: Option<&[Foreseen]>,
    cause: &[Foreseen],
    seen: &[Option<f64>],
) -> Option<usize> {
    let named = |k: usize| model.field(k).is_some() || k == 0;
    let told = |k: &usize| model.unit(*k).is_some() || named(*k) && matches!(cause[*k], Foreseen::Yes(_));
    let parts = |k: &usize| {
        let of = |f: &[Foreseen]| seen[*k].map_or(0.0, |x| f[*k].log_density(x));
        (of(cause) - healthy.map_or(0.0, of)).abs()
    };
    let answered = (0..seen.len()).filter(|k| seen[*k].is_some()).filter(told);
    // the first of equals
    answered.rev().max_by(|a, b| parts(a).total_cmp(&parts(b)))
}
