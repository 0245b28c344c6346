//! Currents that differ from each other, and readings that vary at one speed.

use wellwright_domain::channel::Channel;

use super::piece::Piece;
use super::{Teller, Telling};
use crate::likelihood::Z80;
use crate::rank::TEMPER;
use crate::score::electrical;

pub const PIECES: [Telling; 2] = [unbalance, swings];

/// Marks a share of the mean of the three currents.
pub const SHARE: &str = "1";

/// Largest departure of one current from the mean, when all three are measured.
fn unbalance(t: &Teller) -> Option<Piece> {
    let seen = electrical::mean_unbalance(&t.scorer.measured.points)?;
    let off = seen.iter().map(|u| (u - 1.0).abs()).fold(0.0, f64::max);
    let weight = t.bits(&|s| TEMPER * s.parts.unbalance);
    let piece = Piece::of_channel(Channel::PhaseVA, t.running(), weight).unit(SHARE).measured(off);
    Some(piece.if_healthy(0.0).sigma(electrical::SENSORS))
}

fn swings(t: &Teller) -> Option<Piece> {
    let (channel, seen, usual) = t.scorer.swings()?;
    let weight = t.bits(&|s| s.parts.unsteady);
    let piece = Piece::of_channel(channel, t.running(), weight).unit("%").measured(100.0 * seen);
    // four of five steady ones stay below
    Some(piece.if_healthy(0.0).sigma(100.0 * usual / Z80))
}
