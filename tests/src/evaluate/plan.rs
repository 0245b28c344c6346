//! Which cases are made. Every case draws a system of its own, so two seeds share no system: what is tuned on one
//! split has never met a system of the other.

use serde::Serialize;
use wellwright_domain::cause::Cause;

use crate::plant::{Mix, Order, Outside, SensorSet, faults};

/// Which half of the world the cases come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Split {
    /// For daily work: may be looked at as often as wanted.
    Development,
    /// For the numbers that are told: every opening is logged.
    Sealed,
}

impl Split {
    /// Seed of the split; each set adds its own small number.
    pub const fn seed(self) -> u64 {
        match self {
            Split::Development => 4_100,
            Split::Sealed => 7_318_500,
        }
    }
}

/// Why a case is in the evaluation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Set {
    /// Every cause as often as every other.
    Uniform,
    /// Causes as often as the contract's priors say.
    Priors,
    /// Healthy ones beyond those of the priors' mix.
    Healthy,
    /// Low sun, likewise.
    LowSun,
    /// Stopped as meant, likewise.
    StandingBy,
    /// What no cause of the catalogue explains.
    Outside,
}

impl Set {
    /// All sets.
    pub const ALL: [Set; 6] =
        [Set::Uniform, Set::Priors, Set::Healthy, Set::LowSun, Set::StandingBy, Set::Outside];
}

/// One case to make, and what is done with it.
#[derive(Debug, Clone, Copy)]
pub struct Item {
    /// Set it counts in.
    pub set: Set,
    /// How the plant makes it.
    pub order: Order,
    /// Checks are made as well.
    pub walk: bool,
    /// Explained once more with its cause left out of the catalogue.
    pub left_out: bool,
}

/// Sizes of all sets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// Split.
    pub split: Split,
    /// Cases of the uniform mix.
    pub uniform: u64,
    /// Cases of the priors' mix.
    pub priors: u64,
    /// Healthy cases besides.
    pub healthy: u64,
    /// Low sun besides.
    pub low_sun: u64,
    /// Standing by besides.
    pub standing_by: u64,
    /// Of the uniform mix, the first so many also have checks made.
    pub uniform_walks: u64,
    /// Of the priors' mix, likewise.
    pub priors_walks: u64,
    /// Of the uniform mix, the first so many are explained once more without their cause in the catalogue.
    pub left_out: u64,
    /// Cases that no cause of the catalogue explains.
    pub outside: u64,
}

/// Causes that the plant can show.
pub fn causes() -> u64 {
    faults::ALL.len() as u64
}

impl Plan {
    /// Sizes for about `cases` cases of the uniform mix; the other sets follow.
    pub fn of(split: Split, cases: u64) -> Plan {
        let share = |part: f64| (cases as f64 * part).round() as u64;
        match split {
            Split::Development => Plan {
                split,
                uniform: cases,
                priors: share(0.4),
                healthy: share(0.15),
                low_sun: share(0.06),
                standing_by: share(0.06),
                uniform_walks: share(0.11),
                priors_walks: share(0.06),
                left_out: share(0.2),
                outside: share(0.1),
            },
            Split::Sealed => Plan {
                split,
                uniform: cases,
                priors: share(0.6),
                healthy: share(0.4),
                low_sun: share(0.06),
                standing_by: share(0.06),
                uniform_walks: share(0.06),
                priors_walks: share(0.04),
                left_out: share(0.1),
                outside: share(0.1),
            },
        }
    }

    /// The usual size of a split: about five minutes on two cores, or, sealed, at least 2,000 healthy cases.
    pub fn usual(split: Split) -> Plan {
        Plan::of(split, if split == Split::Sealed { 4_400 } else { 264 })
    }

    /// Only one mix.
    #[must_use]
    pub fn only(mut self, mix: Mix) -> Plan {
        match mix {
            Mix::Uniform => {
                (self.priors, self.priors_walks) = (0, 0);
                (self.healthy, self.low_sun, self.standing_by) = (0, 0, 0);
            }
            Mix::Priors => {
                (self.uniform, self.uniform_walks) = (0, 0);
                (self.left_out, self.outside) = (0, 0);
            }
        }
        self
    }

    /// Telemetry and situation alone.
    #[must_use]
    pub fn without_checks(mut self) -> Plan {
        (self.uniform_walks, self.priors_walks) = (0, 0);
        self
    }

    /// The seed of a set.
    pub fn seed(&self, set: Set) -> u64 {
        self.split.seed() + set as u64
    }

    /// All cases, mixed so that those with much work are spread and progress can be foretold.
    pub fn items(&self) -> Vec<Item> {
        let mut items = Vec::new();
        let forced = |cause| (Mix::Uniform, Some(cause));
        let sets = [
            (Set::Uniform, self.uniform, (Mix::Uniform, None), self.uniform_walks, self.left_out),
            (Set::Priors, self.priors, (Mix::Priors, None), self.priors_walks, 0),
            (Set::Healthy, self.healthy, forced(Cause::Healthy), 0, 0),
            (Set::LowSun, self.low_sun, forced(Cause::LowSun), 0, 0),
            (Set::StandingBy, self.standing_by, forced(Cause::StandingBy), 0, 0),
            (Set::Outside, self.outside, (Mix::Uniform, None), 0, 0),
        ];
        for (set, count, (mix, cause), walks, left_out) in sets {
            for index in 0..count {
                // Each cause meets each set of sensors in turn.
                let turn = index % causes() + index / causes();
                let sensors = match set {
                    Set::Priors => None,
                    Set::Uniform => Some(SensorSet::ALL[turn as usize % 3]),
                    _ => Some(SensorSet::ALL[index as usize % 3]),
                };
                let strange = Outside::ALL[index as usize % Outside::ALL.len()];
                let order = Order {
                    seed: self.seed(set),
                    index,
                    mix,
                    cause,
                    sensors,
                    outside: (set == Set::Outside).then_some(strange),
                    ..Order::default()
                };
                items.push(Item { set, order, walk: index < walks, left_out: index < left_out });
            }
        }
        items.sort_by_key(|i| ((i.order.index as u32).wrapping_mul(0x9E37_79B9), i.set as u64));
        items
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_splits_share_no_seed() {
        let seeds = |split| {
            let plan = Plan::usual(split);
            Set::ALL.map(|s| plan.seed(s))
        };
        let (open, sealed) = (seeds(Split::Development), seeds(Split::Sealed));
        assert!(open.iter().all(|s| !sealed.contains(s)));
    }

    #[test]
    fn every_cause_meets_every_set_of_sensors() {
        let plan = Plan { uniform: 3 * causes(), ..Plan::usual(Split::Development) };
        let mut met = std::collections::BTreeSet::new();
        for item in plan.items().iter().filter(|i| i.set == Set::Uniform) {
            met.insert((item.order.index % causes(), item.order.sensors.unwrap().word()));
        }
        assert_eq!(met.len() as u64, 3 * causes());
    }

    #[test]
    fn the_sealed_split_is_large() {
        let plan = Plan::usual(Split::Sealed);
        // 40 to 55 of 131 to 121 parts of the priors are healthy.
        assert!(plan.healthy as f64 + 0.28 * plan.priors as f64 > 2_000.0, "{plan:?}");
    }
}
