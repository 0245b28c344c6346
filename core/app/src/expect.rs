//! What a system should do at a moment: the expect JSON, with the 80 % interval of each quantity.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use wellwright_diagnosis::predict::climate::day_air_c;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_domain::channel::Channel;
use wellwright_domain::finding::Regime;
use wellwright_domain::record::System;
use wellwright_physics::cell_temperature;

use crate::error::{AppError, ErrorKind};
use crate::model::{Expected, Model, Outside, Solved};

/// Minutes of pumping that the level stands for, unless said otherwise.
pub const USUAL_MINUTES: f64 = 120.0;
/// Spread of a clear day's irradiance, share (haze and ground; engineering judgement).
const CLEAR_SKY_SIGMA: f64 = 0.08;
/// Spread of an irradiance that was given, share (a hand-held or fitted sensor of 5 %).
const GIVEN_SIGMA: f64 = 0.05;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ask {
    /// The moment.
    pub at: DateTime<FixedOffset>,
    /// In the plane of the array, W/m2, 0 to 1800; a clear sky when not given.
    pub irradiance_w_m2: Option<f64>,
    /// Shade air, degC, -60 to 65; the site's climate when not given.
    pub air_c: Option<f64>,
    /// Minutes of pumping, 0 to 100,000; 120 when not given.
    pub minutes: Option<f64>,
}

/// What was taken as given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Given {
    /// In the plane of the array, W/m2.
    pub irradiance_w_m2: f64,
    /// Shade air, degC.
    pub air_c: f64,
    /// Minutes of pumping.
    pub minutes: f64,
    /// Where irradiance and air come from: `given`, `clear_sky`, `climate`.
    pub from: BTreeMap<String, String>,
}

/// Where the power goes, W.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChainW {
    /// The array gives.
    pub array: f64,
    /// At the controller's input.
    pub after_dc_cable: f64,
    /// Out of the controller.
    pub controller_out: f64,
    /// Into the motor.
    pub motor_in: f64,
    /// On the shaft.
    pub shaft: f64,
    /// Water at the pump's outlet.
    pub hydraulic: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Expect {
    /// Version of the format.
    pub schema: u32,
    /// Name of the system.
    pub system: String,
    /// The moment.
    pub at: DateTime<FixedOffset>,
    /// What was taken as given.
    pub given: Given,
    /// What would hold the pump.
    pub regime: Regime,
    /// By telemetry column.
    pub channels: BTreeMap<String, f64>,
    /// 80 % interval of each channel.
    pub interval_80: BTreeMap<String, [f64; 2]>,
    /// Where the power goes.
    pub chain_w: ChainW,
    /// Quantities that the record does not hold and that were assumed.
    pub assumed: Vec<String>,
}

/// The channels of the answer, in column order.
const CHANNELS: [(Channel, Solved); 8] = [
    (Channel::ArrayV, Solved::ArrayV),
    (Channel::ArrayA, Solved::ArrayA),
    (Channel::MotorRpm, Solved::Rpm),
    (Channel::PhaseUA, Solved::PhaseA),
    (Channel::OutputV, Solved::OutputV),
    (Channel::FlowM3H, Solved::Flow),
    (Channel::WellheadKpa, Solved::Pressure),
    (Channel::WaterLevelM, Solved::Level),
];

/// What `system` should do.
///
/// # Errors
/// A value out of its range, a date that no sun is known for, or a record that no physics answers.
pub fn expect(system: &System, ask: &Ask) -> Result<Expect, AppError> {
    within("irradiance", ask.irradiance_w_m2, 0.0, 1800.0, "W/m2")?;
    within("air", ask.air_c, -60.0, 65.0, "degC")?;
    within("minutes", ask.minutes, 0.0, 1e5, "min")?;
    let model = Model::new(system)?;
    let (irradiance, sun_from) = match ask.irradiance_w_m2 {
        Some(g) => (g, "given"),
        None => (clear_sky(&model, ask.at)?, "clear_sky"),
    };
    let climate = day_air_c(system, ask.at);
    let (air_c, air_from) = ask.air_c.map_or((climate.0, "climate"), |a| (a, "given"));
    let minutes = ask.minutes.unwrap_or(USUAL_MINUTES);
    let cell_c = cell_temperature::noct(irradiance, air_c, model.plant.noct_c);
    let e = model.expect(&Outside {
        irradiance_w_m2: irradiance,
        irradiance_sigma: if ask.irradiance_w_m2.is_some() { GIVEN_SIGMA } else { CLEAR_SKY_SIGMA },
        cell_c,
        cell_sigma_k: if ask.air_c.is_some() { 3.0 } else { 3f64.hypot(climate.1) },
        minutes,
    });
    let from = [("irradiance_w_m2", sun_from), ("air_c", air_from)];
    let mut answer = Expect {
        schema: 1,
        system: system.name.clone(),
        at: ask.at,
        given: Given {
            irradiance_w_m2: tidy(irradiance),
            air_c: tidy(air_c),
            minutes,
            from: from.into_iter().map(|(k, v)| (k.to_owned(), v.to_owned())).collect(),
        },
        regime: e.regime,
        channels: BTreeMap::new(),
        interval_80: BTreeMap::new(),
        chain_w: chain_w(&e),
        assumed: model.assumed.iter().map(|a| a.field.to_owned()).collect(),
    };
    for (channel, what) in CHANNELS {
        let b = e.get(what);
        answer.channels.insert(channel.code().to_owned(), tidy(b.value));
        answer.interval_80.insert(channel.code().to_owned(), [tidy(b.lo), tidy(b.hi)]);
    }
    // the back of a module is a little cooler than its cells (King et al. 2004, SAND2004-3535, eq. 12)
    answer.channels.insert(Channel::ModuleC.code().to_owned(), tidy(cell_c - 3.0 * irradiance / 1000.0));
    Ok(answer)
}

fn clear_sky(model: &Model, at: DateTime<FixedOffset>) -> Result<f64, AppError> {
    clear_plane(&model.plant, at).ok_or_else(|| {
        AppError::new(
            ErrorKind::BadInput,
            format!(
                "no sun is known for {}: give a date from 1900 to 2100, or the irradiance",
                at.to_rfc3339()
            ),
        )
    })
}

fn within(name: &str, value: Option<f64>, low: f64, high: f64, unit: &str) -> Result<(), AppError> {
    match value {
        Some(v) if !(v >= low && v <= high) => Err(AppError::new(
            ErrorKind::BadInput,
            format!("{name}: {v} {unit} is not possible; it must lie between {low} and {high}"),
        )),
        _ => Ok(()),
    }
}

fn chain_w(e: &Expected) -> ChainW {
    let c = &e.chain;
    ChainW {
        array: tidy(c.array),
        after_dc_cable: tidy(c.after_dc_cable),
        controller_out: tidy(c.controller_out),
        motor_in: tidy(c.motor_in),
        shaft: tidy(c.shaft),
        hydraulic: tidy(c.hydraulic),
    }
}

/// Six significant figures: no reader needs more, and two machines write the same.
fn tidy(x: f64) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return 0.0;
    }
    let scale = 10f64.powi(5 - x.abs().log10().floor() as i32);
    let rounded = (x * scale).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}
