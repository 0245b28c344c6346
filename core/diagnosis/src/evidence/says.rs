//! What the controller does, how often, and what it says of itself.

use wellwright_domain::channel::Channel;

use super::piece::Piece;
use super::{Teller, Telling};
use crate::predict::outcome;
use crate::score::{Scored, heat, rhythm, warned};
use crate::window::Outcome;

pub const PIECES: [Telling; 5] = [does, warns, runs_between_stops, stops_without_a_word, heat_sink];

/// Everything the controller says is told under this check.
const SAYS: &str = "controller_display";

/// What it does for most of the window; that it stands as meant, with what so much rest says.
fn does(t: &Teller) -> Option<Piece> {
    let meant = t.scorer.stands_as_meant().filter(|_| t.scorer.look.stops.trips == 0);
    let seen = meant.or(t.scorer.observed)?;
    let weight = t.bits(&|s| {
        let full = rhythm::of_full_tank(t.scorer.look, s.hypothesis.cause);
        s.parts.outcome + full + meant.map_or(0.0, |_| s.parts.resting)
    });
    let piece = Piece::of_check(SAYS, t.regime, weight).measured(seen.code());
    Some(piece.if_healthy(Outcome::Runs.code()).if_cause(most_likely(t.best(), seen)))
}

fn warns(t: &Teller) -> Option<Piece> {
    let warns = warned::warned(t.scorer.look)?;
    let weight = t.bits(&|s| s.parts.warned);
    Some(Piece::of_check(SAYS, t.regime, weight).measured(warns.code()).if_healthy(Outcome::Runs.code()))
}

/// Share of the time in which it ran beside its protective stops.
fn runs_between_stops(t: &Teller) -> Option<Piece> {
    let (look, observed) = (t.scorer.look, t.scorer.observed);
    let share = rhythm::ran_between_trips(look, observed)?;
    let weight = t.bits(&|s| rhythm::between_trips(look, observed, &s.hypothesis));
    let usual = rhythm::usual_share(&t.best().hypothesis);
    let piece = Piece::of_check(SAYS, t.regime, weight).unit("%").measured(100.0 * share);
    Some(piece.if_healthy(100.0).if_cause(100.0 * usual))
}

fn stops_without_a_word(t: &Teller) -> Option<Piece> {
    let look = t.scorer.look;
    let weight = t.bits(&|s| rhythm::without_a_word(look, s.hypothesis.cause));
    let stops = look.stops.silent;
    let piece = Piece::of_check(SAYS, t.regime, weight).unit("1").measured(stops as f64).if_healthy(0.0);
    (stops > 0).then_some(piece)
}

/// Its heat, beside that from which it holds back; where no channel tells it, that its flag does.
fn heat_sink(t: &Teller) -> Option<Piece> {
    let weight = t.bits(&|s| s.parts.heat);
    if let Some(hottest) = heat::hottest_c(t.scorer.look) {
        let holds_back = t.scorer.plant.controller.derate_from_c;
        return Some(
            Piece::of_channel(Channel::ControllerC, t.running(), weight)
                .measured(hottest)
                .if_cause(holds_back),
        );
    }
    let flagged = heat::is_flagged(t.scorer.look);
    let piece = Piece::of_check(SAYS, t.running(), weight).measured(Outcome::TooHot.code());
    flagged.then(|| piece.if_healthy(Outcome::Runs.code()))
}

/// What it makes the controller do most likely; what was seen where nothing is likelier.
fn most_likely(s: &Scored, seen: Outcome) -> &'static str {
    let chance = |o: &Outcome| s.table[*o as usize];
    let most = Outcome::ALL.into_iter().max_by(|a, b| chance(a).total_cmp(&chance(b)));
    most.filter(|o| chance(o) > outcome::chance(&s.table, seen)).unwrap_or(seen).code()
}
