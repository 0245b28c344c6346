//! The whole simulated system, one time step after the other.

use chrono::{DateTime, Duration, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::finding::Regime;
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::record::{FlowPlace, System};
use wellwright_domain::sample::Sample;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::module::Point;
use wellwright_physics::operating_point::{Chain, Moment, OperatingPoint, Standstill};
use wellwright_physics::plant::Plant;

use crate::controller::{Controller, Does, Rules, Sees};
use crate::dice::Dice;
use crate::error::SimError;
use crate::fault::{Applied, Fault, Standby};
use crate::module_heat::ModuleHeat;
use crate::outputs::{Outputs, caught_peak};
use crate::scenario::Scenario;
use crate::sensors::Sensors;
use crate::tolerance::as_built;
use crate::weather::{Sky, SkyNow, Weather};
use crate::well_level::WellLevel;

/// Below this the array counts as dark, W/m2.
const DARK_W_M2: f64 = 2.0;
/// Lag of the heat sink, s, and its rise at rated loss, K (common practice, no single source).
const SINK_LAG_S: f64 = 900.0;
const SINK_RISE_K: f64 = 22.0;
/// Degrees over the derating point at which only a tenth of the power is left, K (engineering judgement).
const DERATE_OVER_K: f64 = 20.0;
/// Pressure behind a shut valve fades with this lag, s; else the standing column is there within a few.
const TRAPPED_S: f64 = 900.0;
const RELAX_S: f64 = 3.0;
/// A flow meter does not turn below this, m3/h.
const METER_STARTS_M3_H: f64 = 0.03;
/// What a pump end that takes air still takes as torque (centrifugal over best; helical rotor over friction).
const AIR_TORQUE: f64 = 0.3;

/// What is really so at one moment; the samples are what the sensors make of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Truth {
    /// Instant.
    pub at: DateTime<FixedOffset>,
    /// State of the controller.
    pub state: PumpState,
    /// Its flags.
    pub flags: Flags,
    /// Sky over the array.
    pub sky: SkyNow,
    /// Back of the modules, degC.
    pub back_c: f64,
    /// Cells, degC.
    pub cell_c: f64,
    /// Array, limits and load; the load is `None` when the rotor stands still.
    pub point: OperatingPoint,
    /// Where the power goes, W; zero when the rotor stands still.
    pub chain: Chain,
    /// Speed commanded, rpm.
    pub rpm: f64,
    /// Phase currents, A rms.
    pub phase_a: [f64; 3],
    /// Output voltage line to line, V rms.
    pub output_v: f64,
    /// Heat sink, degC.
    pub sink_c: f64,
    /// At the wellhead, m3/h.
    pub wellhead_m3_h: f64,
    /// At the tank, m3/h.
    pub tank_m3_h: f64,
    /// Gauge before the wellhead valve, kPa.
    pub wellhead_kpa: f64,
    /// Water below the wellhead, m.
    pub level_m: f64,
    /// Tank, %.
    pub tank_pct: f64,
}

/// One simulated system. As an iterator it gives one sample a time step until the scenario ends.
#[derive(Debug, Clone)]
pub struct SimSystem {
    scenario: Scenario,
    record_plant: Plant,
    plant: Plant,
    applied: Applied,
    sky: Sky,
    heat: ModuleHeat,
    well: WellLevel,
    controller: Controller,
    sensors: Sensors,
    flow_at_tank: bool,
    sink_c: f64,
    tank_m3: f64,
    tank_volume_m3: Option<f64>,
    gauge_kpa: f64,
    load_share: f64,
    steps: u32,
}

impl SimSystem {
    /// The usual scenario of a fault under a given sky.
    ///
    /// # Errors
    /// As [`SimSystem::play`].
    pub fn new(system: &System, fault: Fault, weather: Weather, seed: u64) -> Result<SimSystem, SimError> {
        SimSystem::play(system, &Scenario::plan(system, fault, seed)?.with_weather(weather))
    }

    /// A scenario from its start.
    ///
    /// # Errors
    /// [`SimError`]: a cause that is not simulated, a severity or time step outside its range, a record or
    /// date that physics does not answer.
    pub fn play(system: &System, scenario: &Scenario) -> Result<SimSystem, SimError> {
        scenario.check()?;
        let dice = |name| Dice::new(scenario.seed, name);
        let (record_plant, _) = Plant::from_record(system)?;
        let mut plant = as_built(system, &record_plant, &mut dice("as built"))?;
        let applied = scenario.fault.apply(system, &mut plant, &mut dice("fault"))?;
        let mut sky = Sky::new(
            &plant.view,
            &system.site,
            scenario.weather,
            scenario.start,
            applied.dim_w_m2,
            dice("sky"),
        )?;
        let now = sky.step(scenario.start, scenario.step_s);
        let mut tank_dice = dice("tank");
        let tank_volume_m3 = system.tank.as_ref().and_then(|t| t.volume_m3);
        let filled =
            if applied.standby == Some(Standby::TankFull) { 1.0 } else { tank_dice.between(0.2, 0.6) };
        let rules = Rules::new(system, &plant, &mut dice("controller"));
        Ok(SimSystem {
            scenario: scenario.clone(),
            applied,
            heat: ModuleHeat::new(system.array.mounting, &now, &mut dice("module")),
            well: WellLevel::new(&plant, &plant.condition.water),
            controller: Controller::new(rules, dice("trips")),
            sensors: Sensors::new(system, dice("sensors")),
            flow_at_tank: system.sensors.flow_m3_h.as_ref().and_then(|c| c.at) == Some(FlowPlace::Tank),
            sink_c: now.air_c + tank_dice.between(1.0, 4.0),
            tank_m3: tank_volume_m3.unwrap_or(0.0) * filled,
            tank_volume_m3,
            gauge_kpa: standing_kpa(&plant),
            load_share: 1.0,
            steps: 0,
            sky,
            record_plant,
            plant,
        })
    }

    /// Severity of the fault, given or drawn.
    pub fn severity(&self) -> Option<f64> {
        self.applied.severity
    }

    /// The plant as it really is, with what is wrong with it.
    pub fn plant(&self) -> &Plant {
        &self.plant
    }

    /// The next sample with the truth behind it; it never ends by itself.
    pub fn advance(&mut self) -> (Sample, Truth) {
        let dt_s = self.scenario.step_s;
        let elapsed_s = f64::from(self.steps) * dt_s;
        let at = self.scenario.start + Duration::milliseconds((1000.0 * elapsed_s).round() as i64);
        self.steps = self.steps.wrapping_add(1);
        let truth = self.truth(at, elapsed_s, dt_s);
        self.go_on(&truth, dt_s);
        let flow = if self.flow_at_tank { truth.tank_m3_h } else { truth.wellhead_m3_h };
        let mut sample = Sample::new(at);
        sample.state = Some(truth.state);
        sample.flags = Some(truth.flags);
        self.sensors.read(dt_s, |c| told(&truth, flow, c), |c, v| sample.set(c, Some(v)));
        (sample, truth)
    }

    fn truth(&mut self, at: DateTime<FixedOffset>, elapsed_s: f64, dt_s: f64) -> Truth {
        let sky = self.sky.step(at, dt_s);
        self.heat.step(&sky, dt_s);
        let cell_c = self.heat.cell_c(sky.irradiance_w_m2);
        let mut plant = self.plant_now();
        let level = Level::Known(self.well.level_m());
        let curve = (sky.irradiance_w_m2 > DARK_W_M2)
            .then(|| plant.array.curve(sky.irradiance_w_m2, cell_c, &plant.condition.array));
        if let Some(curve) = &curve
            && let Some(peak) = caught_peak(&plant, curve)
        {
            plant.condition.controller.power_not_taken = (1.0 - peak.p / curve.best().p.max(1e-9)).max(0.0);
        }
        let moment =
            Moment { irradiance_w_m2: sky.irradiance_w_m2, cell_c, level, heat_share: self.heat_share() };
        let settles = curve.as_ref().map_or_else(night, |c| blame(&plant, plant.on_curve(c, &moment), level));
        let sees = Sees {
            on: self.scenario.is_on(elapsed_s) && self.applied.standby != Some(Standby::SwitchedOff),
            tank_full: self.tank_pct() >= 100.0,
            level_m: self.well.level_m(),
            dark: curve.is_none(),
            settles: &settles,
            load_share: self.load_share,
            open_lead: self.applied.open_lead,
        };
        let does = self.controller.step(&sees, dt_s);
        let swing = (std::f64::consts::TAU * elapsed_s / 13.0).sin();
        let out = Outputs::new(&plant, &self.applied, curve.as_ref(), &settles, &does, level, swing);
        self.load_share = self.share_of_usual(&out);
        let regime = if out.load.is_some() { settles.regime } else { Regime::Stopped };
        let point = OperatingPoint { regime, dc: out.dc, load: out.load, ..settles };
        let water = out.load.map(|l| l.water);
        self.gauge_kpa = self.gauge(&plant, water.map(|w| w.wellhead_kpa), dt_s);
        Truth {
            at,
            state: does.state,
            flags: does.flags,
            sky,
            back_c: self.heat.back_c(),
            cell_c,
            chain: plant.chain(&point),
            point,
            rpm: turns(&does, &out),
            phase_a: out.phase_a,
            output_v: out.output_v,
            sink_c: self.sink_c,
            wellhead_m3_h: water.map_or(0.0, |w| w.wellhead_m3_h),
            tank_m3_h: water.map_or(0.0, |w| w.tank_m3_h),
            wellhead_kpa: self.gauge_kpa,
            level_m: self.well.level_m(),
            tank_pct: self.tank_pct(),
        }
    }

    /// The plant, taking air where the water has fallen to the intake.
    fn plant_now(&self) -> Plant {
        let mut plant = self.plant.clone();
        if self.well.at_intake() && plant.condition.pump.dry_torque_share.is_none() {
            plant.condition.pump.dry_torque_share = Some(AIR_TORQUE);
        }
        plant
    }

    fn share_of_usual(&self, out: &Outputs) -> f64 {
        out.load.map_or(1.0, |load| {
            let usual = self.record_plant.load_at(load.rpm, Level::After { minutes: 20.0 });
            load.output_w / usual.output_w.max(1.0)
        })
    }

    fn gauge(&self, plant: &Plant, running_kpa: Option<f64>, dt_s: f64) -> f64 {
        let shut = plant.condition.water.valve_m_per_m3h2.is_infinite();
        let lag_s = if shut { TRAPPED_S } else { RELAX_S };
        let standing = standing_kpa(plant);
        let fading = standing + (self.gauge_kpa - standing) * (-dt_s / lag_s).exp();
        match running_kpa {
            // the check valve keeps what was once pressed in
            Some(kpa) if shut => kpa.max(fading),
            Some(kpa) => kpa,
            None => fading,
        }
    }

    fn heat_share(&self) -> f64 {
        let over = self.sink_c - self.plant.controller.derate_from_c;
        (1.0 - 0.9 * over / DERATE_OVER_K).clamp(0.1, 1.0)
    }

    fn tank_pct(&self) -> f64 {
        self.tank_volume_m3.map_or(0.0, |v| (100.0 * self.tank_m3 / v.max(1e-9)).min(100.0))
    }

    /// Carries level, tank and heat over to the next step.
    fn go_on(&mut self, truth: &Truth, dt_s: f64) {
        self.well.step(truth.wellhead_m3_h, dt_s);
        self.tank_m3 += truth.tank_m3_h * dt_s / 3600.0;
        if let Some(volume) = self.tank_volume_m3 {
            self.tank_m3 = self.tank_m3.min(volume);
        }
        let c = &self.plant.controller;
        let rated_loss_w = (c.max_power_w * (1.0 - c.efficiency)).max(1.0);
        let loss_w = (truth.chain.after_dc_cable - truth.chain.controller_out).max(0.0);
        let aim = truth.sky.air_c + 2.0 + SINK_RISE_K * loss_w / rated_loss_w;
        self.sink_c += (aim - self.sink_c) * (1.0 - (-dt_s / SINK_LAG_S).exp());
    }
}

impl Iterator for SimSystem {
    type Item = Sample;

    fn next(&mut self) -> Option<Sample> {
        (self.steps < self.scenario.steps()).then(|| self.advance().0)
    }
}

/// A load that asks for more current than the limit looks like too little sun, for the current costs power;
/// a controller meets its current limit first and says so.
fn blame(plant: &Plant, mut point: OperatingPoint, level: Level) -> OperatingPoint {
    let c = &plant.controller;
    if point.standstill == Some(Standstill::TooLittleSun)
        && plant.load_at(c.min_rpm, level).motor.phase_a > c.max_phase_a
    {
        point.standstill = Some(Standstill::TooMuchTorque);
    }
    point
}

/// Nothing from the array.
fn night() -> OperatingPoint {
    let none = Point { v: 0.0, i: 0.0, p: 0.0 };
    OperatingPoint {
        regime: Regime::Stopped,
        standstill: Some(Standstill::TooLittleSun),
        dc: none,
        best: none,
        load: None,
    }
}

/// The speed shown: that of the rotor where the search for the best point swings it a little.
fn turns(does: &Does, out: &Outputs) -> f64 {
    out.load.map_or(does.rpm, |l| l.rpm)
}

/// Gauge pressure of the column that stands on the check valve up to the outlet, kPa. The riser is taken to
/// be full from the start.
fn standing_kpa(plant: &Plant) -> f64 {
    plant.water.pipes.column_kpa()
}

/// The true value behind a channel.
fn told(truth: &Truth, flow_m3_h: f64, channel: Channel) -> f64 {
    match channel {
        Channel::ArrayV => truth.point.dc.v,
        Channel::ArrayA => truth.point.dc.i,
        Channel::MotorRpm => truth.rpm,
        Channel::PhaseUA => truth.phase_a[0],
        Channel::PhaseVA => truth.phase_a[1],
        Channel::PhaseWA => truth.phase_a[2],
        Channel::OutputV => truth.output_v,
        Channel::ControllerC => truth.sink_c,
        Channel::IrradianceWM2 => truth.sky.irradiance_w_m2,
        Channel::ModuleC => truth.back_c,
        Channel::AirC => truth.sky.air_c,
        Channel::FlowM3H if flow_m3_h < METER_STARTS_M3_H => 0.0,
        Channel::FlowM3H => flow_m3_h,
        Channel::WellheadKpa => truth.wellhead_kpa,
        Channel::WaterLevelM => truth.level_m,
        Channel::TankLevelPct => truth.tank_pct,
        Channel::VolumeM3 | Channel::EnergyKwh => 0.0,
    }
}
