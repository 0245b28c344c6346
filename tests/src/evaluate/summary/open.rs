//! Faults that the catalogue does not hold: does it say so?

use serde::Serialize;
use wellwright_domain::cause::Cause;
use wellwright_domain::finding::Verdict;

use crate::evaluate::judge::Judged;
use crate::evaluate::stats::Share;

/// A probability from which a wrong cause misleads.
const SURE: f64 = 0.8;

/// One fault that is not in the catalogue.
#[derive(Debug, Clone, Serialize)]
pub struct Stranger {
    /// Its name.
    pub name: String,
    /// `unknown` stood first or the verdict was `too_little`.
    pub owned: Share,
    /// A wrong cause stood first with 0.8 or more.
    pub misled: Share,
    /// Of those misled, called healthy: usually a fault too small to be seen.
    pub called_healthy: Share,
}

/// All of them.
#[derive(Debug, Clone, Serialize)]
pub struct Open {
    /// `unknown` or `too_little`.
    pub owned: Share,
    /// A wrong cause with 0.8 or more.
    pub misled: Share,
    /// A wrong fault with 0.8 or more (not `healthy`, `low_sun`, `standing_by`).
    pub accused: Share,
    /// By fault.
    pub each: Vec<Stranger>,
}

struct Said {
    name: String,
    first: Cause,
    probability: f64,
    verdict: Verdict,
}

impl Said {
    fn owned(&self) -> bool {
        self.first == Cause::Unknown || self.verdict == Verdict::TooLittle
    }
    fn misled(&self) -> bool {
        self.first != Cause::Unknown && self.probability >= SURE
    }
}

impl Open {
    fn of(said: &[Said]) -> Open {
        let mut names: Vec<&str> = said.iter().map(|s| s.name.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        let each = names.into_iter().map(|name| {
            let own = || said.iter().filter(move |s| s.name == name);
            Stranger {
                name: name.to_owned(),
                owned: Share::count(own(), Said::owned),
                misled: Share::count(own(), Said::misled),
                called_healthy: Share::count(own().filter(|s| s.misled()), |s| !s.first.is_fault()),
            }
        });
        Open {
            owned: Share::count(said.iter(), Said::owned),
            misled: Share::count(said.iter(), Said::misled),
            accused: Share::count(said.iter(), |s| s.misled() && s.first.is_fault()),
            each: each.collect(),
        }
    }

    /// Mechanisms that the catalogue never held.
    pub fn outside(cases: &[Judged]) -> Open {
        let said: Vec<Said> = cases
            .iter()
            .filter_map(|j| {
                let (first, probability) = j.first();
                Some(Said { name: j.outside?.to_owned(), first, probability, verdict: j.verdict })
            })
            .collect();
        Open::of(&said)
    }

    /// Each cause left out of the catalogue in turn.
    pub fn left_out(cases: &[Judged]) -> Open {
        let said: Vec<Said> = cases
            .iter()
            .filter_map(|j| {
                let l = j.left_out.as_ref()?;
                let name = j.cause.code().to_owned();
                Some(Said { name, first: l.first, probability: l.probability, verdict: l.verdict })
            })
            .collect();
        Open::of(&said)
    }
}
