//! What is played: a stretch of time with a person who switches the pump on and looks on.

use chrono::{DateTime, FixedOffset, NaiveDate};
use wellwright_domain::cause::Cause;
use wellwright_domain::flags::PumpState;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::{Noticed, Situation, Touched};
use wellwright_physics::plant::Plant;

use crate::dice::Dice;
use crate::error::SimError;
use crate::fault::Fault;
use crate::system::{SimSystem, Truth};
use crate::weather::{Weather, good_sun};

/// Time steps that give a usable simulation, s.
const STEP_RANGE_S: (f64, f64) = (0.1, 60.0);
/// The day that is played unless another is wanted: as good as any.
const DAY: (i32, u32, u32) = (2026, 3, 14);
/// After switching on, the person waits so long before judging the water, s.
const LOOK_AFTER_S: f64 = 300.0;

/// What is played.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// What is wrong.
    pub fault: Fault,
    /// Decides every draw.
    pub seed: u64,
    /// Sky.
    pub weather: Weather,
    /// First instant.
    pub start: DateTime<FixedOffset>,
    /// How long, s.
    pub length_s: u32,
    /// Time step, s.
    pub step_s: f64,
    /// Switched on so long after the start, s; 0 is on from the start.
    pub switch_on_after_s: f64,
    /// When in the life of the system.
    pub situation: Situation,
    /// What was worked on.
    pub touched: Vec<Touched>,
}

/// A scenario that was played.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// What the controller and the sensors said.
    pub samples: Vec<Sample>,
    /// What was really so, one for each sample.
    pub truths: Vec<Truth>,
    /// What the person noticed, from the water that really came.
    pub noticed: Vec<Noticed>,
    /// Severity of the fault, given or drawn.
    pub severity: Option<f64>,
}

impl Scenario {
    /// The usual scenario of a fault: 40 minutes at 1 Hz in good sun, switched off at first, switched on
    /// after 1 to 2 minutes; sky, situation and what was touched by the seed.
    ///
    /// # Errors
    /// [`SimError`] as [`Fault::check`], or a record that physics does not answer.
    pub fn plan(system: &System, fault: Fault, seed: u64) -> Result<Scenario, SimError> {
        fault.check()?;
        let mut dice = Dice::new(seed, "scenario");
        let (plant, _) = Plant::from_record(system)?;
        let (year, month, day) = DAY;
        let day = NaiveDate::from_ymd_opt(year, month, day).unwrap_or_default();
        let weather = match dice.index(4) {
            0 => Weather::Broken,
            1 => Weather::Hazy,
            _ => Weather::Clear,
        };
        let switch_on_after_s = dice.between(60.0, 120.0).round();
        let (situation, touched) = circumstances(fault.cause, &mut dice);
        Ok(Scenario {
            fault,
            seed,
            weather: if fault.cause == Cause::LowSun { Weather::Overcast } else { weather },
            start: good_sun(&plant.view, &system.site, day),
            length_s: 2400,
            step_s: 1.0,
            switch_on_after_s,
            situation,
            touched,
        })
    }

    /// The same under another sky.
    #[must_use]
    pub fn with_weather(mut self, weather: Weather) -> Scenario {
        self.weather = weather;
        self
    }

    /// The same at another time; its offset is that of every sample.
    #[must_use]
    pub fn with_start(mut self, start: DateTime<FixedOffset>) -> Scenario {
        self.start = start;
        self
    }

    /// The same for so many seconds.
    #[must_use]
    pub fn with_length_s(mut self, length_s: u32) -> Scenario {
        self.length_s = length_s;
        self
    }

    /// The same with another time step, s (0.1 to 60).
    #[must_use]
    pub fn with_step_s(mut self, step_s: f64) -> Scenario {
        self.step_s = step_s;
        self
    }

    /// Number of samples.
    pub fn steps(&self) -> u32 {
        (f64::from(self.length_s) / self.step_s).ceil() as u32
    }

    /// True when the switch is on.
    pub fn is_on(&self, elapsed_s: f64) -> bool {
        elapsed_s >= self.switch_on_after_s
    }

    /// Whether it can be played.
    ///
    /// # Errors
    /// [`SimError::Step`], or as [`Fault::check`].
    pub fn check(&self) -> Result<(), SimError> {
        if !(self.step_s >= STEP_RANGE_S.0 && self.step_s <= STEP_RANGE_S.1) {
            return Err(SimError::Step(self.step_s));
        }
        self.fault.check()
    }

    /// Plays it to its end, as fast as the machine can.
    ///
    /// # Errors
    /// As [`SimSystem::play`].
    pub fn run(&self, system: &System) -> Result<Recording, SimError> {
        let mut sim = SimSystem::play(system, self)?;
        let (samples, truths): (Vec<_>, Vec<_>) = (0..self.steps()).map(|_| sim.advance()).unzip();
        let noticed = self.noticed(system, &truths)?;
        Ok(Recording { samples, truths, noticed, severity: sim.severity() })
    }

    /// What a person would notice beside what the same system would do if nothing were wrong.
    fn noticed(&self, system: &System, truths: &[Truth]) -> Result<Vec<Noticed>, SimError> {
        // nobody wonders that no water comes under black cloud, from a full tank or a switch that is off
        if self.fault.cause.is_sound() {
            return Ok(Vec::new());
        }
        let skip = ((self.switch_on_after_s + LOOK_AFTER_S) / self.step_s) as usize;
        let mut twin = SimSystem::play(system, &Scenario { fault: Fault::HEALTHY, ..self.clone() })?;
        let healthy: f64 = (0..self.steps()).map(|_| twin.advance().1.tank_m3_h).skip(skip).sum();
        let came: f64 = truths.iter().skip(skip).map(|t| t.tank_m3_h).sum();
        let mut noticed = Vec::new();
        if healthy > 0.0 {
            if came < 0.1 * healthy {
                noticed.push(Noticed::NoWater);
            } else if came < 0.8 * healthy {
                noticed.push(Noticed::LessWater);
            }
        }
        let starts = truths
            .windows(2)
            .filter(|w| w[0].state != PumpState::Starting && w[1].state == PumpState::Starting)
            .count();
        if starts > 1 {
            noticed.push(Noticed::StopsAndStarts);
        }
        Ok(noticed)
    }
}

/// When such a fault shows, and what was touched before (engineering judgement).
fn circumstances(cause: Cause, dice: &mut Dice) -> (Situation, Vec<Touched>) {
    let after_work = dice.yes(0.3);
    match cause {
        Cause::ReversedRotation | Cause::OpenPhase if after_work => {
            (Situation::AfterRepair, vec![Touched::Joint])
        }
        Cause::UndersizedDropCable if after_work => (Situation::AfterRepair, vec![Touched::Cable]),
        Cause::ReversedRotation | Cause::OpenPhase | Cause::UndersizedDropCable => {
            (Situation::FirstStart, Vec::new())
        }
        Cause::HighResistanceJoint => (Situation::AfterRepair, vec![Touched::Joint]),
        Cause::ClosedValve if after_work => (Situation::FirstStart, Vec::new()),
        Cause::ClosedValve => (Situation::AfterRepair, vec![Touched::Pipework]),
        _ => (Situation::InService, Vec::new()),
    }
}
