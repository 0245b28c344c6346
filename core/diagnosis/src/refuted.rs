//! Sensors that cannot be right while the pump works as everything else has it: one reads nothing, or lies where no
//! weather could put it.
//!
//! A range check sees none of these: nothing, the temperature of a mild morning, or a flow in another unit are values
//! that a sensor may tell. What all other readings refute is set aside before anything is compared, so that one dead
//! sensor is neither a fault of the motor nor a dark sky, and it is pointed out.

use std::borrow::Cow;

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::cell_temperature::noct;
use wellwright_physics::plant::{ArrayCondition, Plant};

use crate::predict::climate::day_air_c;
use crate::predict::{reference_flow, speed};
use crate::window::{Look, PHASES, Steady, recent};

/// A reading of a sensor that everything else refutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Refuted {
    /// Which sensor.
    pub channel: Channel,
    /// What it reads, in the channel's unit.
    pub reads: f64,
    /// What the rest needs about, in the same unit.
    pub needs: f64,
}

/// An irradiance sensor below this share of what the power needs is dead: the widest error of a sensor that still
/// reads is half, and a record may have half of the modules (severities of the contract).
const DARK: f64 = 0.25;

/// A phase below this share of the other two carries nothing, and with two leads no pump keeps lifting.
const NOTHING: f64 = 0.03;

/// No water, share of the usual flow.
const NO_WATER: f64 = 0.1;

/// Less line voltage than this share of the back-EMF turns no motor (weakest magnets of the contract: 0.6).
const NO_VOLTAGE: f64 = 0.3;

/// More than so many times the usual flow comes of no pump that the record could be wrong about: twice the pump, read
/// half too high (severities of the contract).
pub const TOO_MUCH: f64 = 3.0;

/// Water that comes stands over the intake, give or take the widest offset of the contract, m.
const BELOW_INTAKE_M: f64 = 20.0;

/// A module in wind or haze is warmed by this share of what its data sheet has, one on a hot roof by so much
/// (engineering judgement).
const WARMED: (f64, f64) = (0.5, 1.3);

/// Most light that lasts, W/m2.
const BRIGHT_W_M2: f64 = 1100.0;

/// An air sensor errs by so much in the sun, K (engineering judgement).
const AIR_K: f64 = 3.0;

/// Air is never so many standard deviations from what is usual.
const NEVER: f64 = 3.5;

/// Rows in which nothing is left of the sensors that the rest refutes, and the look at them.
pub struct Sifted<'a> {
    /// All rows.
    pub rows: Cow<'a, [Sample]>,
    /// The look at the last of them ([`recent`]).
    pub look: Look,
    /// What was set aside.
    pub refuted: Vec<Refuted>,
}

/// Sets aside what the rest of the rows refutes. `last`: the [`recent`] of them, which are looked at.
pub fn sift<'a>(
    rows: &'a [Sample],
    last: &[Sample],
    sun_up: impl Fn(DateTime<FixedOffset>) -> bool,
    system: &System,
    plant: &Plant,
) -> Sifted<'a> {
    let guessed = speed::guessed(plant, rows);
    let guesses = guessed.is_some();
    let look_at = |rows: &[Sample]| {
        let look = Look::new(rows, &sun_up);
        if guesses { look.guessing_speed() } else { look }
    };
    let look = look_at(guessed.as_deref().map_or(last, recent));
    let rows = guessed.map_or(Cow::Borrowed(rows), Cow::Owned);
    let flow_m3_h = reference_flow(plant);
    let refuted: Vec<Refuted> = [
        irradiance(&look, plant),
        phase(&look, flow_m3_h),
        output_voltage(&look, plant),
        module_temperature(&look, system, plant),
        flow(&look, flow_m3_h),
        level(&look, system, flow_m3_h),
    ]
    .into_iter()
    .flatten()
    .collect();
    if refuted.is_empty() {
        return Sifted { rows, look, refuted };
    }
    let mut rows = rows.into_owned();
    for row in &mut rows {
        for r in &refuted {
            row.set(r.channel, None);
        }
    }
    let of_all = look_at(recent(&rows));
    let look = refuted.iter().fold(of_all, |left, r| left.without(r.channel, &look));
    Sifted { rows: Cow::Owned(rows), look, refuted }
}

fn held(look: &Look) -> impl Iterator<Item = &Steady> {
    look.steady.iter().filter(|p| !p.moving && !p.filling)
}

/// Water comes.
fn lifts(p: &Steady, flow_m3_h: f64) -> bool {
    p.get(Channel::FlowM3H).is_some_and(|q| q > NO_WATER * flow_m3_h)
}

/// Mean over the points that tell both.
fn means<const N: usize>(told: impl Iterator<Item = Option<[f64; N]>>) -> Option<[f64; N]> {
    let all: Vec<[f64; N]> = told.flatten().collect();
    let mean = |k: usize| all.iter().map(|x| x[k]).sum::<f64>() / all.len() as f64;
    (!all.is_empty()).then(|| std::array::from_fn(mean))
}

/// Light that gives a power on a sound array at 25 degC, W/m2.
fn light_of(plant: &Plant, watts: f64) -> f64 {
    let full = plant.array.curve(1000.0, 25.0, &ArrayCondition::default()).best().p;
    1000.0 * watts / full.max(1.0)
}

fn irradiance(look: &Look, plant: &Plant) -> Option<Refuted> {
    let both = |p: &Steady| Some([p.get(Channel::IrradianceWM2)?, light_of(plant, p.dc_w()?)]);
    let [reads, needs] = means(held(look).map(both))?;
    (reads < DARK * needs).then_some(Refuted { channel: Channel::IrradianceWM2, reads, needs })
}

fn phase(look: &Look, flow_m3_h: f64) -> Option<Refuted> {
    let amps = |p: &Steady| Some([p.get(PHASES[0])?, p.get(PHASES[1])?, p.get(PHASES[2])?]);
    let amps = means(held(look).filter(|p| lifts(p, flow_m3_h)).map(amps))?;
    let dead = (0..3).min_by(|a, b| amps[*a].total_cmp(&amps[*b]))?;
    let others = (amps.iter().sum::<f64>() - amps[dead]) / 2.0;
    let least = (0..3).filter(|k| *k != dead).map(|k| amps[k]).fold(f64::INFINITY, f64::min);
    let found = Refuted { channel: PHASES[dead], reads: amps[dead], needs: others };
    (amps[dead] < NOTHING * least).then_some(found)
}

fn output_voltage(look: &Look, plant: &Plant) -> Option<Refuted> {
    let ke = plant.motor.ke_v_per_krpm;
    let both = |p: &Steady| Some([p.get(Channel::OutputV)?, ke * p.rpm()? / 1000.0, p.phase_a()?]);
    let [reads, needs, amps] = means(held(look).map(both))?;
    let works = amps > 0.05 * plant.motor.rated_a;
    (works && reads < NO_VOLTAGE * needs).then_some(Refuted { channel: Channel::OutputV, reads, needs })
}

fn flow(look: &Look, flow_m3_h: f64) -> Option<Refuted> {
    let [reads] = means(held(look).map(|p| Some([p.get(Channel::FlowM3H)?])))?;
    (reads > TOO_MUCH * flow_m3_h).then_some(Refuted { channel: Channel::FlowM3H, reads, needs: flow_m3_h })
}

fn level(look: &Look, system: &System, flow_m3_h: f64) -> Option<Refuted> {
    let [reads] =
        means(held(look).filter(|p| lifts(p, flow_m3_h)).map(|p| Some([p.get(Channel::WaterLevelM)?])))?;
    let needs = system.well.intake_depth_m;
    let found = Refuted { channel: Channel::WaterLevelM, reads, needs };
    (reads > needs + BELOW_INTAKE_M).then_some(found)
}

fn module_temperature(look: &Look, system: &System, plant: &Plant) -> Option<Refuted> {
    let [reads, light] = means(held(look).map(|p| {
        let by_power = light_of(plant, p.dc_w()?).min(BRIGHT_W_M2);
        let told = p.get(Channel::IrradianceWM2).filter(|g| *g >= DARK * by_power);
        Some([p.get(Channel::ModuleC)?, told.unwrap_or(by_power)])
    }))?;
    let (usual, spread) = day_air_c(system, look.span?.0);
    let air = means(held(look).map(|p| Some([p.get(Channel::AirC)?])));
    let per_w_m2 = noct(1.0, 0.0, plant.noct_c);
    let (mut low, mut high) = (usual - NEVER * spread, usual + NEVER * spread);
    if let Some([air]) = air {
        // either may be what is wrong
        (low, high) = (low.min(air - NEVER * AIR_K), high.max(air + NEVER * AIR_K));
    }
    low += WARMED.0 * per_w_m2 * light;
    high += WARMED.1 * per_w_m2 * BRIGHT_W_M2;
    let needs = air.map_or(usual, |[air]| air) + per_w_m2 * light;
    let beyond = !(low..=high).contains(&reads);
    beyond.then_some(Refuted { channel: Channel::ModuleC, reads, needs })
}
