//! What checks cost and bring, by order.

use serde::Serialize;

use crate::evaluate::judge::Judged;
use crate::evaluate::stats::{Share, mean};
use crate::evaluate::summary::Places;
use crate::evaluate::walk::{self, Walks};

/// One order of checks.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Order {
    /// Mean minutes to the right answer, and its standard error.
    pub minutes: [f64; 2],
    /// Mean number of checks.
    pub checks: f64,
    /// Ended at the right cause.
    pub right: Share,
    /// Lifted although the cause sits elsewhere.
    pub needless_lifts: Share,
    /// Not lifted although the pump must come out, and ended elsewhere.
    pub missed_lifts: Share,
}

/// All orders at the same cases.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Walked {
    /// Cases.
    pub cases: usize,
    /// As suggested.
    pub suggested: Order,
    /// Fixed textbook order.
    pub textbook: Order,
    /// Random order.
    pub random: Order,
    /// After at most four suggested checks and no lift.
    pub after_few: Places,
}

impl Walked {
    /// Over the cases at which checks were made; `None` without any.
    pub fn of(cases: &[&Judged]) -> Option<Walked> {
        let own: Vec<(&Judged, &Walks)> =
            cases.iter().filter_map(|j| Some((*j, j.walks.as_ref()?))).collect();
        let order = |pick: fn(&Walks) -> &walk::Walked| {
            let minutes: Vec<f64> = own.iter().map(|(_, w)| pick(w).minutes_to_right()).collect();
            let checks: Vec<f64> = own.iter().map(|(_, w)| pick(w).checks.len() as f64).collect();
            let (m, error) = mean(&minutes)?;
            Some(Order {
                minutes: [m, error],
                checks: mean(&checks)?.0,
                right: Share::count(own.iter(), |(_, w)| pick(w).place == 1),
                needless_lifts: Share::count(own.iter(), |(j, w)| pick(w).needless_lift(j.cause)),
                missed_lifts: Share::count(own.iter(), |(j, w)| pick(w).missed_lift(j.cause)),
            })
        };
        Some(Walked {
            cases: own.len(),
            suggested: order(|w| &w.suggested)?,
            textbook: order(|w| &w.textbook)?,
            random: order(|w| &w.random)?,
            after_few: Places::of(own.iter().map(|(_, w)| w.place_after_few)),
        })
    }
}
