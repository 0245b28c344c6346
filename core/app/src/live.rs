//! Measured against expected for this moment.
//!
//! What should be is solved for the healthy plant of the record at the sun of this moment: the sensor's if
//! there is one, else the sun that the array's own current tells, else a clear sky. While the pump stands
//! still there is nothing to expect, except water after a stop that nobody meant.

use std::collections::VecDeque;

use chrono::{DateTime, FixedOffset, TimeDelta, Utc};
use wellwright_diagnosis::predict::climate::day_air_c;
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_diagnosis::window::{Outcome, RUNS_ALREADY};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::cell_temperature;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::sun::position::sun_position;

use crate::model::{Band, Expected, Model, Outside, Solved};

/// A reading shown is the mean of so much time, s: noise goes, a passing cloud stays.
const MEAN_S: i64 = 20;
/// Spread of the sun by its sensor beside its class: lag, clouds over one end of the array, share.
const SENSOR_LAG: f64 = 0.025;
/// Spread of the sun that the array tells of itself, share.
const ARRAY_SIGMA: f64 = 0.04;
/// Spread of a sky that is only hoped to be clear, share.
const SKY_SIGMA: f64 = 0.25;

/// Where the irradiance of a moment comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SunFrom {
    /// Its sensor.
    Sensor,
    /// The array's own current.
    Array,
    /// A clear sky, for want of better.
    ClearSky,
}

/// Follows a system, sample by sample.
#[derive(Debug, Clone)]
pub struct Live {
    system: System,
    model: Model,
    recent: VecDeque<Sample>,
    running_since: Option<DateTime<FixedOffset>>,
    seen: [bool; Channel::COUNT],
}

/// One moment, measured and expected.
#[derive(Debug, Clone, PartialEq)]
pub struct LiveMoment {
    /// Last sample.
    pub at: DateTime<FixedOffset>,
    /// State of the controller.
    pub state: Option<PumpState>,
    /// Its flags.
    pub flags: Flags,
    /// In the plane of the array, W/m2.
    pub irradiance_w_m2: f64,
    /// Where that comes from.
    pub sun_from: SunFrom,
    /// Sun above the horizon, degrees.
    pub sun_elevation_deg: f64,
    /// What a healthy plant would do.
    pub expected: Expected,
    values: [Option<f64>; Channel::COUNT],
}

impl LiveMoment {
    /// Mean of the last seconds.
    pub fn get(&self, channel: Channel) -> Option<f64> {
        self.values[channel as usize]
    }

    /// Power at the controller's DC input, W.
    pub fn array_w(&self) -> Option<f64> {
        Some(self.get(Channel::ArrayV)? * self.get(Channel::ArrayA)?)
    }

    /// Mean phase current, A rms.
    pub fn phase_a(&self) -> Option<f64> {
        let all = [Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA].map(|c| self.get(c));
        let known: Vec<f64> = all.into_iter().flatten().collect();
        (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64)
    }

    /// True while the motor turns.
    pub fn running(&self) -> bool {
        self.state.map_or_else(
            || self.get(Channel::MotorRpm).is_some_and(|n| n > 0.0),
            |state| state == PumpState::Running,
        )
    }

    /// True when it stands still and nobody meant it to.
    pub fn stopped_unmeant(&self) -> bool {
        !self.running()
            && (self.state == Some(PumpState::Tripped)
                || Outcome::of_flags(self.flags).is_some_and(Outcome::is_trip))
    }

    /// Why it stands by as meant, if it does: the code of a text `why.…`.
    pub fn why_standing(&self) -> Option<&'static str> {
        if self.running() {
            None
        } else if self.flags.has(Flag::TankFull) {
            Some("tank_full")
        } else if self.flags.has(Flag::SwitchedOff) {
            Some("switched_off")
        } else if self.sun_elevation_deg < 0.0 {
            Some("night")
        } else {
            None
        }
    }
}

impl Live {
    /// Nothing heard yet.
    ///
    /// # Errors
    /// A record that no physics answers.
    pub fn new(system: &System) -> Result<Live, PhysicsError> {
        Ok(Live::with(system, Model::new(system)?))
    }

    /// Nothing heard yet; what the record leaves out is sized from a recording.
    ///
    /// # Errors
    /// A record that no physics answers.
    pub fn of_recording(system: &System, samples: &[Sample]) -> Result<Live, PhysicsError> {
        Ok(Live::with(system, Model::as_seen(system, samples)?))
    }

    fn with(system: &System, model: Model) -> Live {
        Live {
            system: system.clone(),
            model,
            recent: VecDeque::new(),
            running_since: None,
            seen: [false; Channel::COUNT],
        }
    }

    /// The record.
    pub fn system(&self) -> &System {
        &self.system
    }

    /// The plant of the record.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// True when the channel ever gave a value.
    pub fn has_seen(&self, channel: Channel) -> bool {
        self.seen[channel as usize]
    }

    /// Takes the next sample.
    pub fn push(&mut self, sample: &Sample) {
        if sample.runs() {
            // the pump that is met running has run before
            let met = !self.seen.contains(&true);
            let since = if met { sample.at - RUNS_ALREADY } else { sample.at };
            self.running_since.get_or_insert(since);
        } else {
            self.running_since = None;
        }
        for c in Channel::ALL {
            self.seen[c as usize] |= sample.raw(c).is_some();
        }
        // A mean over a start or a stop stands for nothing; nor does one over a clock that was set.
        if self.recent.back().is_some_and(|last| last.runs() != sample.runs() || last.at > sample.at) {
            self.recent.clear();
        }
        self.recent.push_back(sample.clone());
        let oldest = sample.at - TimeDelta::seconds(MEAN_S);
        while self.recent.front().is_some_and(|s| s.at < oldest) {
            self.recent.pop_front();
        }
    }

    /// The moment of the last sample; `None` before there is one.
    pub fn moment(&self) -> Option<LiveMoment> {
        let last = self.recent.back()?;
        let values = Channel::ALL.map(|c| {
            let known: Vec<f64> = self.recent.iter().filter_map(|s| s.get(c)).collect();
            (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64)
        });
        let get = |c: Channel| values[c as usize];
        let air = get(Channel::AirC).map_or_else(|| day_air_c(&self.system, last.at), |a| (a, 1.0));
        let back = get(Channel::ModuleC);
        let noct = self.model.plant.noct_c;
        let cell = |g: f64| match back {
            Some(back) => cell_temperature::cell_from_back(back, g),
            None => cell_temperature::noct(g, air.0, noct),
        };
        let (irradiance, sigma, sun_from) = self.sun(last.at, get, cell);
        let minutes = self.running_since.map_or(0.0, |since| (last.at - since).num_seconds() as f64 / 60.0);
        let expected = self.model.expect(&Outside {
            irradiance_w_m2: irradiance,
            irradiance_sigma: sigma,
            cell_c: cell(irradiance),
            cell_sigma_k: if back.is_some() { 3.0 } else { 3f64.hypot(air.1) },
            minutes: minutes.max(2.0),
        });
        let place = &self.model.plant.view.place;
        let sun = sun_position(
            last.at.with_timezone(&Utc),
            place.latitude_deg,
            place.longitude_deg,
            place.altitude_m,
        );
        Some(LiveMoment {
            at: last.at,
            state: last.state,
            flags: last.flags.unwrap_or_default(),
            irradiance_w_m2: irradiance,
            sun_from,
            sun_elevation_deg: sun.map_or(0.0, |s| 90.0 - s.apparent_zenith_deg),
            expected,
            values,
        })
    }

    fn sun(
        &self,
        at: DateTime<FixedOffset>,
        get: impl Fn(Channel) -> Option<f64>,
        cell: impl Fn(f64) -> f64,
    ) -> (f64, f64, SunFrom) {
        if let Some(g) = get(Channel::IrradianceWM2) {
            return (g.max(0.0), SENSOR_LAG.hypot(self.system.sensors.irradiance_share()), SunFrom::Sensor);
        }
        let from_array = get(Channel::ArrayV)
            .zip(get(Channel::ArrayA))
            .and_then(|(v, i)| self.model.irradiance_from_array(v, i, cell));
        match from_array {
            Some(g) => (g, ARRAY_SIGMA, SunFrom::Array),
            None => (clear_plane(&self.model.plant, at).unwrap_or(0.0), SKY_SIGMA, SunFrom::ClearSky),
        }
    }

    /// What should be measured, the instruments' own errors included.
    pub fn band(&self, e: &Expected, what: Solved) -> Band {
        let s = &self.system.sensors;
        let b = e.get(what);
        // the controller's own V 1 %, A 2 %, phase A 3 % each (contract); slow model errors as in diagnosis
        let sigma = match what {
            Solved::ArrayW => 0.03 * b.value,
            Solved::Rpm => 0.005 * b.value,
            Solved::PhaseA => 0.024 * b.value,
            Solved::OutputV => 0.018 * b.value,
            Solved::Flow => (s.flow_share() * b.value).hypot(0.02 * b.value),
            Solved::Pressure => (s.pressure_share() * b.value).hypot(4.0),
            Solved::Level => {
                let fall = (b.value - self.model.plant.water.well.static_m).abs().min(30.0);
                s.level_error_m(b.value).hypot(0.12 * fall)
            }
            _ => 0.0,
        };
        let mut b = b.widened(sigma);
        if b.value >= 0.0 {
            b.lo = b.lo.max(0.0);
        }
        b
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};

    fn at(s: i64) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339("2026-03-14T11:00:00+02:00").unwrap() + TimeDelta::seconds(s)
    }

    fn running(s: i64) -> Sample {
        let mut sample = Sample::new(at(s)).with(Channel::MotorRpm, 3000.0).with(Channel::FlowM3H, s as f64);
        sample.state = Some(PumpState::Running);
        sample
    }

    /// Noon by the sun, near enough.
    fn noon(system: &System) -> DateTime<FixedOffset> {
        let hours = 12.0 - system.site.longitude_deg / 15.0;
        let day = DateTime::parse_from_rfc3339("2026-03-14T00:00:00Z").unwrap();
        day + TimeDelta::seconds((3600.0 * hours) as i64)
    }

    fn moved(mut sample: Sample, at: DateTime<FixedOffset>) -> Sample {
        sample.at = at;
        sample
    }

    #[test]
    fn a_reading_is_the_mean_of_the_last_seconds_of_one_state() {
        let mut live = Live::new(&kestrel_hollow()).unwrap();
        assert!(live.moment().is_none());
        for s in 0..100 {
            live.push(&running(s));
        }
        assert_eq!(live.moment().unwrap().get(Channel::FlowM3H), Some(89.0));
        let mut stop = Sample::new(at(100)).with(Channel::FlowM3H, 0.0);
        stop.state = Some(PumpState::Stopped);
        live.push(&stop);
        let m = live.moment().unwrap();
        assert_eq!((m.get(Channel::FlowM3H), m.running()), (Some(0.0), false));
    }

    #[test]
    fn the_sun_comes_from_the_sensor_else_the_array_else_the_sky() {
        let mut live = Live::new(&kestrel_hollow()).unwrap();
        live.push(&running(0).with(Channel::IrradianceWM2, 700.0));
        let m = live.moment().unwrap();
        assert_eq!((m.irradiance_w_m2, m.sun_from), (700.0, SunFrom::Sensor));
        let mut live = Live::new(&dovecote_bend()).unwrap();
        let noon = noon(&dovecote_bend());
        live.push(&moved(running(0), noon));
        let sky = live.moment().unwrap();
        assert_eq!(sky.sun_from, SunFrom::ClearSky);
        assert!(sky.irradiance_w_m2 > 0.0);
        let e = live.model().expect(&Outside {
            irradiance_w_m2: 600.0,
            irradiance_sigma: 0.0,
            cell_c: 45.0,
            cell_sigma_k: 0.0,
            minutes: 60.0,
        });
        let (v, i) = (e.get(Solved::ArrayV).value, e.get(Solved::ArrayA).value);
        let next = moved(running(1), noon + TimeDelta::seconds(1));
        live.push(&next.with(Channel::ArrayV, v).with(Channel::ArrayA, i).with(Channel::ModuleC, 43.2));
        let m = live.moment().unwrap();
        assert_eq!(m.sun_from, SunFrom::Array);
        assert!((m.irradiance_w_m2 / 600.0 - 1.0).abs() < 0.02, "{}", m.irradiance_w_m2);
    }

    #[test]
    fn a_stop_is_meant_or_not() {
        let mut live = Live::new(&kestrel_hollow()).unwrap();
        let mut s = Sample::new(at(0));
        (s.state, s.flags) = (Some(PumpState::Stopped), Some(Flags::NONE.with(Flag::TankFull)));
        live.push(&s);
        let m = live.moment().unwrap();
        assert_eq!((m.why_standing(), m.stopped_unmeant()), (Some("tank_full"), false));
        s.flags = Some(Flags::NONE.with(Flag::DryProbe));
        live.push(&s);
        let m = live.moment().unwrap();
        assert_eq!((m.why_standing(), m.stopped_unmeant()), (None, true));
    }

    #[test]
    fn what_a_record_leaves_out_is_sized_from_the_recording() {
        let rows: Vec<Sample> = (0..30).map(|k| running(k).with(Channel::ArrayV, 290.0)).collect();
        let whole = kestrel_hollow();
        let (a, b) = (Live::new(&whole).unwrap(), Live::of_recording(&whole, &rows).unwrap());
        assert_eq!(a.model().plant.array, b.model().plant.array, "what is recorded stands");
        let mut bare = whole;
        (bare.array.series, bare.array.module.voc_v, bare.controller.max_v) = (None, None, None);
        let sized = Live::of_recording(&bare, &rows).unwrap();
        let volts = |l: &Live| {
            let array = &l.model().plant.array;
            f64::from(array.series) * array.module.at(1000.0, 25.0).voc()
        };
        assert!((volts(&sized) / volts(&a) - 1.0).abs() < 0.25, "{} of {}", volts(&sized), volts(&a));
    }
}
