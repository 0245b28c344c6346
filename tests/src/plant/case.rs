//! One case: an invented system with a known cause, its recording and what the person tells.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::{PumpKind, System};
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::Situation;

use super::as_built::as_built;
use super::circumstances::{Circumstances, SITUATIONS, situation_for, tell};
use super::dice::Dice;
use super::faults::{self, Damage, Fault, StandBy};
use super::joints::join;
use super::measure::record;
use super::plant::Plant;
use super::record::{Drawn, FAMILIES, draw_system};
use super::run::{Run, Scene, Truth};
use super::sensors::{Panel, SensorSet, fit_out};
use super::window::{Wants, Window, choose};

/// How causes are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mix {
    /// A situation at random, then the cause by the priors of the contract.
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
    /// These sensors instead of each set in turn.
    pub sensors: Option<SensorSet>,
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

/// Draws a system that works when healthy, and how it was built. Tries again until one does.
pub fn draw_working(dice: &mut Dice) -> (Drawn, Plant, &'static str) {
    loop {
        let family = &FAMILIES[dice.int(0, FAMILIES.len() - 1)];
        let Some(drawn) = draw_system(family, dice) else { continue };
        let plant = as_built(&drawn.system, &drawn.fitted, dice);
        if works(&plant, &drawn) {
            return (drawn, plant, family.name);
        }
    }
}

/// Lifts a fair flow at good sun, some at middling sun, and keeps water over intake and probe.
fn works(plant: &Plant, drawn: &Drawn) -> bool {
    let good = plant.settled_flow(900.0, 30.0);
    let deepest = drawn.fitted.dry_probe_depth_m.unwrap_or(plant.well.intake) - 0.7;
    good > 0.45 * drawn.design_q
        && plant.settled_flow(600.0, 25.0) > 0.1 * drawn.design_q
        && plant.well.rest + plant.well.settled(1.15 * good.max(drawn.design_q)) * 1.25 < deepest
}

/// Light at which a twentieth of the flow at 900 W/m2 comes, W/m2.
pub fn threshold(plant: &Plant) -> f64 {
    let aim = 0.05 * plant.settled_flow(900.0, 25.0);
    let (mut low, mut high) = (20.0, 900.0);
    for _ in 0..12 {
        let mid = f64::midpoint(low, high);
        if plant.settled_flow(mid, 20.0) > aim { high = mid } else { low = mid }
    }
    high
}

fn choose_cause(order: &Order, dice: &mut Dice) -> (&'static Fault, Situation) {
    if let Some(fault) = order.cause.and_then(faults::of) {
        return (fault, situation_for(fault.cause, dice));
    }
    match order.mix {
        Mix::Uniform => {
            let fault = faults::ALL[order.index as usize % faults::ALL.len()];
            (fault, situation_for(fault.cause, dice))
        }
        Mix::Priors => {
            let situation = dice.pick(&SITUATIONS);
            let weights = faults::ALL.map(|f| f.cause.prior_weight(situation));
            (faults::ALL[dice.weighted(&weights)], situation)
        }
    }
}

/// Makes the case of an order; the same order always makes the same case.
pub fn make(order: &Order) -> Case {
    let mut dice = Dice::new(order.seed, order.index, 1);
    let (fault, situation) = choose_cause(order, &mut dice);
    let turn = (order.index / faults::ALL.len() as u64) as usize % SensorSet::ALL.len();
    let sensors = order.sensors.unwrap_or(match order.mix {
        Mix::Uniform => SensorSet::ALL[turn],
        Mix::Priors => dice.pick(&SensorSet::ALL),
    });
    loop {
        if let Some(case) = attempt(order, fault, situation, sensors, &mut dice) {
            return case;
        }
    }
}

fn attempt(
    order: &Order,
    fault: &'static Fault,
    situation: Situation,
    sensors: SensorSet,
    dice: &mut Dice,
) -> Option<Case> {
    let (drawn, healthy, family) = draw_working(dice);
    let mut system = drawn.system.clone();
    let mut plant = healthy.clone();
    let flow_900 = healthy.settled_flow(900.0, 25.0);
    let mut damage = Damage { plant: &mut plant, flow_900, dice, stand_by: None };
    let severity = (fault.damage)(&mut damage);
    let stand_by = damage.stand_by;
    let wants = Wants {
        plant: &healthy,
        threshold: threshold(&healthy),
        sun: fault.sun,
        stand_by,
        starts: if situation == Situation::InService { 0.45 } else { 0.8 },
        offset_h: drawn.offset_h,
        air_c: drawn.air_c,
    };
    let window = choose(&wants, dice)?;
    join(&mut system, plant.back, dice);
    let volts = f64::from(system.array.series.unwrap_or(1)) * system.array.module.vmp_v.unwrap_or(30.0);
    let mut panel = fit_out(sensors, &mut system, volts, dice);
    if stand_by == Some(StandBy::Full) {
        plant.demand *= 0.1;
    }
    let fill = flow_900 * window.seconds / plant.tank;
    let quiet = plant.drive.under_load.is_none() || system.pump.kind == PumpKind::Centrifugal;
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
    };
    let run = Run::new(plant.clone(), scene, Dice::new(order.seed, order.index, 3));
    let recording = record(run, &mut panel, &window, dice);
    if !shows(fault, stand_by, &recording.truth) {
        return None;
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
        severity,
        sensors,
        truth: recording.truth,
        plant,
        healthy,
        window,
        family,
    })
}

/// The recording is what its cause says: a stand-by stands, low sun lifts next to nothing.
fn shows(fault: &Fault, stand_by: Option<StandBy>, truth: &[Truth]) -> bool {
    use wellwright_domain::flags::PumpState;
    let n = truth.len();
    if n < 20 {
        return false;
    }
    if stand_by.is_some() {
        let still = truth.iter().filter(|t| t.state == PumpState::Stopped).count();
        return still * 10 > n * 6 && truth[n - 1].state == PumpState::Stopped;
    }
    if fault.cause == Cause::LowSun {
        return truth.iter().filter(|t| t.flow > 0.3).count() * 10 < n;
    }
    true
}
