//! A plant changed by one cause at one severity, and what a cause may look at to say so.

use std::cell::RefCell;

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::record::System;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::{Condition, Plant};

use crate::predict::Quantity;
use crate::predict::outcome::OutcomeTable;
use crate::predict::sky::SkyShift;
use crate::window::Look;

/// How a sensor is wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SensorWrong {
    /// It reads so many times the truth.
    Ratio(f64),
    /// It reads so much more than the truth, in the channel's unit.
    Offset(f64),
}

/// A plant changed by one cause at one severity.
#[derive(Debug, Clone)]
pub struct Hypothesis {
    /// Which cause.
    pub cause: Cause,
    /// How bad, in the unit of the table; `None` where the cause has no severity.
    pub severity: Option<f64>,
    /// What differs (`record_mismatch` only).
    pub of: Option<&'static str>,
    /// Share of the cause's prior; the weights of one cause sum to 1.
    pub weight: f64,
    /// What is wrong with the plant.
    pub condition: Condition,
    /// What the controller does, when it is not what the physics of the plant says.
    pub outcome: Option<OutcomeTable>,
    /// How loosely the electrical side of the load follows the model, 1 sigma of ln (0: as usual).
    pub loose_electrical: f64,
    /// How far the torque may lie from what the hypothesis says, 1 sigma of ln; shared by the window.
    pub torque_sigma: f64,
    /// How much the torque changes from moment to moment, 1 sigma of ln.
    pub torque_scatter: f64,
    /// The three currents over their mean, when the cause fixes them (bad lead first).
    pub unbalance: Option<[f64; 3]>,
    /// A sensor that tells something else than the truth.
    pub sensor: Option<(Channel, SensorWrong)>,
    /// The array looks elsewhere, or the clock is wrong.
    pub sky: SkyShift,
    /// The resting level may lie so far from what the hypothesis says, 1 sigma, m.
    pub level_sigma_m: f64,
    /// The column drains in so many minutes once the pump stops.
    pub drains_in_min: Option<f64>,
    /// Where it says next to nothing.
    pub loose: Loose,
    /// What holds the controller off the array's best point, for a reason of its own.
    pub hold: Option<Hold>,
    /// The plant at the edge of what this severity stands for: severities lie between those of the grid.
    pub edge: Option<Condition>,
    /// The same for the second of two causes at once.
    pub second_edge: Option<Condition>,
    /// The plant at the far end of what comes and goes: at each moment it is somewhere between the condition and this.
    pub at_times: Option<Condition>,
}

/// Where a hypothesis says next to nothing, so that anything may be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Loose {
    /// Power, currents, voltage, water.
    pub load: LooseLoad,
    /// Array and sky.
    pub sun: bool,
    /// Equality of the three currents.
    pub unbalance: bool,
}

/// Which part of the load side a hypothesis says next to nothing of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LooseLoad {
    /// None: all is compared.
    #[default]
    Nothing,
    /// One quantity.
    Only(Quantity),
    /// How it changes from moment to moment.
    Moments,
    /// All of it.
    All,
}

/// What holds a controller off the array's best point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hold {
    /// A highest speed set below the record's.
    Speed,
    /// A limit of current set below the record's.
    Current,
    /// A limit of power set below the record's.
    Power,
    /// It keeps one DC voltage.
    Voltage,
    /// It wanders somewhere beside the best point.
    Beside,
    /// It gives up power for its heat.
    Heat,
}

impl Hold {
    /// A voltage of its own, so that the current tells the irradiance.
    pub fn keeps_voltage(self) -> bool {
        matches!(self, Hold::Voltage | Hold::Beside)
    }

    /// It holds in any light; the others only where their limit is met.
    pub fn always(self) -> bool {
        self.keeps_voltage() || self == Hold::Heat
    }
}

impl Hypothesis {
    /// The plant as recorded, under the name of `cause`.
    pub fn new(cause: Cause) -> Hypothesis {
        Hypothesis {
            cause,
            severity: None,
            of: None,
            weight: 1.0,
            condition: Condition::default(),
            outcome: None,
            loose_electrical: 0.0,
            torque_sigma: 0.0,
            torque_scatter: 0.0,
            unbalance: None,
            sensor: None,
            sky: SkyShift::default(),
            level_sigma_m: 0.0,
            drains_in_min: None,
            loose: Loose::default(),
            hold: None,
            edge: None,
            second_edge: None,
            at_times: None,
        }
    }

    /// With a severity.
    #[must_use]
    pub fn at(mut self, severity: f64) -> Hypothesis {
        self.severity = Some(severity);
        self
    }

    /// With a share of the cause's prior.
    #[must_use]
    pub fn weighing(mut self, weight: f64) -> Hypothesis {
        self.weight = weight;
        self
    }

    /// With a changed plant.
    #[must_use]
    pub fn with(mut self, change: impl FnOnce(&mut Condition)) -> Hypothesis {
        change(&mut self.condition);
        self
    }

    /// With what the controller then does.
    #[must_use]
    pub fn doing(mut self, outcome: OutcomeTable) -> Hypothesis {
        self.outcome = Some(outcome);
        self
    }

    /// With a sensor that is wrong.
    #[must_use]
    pub fn misread(mut self, channel: Channel, wrong: SensorWrong) -> Hypothesis {
        self.sensor = Some((channel, wrong));
        self
    }

    /// What the wrong sensor of this channel reads when the truth is `value`.
    pub fn told(&self, channel: Channel, value: f64) -> f64 {
        match self.sensor {
            Some((c, SensorWrong::Ratio(r))) if c == channel => r * value,
            Some((c, SensorWrong::Offset(d))) if c == channel => value + d,
            _ => value,
        }
    }
}

/// What a cause may look at to decide what it does.
pub struct Context<'a> {
    /// Record.
    pub system: &'a System,
    /// Healthy plant.
    pub plant: &'a Plant,
    /// Window, where there is one: a limit is looked for where the readings stop.
    pub look: Option<&'a Look>,
    /// Flow of the healthy plant at 900 W/m2, m3/h (the contract's reference for "flow still passing").
    pub reference_flow_m3_h: f64,
    /// That moment.
    pub reference: Moment,
    /// Throttles of the water that were looked for: several causes ask for the same.
    pub(super) throttles: Searched,
}

/// Results of a search, each found once.
#[derive(Default)]
pub(super) struct Searched(RefCell<Vec<(f64, f64)>>);

impl Searched {
    /// The result for this question; `search` finds it when it is asked for the first time.
    pub(super) fn of(&self, question: f64, search: impl FnOnce(f64) -> f64) -> f64 {
        if let Some((_, found)) = self.0.borrow().iter().find(|(q, _)| *q == question) {
            return *found;
        }
        let found = search(question);
        self.0.borrow_mut().push((question, found));
        found
    }
}

/// So little air may still be a mistake of the record, share of what the pump would take (engineering judgement).
const BARELY_COVERED: f64 = 0.08;

impl<'a> Context<'a> {
    /// Prepares what all causes share.
    pub fn new(system: &'a System, plant: &'a Plant) -> Context<'a> {
        let reference = Moment {
            irradiance_w_m2: 900.0,
            cell_c: 50.0,
            level: Level::After { minutes: plant.water.well.at_min },
            heat_share: 1.0,
        };
        let flow = plant.operating_point(&reference).load.map_or(0.1, |l| l.water.pump_m3_h);
        Context {
            system,
            plant,
            look: None,
            reference_flow_m3_h: flow.max(0.05),
            reference,
            throttles: Searched::default(),
        }
    }

    /// With the window.
    #[must_use]
    pub fn looking_at(mut self, look: &'a Look) -> Context<'a> {
        self.look = Some(look);
        self
    }

    /// How well a condition keeps the intake under water at [`Context::reference`], 0 to 1: where it does not, the pump
    /// runs dry or the well gives too little, which are causes of their own.
    pub fn keeps_covered(&self, condition: &Condition) -> f64 {
        let mut plant = self.plant.clone();
        plant.condition = *condition;
        let wet = plant.operating_point(&self.reference).load.map_or(1.0, |l| l.water.wet);
        (-(1.0 - wet) / BARELY_COVERED).exp()
    }

    /// Rated phase voltage, V: Ke x rated speed / sqrt 3.
    pub fn rated_phase_v(&self) -> f64 {
        self.plant.motor.ke_v_per_krpm * self.plant.motor.rated_rpm / 1000.0 / 3f64.sqrt()
    }
}
