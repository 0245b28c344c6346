//! What is compared at the measured speed: flow, pressure, level, power, current, voltage.

use wellwright_domain::channel::Channel;

use super::piece::Piece;
use super::{Teller, Telling};
use crate::predict::{Quantity, Row};
use crate::rank::TEMPER;
use crate::score::only_quantity;

pub const PIECES: [Telling; 6] = [
    |t| quantity(t, Quantity::Flow),
    |t| quantity(t, Quantity::Pressure),
    |t| quantity(t, Quantity::Level),
    |t| quantity(t, Quantity::Power),
    |t| quantity(t, Quantity::PhaseCurrent),
    |t| quantity(t, Quantity::OutputVoltage),
];

fn quantity(t: &Teller, q: Quantity) -> Option<Piece> {
    let measured = &t.scorer.measured;
    // while it runs; how it stood before counts, but is another number
    let told = |r: &Row| r.quantity == q && !measured.at_rest(r);
    let rows: Vec<usize> = (0..measured.rows.len()).filter(|k| told(&measured.rows[*k])).collect();
    if rows.is_empty() {
        return None;
    }
    let mean =
        |of_row: &dyn Fn(usize) -> f64| rows.iter().map(|k| of_row(*k)).sum::<f64>() / rows.len() as f64;
    // power is told as the DC current at the measured voltage, so that it can be read beside the display
    let scale = if q == Quantity::Power { 1.0 / mean_dc_v(t) } else { 1.0 };
    let value = |of_row: &dyn Fn(usize) -> f64| {
        let mean = mean(of_row);
        scale * if q.is_log() { mean.exp() } else { mean }
    };
    let best = &t.best().load;
    let seen = value(&|k| measured.rows[k].measured);
    let sigma = mean(&|k| best.sigma[k]);
    let weight = t.bits(&|s| TEMPER * only_quantity(&s.load.errors, measured, q).log_density());
    let piece = Piece::of_channel(q.channel(), t.running(), weight)
        .measured(seen)
        .if_healthy(t.healthy().map(|h| value(&|k| h.load.mean[k])))
        .if_cause(value(&|k| best.mean[k]))
        .sigma(if q.is_log() { sigma * seen } else { sigma });
    Some(piece)
}

fn mean_dc_v(t: &Teller) -> f64 {
    let volts: Vec<f64> = t.scorer.measured.points.iter().filter_map(|p| p.get(Channel::ArrayV)).collect();
    (volts.iter().sum::<f64>() / volts.len().max(1) as f64).max(1.0)
}
