//! One case: an invented system with a known cause, its recording and what the person tells.

use wellwright_domain::cause::Cause;
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::record::{PumpKind, System};
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::Situation;

use super::as_built::as_built;
use super::circumstances::{Circumstances, SITUATIONS, situation_for, tell};
use super::dice::Dice;
use super::faults::{self, Damage, Fault, Outside, Shown, StandBy};
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

/// What a case is about.
struct Plan {
    fault: &'static Fault,
    situation: Situation,
    sensors: SensorSet,
}

impl Plan {
    /// The cause can occur in this system with these sensors.
    fn fits(&self, system: &System) -> bool {
        applies(self.fault.cause, system, self.sensors)
    }
}

/// The contract's `applies_to`, before the sensors are fitted.
fn applies(cause: Cause, system: &System, sensors: SensorSet) -> bool {
    cause.applies(system, |channel| sensors.has(channel))
}

/// A set with the channel that a cause needs, in turn.
fn set_for(fault: &Fault, wanted: Option<SensorSet>, turn: usize) -> SensorSet {
    let can: Vec<SensorSet> = SensorSet::ALL.into_iter().filter(|s| s.can_show(fault.cause)).collect();
    wanted.filter(|w| can.contains(w)).unwrap_or(can[turn % can.len()])
}

fn plan(order: &Order, system: &System, dice: &mut Dice) -> Plan {
    let turn = (order.index / faults::ALL.len() as u64) as usize;
    if let Some(outside) = order.outside {
        let situation = situation_for(Cause::Unknown, dice);
        return Plan {
            fault: outside.fault(),
            situation,
            sensors: order.sensors.unwrap_or(SensorSet::ALL[turn % 3]),
        };
    }
    if order.cause.is_some() || order.mix == Mix::Uniform {
        let fault = order.cause.and_then(faults::of);
        let fault = fault.unwrap_or(faults::ALL[order.index as usize % faults::ALL.len()]);
        let sensors = set_for(fault, order.sensors, turn);
        return Plan { fault, situation: situation_for(fault.cause, dice), sensors };
    }
    let situation = dice.pick(&SITUATIONS);
    let sensors = order.sensors.unwrap_or_else(|| dice.pick(&SensorSet::ALL));
    let weight = |cause: Cause| {
        if applies(cause, system, sensors) { cause.prior_weight(situation) } else { 0.0 }
    };
    let mut weights: Vec<f64> = faults::ALL.iter().map(|f| weight(f.cause)).collect();
    weights.push(weight(Cause::Unknown));
    let fault = match faults::ALL.get(dice.weighted(&weights)) {
        Some(fault) => fault,
        None => dice.pick(&Outside::ALL).fault(),
    };
    Plan { fault, situation, sensors }
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
            if let Some(case) = attempt(order, plan, (&drawn, &healthy, family), &mut dice) {
                return case;
            }
        }
    }
    unreachable!("one of all systems fits")
}

fn attempt(
    order: &Order,
    plan: &Plan,
    (drawn, healthy, family): (&Drawn, &Plant, &'static str),
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
    let window = choose(&wants, dice)?;
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

/// The recording is what its cause says: a stand-by stands, low sun lifts next to nothing, a well that gives too
/// little is drawn down to where the pump stops or takes air, and what shows at a start has one.
fn shows(fault: &Fault, stand_by: Option<StandBy>, plant: &Plant, truth: &[Truth]) -> bool {
    let n = truth.len();
    if n < 20 {
        return false;
    }
    let share = |of: &dyn Fn(&Truth) -> bool| truth.iter().filter(|t| of(t)).count() as f64 / n as f64;
    if stand_by.is_some() {
        return share(&|t| t.state == PumpState::Stopped) > 0.6 && truth[n - 1].state == PumpState::Stopped;
    }
    // A tank that happens to be full for long would be a stand-by, not this cause.
    if fault.cause != Cause::StuckFloat && share(&|t| t.flags.has(Flag::TankFull)) > 0.25 {
        return false;
    }
    if fault.stops
        && !truth.windows(2).any(|w| w[0].state != PumpState::Running && w[1].state == PumpState::Running)
    {
        return false;
    }
    match fault.cause {
        Cause::LowSun => share(&|t| t.flow > 0.3) < 0.1,
        Cause::WellYieldLimit => truth.iter().any(|t| {
            t.depth > plant.well.intake - 0.15 || t.flags.has(Flag::DryProbe) || t.flags.has(Flag::UnderLoad)
        }),
        _ => true,
    }
}
