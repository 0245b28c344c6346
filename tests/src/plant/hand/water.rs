//! Bucket, gauge, sounder and the water column.

use wellwright_domain::check::Answer;
use wellwright_domain::record::{Access, PumpKind};

use super::moment::Moment;
use super::{Fields, number, yes};
use crate::plant::dice::Dice;
use crate::plant::pipe::GRAVITY;
use crate::plant::plant::{SHUT, View};
use crate::plant::pump::RHO;
use crate::plant::well::WellState;

/// The record says that it is impossible here.
fn barred(m: &Moment, key: fn(&Access) -> Option<bool>) -> bool {
    m.case.system.access.as_ref().is_some_and(|a| key(a) == Some(false))
}

/// Bucket filled to 4 %, watch stopped to half a second: 20 l, or 200 l where that fills too fast.
pub fn bucket_test(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    if barred(m, |a| a.outlet_reachable) {
        return None;
    }
    let flow = m.truth().arrives / 3600.0;
    let litres = if 1000.0 * flow > 4.0 { 200.0 } else { 20.0 };
    let (litres, seconds) = if 0.02 / flow.max(1e-9) > 600.0 {
        // Nobody waits longer: what came in three minutes.
        let caught = 1000.0 * flow * 180.0;
        (if caught < 0.2 { 0.0 } else { caught * dice.factor(0.05) }, 180.0)
    } else {
        let true_s = litres / 1000.0 / flow;
        (litres, (true_s * dice.factor(0.04) + dice.normal(0.0, 0.5)).max(0.5))
    };
    Some(vec![
        ("litres", number(litres, 0.1)),
        ("seconds", number(seconds, 0.1)),
        ("at_place", Answer::Word("outlet".into())),
    ])
}

/// A dial read to 2.5 % and 4 kPa.
fn dial(kpa: f64, dice: &mut Dice) -> Answer {
    number((kpa * dice.factor(0.025) + dice.normal(0.0, 4.0)).max(0.0), 5.0)
}

/// Gauge before the valve.
pub fn wellhead_gauge(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    (!barred(m, |a| a.gauge_port)).then(|| vec![("kpa", dial(m.truth().kpa, dice))])
}

/// Valve shut for seconds; where only the sun held it back, the speed rises meanwhile.
pub fn dead_head_gauge(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    let (case, t) = (m.case, m.truth());
    let helical = case.system.pump.kind == PumpKind::HelicalRotor;
    if helical || barred(m, |a| a.gauge_port) || barred(m, |a| a.wellhead_valve) {
        return None;
    }
    let mut plant = case.plant.clone();
    let open = View { depth: Some(t.depth), empty: 0.0, wet: 1.0, winding_c: plant.water_c + 10.0 };
    let wanted = 3600.0 * plant.load(t.rpm, &open).out;
    // Less water than the pump would take: the rest of it is air.
    let wet = if wanted > 0.05 && plant.valve < SHUT { (t.flow / wanted).clamp(0.0, 1.0) } else { 1.0 };
    let wet = if wet > 0.8 { 1.0 } else { wet };
    plant.valve = SHUT;
    let rises = t.limit == Some(crate::plant::balance::Limit::Sun);
    let rpm = (t.rpm * if rises { dice.uniform(1.0, 1.06) } else { 1.0 }).min(plant.drive.max_rpm);
    let gauge = plant.load(rpm, &View { wet, ..open }).gauge;
    let kpa = RHO * GRAVITY * gauge / 1000.0;
    Some(vec![("kpa", dial(kpa, dice)), ("rpm", number(rpm * dice.factor(0.01), 10.0))])
}

/// Sounder to 2 cm.
pub fn water_level_sounding(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    (!barred(m, |a| a.sounding))
        .then(|| vec![("depth_m", number(m.truth().depth + dice.normal(0.0, 0.02), 0.01))])
}

/// The same after half an hour of rest: what two hours of pumping drew down has mostly come back.
pub fn resting_level_sounding(m: &Moment, dice: &mut Dice) -> Option<Fields> {
    if barred(m, |a| a.sounding) {
        return None;
    }
    let well = &m.case.plant.well;
    let down = m.case.truth.iter().rev().take(600).map(|t| t.depth - well.rest).fold(0.0, f64::max);
    let pumped = |q: f64| {
        let mut state = WellState::default();
        for _ in 0..60 {
            well.step(&mut state, q, 120.0);
        }
        state
    };
    let (mut low, mut high) = (0.0, 0.05);
    for _ in 0..22 {
        let mid = f64::midpoint(low, high);
        if pumped(mid).drawdown < down { low = mid } else { high = mid }
    }
    let mut state = pumped(low);
    well.step(&mut state, 0.0, 1800.0);
    Some(vec![("depth_m", number(well.depth(&state) + dice.normal(0.0, 0.02), 0.01))])
}

/// Stop, wait ten minutes, start: what drained must be filled before water comes.
pub fn column_drain(m: &Moment, dice: &mut Dice) -> Fields {
    let (case, t) = (m.case, m.truth());
    let plant = &case.plant;
    // Share of the column that is gone after ten minutes, and how fast it went.
    let (gone, minutes) = match (plant.drain_min, &plant.leak) {
        (Some(minutes), _) => ((10.0 / minutes.max(0.1)).min(1.0), minutes),
        // Down to the hole.
        (None, Some(leak)) if leak.in_riser() => ((leak.depth / plant.well.rest.max(1.0)).min(1.0), 10.0),
        _ if !plant.check_valve => (1.0, 1.0),
        _ => (0.0, 1e3),
    };
    let spins = match minutes {
        x if x < 3.0 => 0.85,
        x if x < 12.0 => 0.4,
        _ => 0.04,
    };
    let flow = t.arrives / 3600.0;
    let delay = if t.arrives < 0.02 * m.healthy_flow() {
        999.0
    } else {
        let ramp = 0.6 * plant.drive.max_rpm / plant.drive.ramp + dice.uniform(2.0, 8.0);
        (ramp + gone * plant.drained() / flow * dice.factor(0.1)).min(999.0)
    };
    vec![("water_delay_s", number(delay, 1.0)), ("spins_back", yes(spins, dice))]
}
