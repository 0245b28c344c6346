//! What the load side of a plant would show, as straight lines in everything that is not known.
//!
//! First the lines are drawn at the record. Where the first comparison puts what is not known far from it and the
//! plant bends on the way there ([`Drawing::nearer`]), they are drawn once more at that place.

use wellwright_physics::hydraulics::{Level, WaterCondition};
use wellwright_physics::plant::{Condition, Plant};
use wellwright_physics::pump::Pump;

use super::load::{LoadFit, QUANTITIES};
use crate::causes::Hypothesis;
use crate::nuisance::Nuisance;
use crate::predict::speed::load_at;
use crate::predict::{Measured, Quantity, Row, column};
use crate::window::Steady;

/// What one condition of the load side predicts, with its slopes over everything that is not known.
#[derive(Debug, Clone)]
pub struct Predicted {
    /// At the place itself.
    pub(super) centre: Vec<f64>,
    /// At the record, along the lines.
    pub(super) mean: Vec<f64>,
    /// A standard deviation of each quantity.
    pub(super) slopes: Vec<Vec<f64>>,
    /// What no slope describes, shared and of each row's own: curvature, and where a pump barely lifts.
    pub(super) rough: Vec<(f64, f64)>,
    /// How far the severity, and that of a second cause, moves the row within its part of the grid.
    pub(super) within: [Vec<f64>; 2],
    /// How far what comes and goes moves the row at the most, at each moment by itself.
    pub(super) at_times: Vec<f64>,
    /// What a full column would show where the row reads a gauge that no water passes, kPa.
    pub(super) stands_kpa: Vec<Option<f64>>,
}

/// Moves the torque of a pump that works otherwise than it should.
fn torque(plant: &mut Plant, step: f64) {
    let c = &mut plant.condition.pump;
    match &mut c.dry_torque_share {
        Some(share) => *share *= step.exp(),
        None => c.efficiency_ratio *= (-step).exp(),
    }
}

/// Torque, ln, and resting level, m: further quantities that are not known, as widely as the hypothesis says.
pub(super) const OWN: [fn(&mut Plant, f64); 2] =
    [torque, |p, step| p.condition.water.static_deeper_m += step];

/// How a straight line is drawn.
#[derive(Clone, Copy)]
struct Line {
    /// Slopes over so many standard deviations to both sides.
    step: f64,
    /// Share of [`NEAR`] that is left where a pump barely lifts.
    barely: f64,
}

const FROM_RECORD: Line = Line { step: 1.0, barely: 1.0 };

/// Near what the first comparison says, less is left open.
const NEARER: Line = Line { step: 0.5, barely: 0.3 };

/// Farther out than so many standard deviations nothing is drawn straight.
const FARTHEST: f64 = 2.5;

/// A straight line that misses by less than this share of a row's own error is as good as the curve.
const STRAIGHT: f64 = 0.7;

/// Whose lines are drawn: those of a plant with one thing wrong, in all that was measured.
pub struct Drawing<'a> {
    /// Load side.
    pub measured: &'a Measured,
    /// As the hypothesis says.
    pub plant: &'a Plant,
    /// What is not known of any plant; after it come [`OWN`].
    pub list: &'a [Nuisance],
    /// What is wrong with it.
    pub h: &'a Hypothesis,
}

impl Drawing<'_> {
    /// Every row near the record.
    pub fn at_record(&self) -> Predicted {
        self.at(&self.record(), FROM_RECORD)
    }

    /// The lines at the record with what comes and goes, if anything does. Hypotheses that differ in nothing else
    /// share the lines.
    pub(super) fn coming_and_going(&self, lines: &Predicted) -> Option<Predicted> {
        self.h.at_times.as_ref().map(|end| self.with_way_to(end, &self.record(), lines.clone()))
    }

    /// Lines drawn where the first comparison says that the quantities lie, when these do not run straight from the
    /// record to there, or where a pump barely lifts; `None` when they do.
    ///
    /// Equation: the curve f is replaced by f(z0) + J (z - z0) at the mode z0 of the first comparison, so that the
    /// marginal density is exact where it counts (one step of Gauss and Newton, then Laplace's approximation).
    pub(super) fn nearer(&self, (first, fit): (&Predicted, &LoadFit)) -> Option<Predicted> {
        let own_at = self.list.len() + QUANTITIES.len();
        let (shared, _) = fit.errors.shared(own_at + OWN.len())?;
        let at =
            |j: usize| if j < self.list.len() { shared[j] } else { shared[own_at + j - self.list.len()] };
        let quantities = 0..self.list.len() + OWN.len();
        let mut place: Vec<f64> = quantities.map(|j| at(j).clamp(-FARTHEST, FARTHEST)).collect();
        if self.measured.points.iter().any(|p| near_lift(self.plant, p)) {
            place = self.where_it_lifts(place);
        }
        let lifts = first.rough.iter().any(|r| r.0 != 0.0);
        let curve = self.measured.predict(&self.placed(self.plant, &place));
        let bent = lifts
            || self.measured.rows.iter().enumerate().any(|(k, row)| {
                let line: f64 = first.slopes[k].iter().zip(&place).map(|(s, z)| s * z).sum();
                (curve[k] - first.mean[k] - line).abs() > STRAIGHT * row.own.max(1e-6)
            });
        bent.then(|| {
            let lines = self.at(&place, NEARER);
            match &self.h.at_times {
                Some(end) => self.with_way_to(end, &place, lines),
                None => lines,
            }
        })
    }

    /// The place that fits best on a line through the first one, along which the pump's own head grows over what is
    /// asked of it: short of lifting no reading has a slope that would lead there.
    fn where_it_lifts(&self, first: Vec<f64>) -> Vec<f64> {
        let along = self.lift_per_step(&first);
        let long = along.iter().map(|d| d * d).sum::<f64>().sqrt();
        if long <= 0.0 {
            return first;
        }
        let misfit = |place: &Vec<f64>| -> f64 {
            let curve = self.measured.predict(&self.placed(self.plant, place));
            let rows = self.measured.rows.iter().zip(curve);
            let of_rows = rows.map(|(row, said)| ((row.measured - said) / row.own.hypot(row.shared)).powi(2));
            of_rows.map(|z2| z2.min(FAR_OFF)).sum::<f64>() + place.iter().map(|z| z * z).sum::<f64>()
        };
        let farther = TRIED.iter().map(|by| {
            let moved = first.iter().zip(&along).map(|(z, d)| z + by * d / long);
            moved.map(|z| z.clamp(-FARTHEST, FARTHEST)).collect::<Vec<f64>>()
        });
        let farther = farther.map(|place| (misfit(&place), place));
        let best = farther.min_by(|a, b| a.0.total_cmp(&b.0));
        let here = misfit(&first);
        best.filter(|(other, _)| other + MUCH_BETTER < here).map_or(first, |(_, place)| place)
    }

    /// By how much ln of the pump's own head over what is asked of it grows with each quantity, at the point that is
    /// least short of lifting; nothing where none is short.
    fn lift_per_step(&self, place: &[f64]) -> Vec<f64> {
        let here = self.placed(self.plant, place);
        let points = self.measured.points.iter().filter_map(|p| Some((p, lift_ratio(&here, p)?)));
        let short = points.filter(|(_, ratio)| (0.5..1.0).contains(ratio));
        let Some((point, ratio)) = short.max_by(|a, b| a.1.total_cmp(&b.1)) else {
            return vec![0.0; place.len()];
        };
        let grows = |j: usize| {
            let mut moved = here.clone();
            self.move_one(&mut moved, j, 1.0);
            lift_ratio(&moved, point).map_or(0.0, |r| (r.max(1e-6) / ratio).ln())
        };
        (0..place.len()).map(grows).collect()
    }

    /// Where nothing differs from the record.
    fn record(&self) -> Vec<f64> {
        vec![0.0; self.list.len() + OWN.len()]
    }

    /// A plant with its quantities at a place: in 1 sigma of each, those of the list, then [`OWN`].
    fn placed(&self, plant: &Plant, place: &[f64]) -> Plant {
        let mut plant = plant.clone();
        for (j, by) in place.iter().enumerate().filter(|(_, by)| **by != 0.0) {
            self.move_one(&mut plant, j, *by);
        }
        plant
    }

    /// One quantity moved by so many of its standard deviations.
    fn move_one(&self, plant: &mut Plant, j: usize, by: f64) {
        match self.list.get(j) {
            Some(nuisance) => (nuisance.apply)(plant, by * nuisance.sigma),
            None => (OWN[j - self.list.len()])(plant, by * self.own_sigma(j)),
        }
    }

    /// Standard deviation of one of [`OWN`].
    fn own_sigma(&self, j: usize) -> f64 {
        [self.h.torque_sigma, self.h.level_sigma_m][j - self.list.len()]
    }

    /// How far every row moves from `centre` on the way to another condition at the same place.
    fn way_to(&self, end: &Condition, place: &[f64], centre: &[f64]) -> Vec<f64> {
        let mut other = self.plant.clone();
        other.condition = *end;
        let at_end = self.measured.predict(&self.placed(&other, place));
        at_end.iter().zip(centre).map(|(e, c)| e - c).collect()
    }

    fn with_way_to(&self, end: &Condition, place: &[f64], lines: Predicted) -> Predicted {
        Predicted { at_times: self.way_to(end, place, &lines.centre), ..lines }
    }

    /// Every row near a place.
    fn at(&self, place: &[f64], line: Line) -> Predicted {
        let step = line.step;
        let here = self.placed(self.plant, place);
        let centre = self.measured.predict(&here);
        let n = centre.len();
        let mut mean = centre.clone();
        // no mean lies outside of what was met on the way
        let mut met: Vec<(f64, f64)> = centre.iter().map(|c| (*c, *c)).collect();
        let mut bent = vec![0.0; n];
        let mut slopes = vec![vec![0.0; place.len()]; n];
        let mut rough = barely_lifts(self.measured, &here, n, line.barely);
        for j in (0..place.len()).filter(|j| *j < self.list.len() || self.own_sigma(*j) > 0.0) {
            let moved = |by: f64| {
                let mut p = here.clone();
                self.move_one(&mut p, j, by);
                self.measured.predict(&p)
            };
            let (up, down) = (moved(step), moved(-step));
            for k in 0..n {
                slopes[k][j] = 0.5 * (up[k] - down[k]) / step;
                let bend = 0.5 * (up[k] + down[k] - 2.0 * centre[k]);
                bent[k] += bend * bend.abs();
                met[k] = (met[k].0.min(up[k]).min(down[k]), met[k].1.max(up[k]).max(down[k]));
                mean[k] -= slopes[k][j] * place[j];
                rough[k].1 = rough[k].1.hypot(0.5 * bend);
            }
        }
        for k in 0..n {
            let bend = bent[k].signum() * bent[k].abs().sqrt();
            mean[k] += (centre[k] + bend).clamp(met[k].0, met[k].1) - centre[k];
        }
        let nothing = vec![0.0; n];
        let within = [&self.h.edge, &self.h.second_edge].map(|edge| match edge {
            // uniform over the part: half its width over root 3
            Some(end) => {
                self.way_to(end, place, &centre).into_iter().map(|d| d * (1.0 / 3f64.sqrt())).collect()
            }
            None => nothing.clone(),
        });
        let stands_kpa =
            self.measured.rows.iter().map(|row| standing_kpa(self.measured, &here, row)).collect();
        Predicted { centre, mean, slopes, rough, within, at_times: nothing, stands_kpa }
    }
}

/// See [`Predicted::stands_kpa`].
fn standing_kpa(measured: &Measured, plant: &Plant, row: &Row) -> Option<f64> {
    let point = measured.points.get(row.point).filter(|_| row.quantity == Quantity::Pressure)?;
    column::stands_kpa(plant, &load_at(plant, point).water)
}

/// Errors of the rows at points where a centrifugal pump barely lifts, or barely does not: there a per cent of head
/// decides between some flow and none; of the shared part the share `open`. Nothing elsewhere.
fn barely_lifts(measured: &Measured, plant: &Plant, n: usize, open: f64) -> Vec<(f64, f64)> {
    let near: Vec<bool> = measured.points.iter().map(|p| near_lift(plant, p)).collect();
    if !near.contains(&true) {
        return vec![(0.0, 0.0); n];
    }
    let with_head = |head: f64| {
        let mut other = plant.clone();
        other.condition.pump.size_ratio *= head;
        // the head alone: a larger pump would take more for it
        other.condition.pump.efficiency_ratio *= head;
        measured.predict(&other)
    };
    let width = if measured.points.iter().any(|p| p.averaged) { NEAR_AVERAGED } else { NEAR };
    let (up, down) = (with_head(1.0 + width), with_head(1.0 - width));
    let rows = measured.rows.iter().enumerate();
    rows.map(|(k, row)| {
        let half = if near.get(row.point) == Some(&true) { 0.5 * (up[k] - down[k]) } else { 0.0 };
        let averaged = measured.points.get(row.point).is_some_and(|p| p.averaged);
        (open * half, if averaged { ALONE_AVERAGED } else { ALONE } * half.abs())
    })
    .collect()
}

/// Of that so much is each row's own.
const ALONE: f64 = 0.15;

/// The same where the row is a mean over changing speed: it lifts for some of the time.
const ALONE_AVERAGED: f64 = 0.5;

/// Half the width in head over which it is not sure whether a pump lifts; and in a mean over changing speed.
const NEAR: f64 = 0.1;
const NEAR_AVERAGED: f64 = 0.2;

/// Places tried on the line along which a pump comes to lift, 1 sigma.
const TRIED: [f64; 4] = [0.5, 1.0, 1.6, 2.4];

/// A place must fit so much better, squared standard deviations: beside a place that nearly fits the lines are good.
const MUCH_BETTER: f64 = 12.0;

/// A row farther off than so many squared standard deviations is met no worse by one place than by another.
const FAR_OFF: f64 = 100.0;

fn near_lift(plant: &Plant, p: &Steady) -> bool {
    // means over changing speed mix lifting and not lifting
    let (below, above) = if p.averaged { (0.7, 1.5) } else { (0.8, 1.25) };
    lift_ratio(plant, p).is_some_and(|ratio| (below..above).contains(&ratio))
}

/// Head of a centrifugal pump at no flow over what is asked of it.
fn lift_ratio(plant: &Plant, p: &Steady) -> Option<f64> {
    let Pump::Centrifugal(pump) = &plant.pump else { return None };
    let rpm = if p.guessed_by_w.is_some() { load_at(plant, p).rpm } else { p.rpm()? };
    let level = Level::After { minutes: p.minutes };
    let own = pump.head_m(rpm * plant.condition.lead.true_speed, 0.0, &plant.condition.pump);
    // up to the outlet, whatever a hole lets go on the way
    let whole = WaterCondition { riser_leak_m3_h: 0.0, ..plant.condition.water };
    Some(own / plant.water.head_m(&whole, level, 0.0).max(0.1))
}
