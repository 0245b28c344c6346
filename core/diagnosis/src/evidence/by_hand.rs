//! What a check made by hand says.

use wellwright_domain::check::CheckMade;

use super::Teller;
use super::piece::Piece;
use crate::checks::{self, Foreseen, Prediction};
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
        let p = Prediction::new(here, &plant, &s.hypothesis, &s.table, Some(made));
        model.foresee(&p).first().copied()
    };
    let seen = model.read(made).first().copied().flatten();
    let (if_healthy, if_cause) = (t.healthy().and_then(foreseen), foreseen(t.best()));
    if let Some((unit, is_log)) = model.unit() {
        let told = |x: f64| if is_log { x.exp() } else { x };
        return piece
            .unit(unit)
            .measured(seen.map(told))
            .if_healthy(if_healthy.map(|f| told(f.middle())))
            .if_cause(if_cause.map(|f| told(f.middle())));
    }
    if !matches!(if_cause, Some(Foreseen::Yes(_))) {
        return piece;
    }
    let yes = |x: f64| x.is_finite().then_some(x > 0.5);
    piece
        .measured(seen.and_then(yes))
        .if_healthy(if_healthy.and_then(|f| yes(f.middle())))
        .if_cause(if_cause.and_then(|f| yes(f.middle())))
}
