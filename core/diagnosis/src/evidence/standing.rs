//! What a system at rest tells: level, pressure, voltage, tank, the start that failed and how the water came.

use wellwright_domain::channel::Channel;
use wellwright_domain::finding::Regime;

use super::piece::Piece;
use super::swings::SHARE;
use super::{Teller, Telling};
use crate::likelihood::Z80;
use crate::score::still::{FULL_PCT, least_share, open_circuit_v, reaches_probe, resting_level_m};
use crate::score::{Scored, electrical};

pub const PIECES: [Telling; 8] =
    [voltage, level, dry_level, pressure, full_tank, failed_start, water_came, pressure_before_start];

/// Voltage of the array at rest by day.
fn voltage(t: &Teller) -> Option<Piece> {
    let stops = &t.scorer.look.stops;
    let seen = stops.rest_v.filter(|_| stops.daylight() > 0)?;
    let weight = t.bits(&|s| t.scorer.still(&s.hypothesis).voltage);
    let open = t.healthy().map(|h| open_circuit_v(t.scorer.plant, &h.hypothesis));
    Some(
        Piece::of_channel(Channel::ArrayV, Regime::Stopped, weight)
            .measured(seen)
            .if_healthy(open)
            .sigma(OPEN * seen),
    )
}

/// Spread of an open circuit's voltage with light and heat, share (common practice, no single source).
const OPEN: f64 = 0.06;

fn level(t: &Teller) -> Option<Piece> {
    let seen = t.scorer.look.stops.rest_level_m.filter(|_| t.scorer.measured.points.is_empty())?;
    let weight = t.bits(&|s| t.scorer.still(&s.hypothesis).level);
    let usual = |h| resting_level_m((t.scorer.plant, t.scorer.level_m()), h);
    let (cause, sigma) = usual(&t.best().hypothesis);
    let piece = Piece::of_channel(Channel::WaterLevelM, Regime::Stopped, weight).measured(seen);
    Some(piece.if_healthy(t.healthy().map(|h| usual(&h.hypothesis).0)).if_cause(cause).sigma(sigma))
}

/// Level at a stop for a dry signal, beside the probe that it would have to reach.
fn dry_level(t: &Teller) -> Option<Piece> {
    let seen = t.scorer.look.stops.dry_level_m?;
    let weight = t.bits(&|s| t.scorer.still(&s.hypothesis).dry);
    let reaches = reaches_probe(t.best().hypothesis.cause);
    let piece = Piece::of_channel(Channel::WaterLevelM, Regime::Stopped, weight).measured(seen);
    Some(if reaches { piece.if_cause(t.scorer.probe_m()) } else { piece })
}

/// Pressure that a protective stop left, beside that of the standing column.
fn pressure(t: &Teller) -> Option<Piece> {
    let seen = t.scorer.look.stops.trip_kpa?;
    let weight = t.bits(&|s| t.scorer.still(&s.hypothesis).pressure);
    let column = t.scorer.plant.water.pipes.column_kpa();
    Some(Piece::of_channel(Channel::WellheadKpa, Regime::Stopped, weight).measured(seen).if_healthy(column))
}

fn full_tank(t: &Teller) -> Option<Piece> {
    let seen = t.scorer.look.stops.full_tank_pct?;
    let weight = t.bits(&|s| t.scorer.still(&s.hypothesis).tank);
    // anything from there to the brim
    let (middle, half) = (0.5 * (100.0 + FULL_PCT), 0.5 * (100.0 - FULL_PCT));
    let piece = Piece::of_channel(Channel::TankLevelPct, Regime::Stopped, weight).measured(seen);
    Some(piece.if_healthy(middle).sigma(half / Z80))
}

/// How far the least of the three currents lay below their mean.
fn failed_start(t: &Teller) -> Option<Piece> {
    let stops = &t.scorer.look.stops;
    let amps = stops.start_amps.filter(|_| stops.trips > 0)?;
    let weight = t.bits(&|s| t.scorer.still(&s.hypothesis).start);
    let piece = Piece::of_channel(Channel::PhaseVA, Regime::Stopped, weight).unit(SHARE);
    Some(piece.measured(1.0 - least_share(amps)).if_healthy(0.0).sigma(electrical::SENSORS))
}

/// Seconds from the start to water.
fn water_came(t: &Teller) -> Option<Piece> {
    let mean = |of: &[f64]| of.iter().sum::<f64>() / of.len() as f64;
    let delays: Vec<f64> = t.scorer.look.starts.iter().filter_map(|s| s.delay_s).collect();
    let usual = |s: &Scored| mean(&t.scorer.usual_delays_s(&s.hypothesis));
    let weight = t.bits(&|s| t.scorer.came(&s.hypothesis).delay);
    let piece =
        Piece::of_channel(Channel::FlowM3H, Regime::Stopped, weight).unit("s").measured(mean(&delays));
    (!delays.is_empty()).then(|| piece.if_healthy(t.healthy().map(usual)).if_cause(usual(t.best())))
}

/// Pressure at the end of a rest, beside that of the standing column.
fn pressure_before_start(t: &Teller) -> Option<Piece> {
    let seen: Vec<f64> = t.scorer.look.starts.iter().filter_map(|s| s.rest_kpa).collect();
    let weight = t.bits(&|s| t.scorer.came(&s.hypothesis).gauge);
    let column = t.scorer.plant.water.pipes.column_kpa();
    let piece = Piece::of_channel(Channel::WellheadKpa, Regime::Stopped, weight).if_healthy(column);
    (!seen.is_empty()).then(|| piece.measured(seen.iter().sum::<f64>() / seen.len() as f64))
}
