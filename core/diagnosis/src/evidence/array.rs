//! Sun, array and limits: is the array at its best point, or what else holds the pump where it is?

use wellwright_domain::channel::Channel;

use super::piece::Piece;
use super::{Teller, Telling};
use crate::causes::Hold;
use crate::rank::TEMPER;
use crate::score::Scored;
use crate::window::Steady;

pub const PIECES: [Telling; 4] = [best_point, sky, light, beyond];

/// Voltage of the best point, or at the current that a limit leaves; of a limit, what is kept at it. The densities of
/// both stand beside each other.
fn best_point(t: &Teller) -> Option<Piece> {
    if t.scorer.sun.is_empty() {
        return None;
    }
    let points = &t.scorer.measured.points;
    let weight = t.bits(&|s| TEMPER * (s.parts.sun - s.sun.sky + s.parts.held));
    let kept = match t.best().hypothesis.hold {
        Some(Hold::Speed) => Some((Channel::MotorRpm, mean(points.iter().filter_map(Steady::rpm))?)),
        Some(Hold::Current) => mean(points.iter().filter_map(Steady::phase_a)).map(|a| (Channel::PhaseUA, a)),
        _ => None,
    };
    if let Some((channel, kept)) = kept {
        return Some(Piece::of_channel(channel, t.running(), weight).measured(kept).if_cause(kept));
    }
    let volts = mean(points.iter().filter_map(|p| p.get(Channel::ArrayV)))?;
    let said = |s: &Scored| mean(t.scorer.sun.said_v(&t.scorer.plant_of(s), &s.sun).into_iter());
    let keeps = t.best().hypothesis.hold.is_some_and(Hold::keeps_voltage);
    let piece = Piece::of_channel(Channel::ArrayV, t.running(), weight)
        .measured(volts)
        .if_healthy(t.healthy().and_then(said))
        .if_cause(if keeps { Some(volts) } else { said(t.best()) })
        .sigma(METER * volts);
    Some(piece)
}

/// Spread of the best point's voltage against the meter, share.
const METER: f64 = 0.025;

/// Light, as the array or its sensor tells it, beside a clear sky by the record's clock and plane, and by the cause's.
fn sky(t: &Teller) -> Option<Piece> {
    // a sensor is told as it reads
    let reads = |s: &Scored| if t.scorer.look.has(Channel::IrradianceWM2) { s.sun.sensor_ratio } else { 1.0 };
    let seen = reads(t.best()) * mean(t.scorer.sun.irradiance(&t.best().sun).into_iter())?;
    let weight = t.bits(&|s| TEMPER * s.sun.sky);
    let clear = |s: &Scored| mean(s.sun.clear.iter().copied()).map(|g| reads(s) * g);
    let piece = Piece::of_channel(Channel::IrradianceWM2, t.running(), weight).measured(seen);
    Some(piece.if_healthy(t.healthy().and_then(clear)).if_cause(clear(t.best())))
}

/// Light, beside the least in which a healthy pump lifts water.
fn light(t: &Teller) -> Option<Piece> {
    let (light, lifts_from) = t.scorer.light(t.best())?;
    let weight = t.bits(&|s| s.parts.resting);
    Some(Piece::of_channel(Channel::IrradianceWM2, t.regime, weight).measured(light).if_healthy(lifts_from))
}

/// More voltage or current than the array can give.
fn beyond(t: &Teller) -> Option<Piece> {
    let weight = t.bits(&|s| s.parts.impossible);
    let passed = t.scorer.bounds.passed(t.scorer.plant);
    let (channel, [seen, bound]) = *passed.first()?;
    Some(Piece::of_channel(channel, t.regime, weight).measured(seen).if_healthy(bound))
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let all: Vec<f64> = values.collect();
    (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
}
