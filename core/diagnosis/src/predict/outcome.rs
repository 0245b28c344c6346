//! What a controller would do with a plant: run on, or stop, and with which flag.

use wellwright_domain::record::System;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::{Moment, Standstill};
use wellwright_physics::plant::Plant;

use crate::likelihood::logistic;
use crate::window::{Look, Outcome, Steady};

/// Probability of each outcome, in the order of [`Outcome::ALL`], when sun is there and nobody stops it.
pub type OutcomeTable = [f64; Outcome::ALL.len()];

/// The outcome that a window shows, taken as one piece of evidence.
///
/// A protective stop that occurred more than once, or that holds, is the outcome even when it ran between.
pub fn observed(look: &Look) -> Option<Outcome> {
    let stops = &look.stops;
    if stops.daylight() == 0 {
        return None;
    }
    // whoever switches off a pump that trips hides nothing
    let meant = stops.last.filter(|o| o.is_meant() && stops.share(*o) > 0.5);
    if let (Some(last), 0) = (meant, stops.trips) {
        return Some(last);
    }
    if stops.names_too_many_reasons() {
        // none of them stands
        return Some(Outcome::SomeTrip);
    }
    if let Some((trip, share)) = stops.main_trip()
        && (share > 0.3 || stops.trips > 1 || stops.last == Some(trip))
    {
        return Some(trip);
    }
    if let Some(last) = stands_at_end(look) {
        return Some(last);
    }
    if stops.share(Outcome::Runs) > 0.05 {
        return Some(Outcome::Runs);
    }
    Outcome::SEEN.into_iter().max_by_key(|o| stops.count(*o))
}

/// So much of the daylight is no slip of the link (engineering judgement).
const HOLDS: f64 = 0.15;

/// The stop without a reason in which a window ends, where it holds and did not come with the dusk: what ran before
/// that ran before the fault.
pub fn stands_at_end(look: &Look) -> Option<Outcome> {
    let without = |o: &Outcome| matches!(o, Outcome::Silent | Outcome::Stands | Outcome::CommsLost);
    let last = look.stops.last.filter(without).filter(|o| look.stops.share(*o) > HOLDS)?;
    (!faded(look)).then_some(last)
}

/// Below this share of the window's highest power a pump was running out of sun (engineering judgement).
const FADED: f64 = 0.5;

/// It ran slower and slower before it stood, as every pump does in the evening.
fn faded(look: &Look) -> bool {
    let most = look.steady.iter().filter_map(Steady::dc_w).fold(0.0, f64::max);
    let last = look.steady.iter().max_by_key(|p| p.at).and_then(Steady::dc_w);
    last.is_some_and(|w| w < FADED * most)
}

/// Chance of what was seen.
pub fn chance(table: &OutcomeTable, seen: Outcome) -> f64 {
    seen.may_be().map(|o| table[o as usize]).sum()
}

/// What the physics of a plant in some condition makes the controller do.
///
/// `healthy` is the same plant with nothing wrong. Trip thresholds of real controllers are not known, so
/// each is a soft step (engineering judgement). `typical_rpm`: speed while it ran, 1/min, 0 where it never did.
/// `low_power_w_m2`: irradiance in which the array was said to carry too little, W/m2, where it was measured.
pub fn of_plant(
    system: &System,
    healthy: &Plant,
    plant: &Plant,
    typical_rpm: f64,
    low_power_w_m2: Option<f64>,
) -> OutcomeTable {
    let level = Level::After { minutes: 20.0 };
    let c = &plant.controller;
    let rpm = if typical_rpm > 0.0 { typical_rpm } else { 0.85 * c.max_rpm };
    let slow = plant.load_at(1.1 * c.min_rpm, level).motor.phase_a;
    let overload = logistic((slow / c.max_phase_a - 1.05) / 0.12);
    // a system that ever ran as recorded starts: what turns as easily is not overloaded
    let as_easily = slow <= AS_EASILY * healthy.load_at(1.1 * c.min_rpm, level).motor.phase_a;
    let overload = if as_easily { overload.min(SOUND_OVERLOAD) } else { overload };

    let load = plant.load_at(rpm, level);
    let sound = healthy.load_at(rpm, level);
    let ratio = load.output_w / sound.output_w.max(1.0);
    let fitted = match &system.protection {
        Some(p) if p.under_load_trip => 0.95,
        Some(_) => 0.02,
        None => 0.4,
    };
    let under = fitted * logistic((0.42 - ratio) / 0.08);

    let probe = probe_acts(system);
    let dry_well = plant.condition.pump.dry_torque_share.is_some() || load.water.at_intake;
    let dry = if dry_well {
        probe
    } else {
        probe * falls_to_probe(system, load.water.level_m, sound.water.level_m)
    };
    let mut t = table(overload, dry, under);
    if plant.operating_point(&in_sun(least_sun(low_power_w_m2))).standstill == Some(Standstill::TooLittleSun)
    {
        let lost = 0.85 * t[Outcome::Runs as usize];
        t[Outcome::Runs as usize] -= lost;
        t[Outcome::LowPower as usize] += lost;
    }
    t
}

/// Current of a start over that of the healthy plant, up to which it turns as easily.
const AS_EASILY: f64 = 1.03;

/// Chance that such a one is stopped for its current (engineering judgement: a start in weak sun).
const SOUND_OVERLOAD: f64 = 0.004;

/// How far a level while pumping may lie from what is computed, m (engineering judgement).
const LEVEL_M: f64 = 1.0;

/// Chance that a level that lies deeper than in the healthy well falls to the probe, m below the wellhead.
fn falls_to_probe(system: &System, level_m: f64, healthy_m: f64) -> f64 {
    let Some(probe) = system.protection.as_ref().and_then(|p| p.dry_probe_depth_m) else { return 0.0 };
    if level_m <= healthy_m + 0.5 { 0.0 } else { logistic((level_m - probe) / LEVEL_M) }
}

/// How surely a dry probe stops the pump when the level is at the intake.
fn probe_acts(system: &System) -> f64 {
    match &system.protection {
        Some(p) => p.dry_probe_depth_m.map_or(0.0, |_| 0.85),
        None => 0.3,
    }
}

/// A well whose level hovers at the intake: the probe, or the sudden loss of load, ends each run.
pub fn of_dry_well(system: &System) -> OutcomeTable {
    let fitted = system.protection.as_ref().map_or(0.4, |p| if p.under_load_trip { 0.6 } else { 0.02 });
    table(0.0, probe_acts(system), fitted)
}

/// A well that gives less than is taken: most runs end, some hunt on.
pub fn of_short_well(system: &System) -> OutcomeTable {
    let fitted = system.protection.as_ref().map_or(0.3, |p| if p.under_load_trip { 0.5 } else { 0.02 });
    table(0.0, 0.9 * probe_acts(system), fitted)
}

/// These outcomes with these chances, and each other one with `else_each`.
pub fn only(list: &[(Outcome, f64)], else_each: f64) -> OutcomeTable {
    let mut t = [else_each; Outcome::ALL.len()];
    for (o, p) in list {
        t[*o as usize] = *p;
    }
    t
}

/// These outcomes with these chances, and `rest` for what is left beside the small chances.
pub fn with(list: &[(Outcome, f64)], rest: Outcome) -> OutcomeTable {
    let mut t = small_chances();
    let left = 1.0 - t.iter().sum::<f64>();
    let named: f64 = list.iter().map(|(_, p)| p).sum();
    for (o, p) in list {
        t[*o as usize] += left * p;
    }
    t[rest as usize] += left * (1.0 - named).max(0.0);
    t
}

/// Sun in which a healthy pump runs, W/m2.
const ORDINARY_W_M2: f64 = 700.0;

/// Controllers differ in what they call too little, and sensors err (engineering judgement).
const MARGIN: f64 = 0.8;

/// Sun in which a plant must run, W/m2, where the array was said to carry too little in `low_power_w_m2`. In less than
/// ordinary sun that is the sky's doing.
fn least_sun(low_power_w_m2: Option<f64>) -> f64 {
    low_power_w_m2.map_or(ORDINARY_W_M2, |g| (MARGIN * g).max(ORDINARY_W_M2))
}

fn in_sun(irradiance_w_m2: f64) -> Moment {
    Moment { irradiance_w_m2, cell_c: 45.0, level: Level::After { minutes: 20.0 }, heat_share: 1.0 }
}

/// From the chances of the stops that physics decides to the whole table.
pub fn table(overload: f64, dry: f64, under: f64) -> OutcomeTable {
    let mut t = small_chances();
    let rest = 1.0 - t.iter().sum::<f64>();
    let add = |t: &mut OutcomeTable, o: Outcome, p: f64| t[o as usize] += rest * p;
    // a rotor that does not come up to speed is called an overload by most, too little power by some
    add(&mut t, Outcome::Overload, 0.88 * overload);
    add(&mut t, Outcome::LowPower, 0.12 * overload);
    add(&mut t, Outcome::Dry, (1.0 - overload) * dry);
    let left = (1.0 - overload) * (1.0 - dry);
    add(&mut t, Outcome::UnderLoad, left * under);
    add(&mut t, Outcome::Runs, left * (1.0 - under));
    t
}

/// The same where it was seen to stand in measured sun, for longer than any controller rests: no link or cloud does
/// that.
pub fn stood_in_sun(mut t: OutcomeTable) -> OutcomeTable {
    for o in [Outcome::LowPower, Outcome::Silent] {
        let not_by_chance = NOT_BY_CHANCE * small_chances()[o as usize];
        t[o as usize] -= not_by_chance;
        t[Outcome::Runs as usize] += not_by_chance;
    }
    t
}

/// So much of a small chance is gone then (engineering judgement).
const NOT_BY_CHANCE: f64 = 0.85;

/// Chances that exist whatever the plant does: a person switches off, a tank fills, a link drops.
fn small_chances() -> OutcomeTable {
    let mut t = [0.001; Outcome::ALL.len()];
    t[Outcome::LowPower as usize] = 0.005;
    t[Outcome::TankFull as usize] = 0.01;
    t[Outcome::SwitchedOff as usize] = 0.015;
    t[Outcome::TooHot as usize] = 0.001;
    t[Outcome::Silent as usize] = 0.006;
    // never quite nothing: a stop may fall outside the window
    t[Outcome::Runs as usize] = 0.004;
    t
}
