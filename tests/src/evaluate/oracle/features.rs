//! A recording as a row of numbers and a few yes-or-no signs.
//!
//! Nothing here knows how a plant works: means while it runs, how they change over the window, what stood at rest,
//! how long water took to come, and the light that a clear sky would give at the stamped times. What the numbers
//! mean is learnt from the references alone.

use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::lead_map::Parity;
use wellwright_domain::sample::Sample;

use crate::plant::Case;
use crate::plant::circumstances::{PARTS, SIGNS};
use crate::plant::sun::Plane;

/// Rows of a start that are left out of the means, s.
const SETTLE_S: i64 = 150;

/// A recording in short.
#[derive(Debug, Clone)]
pub struct Features {
    /// Numbers; `None` where the recording has none.
    pub numbers: Vec<Option<f64>>,
    /// What it did, as one of a few patterns.
    pub pattern: u32,
    /// Signs that are there or not; `None` was not asked.
    pub signs: Vec<Option<bool>>,
}

fn mean(values: &[f64]) -> Option<f64> {
    if values.is_empty() { None } else { Some(values.iter().sum::<f64>() / values.len() as f64) }
}

fn spread(values: &[f64]) -> Option<f64> {
    let m = mean(values)?;
    (values.len() > 3)
        .then(|| (values.iter().map(|v| (v - m).powi(2)).sum::<f64>() / values.len() as f64).sqrt())
}

/// Last third less first third.
fn change(values: &[f64]) -> Option<f64> {
    let third = values.len() / 3;
    if third < 2 {
        return None;
    }
    Some(mean(&values[values.len() - third..])? - mean(&values[..third])?)
}

/// Rows in which it ran, past the first minutes of each start where that leaves any.
fn running(samples: &[Sample]) -> Vec<&Sample> {
    let mut all = Vec::new();
    let mut settled = Vec::new();
    let mut since = None;
    for (k, s) in samples.iter().enumerate() {
        let runs = s.state == Some(PumpState::Running) && s.get(Channel::MotorRpm).is_some_and(|n| n > 0.0);
        if !runs {
            since = None;
            continue;
        }
        let begun = *since.get_or_insert(if k == 0 { s.at - chrono::TimeDelta::hours(1) } else { s.at });
        all.push(s);
        if (s.at - begun).num_seconds() > SETTLE_S {
            settled.push(s);
        }
    }
    if settled.len() >= 8 { settled } else { all }
}

/// Numbers of the rows in which it ran.
fn of_running(rows: &[&Sample], flow_size: f64, out: &mut Vec<Option<f64>>) {
    let log = |x: f64| x.max(1e-3).ln();
    let column =
        |f: &dyn Fn(&Sample) -> Option<f64>| -> Vec<f64> { rows.iter().filter_map(|s| f(s)).collect() };
    let get = |c: Channel| column(&|s| s.get(c));
    let logs = |c: Channel| column(&|s| s.get(c).map(log));
    let power = column(&|s| Some(log(s.get(Channel::ArrayV)? * s.get(Channel::ArrayA)?)));
    let stiff = column(&|s| {
        Some(log(s.get(Channel::ArrayV)? * s.get(Channel::ArrayA)?) - 3.0 * log(s.get(Channel::MotorRpm)?))
    });
    let phases = |s: &Sample| -> Option<[f64; 3]> {
        let [u, v, w] = [Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA].map(|c| s.get(c));
        Some([u?, v?, w?])
    };
    let amps = column(&|s| phases(s).map(|a| log(a.iter().sum::<f64>() / 3.0)));
    let share = |pick: fn(f64, f64) -> f64, start: f64| {
        column(&|s| {
            let a = phases(s)?;
            Some(a.into_iter().fold(start, pick) / (a.iter().sum::<f64>() / 3.0).max(0.01))
        })
    };
    let (most, least) = (share(f64::max, 0.0), share(f64::min, f64::INFINITY));
    let flow = column(&|s| s.get(Channel::FlowM3H).map(|q| (q.max(0.0) + 0.03 * flow_size).ln()));
    let per_sun = column(&|s| Some(log(s.get(Channel::ArrayA)?) - log(s.get(Channel::IrradianceWM2)?)));
    let per_turn = column(&|s| {
        Some((s.get(Channel::FlowM3H)?.max(0.0) + 0.03 * flow_size).ln() - log(s.get(Channel::MotorRpm)?))
    });
    let rpm = logs(Channel::MotorRpm);
    let kpa = get(Channel::WellheadKpa);
    let depth = get(Channel::WaterLevelM);
    let heat = get(Channel::ControllerC);
    out.extend([
        mean(&logs(Channel::ArrayV)),
        mean(&power),
        mean(&rpm),
        mean(&stiff),
        mean(&amps),
        mean(&most),
        mean(&least),
        mean(&flow),
        mean(&per_turn),
        mean(&logs(Channel::OutputV)),
        mean(&heat),
        mean(&logs(Channel::IrradianceWM2)),
        mean(&per_sun),
        mean(&get(Channel::ModuleC)),
        mean(&kpa),
        mean(&depth),
        spread(&rpm),
        spread(&stiff),
        spread(&logs(Channel::ArrayV)),
        spread(&per_sun),
        spread(&flow),
        change(&rpm),
        change(&power),
        change(&stiff),
        change(&logs(Channel::ArrayV)),
        change(&flow),
        change(&kpa),
        change(&depth),
        change(&heat),
        change(&per_sun),
    ]);
}

/// Numbers of the rows at rest.
fn at_rest(samples: &[Sample], out: &mut Vec<Option<f64>>) {
    let rows: Vec<&Sample> = samples
        .iter()
        .filter(|s| matches!(s.state, Some(PumpState::Stopped | PumpState::Tripped) | None))
        .collect();
    let column = |c: Channel| -> Vec<f64> { rows.iter().filter_map(|s| s.get(c)).collect() };
    let volts = column(Channel::ArrayV);
    let logs: Vec<f64> = volts.iter().map(|v| v.max(0.5).ln()).collect();
    out.extend([
        mean(&logs),
        mean(&column(Channel::WaterLevelM)),
        mean(&column(Channel::WellheadKpa)),
        change(&column(Channel::WaterLevelM)),
        change(&column(Channel::WellheadKpa)),
        mean(&column(Channel::IrradianceWM2)).map(|g| g.max(1.0).ln()),
    ]);
    // Currents while it tries to start.
    let tries: Vec<f64> = samples
        .iter()
        .filter(|s| matches!(s.state, Some(PumpState::Starting | PumpState::Tripped)))
        .filter_map(|s| {
            let a = [Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA].map(|c| s.get(c));
            let [u, v, w] = [a[0]?, a[1]?, a[2]?];
            let top = u.max(v).max(w);
            (top > 0.2).then(|| u.min(v).min(w) / top)
        })
        .collect();
    out.push(mean(&tries));
}

/// Seconds from the first start inside the window until water comes, as a logarithm; and its first pressure.
fn of_start(samples: &[Sample], flow_size: f64, out: &mut Vec<Option<f64>>) {
    let begin = samples.iter().enumerate().skip(1).find(|(k, s)| {
        s.state == Some(PumpState::Running) && samples[k - 1].state != Some(PumpState::Running)
    });
    let Some((k, first)) = begin else {
        out.extend([None, None]);
        return;
    };
    let has_flow = samples[k..].iter().any(|s| s.get(Channel::FlowM3H).is_some());
    let water = samples[k..].iter().find(|s| s.get(Channel::FlowM3H).is_some_and(|q| q > 0.25 * flow_size));
    let late = water.map_or(2_000.0, |s| (s.at - first.at).num_seconds() as f64);
    out.push(has_flow.then(|| (late + 5.0).ln()));
    out.push(first.get(Channel::WellheadKpa));
}

/// What it did: how much of the window it ran, how often it stopped, and the stop that prevailed.
fn pattern(samples: &[Sample]) -> u32 {
    let n = samples.len().max(1);
    let runs = samples.iter().filter(|s| s.state == Some(PumpState::Running)).count();
    let ran = match runs * 100 / n {
        0 => 0,
        1..=30 => 1,
        31..=70 => 2,
        _ => 3,
    };
    let stops = samples
        .windows(2)
        .filter(|w| w[0].state == Some(PumpState::Running) && w[1].state != Some(PumpState::Running))
        .count();
    let stopped = stops.min(2) as u32;
    let kinds = [
        Flag::PhaseLoss,
        Flag::GroundFault,
        Flag::Stall,
        Flag::OverCurrent,
        Flag::DryProbe,
        Flag::UnderLoad,
        Flag::OverTemperature,
        Flag::TankFull,
        Flag::LowPower,
        Flag::UnderVoltage,
        Flag::CommsLost,
    ];
    let count = |flag: Flag| samples.iter().filter(|s| s.flags.is_some_and(|f| f.has(flag))).count();
    let (k, most) = kinds.into_iter().map(count).enumerate().max_by_key(|(_, n)| *n).unwrap_or((0, 0));
    let silent = |s: &Sample| s.state == Some(PumpState::Stopped) && s.flags == Some(Flags::NONE);
    let quiet = samples.iter().filter(|s| silent(s)).count();
    let why = if most > 0 { k as u32 + 2 } else { u32::from(quiet * 10 > n) };
    ran + 4 * stopped + 12 * why
}

/// All features of a case. `flow_size`: usual flow of the site, m3/h, only to scale logarithms.
pub fn features(case: &Case, flow_size: f64) -> Features {
    let mut numbers = Vec::new();
    of_running(&running(&case.samples), flow_size, &mut numbers);
    at_rest(&case.samples, &mut numbers);
    of_start(&case.samples, flow_size, &mut numbers);
    // What a clear sky would give at the stamped times: the only sign of a clock that is wrong.
    let array = &case.system.array;
    let plane = Plane {
        latitude: case.system.site.latitude_deg,
        longitude: case.system.site.longitude_deg,
        tilt: array.tilt_deg.unwrap_or(20.0),
        azimuth: array.azimuth_deg.unwrap_or(180.0),
        albedo: 0.2,
        horizon: array.horizon.clone().unwrap_or_default(),
        clearness: 1.0,
    };
    let step = (case.samples.len() / 24).max(1);
    let clear: Vec<f64> = case
        .samples
        .iter()
        .step_by(step)
        .map(|s| (plane.light(s.at.timestamp() as f64, 1.0).total() + 20.0).ln())
        .collect();
    numbers.extend([mean(&clear), change(&clear)]);
    let told = &case.circumstances;
    let mut signs = vec![case.system.cable.parity().map(|p| p == Parity::Odd)];
    signs.extend(SIGNS.map(|sign| told.noticed.as_ref().map(|all| all.contains(&sign))));
    signs.extend(PARTS.map(|part| told.touched.as_ref().map(|all| all.contains(&part))));
    Features { numbers, pattern: pattern(&case.samples), signs }
}
