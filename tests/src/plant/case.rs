//! One case: an invented system with a known cause, its recording and what the person tells.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::{PumpKind, System};
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::Situation;

use super::circumstances::{Circumstances, tell};
use super::dice::Dice;
use super::faults::{Damage, Outside, Shown, StandBy};
use super::joints::join;
use super::measure::record;
use super::plan::{Plan, plan};
use super::plant::Plant;
use super::record::Drawn;
use super::run::{Run, Scene, Truth};
use super::sensors::{Panel, SensorSet, fit_out};
use super::shows::shows;
use super::site::again;
use super::window::{Wants, Window, choose};

pub use super::site::{Site, make_at};
pub use super::working::{draw_working, threshold};

/// How causes are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mix {
    /// A situation at random, then the cause by the priors of the contract among those that apply; `unknown` is one
    /// of [`Outside`].
    Priors,
    /// Every cause as often as every other.
    Uniform,
}

/// What to make.
#[derive(Debug, Clone, Copy)]
pub struct Order {
    /// Seed of the set.
    pub seed: u64,
    /// Number within the set.
    pub index: u64,
    /// How the cause is drawn.
    pub mix: Mix,
    /// This cause instead of a drawn one.
    pub cause: Option<Cause>,
    /// These sensors instead of each set in turn; a set with the channel is taken when a cause needs one.
    pub sensors: Option<SensorSet>,
    /// Number of the system: the same seed and number give the same record and installation, whatever the cause, so
    /// that an evaluation can be split by system. `None`: every case has its own.
    pub system: Option<u64>,
    /// Something that no cause of the catalogue explains, instead of a cause; the answer is `unknown`.
    pub outside: Option<Outside>,
}

impl Default for Order {
    fn default() -> Order {
        Order {
            seed: 0,
            index: 0,
            mix: Mix::Uniform,
            cause: None,
            sensors: None,
            system: None,
            outside: None,
        }
    }
}

/// A case with its answer.
#[derive(Debug, Clone)]
pub struct Case {
    /// File name without extensions.
    pub name: String,
    /// The record as the person has it.
    pub system: System,
    /// The recording.
    pub samples: Vec<Sample>,
    /// Instruments, in column order.
    pub panel: Panel,
    /// What the person tells.
    pub circumstances: Circumstances,
    /// The answer.
    pub cause: Cause,
    /// What it is when the catalogue does not know it.
    pub outside: Option<Outside>,
    /// How bad, in the unit of the contract.
    pub severity: Option<f64>,
    /// Sensors.
    pub sensors: SensorSet,
    /// Kind of pump.
    pub kind: PumpKind,
    /// What really was, row by row.
    pub truth: Vec<Truth>,
    /// What really stands there, fault included.
    pub plant: Plant,
    /// What stood there before the fault.
    pub healthy: Plant,
    /// The stretch of time.
    pub window: Window,
    /// Family of the system.
    pub family: &'static str,
}

/// The system of an order: of the set and the system's number if it has one, else of the case.
fn system_dice(order: &Order, again: u64) -> Dice {
    let seed = order.seed.wrapping_add(again.wrapping_mul(0x0100_0000_0000));
    match order.system {
        Some(number) => Dice::new(seed, number, 8),
        None => Dice::new(seed, order.index, 9),
    }
}

/// Makes the case of an order; the same order always makes the same case. Where the system cannot have the cause,
/// the next of a series that starts with it is taken.
pub fn make(order: &Order) -> Case {
    let told =
        order.cause.map_or(0, |c| 16 * (c as u64 + 1)) + order.outside.map_or(0, |o| 1024 * (o as u64 + 1));
    let mut dice = Dice::new(order.seed, order.index, 1 + told);
    let mut plan_made = None;
    for again in 0.. {
        let (drawn, healthy, family) = draw_working(&mut system_dice(order, again));
        let plan = plan_made.get_or_insert_with(|| plan(order, &drawn.system, &mut dice));
        if !plan.fits(&drawn.system) {
            continue;
        }
        for _ in 0..6 {
            if let Some(case) = attempt(order, plan, (&drawn, &healthy, family), None, &mut dice) {
                return case;
            }
        }
    }
    unreachable!("one of all systems fits")
}

pub(super) fn attempt(
    order: &Order,
    plan: &Plan,
    (drawn, healthy, family): (&Drawn, &Plant, &'static str),
    at: Option<&Window>,
    dice: &mut Dice,
) -> Option<Case> {
    let Plan { fault, situation, sensors } = *plan;
    let mut system = drawn.system.clone();
    let mut plant = healthy.clone();
    let flow_900 = healthy.settled_flow(900.0, 25.0);
    let mut damage =
        Damage { plant: &mut plant, system: &drawn.system, flow_900, dice, stand_by: None, unfit: false };
    let mut severity = (fault.damage)(&mut damage);
    let (stand_by, unfit) = (damage.stand_by, damage.unfit);
    if unfit {
        return None;
    }
    let wants = Wants {
        plant: healthy,
        threshold: threshold(healthy),
        sun: fault.sun,
        stand_by,
        starts: match (fault.stops, situation) {
            (true, _) => 0.9,
            (_, Situation::InService) => 0.45,
            _ => 0.8,
        },
        offset_h: drawn.offset_h,
        air_c: drawn.air_c,
    };
    let window = match at {
        Some(at) => again(at, fault, stand_by, dice),
        None => choose(&wants, dice)?,
    };
    join(&mut system, plant.back, dice);
    let volts = f64::from(system.array.series.unwrap_or(1)) * system.array.module.vmp_v.unwrap_or(30.0);
    let mut panel = fit_out(sensors, &mut system, volts, dice);
    if let Some(change) = fault.instruments {
        severity = change(&mut panel, dice);
    }
    if stand_by == Some(StandBy::Full) {
        plant.demand *= 0.1;
    }
    let fill = flow_900 * window.seconds / plant.tank;
    let quiet = plant.drive.under_load.is_none() || system.pump.kind == PumpKind::Centrifugal;
    let late = dice.chance(0.25);
    let scene = Scene {
        sky: window.clouds(Dice::new(order.seed, order.index, 2)),
        air: window.air,
        solar_h: plant.plane.longitude / 15.0,
        switch: window.switch.clone(),
        tank: match stand_by {
            Some(StandBy::Full) if dice.chance(0.6) => 0.985,
            // Fills up within the first part of the window, the run before it counted.
            Some(StandBy::Full) => {
                let earlier = flow_900 * window.before / plant.tank;
                (0.97 - earlier - dice.uniform(0.02, 0.2) * fill).clamp(0.3, 0.985)
            }
            _ => dice.uniform(0.1, 0.5),
        },
        empty_pipe: situation == Situation::FirstStart
            && window.switch.len() == 2
            && quiet
            && dice.chance(0.5),
        onset: if late { window.start + dice.uniform(0.05, 0.4) * window.seconds } else { f64::NEG_INFINITY },
        last_row: window.start + dice.uniform(0.3, 0.8) * window.seconds,
    };
    let run = Run::new(plant.clone(), scene, Dice::new(order.seed, order.index, 3));
    let recording = record(run, &mut panel, &window, dice);
    if !shows(fault, stand_by, &plant, &recording.truth) {
        return None;
    }
    if let Some(judge) = fault.judge {
        severity = Some(judge(&Shown { plant: &plant, healthy, truth: &recording.truth }, severity)?);
    }
    let circumstances = tell(fault, situation, dice);
    Some(Case {
        name: format!("{}-{:04}", fault.cause.code().replace('_', "-"), order.index),
        kind: system.pump.kind,
        system,
        samples: recording.samples,
        panel,
        circumstances,
        cause: fault.cause,
        outside: Outside::ALL.into_iter().find(|o| std::ptr::eq(o.fault(), fault)),
        severity,
        sensors,
        truth: recording.truth,
        plant,
        healthy: healthy.clone(),
        window,
        family,
    })
}
