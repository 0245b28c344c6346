//! What instruments make of the truth: bias, slow error, noise, lag, steps, gaps and nonsense.

use wellwright_domain::cause::{Applies, Cause};
use wellwright_domain::channel::Channel;
use wellwright_domain::record::{FlowPlace, SensorClass, Sensors, System};

use super::dice::Dice;
use super::run::Truth;

/// Which sensors a case has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SensorSet {
    /// Sun, module, flow, pressure, level and the three currents.
    Full,
    /// The three currents and flow.
    Middling,
    /// DC voltage and current, speed, state and flags.
    Lean,
}

impl SensorSet {
    /// All sets.
    pub const ALL: [SensorSet; 3] = [SensorSet::Full, SensorSet::Middling, SensorSet::Lean];

    /// It always has this added channel.
    pub fn has(self, channel: Channel) -> bool {
        use Channel::{FlowM3H, IrradianceWM2, WaterLevelM, WellheadKpa};
        match channel {
            FlowM3H => self != SensorSet::Lean,
            IrradianceWM2 | WaterLevelM | WellheadKpa => self == SensorSet::Full,
            _ => false,
        }
    }

    /// It has what a cause needs to exist at all.
    pub fn can_show(self, cause: Cause) -> bool {
        cause.info().applies_to.iter().all(|a| match a {
            Applies::Has(channel) => self.has(*channel),
            _ => true,
        })
    }

    /// Word in the table of answers.
    pub const fn word(self) -> &'static str {
        match self {
            SensorSet::Full => "full",
            SensorSet::Middling => "middling",
            SensorSet::Lean => "lean",
        }
    }

    /// The set with this word.
    pub fn from_word(word: &str) -> Option<SensorSet> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }
}

/// One instrument.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Channel.
    pub channel: Channel,
    /// Step of the reading.
    pub step: f64,
    /// Digits after the point.
    pub digits: usize,
    /// Ratio of the reading (fault: sensor error).
    pub gain: f64,
    /// Added to the reading (fault: sensor error).
    pub offset: f64,
    slow_sigma: f64,
    slow_tau: f64,
    noise_share: f64,
    noise: f64,
    lag_s: f64,
    dead_below: f64,
    /// What it reads at full load.
    pub span: f64,
    /// It never reads more.
    pub ceiling: f64,
    slow: f64,
    seen: Option<f64>,
}

impl Instrument {
    fn new(
        dice: &mut Dice,
        channel: Channel,
        steps: &[f64],
        gain: f64,
        noise_share: f64,
        noise: f64,
    ) -> Instrument {
        let step = dice.pick(steps);
        Instrument {
            channel,
            step,
            digits: if step >= 1.0 { 1 } else { (-step.log10()).ceil().max(1.0) as usize },
            gain: dice.factor(gain),
            offset: 0.0,
            slow_sigma: 0.25 * gain,
            slow_tau: dice.uniform(600.0, 1800.0),
            noise_share,
            noise,
            lag_s: 0.0,
            dead_below: 0.0,
            span: f64::INFINITY,
            ceiling: f64::INFINITY,
            slow: 0.0,
            seen: None,
        }
    }

    fn offset(mut self, dice: &mut Dice, sigma: f64) -> Instrument {
        self.offset = dice.normal(0.0, sigma);
        self
    }

    fn lag(mut self, seconds: f64) -> Instrument {
        self.lag_s = seconds;
        self
    }

    /// The reading of a true value, `dt` after the last one.
    pub fn read(&mut self, truth: f64, dt: f64, dice: &mut Dice) -> f64 {
        let keep = (-dt / self.slow_tau).exp();
        self.slow = self.slow * keep + dice.normal(0.0, self.slow_sigma) * (1.0 - keep * keep).sqrt();
        let before = self.seen.unwrap_or(truth);
        let follow = if self.lag_s > 0.0 { 1.0 - (-dt / self.lag_s).exp() } else { 1.0 };
        let seen = before + (truth - before) * follow;
        self.seen = Some(seen);
        if self.channel == Channel::MotorRpm && truth == 0.0 || seen.abs() < self.dead_below {
            return 0.0;
        }
        let noise = dice.normal(0.0, 1.0) * (self.noise_share * seen.abs() + self.noise);
        let value = seen * self.gain * (1.0 + self.slow) + self.offset + noise;
        (value.min(self.ceiling) / self.step).round() * self.step
    }
}

/// The instruments of a case.
#[derive(Debug, Clone)]
pub struct Panel {
    /// One for each column.
    pub instruments: Vec<Instrument>,
    module_under: f64,
    /// The flow meter sits at the tank.
    meter_at_tank: bool,
    /// Telemetry clock minus true time, h (fault: clock error).
    pub clock_h: f64,
    /// The logger reads the added sensors by itself, also when the controller is silent.
    pub own_sensors: bool,
}

/// The class of an added sensor as the record tells it.
fn class(pct: Option<f64>, k: Option<f64>, m: Option<f64>) -> SensorClass {
    SensorClass { accuracy_pct: pct, accuracy_k: k, accuracy_m: m, at: None }
}

/// Draws the instruments and writes the added ones into the record.
pub fn fit_out(set: SensorSet, system: &mut System, volts: f64, dice: &mut Dice) -> Panel {
    use Channel::{
        AirC, ArrayA, ArrayV, ControllerC, EnergyKwh, FlowM3H, IrradianceWM2, ModuleC, MotorRpm, OutputV,
        PhaseUA, PhaseVA, PhaseWA, TankLevelPct, VolumeM3, WaterLevelM, WellheadKpa,
    };
    let rated = system.motor.rated_a_rms.unwrap_or(5.0);
    let fine = volts < 150.0;
    let mut list = vec![
        Instrument::new(
            dice,
            ArrayV,
            if fine { &[0.1, 0.1, 0.5, 1.0] } else { &[0.1, 0.5, 1.0] },
            0.01,
            0.002,
            0.05,
        ),
        Instrument::new(dice, ArrayA, &[0.01, 0.01, 0.1], 0.02, 0.004, 0.005).offset(dice, 0.02),
        Instrument::new(dice, MotorRpm, &[1.0, 1.0, 10.0, 30.0], 0.0, 0.0005, 0.3),
    ];
    if set != SensorSet::Lean {
        let shared = dice.factor(0.025);
        let step = if rated < 20.0 { dice.pick(&[0.01, 0.1, 0.1]) } else { 0.1 };
        for channel in [PhaseUA, PhaseVA, PhaseWA] {
            let mut i = Instrument::new(dice, channel, &[step], 0.012, 0.006, 0.01);
            i.gain *= shared;
            i.dead_below = 0.02;
            list.push(i);
        }
        if dice.chance(0.5) {
            let mut i = Instrument::new(dice, OutputV, &[0.1, 1.0], 0.02, 0.003, 0.1);
            i.dead_below = 0.05;
            list.push(i);
        }
        if set == SensorSet::Full || dice.chance(0.4) {
            list.push(Instrument::new(dice, ControllerC, &[0.1, 0.5, 1.0], 0.0, 0.0, 0.1).offset(dice, 1.5));
        }
        let place = if dice.chance(0.6) { FlowPlace::Wellhead } else { FlowPlace::Tank };
        system.sensors.flow_m3_h = Some(SensorClass { at: Some(place), ..class(Some(3.0), None, None) });
        let mut flow = Instrument::new(dice, FlowM3H, &[0.01, 0.01, 0.05], 0.03, 0.012, 0.004)
            .lag(dice.uniform(0.5, 5.0));
        flow.dead_below = dice.uniform(0.01, 0.04) * rated_flow(system);
        list.push(flow);
    }
    let meter_at_tank = system.sensors.flow_m3_h.as_ref().is_some_and(|s| s.at == Some(FlowPlace::Tank));
    let mut sensors = Sensors { flow_m3_h: system.sensors.flow_m3_h.clone(), ..Sensors::default() };
    let mut module_under = 0.0;
    if set == SensorSet::Full {
        sensors.irradiance_w_m2 = Some(class(Some(5.0), None, None));
        sensors.module_c = Some(class(None, Some(1.5), None));
        sensors.wellhead_kpa = Some(class(Some(2.0), None, None));
        sensors.water_level_m = Some(class(None, None, Some(0.3)));
        let lag = if dice.chance(0.6) { dice.uniform(4.0, 18.0) } else { 0.0 };
        list.push(Instrument::new(dice, IrradianceWM2, &[1.0], 0.05, 0.001, 0.6).lag(lag));
        list.push(Instrument::new(dice, ModuleC, &[0.1], 0.0, 0.0, 0.15).offset(dice, 1.2).lag(20.0));
        module_under = dice.uniform(0.0, 3.0) / 1000.0;
        list.push(Instrument::new(dice, WellheadKpa, &[0.1, 0.1, 1.0], 0.02, 0.005, 0.2).offset(dice, 1.0));
        list.push(Instrument::new(dice, WaterLevelM, &[0.01], 0.0, 0.0, 0.02).offset(dice, 0.3));
        if dice.chance(0.3) {
            sensors.air_c = Some(class(None, Some(1.0), None));
            list.push(Instrument::new(dice, AirC, &[0.1], 0.0, 0.0, 0.08).offset(dice, 0.8));
        }
        if dice.chance(0.4) {
            sensors.tank_level_pct = Some(class(Some(2.0), None, None));
            list.push(Instrument::new(dice, TankLevelPct, &[0.1, 1.0], 0.02, 0.0, 0.05));
        }
        if dice.chance(0.25) {
            let mut i = Instrument::new(dice, VolumeM3, &[0.001, 0.01], 0.0, 0.0, 0.0);
            i.offset = dice.log_uniform(3.0, 20000.0);
            list.push(i);
        }
        if dice.chance(0.2) {
            let mut i = Instrument::new(dice, EnergyKwh, &[0.01], 0.0, 0.0, 0.0);
            i.offset = dice.log_uniform(3.0, 9000.0);
            list.push(i);
        }
    }
    system.sensors = sensors;
    let array = system.array.module.imp_a.zip(system.array.strings);
    for i in &mut list {
        match i.channel {
            ArrayA => i.span = array.map_or(10.0, |(imp, strings)| imp * f64::from(strings)),
            PhaseUA | PhaseVA | PhaseWA => i.span = rated,
            _ => {}
        }
    }
    list.sort_by_key(|i| i.channel);
    Panel { instruments: list, module_under, meter_at_tank, clock_h: 0.0, own_sensors: dice.chance(0.5) }
}

fn rated_flow(system: &System) -> f64 {
    match &system.pump.curve {
        Some(rows) => rows.iter().map(|r| r[0]).fold(0.0, f64::max) / 1.4,
        None => {
            system.pump.displacement_cm3_per_rev.unwrap_or(20.0)
                * system.pump.rated_rpm.unwrap_or(2000.0)
                * 6e-5
        }
    }
}

impl Panel {
    /// The instrument of a channel.
    pub fn of(&mut self, channel: Channel) -> Option<&mut Instrument> {
        self.instruments.iter_mut().find(|i| i.channel == channel)
    }

    /// It stays readable when the controller is silent.
    pub fn readable_alone(&self, channel: Channel) -> bool {
        use Channel::{
            AirC, FlowM3H, IrradianceWM2, ModuleC, TankLevelPct, VolumeM3, WaterLevelM, WellheadKpa,
        };
        let added = [IrradianceWM2, ModuleC, AirC, FlowM3H, WellheadKpa, WaterLevelM, TankLevelPct, VolumeM3];
        self.own_sensors && added.contains(&channel)
    }

    /// True value of a channel.
    pub fn truth(&self, channel: Channel, t: &Truth) -> f64 {
        match channel {
            Channel::ArrayV => t.v,
            Channel::ArrayA => t.a,
            Channel::MotorRpm => t.rpm,
            Channel::PhaseUA => t.phases[0],
            Channel::PhaseVA => t.phases[1],
            Channel::PhaseWA => t.phases[2],
            Channel::OutputV => t.output_v,
            Channel::ControllerC => t.heat_c,
            Channel::IrradianceWM2 => t.g,
            Channel::ModuleC => t.cell_c - self.module_under * t.g,
            Channel::AirC => t.air_c + 0.001 * t.g,
            Channel::FlowM3H => {
                if self.meter_at_tank {
                    t.arrives
                } else {
                    t.flow
                }
            }
            Channel::WellheadKpa => t.kpa,
            Channel::WaterLevelM => t.depth,
            Channel::TankLevelPct => t.tank,
            Channel::VolumeM3 => {
                if self.meter_at_tank {
                    t.arrived
                } else {
                    t.volume
                }
            }
            Channel::EnergyKwh => t.energy,
        }
    }
}
