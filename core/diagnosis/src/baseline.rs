//! What a recording from a time when all was well tells of this one system.
//!
//! Head, efficiency, magnets, pipes, modules: each lies somewhere within its tolerance of the record, and stays
//! there. The baseline's rows under the healthy plant say where: mean and covariance of what is the same then and
//! now. With them the same quantities are narrower in the window. Of the error that the readings of one sensor share
//! in a window most of the variance stays (the sensor's own, and how the model differs from the plant), the rest and
//! the cell temperature are each window's own. What a season or a year may change (levels, pipes, wear of a per cent)
//! is let loose again.

use chrono::{DateTime, FixedOffset};
use nalgebra::DMatrix;
use wellwright_domain::baseline::{BaselineRefused, BaselineUse, Narrowed};
use wellwright_physics::plant::{ArrayCondition, Assumed, Plant};

use crate::case::Case;
use crate::causes::Hypothesis;
use crate::likelihood::SharedErrors;
use crate::nuisance::{Nuisance, level_of, nuisances};
use crate::predict::outcome;
use crate::predict::peaks::Peaks;
use crate::predict::sun::{ArrayQuestion, LASTING, SunSide};
use crate::predict::{Measured, reference_flow};
use crate::refuted::sift;
use crate::score::straight::Drawing;
use crate::score::{electrical, load};
use crate::window::{Look, recent};
use wellwright_domain::cause::Cause;

/// What may change between the baseline and the window, in units of the spread before (engineering judgement): levels
/// with the season, pipes with scale, the rest hardly.
const SINCE: [(&str, f64); 4] =
    [("static_level", 0.8), ("drawdown", 0.4), ("riser_friction", 0.4), ("surface_friction", 0.4)];
const SINCE_OTHERWISE: f64 = 0.15;

/// Of the variance of an error that a window's readings share so much stays from window to window (engineering
/// judgement: the class of a sensor is mostly its calibration, and how the model differs from the plant stays wholly;
/// but sensors drift, and one may be replaced).
const STAYS: f64 = 0.75;

/// Narrower than this share of before it is told.
const TOLD_BELOW: f64 = 0.8;

/// Mean and covariance of quantities that were of mean 0 and spread 1.
#[derive(Debug, Clone)]
pub struct Known {
    names: Vec<&'static str>,
    mean: Vec<f64>,
    /// Root of the covariance, lower triangle.
    root: DMatrix<f64>,
}

impl Known {
    /// From a baseline's rows, whose first shared errors are named; `None` when they tell nothing.
    fn new(rows: &SharedErrors, names: Vec<&'static str>) -> Option<Known> {
        if rows.is_empty() {
            return None;
        }
        let (mean, mut covariance) = rows.shared(names.len())?;
        for (k, name) in names.iter().enumerate() {
            let since = SINCE.iter().find(|(n, _)| n == name).map_or(SINCE_OTHERWISE, |(_, s)| *s);
            covariance[(k, k)] += since * since;
        }
        let root = covariance.cholesky()?.l();
        Some(Known { names, mean: mean.iter().copied().collect(), root })
    }

    /// How far what is known moves a row with these loadings; the loadings become those on what is left unknown.
    pub fn narrow(&self, loads: &mut [f64]) -> f64 {
        let n = self.mean.len();
        let before: Vec<f64> = loads[..n].to_vec();
        for (k, load) in loads[..n].iter_mut().enumerate() {
            *load = (k..n).map(|i| self.root[(i, k)] * before[i]).sum();
        }
        before.iter().zip(&self.mean).map(|(u, m)| u * m).sum()
    }

    /// What is narrower than before, narrowest first.
    fn narrowed(&self) -> Vec<Narrowed> {
        let left = |k: usize| self.root.row(k).norm();
        let rounded = |x: f64| (100.0 * x).round() / 100.0;
        let mut out: Vec<Narrowed> = (0..self.mean.len())
            .filter(|k| left(*k) < TOLD_BELOW)
            .map(|k| Narrowed {
                of: self.names[k].to_owned(),
                moved: rounded(self.mean[k]),
                left: rounded(left(k)),
            })
            .collect();
        out.sort_by(|a, b| a.left.total_cmp(&b.left));
        out
    }
}

/// What stands beside a window.
#[derive(Debug, Clone, Copy)]
pub enum Beside<'k> {
    /// No other window.
    Nothing,
    /// This window is the baseline itself.
    Taking,
    /// A baseline that was taken in.
    Known(&'k Known),
}

impl<'k> Beside<'k> {
    /// A baseline, if there is one.
    pub fn of(known: Option<&'k Known>) -> Beside<'k> {
        known.map_or(Beside::Nothing, Beside::Known)
    }

    /// True without another window.
    pub fn is_nothing(&self) -> bool {
        matches!(self, Beside::Nothing)
    }

    /// The part of a shared error that is the same in both windows, and the part that is this window's own.
    pub fn parts(&self, shared: f64) -> (f64, f64) {
        if self.is_nothing() { (0.0, shared) } else { (STAYS.sqrt() * shared, (1.0 - STAYS).sqrt() * shared) }
    }

    /// As [`Known::narrow`]; nothing moves without a baseline.
    pub fn narrow(&self, loads: &mut [f64]) -> f64 {
        match self {
            Beside::Known(known) => known.narrow(loads),
            _ => 0.0,
        }
    }
}

/// A baseline, taken in or refused.
pub struct Baseline {
    known: Option<(Option<Known>, Option<Known>)>,
    told: BaselineUse,
}

impl Baseline {
    /// Takes in the baseline of a case; `None` when it has none. Of a long one only the end is looked at.
    pub fn new(
        case: &Case,
        plant: &Plant,
        assumed: &[Assumed],
        sun_up: impl Fn(DateTime<FixedOffset>) -> bool,
    ) -> Option<Baseline> {
        if case.baseline.is_empty() {
            return None;
        }
        let look = sift(case.baseline, recent(case.baseline), sun_up, case.system, plant).look;
        let from = look.span.map(|s| s.0);
        let told = BaselineUse { from, rows: look.rows, refused: None, narrowed: Vec::new() };
        let latent = nuisances(case.system, assumed);
        Some(match rows(case, plant, assumed, &latent, &look) {
            Err(refused) => Baseline { known: None, told: BaselineUse { refused: Some(refused), ..told } },
            Ok((load, sun)) => {
                let names = latent.iter().map(|n| n.name).chain(load::SENSORS).collect();
                let known = (Known::new(&load, names), Known::new(&sun, LASTING.to_vec()));
                let narrowed = [&known.0, &known.1].into_iter().flatten().flat_map(Known::narrowed).collect();
                Baseline { known: Some(known), told: BaselineUse { narrowed, ..told } }
            }
        })
    }

    /// What it tells of the load side.
    pub fn load(&self) -> Option<&Known> {
        self.known.as_ref()?.0.as_ref()
    }

    /// What it tells of the array.
    pub fn sun(&self) -> Option<&Known> {
        self.known.as_ref()?.1.as_ref()
    }

    /// What is said of it.
    pub fn told(self) -> BaselineUse {
        self.told
    }
}

/// The baseline's rows under the healthy plant: load side and array side.
fn rows(
    case: &Case,
    plant: &Plant,
    assumed: &[Assumed],
    latent: &[Nuisance],
    look: &Look,
) -> Result<(SharedErrors, SharedErrors), BaselineRefused> {
    let measured = Measured::new(case.system, plant, look);
    if measured.rows.is_empty() {
        return Err(BaselineRefused::NothingToCompare);
    }
    if outcome::observed(look).is_some_and(crate::window::Outcome::is_trip) {
        return Err(BaselineRefused::StopsItself);
    }
    let healthy = Hypothesis::new(Cause::Healthy);
    let predicted = Drawing { measured: &measured, plant, list: latent, h: &healthy }.at_record();
    let load = load::fit(
        &measured,
        plant,
        &predicted,
        &healthy,
        load::Pipes { flow_size: reference_flow(plant), may_be_empty: false, level: level_of(latent) },
        Beside::Taking,
    )
    .errors;
    let side = SunSide::new(case.system, plant, assumed, look);
    let free: Vec<bool> = measured.points.iter().map(|p| electrical::only_sun_limits(plant, p)).collect();
    let free = side.matching(&free);
    let sun = if side.has_points() {
        let question = ArrayQuestion {
            condition: ArrayCondition::default(),
            stuck: vec![false; free.len()],
            keeps: false,
            free,
            loose: false,
            sensor_ratio: 1.0,
            clear: None,
        };
        side.fit(plant, &Peaks::new(plant, &ArrayCondition::default()), &question, Beside::Taking).errors
    } else {
        SharedErrors::default()
    };
    if [&load, &sun].into_iter().any(|e| e.misfit() * e.len() as f64 > ordinary(e.len())) {
        return Err(BaselineRefused::NotHealthy);
    }
    Ok((load, sun))
}

/// The squared distance that so many rows of a healthy system exceed once in a thousand: chi-square, by the first
/// terms of its expansion in the normal quantile 3.09 (Cornish and Fisher; within 1 % from 2 rows on).
fn ordinary(rows: usize) -> f64 {
    let (n, z) = (rows as f64, 3.09f64);
    n + z * (2.0 * n).sqrt() + 2.0 / 3.0 * (z * z - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Chi-square, upper 0.1 %, any table: 22.46 at 6, 59.70 at 30.
    #[test]
    fn what_is_ordinary_is_that_of_the_table() {
        assert!((ordinary(6) / 22.46 - 1.0).abs() < 0.01, "{}", ordinary(6));
        assert!((ordinary(30) / 59.70 - 1.0).abs() < 0.01, "{}", ordinary(30));
    }

    #[test]
    fn a_narrowed_row_has_the_variance_of_what_is_left() {
        let mut e = SharedErrors::default();
        e.push(2.0, 0.5, vec![1.0, 0.4]);
        e.push(-0.5, 0.3, vec![0.2, 0.9]);
        let known = Known::new(&e, vec!["a", "b"]).unwrap();
        let (mean, covariance) = e.shared(2).unwrap();
        let u = [0.7, -0.3];
        let mut left = u;
        let moved = known.narrow(&mut left);
        assert!((moved - (u[0] * mean[0] + u[1] * mean[1])).abs() < 1e-12);
        let since = SINCE_OTHERWISE * SINCE_OTHERWISE;
        let wanted = u[0] * u[0] * (covariance[(0, 0)] + since)
            + u[1] * u[1] * (covariance[(1, 1)] + since)
            + 2.0 * u[0] * u[1] * covariance[(0, 1)];
        assert!((left[0] * left[0] + left[1] * left[1] - wanted).abs() < 1e-12);
    }
}
