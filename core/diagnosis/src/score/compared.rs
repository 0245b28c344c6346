//! One row of the load side beside what a hypothesis says of it, with every error that it may have.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::record::FlowPlace;
use wellwright_physics::plant::Plant;

use super::load::{Pipes, QUANTITIES, one_lead_share};
use super::straight::{OWN, Predicted};
use crate::baseline::Beside;
use crate::causes::{Hypothesis, LooseLoad, SensorWrong};
use crate::predict::column::fills_all_min;
use crate::predict::speed::load_at;
use crate::predict::{Measured, Quantity, Row};

/// Where the loadings of a row on each kind of shared error stand: first what is the same at all times (the latent
/// quantities, then what stays of the sensors' errors), then what is the hypothesis' own, last what is anew at each
/// moment (how far the level is behind, and what comes and goes).
pub(super) struct Columns {
    sensors: usize,
    own: usize,
    /// Barely lifting, and the severities within their part of the grid.
    rough: usize,
    /// This window's part of the sensors' errors.
    anew: usize,
    behind: usize,
    moments: usize,
    width: usize,
}

impl Columns {
    pub(super) fn new(measured: &Measured, predicted: &Predicted, h: &Hypothesis) -> Columns {
        let sensors = predicted.slopes.first().map_or(0, |s| s.len() - OWN.len());
        let own = sensors + QUANTITIES.len();
        let rough = own + OWN.len();
        let anew = rough + 3;
        let behind = anew + QUANTITIES.len();
        let moments = behind + if measured.late_m > 0.0 { measured.points.len() } else { 0 };
        let width = moments + if h.at_times.is_some() { measured.points.len() } else { 0 };
        Columns { sensors, own, rough, anew, behind, moments, width }
    }
}

/// A row with its prediction and its errors.
pub(super) struct Compared {
    pub(super) mean: f64,
    /// What the readings of its sensor share in this window, 1 sigma.
    shared: f64,
    pub(super) own: f64,
    pub(super) loads: Vec<f64>,
}

/// All that a row is compared with.
pub(super) struct With<'a> {
    pub(super) measured: &'a Measured,
    pub(super) plant: &'a Plant,
    pub(super) predicted: &'a Predicted,
    pub(super) h: &'a Hypothesis,
    pub(super) pipes: Pipes,
    pub(super) beside: Beside<'a>,
    pub(super) columns: Columns,
}

impl With<'_> {
    pub(super) fn compare(&self, k: usize, row: &Row) -> Compared {
        let sensor = QUANTITIES.iter().position(|q| *q == row.quantity).unwrap_or(0);
        let mut c = self.predicted(k, row, sensor);
        self.loosen(row, &mut c);
        c.own = c.own.hypot(self.predicted.rough[k].1);
        if let Some(at) = c.loads.get_mut(self.columns.moments + row.point) {
            *at = self.predicted.at_times[k] / 12f64.sqrt();
            c.own = c.own.hypot(BENT * self.predicted.at_times[k]);
        }
        let moved = self.beside.narrow(&mut c.loads);
        c.mean += moved + 0.5 * self.predicted.at_times[k];
        self.water_on_its_way(k, row, &mut c);
        self.misread(row, &mut c);
        if self.measured.at_rest(row) {
            c.own = c.own.hypot(falls_while_pumping(self.h.cause, self.plant));
        } else if self.measured.points[row.point].running < SETTLED_MIN {
            c.shared = c.shared.hypot(filling(row.quantity, self.pipes.flow_size, c.mean));
        }
        c.loads[self.columns.anew + sensor] = c.shared;
        c
    }

    /// As the plant shows it, with its loadings on all that is not known.
    fn predicted(&self, k: usize, row: &Row, sensor: usize) -> Compared {
        let (at, p) = (&self.columns, self.predicted);
        let mut loads = vec![0.0; at.width];
        loads[..at.sensors].copy_from_slice(&p.slopes[k][..at.sensors]);
        loads[at.own..at.rough].copy_from_slice(&p.slopes[k][at.sensors..]);
        let (stays, shared) = self.beside.parts(row.shared);
        loads[at.sensors + sensor] = stays;
        loads[at.rough] = p.rough[k].0;
        loads[at.rough + 1] = p.within[0][k];
        loads[at.rough + 2] = p.within[1][k];
        if self.measured.late_m > 0.0 && !self.measured.at_rest(row) {
            let (level, level_m) = self.pipes.level;
            loads[at.behind + row.point] = p.slopes[k][level] * self.measured.late_m / level_m;
        }
        Compared { mean: p.mean[k], shared, own: row.own, loads }
    }

    /// What the hypothesis leaves open.
    fn loosen(&self, row: &Row, c: &mut Compared) {
        let h = self.h;
        let anything = unknown_spread(row.quantity, self.pipes.flow_size, row.measured);
        match h.loose.load {
            LooseLoad::All => (c.shared, c.own) = (c.shared.hypot(anything), 2.5 * c.own),
            LooseLoad::Only(q) if q == row.quantity => {
                (c.shared, c.own) = (c.shared.hypot(0.5 * anything), 2.5 * c.own);
            }
            LooseLoad::Moments => c.own = c.own.hypot(COMES_AND_GOES * anything),
            LooseLoad::Only(_) | LooseLoad::Nothing => {}
        }
        if h.loose_electrical > 0.0 && row.quantity.is_log() {
            c.shared = c.shared.hypot(h.loose_electrical);
            c.own = c.own.hypot(0.1 * h.loose_electrical);
        }
        match row.quantity {
            Quantity::Power | Quantity::PhaseCurrent => c.own = c.own.hypot(h.torque_scatter),
            Quantity::Flow => c.own = c.own.hypot(2.0 * h.torque_scatter * row.measured.abs()),
            // the currents, and so the voltages, may be less equal than a drive means them to be
            Quantity::OutputVoltage if h.condition.lead.one_lead_ohm > 0.0 => {
                c.shared = c.shared.hypot(0.2 * one_lead_share(self.plant));
            }
            Quantity::OutputVoltage | Quantity::Pressure | Quantity::Level => {}
        }
    }

    /// A gauge behind which the column stands, and what a start may still be filling.
    fn water_on_its_way(&self, k: usize, row: &Row, c: &mut Compared) {
        if let Some(column) = self.predicted.stands_kpa[k] {
            // anything from nothing to the full column is as likely
            c.mean = row.measured.clamp(0.0, column);
            c.shared = c.shared.hypot(0.29 * column);
        }
        if self.pipes.may_be_empty && may_still_fill(self.measured, self.plant, row) {
            // anything from an empty pipe to what a full one gives is as likely
            c.own = c.own.hypot(0.29 * c.mean);
            c.mean = row.measured.clamp(c.mean.min(0.0), c.mean.max(0.0));
        }
    }

    /// What the sensor makes of it that the hypothesis holds for wrong.
    fn misread(&self, row: &Row, c: &mut Compared) {
        let Some((channel, wrong)) = self.h.sensor.filter(|(c, _)| *c == row.quantity.channel()) else {
            return;
        };
        let (told, spread) = misread(self.h, channel, wrong, c.mean);
        // the bias is that of the reading, and the grid stands for what lies between its values
        c.shared = (c.shared * told.abs() / c.mean.abs().max(1e-6)).min(c.shared).hypot(spread);
        c.mean = told;
        if let SensorWrong::Ratio(r) = wrong {
            // what moves the truth moves the reading so many times as far
            for load in &mut c.loads {
                *load *= r;
            }
        }
    }
}

/// A pipe takes up to so many times its volume to fill: air stays behind, and less comes than is foreseen.
const AIR: f64 = 1.5;

/// True when a row reads what lies behind pipes that a start may still be filling.
fn may_still_fill(measured: &Measured, plant: &Plant, row: &Row) -> bool {
    let behind = match row.quantity {
        Quantity::Pressure => true,
        Quantity::Flow => measured.flow_at == FlowPlace::Tank,
        _ => false,
    };
    let Some(point) = measured.points.get(row.point).filter(|_| behind) else { return false };
    let load = load_at(plant, point);
    point.running < AIR * fills_all_min(plant, load.water.wellhead_m3_h).min(LONGEST_FILL_MIN)
}

/// Nobody waits longer for a pipe to fill, min.
const LONGEST_FILL_MIN: f64 = 40.0;

/// What a wrong sensor tells for a true `value`, and half the step of the grid of errors there.
fn misread(h: &Hypothesis, channel: Channel, wrong: SensorWrong, value: f64) -> (f64, f64) {
    let told = h.told(channel, value);
    let step = match wrong {
        // a dead one reads nothing, and no step beside it
        SensorWrong::Ratio(0.0) => 0.0,
        SensorWrong::Ratio(_) => 0.05 * value.abs(),
        SensorWrong::Offset(d) => 0.12 * d.abs(),
    };
    (told, step)
}

/// How far the level at rest may lie above what these causes say of it while pumping, m.
fn falls_while_pumping(cause: Cause, plant: &Plant) -> f64 {
    let well = &plant.water.well;
    match cause {
        Cause::DryRunning | Cause::WellYieldLimit => (well.intake_m - well.static_m).max(1.0),
        _ => 0.0,
    }
}

/// Before this many minutes of pumping the column may still fill and the ramp may not have ended.
const SETTLED_MIN: f64 = 2.4;

/// Spread of a reading while the column fills.
fn filling(quantity: Quantity, flow_size: f64, predicted: f64) -> f64 {
    match quantity {
        Quantity::Power | Quantity::PhaseCurrent => 0.3,
        Quantity::OutputVoltage => 0.08,
        Quantity::Flow => 0.6 * flow_size,
        Quantity::Pressure => 0.5 * predicted.abs() + 20.0,
        Quantity::Level => 1.5,
    }
}

/// Of that so much from moment to moment, when what is wrong comes and goes.
const COMES_AND_GOES: f64 = 0.15;

/// What a quantity may lie beside the straight way between both ends of what comes and goes, as a share of that way.
const BENT: f64 = 0.03;

/// How far the load side of a plant with an unknown fault may lie from a healthy one.
fn unknown_spread(quantity: Quantity, flow_size: f64, measured: f64) -> f64 {
    match quantity {
        Quantity::Power | Quantity::PhaseCurrent => 0.9,
        Quantity::OutputVoltage => 0.4,
        Quantity::Flow => 0.6 * flow_size,
        Quantity::Pressure => 60.0 + 0.5 * measured.abs(),
        Quantity::Level => 8.0,
    }
}
