//! Things that happen to real installations and that no cause of the catalogue explains. The right answer is
//! `unknown`. Sizes are engineering judgement.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::situation::Noticed;

use super::{Damage, Fault};
use crate::plant::path::Leak;

/// Outside the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outside {
    /// A second solar pump in a neighbouring well draws the level down in step with the sun.
    NeighbourWell,
    /// A tee after the meter feeds a second user by a timer.
    TimedTee,
    /// Radio nearby stops the controller every few minutes, without a flag.
    RadioStops,
    /// A soft riser hose folds and opens again.
    BreathingHose,
    /// The controller's own currents are read right only up to a ceiling.
    CurrentCeiling,
}

impl Outside {
    /// All of them.
    pub const ALL: [Outside; 5] = [
        Outside::NeighbourWell,
        Outside::TimedTee,
        Outside::RadioStops,
        Outside::BreathingHose,
        Outside::CurrentCeiling,
    ];

    /// Word on the command line.
    pub const fn word(self) -> &'static str {
        match self {
            Outside::NeighbourWell => "neighbour_well",
            Outside::TimedTee => "timed_tee",
            Outside::RadioStops => "radio_stops",
            Outside::BreathingHose => "breathing_hose",
            Outside::CurrentCeiling => "current_ceiling",
        }
    }

    /// The one with this word.
    pub fn from_word(word: &str) -> Option<Outside> {
        Self::ALL.into_iter().find(|o| o.word() == word)
    }

    /// What it does.
    pub const fn fault(self) -> &'static Fault {
        match self {
            Outside::NeighbourWell => &NEIGHBOUR_WELL,
            Outside::TimedTee => &TIMED_TEE,
            Outside::RadioStops => &RADIO_STOPS,
            Outside::BreathingHose => &BREATHING_HOSE,
            Outside::CurrentCeiling => &CURRENT_CEILING,
        }
    }
}

static NEIGHBOUR_WELL: Fault = Fault {
    cause: Cause::Unknown,
    damage: |d: &mut Damage| {
        let room = d.plant.well.intake - d.plant.well.rest - d.plant.well.settled(d.flow_900);
        d.unfit = room < 6.0;
        let metres = d.dice.uniform(0.5, 0.9) * room.min(30.0);
        d.plant.odd.neighbour = Some((metres, d.dice.log_uniform(400.0, 2400.0)));
        None
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::StopsAndStarts, 0.15)],
    ..Fault::PLAIN
};

static TIMED_TEE: Fault = Fault {
    cause: Cause::Unknown,
    damage: |d: &mut Damage| {
        // About as much as a pipe of the same bore would take, led downhill.
        let size = d.dice.uniform(0.25, 0.8) * d.flow_900 / 3.0_f64.sqrt();
        d.plant.leak = Some(Leak { depth: 0.0, size });
        let period = d.dice.log_uniform(600.0, 3600.0);
        let shift = d.dice.uniform(0.0, period);
        d.plant.odd.timer = Some((period, d.dice.uniform(0.25, 0.6), shift));
        None
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::StopsAndStarts, 0.15)],
    ..Fault::PLAIN
};

static RADIO_STOPS: Fault = Fault {
    cause: Cause::Unknown,
    damage: |d: &mut Damage| {
        d.plant.odd.radio = Some((d.dice.log_uniform(90.0, 500.0), d.dice.log_uniform(15.0, 90.0)));
        None
    },
    noticed: &[(Noticed::StopsAndStarts, 0.7), (Noticed::LessWater, 0.3)],
    ..Fault::PLAIN
};

static BREATHING_HOSE: Fault = Fault {
    cause: Cause::Unknown,
    damage: |d: &mut Damage| {
        // As much head as the pump makes, lost at a third to two thirds of the flow.
        let head = d.plant.settled(900.0, 25.0).map_or(30.0, |h| h.load.pump.head);
        let k = head / (d.dice.uniform(0.35, 0.7) * d.flow_900).powi(2);
        d.plant.odd.hose = Some((k, d.dice.log_uniform(25.0, 180.0)));
        None
    },
    noticed: &[(Noticed::LessWater, 0.5), (Noticed::Noise, 0.4)],
    ..Fault::PLAIN
};

static CURRENT_CEILING: Fault = Fault {
    cause: Cause::Unknown,
    damage: |_| None,
    instruments: Some(|panel, dice| {
        let share = dice.uniform(0.3, 0.65);
        for channel in [Channel::ArrayA, Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA] {
            if let Some(i) = panel.of(channel) {
                i.ceiling = share * i.span;
            }
        }
        None
    }),
    noticed: &[],
    ..Fault::PLAIN
};
