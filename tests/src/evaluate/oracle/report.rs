//! The oracle beside the ranking, by sensors and by cause.

use std::fmt::Write as _;

use serde::Serialize;
use wellwright_domain::cause::Cause;

use super::{Asked, OraclePlan};
use crate::evaluate::stats::Share;
use crate::evaluate::summary::Places;
use crate::evaluate::words::percent;
use crate::plant::SensorSet;
use crate::plant::circumstances::SITUATIONS;

/// Share from which physics allows a cause to be told.
const TELLS: f64 = 0.9;

/// Both, over some recordings.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Both {
    /// Oracle, over all recordings.
    pub oracle: Places,
    /// Oracle with the priors that the ranking has, over all recordings.
    pub with_priors: Places,
    /// Ranking, over those that it was asked about.
    pub ranking: Places,
    /// Oracle over the same ones.
    pub oracle_there: Places,
}

impl Both {
    fn of<'a>(asked: impl Iterator<Item = &'a Asked>) -> Both {
        let asked: Vec<&Asked> = asked.collect();
        let both = || asked.iter().filter(|a| a.ranking.is_some());
        Both {
            oracle: Places::of(asked.iter().map(|a| a.oracle)),
            with_priors: Places::of(asked.iter().map(|a| a.oracle_by_priors)),
            ranking: Places::of(both().filter_map(|a| a.ranking)),
            oracle_there: Places::of(both().map(|a| a.oracle)),
        }
    }
}

/// One cause with one set of sensors.
#[derive(Debug, Clone, Serialize)]
pub struct Cell {
    /// Cause.
    pub cause: Cause,
    /// Sensors.
    pub sensors: &'static str,
    /// Both.
    pub both: Both,
}

/// Share of recordings when causes come by the priors, with an interval from the effective number.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Weighted {
    /// Sensors.
    pub sensors: &'static str,
    /// Oracle first, causes as often as the priors say.
    pub oracle: Share,
}

/// Everything about the oracle.
#[derive(Debug, Clone, Serialize)]
pub struct OracleReport {
    /// Sizes.
    pub plan: OraclePlan,
    /// Sites in words.
    pub sites: Vec<String>,
    /// By sensors, every cause as often.
    pub by_sensors: Vec<(&'static str, Both)>,
    /// By sensors, causes by the priors.
    pub by_priors: Vec<Weighted>,
    /// By cause and sensors.
    pub cells: Vec<Cell>,
    /// Over the cells in which the oracle reaches 0.9.
    pub told: Both,
    /// Over the others.
    pub untold: Both,
    /// By sensors, the cells in which the oracle reaches 0.9, and the others.
    pub told_by_sensors: Vec<(&'static str, Both, Both)>,
}

/// How often a cause comes, situations taken evenly.
fn frequency(cause: Cause) -> f64 {
    SITUATIONS
        .iter()
        .map(|s| cause.prior_weight(*s) / Cause::ALL.iter().map(|c| c.prior_weight(*s)).sum::<f64>())
        .sum::<f64>()
        / SITUATIONS.len() as f64
}

fn weighted(sensors: &'static str, asked: &[&Asked]) -> Weighted {
    let count = |c: Cause| asked.iter().filter(|a| a.cause == c).count() as f64;
    let weights: Vec<(f64, bool)> =
        asked.iter().map(|a| (frequency(a.cause) / count(a.cause), a.oracle_by_priors == 1)).collect();
    let sum: f64 = weights.iter().map(|w| w.0).sum();
    let squares: f64 = weights.iter().map(|w| w.0 * w.0).sum();
    let hit: f64 = weights.iter().filter(|w| w.1).map(|w| w.0).sum();
    let effective = (sum * sum / squares.max(1e-12)).round();
    Weighted {
        sensors,
        oracle: Share::of((hit / sum.max(1e-12) * effective).round() as usize, effective as usize),
    }
}

/// Sums up.
pub fn report(plan: &OraclePlan, sites: &[String], asked: &[Asked]) -> OracleReport {
    let words = SensorSet::ALL.map(SensorSet::word);
    let of_set = |word: &'static str| asked.iter().filter(move |a| a.sensors == word);
    let mut cells = Vec::new();
    for cause in Cause::ALL {
        for word in words {
            let own: Vec<&Asked> = of_set(word).filter(|a| a.cause == *cause).collect();
            if !own.is_empty() {
                cells.push(Cell { cause: *cause, sensors: word, both: Both::of(own.iter().copied()) });
            }
        }
    }
    let tells = |a: &&Asked| {
        let cell = cells.iter().find(|c| c.cause == a.cause && c.sensors == a.sensors);
        cell.is_some_and(|c| c.both.oracle.first.share >= TELLS)
    };
    OracleReport {
        plan: *plan,
        sites: sites.to_vec(),
        by_sensors: words.into_iter().map(|w| (w, Both::of(of_set(w)))).collect(),
        by_priors: words.into_iter().map(|w| weighted(w, &of_set(w).collect::<Vec<_>>())).collect(),
        told: Both::of(asked.iter().filter(tells)),
        untold: Both::of(asked.iter().filter(|a| !tells(a))),
        told_by_sensors: words
            .into_iter()
            .map(|w| (w, Both::of(of_set(w).filter(tells)), Both::of(of_set(w).filter(|a| !tells(a)))))
            .collect(),
        cells,
    }
}

fn line(name: &str, b: &Both) -> String {
    format!(
        "  {name:20} oracle first {:19} in three {:19} (with the ranking's priors {:.1} %, {:.1} %) of {:5} | ranking \
         first {:19} in three {:19} of {}",
        percent(&b.oracle.first),
        percent(&b.oracle.three),
        100.0 * b.with_priors.first.share,
        100.0 * b.with_priors.three.share,
        b.oracle.first.of,
        percent(&b.ranking.first),
        percent(&b.ranking.three),
        b.ranking.first.of
    )
}

impl OracleReport {
    /// As lines of text.
    pub fn words(&self) -> String {
        let mut text =
            String::from("\nORACLE: the true plant asked about the same recordings, every cause as often\n");
        for site in &self.sites {
            let _ = writeln!(text, "  site: {site}");
        }
        for (word, both) in &self.by_sensors {
            let _ = writeln!(text, "{}", line(word, both));
        }
        for w in &self.by_priors {
            let _ =
                writeln!(text, "  {:9} with the priors' mix: oracle first {}", w.sensors, percent(&w.oracle));
        }
        let _ = writeln!(text, "{}", line("where it reaches 0.9", &self.told));
        let _ = writeln!(text, "{}", line("elsewhere", &self.untold));
        for (word, told, untold) in &self.told_by_sensors {
            let _ = writeln!(text, "{}", line(&format!("{word}, from 0.9"), told));
            let _ = writeln!(text, "{}", line(&format!("{word}, elsewhere"), untold));
        }
        let _ = writeln!(text, "  by cause and sensors (oracle first, ranking first)");
        for cells in self.cells.chunk_by(|a, b| a.cause == b.cause) {
            let all: Vec<String> = cells
                .iter()
                .map(|c| {
                    let (o, r) = (&c.both.oracle.first, &c.both.ranking.first);
                    let ranking = if r.of > 0 { format!("{:3.0} %", 100.0 * r.share) } else { "  -".into() };
                    format!("{} {:3.0} % / {ranking}", c.sensors, 100.0 * o.share)
                })
                .collect();
            let _ = writeln!(text, "    {:24} {}", cells[0].cause.code(), all.join("   "));
        }
        text
    }
}
