//! What a case is about: cause, situation and sensors, drawn as an order says.

use wellwright_domain::cause::Cause;
use wellwright_domain::record::System;
use wellwright_domain::situation::Situation;

use super::case::{Mix, Order};
use super::circumstances::{SITUATIONS, situation_for};
use super::dice::Dice;
use super::faults::{self, Fault, Outside};
use super::sensors::SensorSet;

/// What a case is about.
pub struct Plan {
    /// Cause.
    pub fault: &'static Fault,
    /// Situation.
    pub situation: Situation,
    /// Sensors.
    pub sensors: SensorSet,
}

impl Plan {
    /// The cause can occur in this system with these sensors.
    pub fn fits(&self, system: &System) -> bool {
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

/// Draws the plan of an order for a system.
pub fn plan(order: &Order, system: &System, dice: &mut Dice) -> Plan {
    let turn = (order.index / faults::ALL.len() as u64) as usize;
    let strange = (order.cause == Some(Cause::Unknown)).then(|| dice.pick(&Outside::ALL));
    if let Some(outside) = order.outside.or(strange) {
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
