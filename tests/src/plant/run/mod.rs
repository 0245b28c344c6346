//! The installation in time: clouds, warming, start and stop, trips and rests.

mod lifeless;
mod odd;
mod slow;
mod turning;

use wellwright_domain::flags::{Flag, Flags, PumpState};

use super::balance::Limit;
use super::dice::Dice;
use super::panel::Curve;
use super::plant::{Load, Plant, View};
use super::sky::Sky;
use super::sun::Light;
use super::well::WellState;

/// What truly is at one instant, before any sensor.
#[derive(Debug, Clone)]
pub struct Truth {
    /// Seconds since 1970.
    pub t: f64,
    /// State as the controller says.
    pub state: PumpState,
    /// Flags.
    pub flags: Flags,
    /// Light in the plane, W/m2.
    pub g: f64,
    /// The same light, in its parts.
    pub light: Light,
    /// Air, degC.
    pub air_c: f64,
    /// Cell, degC.
    pub cell_c: f64,
    /// Controller's DC input, V.
    pub v: f64,
    /// A.
    pub a: f64,
    /// Commanded speed, rpm.
    pub rpm: f64,
    /// A rms.
    pub phases: [f64; 3],
    /// V rms.
    pub output_v: f64,
    /// degC.
    pub heat_c: f64,
    /// Past the wellhead, m3/h.
    pub flow: f64,
    /// Arriving at the outlet, m3/h: less than `flow` with a leak in the surface pipe.
    pub arrives: f64,
    /// kPa gauge.
    pub kpa: f64,
    /// m below the wellhead.
    pub depth: f64,
    /// %.
    pub tank: f64,
    /// Past the wellhead since the beginning, m3.
    pub volume: f64,
    /// Arrived at the outlet since the beginning, m3.
    pub arrived: f64,
    /// kWh since the beginning.
    pub energy: f64,
    /// What held the speed back.
    pub limit: Option<Limit>,
    /// W: array, after DC cable, controller out, motor in, shaft, hydraulic.
    pub chain: [f64; 6],
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Mode {
    Off,
    Rest { until: f64, flag: Option<Flag>, tripped: bool },
    Starting { since: f64 },
    Running,
}

/// Weather and people around the plant.
#[derive(Debug)]
pub struct Scene {
    /// Clouds.
    pub sky: Sky,
    /// Mean air temperature and half its daily swing, degC.
    pub air: (f64, f64),
    /// Local solar noon offset: longitude / 15, h.
    pub solar_h: f64,
    /// Times at which a person turns the switch, and to what.
    pub switch: Vec<(f64, bool)>,
    /// Tank at the beginning, share.
    pub tank: f64,
    /// Pipe is empty at the beginning.
    pub empty_pipe: bool,
    /// An input that sticks does so from this instant on, seconds since 1970.
    pub onset: f64,
    /// With no supply, rows end at this instant when they do.
    pub last_row: f64,
}

/// What of the plant wanders while it runs.
#[derive(Debug, Clone, Copy)]
struct Steady {
    rest: f64,
    gas: f64,
    block: f64,
    leak: f64,
    earth_ohm: f64,
}

impl Steady {
    fn of(plant: &Plant) -> Steady {
        Steady {
            rest: plant.well.rest,
            gas: plant.gas,
            block: plant.block,
            leak: plant.leak.map_or(0.0, |l| l.size),
            earth_ohm: plant.motor.earth.map_or(f64::INFINITY, |e| e.1),
        }
    }
}

/// The running simulation.
pub struct Run {
    plant: Plant,
    scene: Scene,
    dice: Dice,
    mode: Mode,
    n: f64,
    view: View,
    well: WellState,
    cell_c: Option<f64>,
    heat_c: Option<f64>,
    tank: f64,
    float_on: bool,
    held_head: f64,
    peak: f64,
    wander: f64,
    scanned: f64,
    light_for_s: f64,
    low_for_s: f64,
    open_until: f64,
    idle_va: (f64, f64),
    volume: f64,
    arrived: f64,
    energy: f64,
    /// The plant without what comes and goes: resting level, gas, blockage, size of the leak.
    steady: Steady,
    odd: odd::State,
    curve: Option<(f64, f64, f64, Curve)>,
}

impl Run {
    /// At rest, switched as the scene says.
    pub fn new(plant: Plant, scene: Scene, dice: Dice) -> Run {
        let empty = if scene.empty_pipe { plant.drained() } else { 0.0 };
        let tank = scene.tank;
        let view = View { depth: Some(plant.well.rest), empty, wet: 1.0, winding_c: plant.water_c };
        let steady = Steady::of(&plant);
        Run {
            steady,
            odd: odd::State::default(),
            arrived: 0.0,
            plant,
            scene,
            dice,
            mode: Mode::Off,
            n: 0.0,
            view,
            well: WellState::default(),
            cell_c: None,
            heat_c: None,
            tank,
            float_on: false,
            held_head: 0.0,
            peak: 0.0,
            wander: 0.0,
            scanned: 0.0,
            light_for_s: 0.0,
            low_for_s: 0.0,
            open_until: 0.0,
            idle_va: (0.0, 0.0),
            volume: 0.0,
            energy: 0.0,
            curve: None,
        }
    }

    fn switched_on(&self, t: f64) -> bool {
        self.scene.switch.iter().rev().find(|(at, _)| *at <= t).is_none_or(|(_, on)| *on)
    }

    /// Moves on by `dt` to the instant `t`.
    pub fn step(&mut self, t: f64, dt: f64) -> Truth {
        let k = self.scene.sky.step(dt);
        let light = self.plant.plane.light(t, k);
        let g = light.total();
        self.wander(t, dt, g);
        let solar_h = (t / 3600.0 + self.scene.solar_h).rem_euclid(24.0);
        let (mean, swing) = self.scene.air;
        let air_c = mean + swing * ((solar_h - 15.0) * std::f64::consts::PI / 12.0).cos();
        let aim = air_c + self.plant.cell_k * g;
        let cell_c = self.cell_c.map_or(aim, |c| c + (aim - c) * (1.0 - (-dt / 330.0).exp()));
        self.cell_c = Some(cell_c);
        let heat_c = *self.heat_c.get_or_insert(air_c + 3.0);
        let stale = self.curve.as_ref().is_none_or(|(b, d, c, _)| {
            (b - light.beam).abs() + (d - light.diffuse).abs() > 0.002 * g || (c - cell_c).abs() > 0.1
        });
        let (beam, diffuse, made_c, curve) = match self.curve.take() {
            Some(made) if !stale => made,
            _ => (light.beam, light.diffuse, cell_c, self.plant.panels.curve(light, cell_c)),
        };
        let mut truth = Truth {
            t,
            state: PumpState::Stopped,
            flags: Flags::NONE,
            g,
            light,
            air_c,
            cell_c,
            v: 0.0,
            a: 0.0,
            rpm: 0.0,
            phases: [0.0; 3],
            output_v: 0.0,
            heat_c,
            flow: 0.0,
            arrives: 0.0,
            arrived: 0.0,
            kpa: 0.0,
            depth: self.plant.well.depth(&self.well),
            tank: 100.0 * self.tank,
            volume: 0.0,
            energy: 0.0,
            limit: None,
            chain: [0.0; 6],
        };
        self.view.depth = Some(truth.depth);
        let load = if self.lifeless(t, dt, &curve, &mut truth) {
            None
        } else {
            self.idle(&mut truth, &curve);
            self.control(t, dt, &curve, &mut truth)
        };
        self.after(dt, load.as_ref(), &mut truth);
        self.curve = Some((beam, diffuse, made_c, curve));
        truth
    }

    /// The DC side with the motor at rest.
    fn idle(&mut self, truth: &mut Truth, curve: &Curve) {
        let open = curve.open_v();
        self.idle_va = (open, 0.0);
        let (peak, most) = curve.best(0.5 * open);
        if open < 0.25 * self.plant.drive.min_v || most < 2.0 * self.plant.drive.standby {
            // Too dark to wake.
            truth.v = open;
            return;
        }
        truth.v = curve.above(peak, self.plant.drive.standby);
        truth.a = self.plant.drive.standby / truth.v.max(1.0);
        self.idle_va = (truth.v, truth.a);
        let array = truth.v * truth.a + truth.a * truth.a * self.plant.panels.dc_ohm;
        truth.chain = [array, truth.v * truth.a, 0.0, 0.0, 0.0, 0.0];
    }

    fn rest(&mut self, t: f64, seconds: f64, flag: Flag, tripped: bool) {
        let until = t + seconds * self.dice.uniform(0.99, 1.01);
        self.mode = Mode::Rest { until, flag: Some(flag), tripped };
        self.n = 0.0;
        self.light_for_s = 0.0;
        self.low_for_s = 0.0;
    }

    /// Inputs, then the mode; gives the load if the motor turns.
    fn control(&mut self, t: f64, dt: f64, curve: &Curve, truth: &mut Truth) -> Option<Load> {
        let drive = self.plant.drive.clone();
        let stuck = t >= self.scene.onset;
        let dry = (self.plant.probe_stuck && stuck) || self.plant.probe.is_some_and(|p| truth.depth > p);
        self.float_on = (self.plant.float_stuck && stuck)
            || (self.plant.float && self.tank > if self.float_on { 0.86 } else { 0.97 });
        if !self.switched_on(t) {
            self.mode = Mode::Off;
            self.n = 0.0;
        } else if dry {
            self.rest(t, drive.dry_rest_s, Flag::DryProbe, false);
        } else if self.float_on {
            self.rest(t, 60.0, Flag::TankFull, false);
        } else if self.mode == Mode::Off {
            let until = t + self.dice.uniform(2.0, 15.0);
            self.mode = Mode::Rest { until, flag: None, tripped: false };
        }
        if matches!(self.mode, Mode::Starting { .. } | Mode::Running) {
            if truth.heat_c > drive.hot_trip_c {
                self.rest(t, drive.rest_s, Flag::OverTemperature, true);
            } else if self.odd.radio {
                let (_, seconds) = self.plant.odd.radio.unwrap_or((0.0, 30.0));
                let until = t + seconds * self.dice.uniform(0.5, 1.6);
                self.mode = Mode::Rest { until, flag: None, tripped: false };
                self.n = 0.0;
            }
        }
        if let Mode::Rest { until, .. } = self.mode
            && t >= until
        {
            let blind = self.plant.motor.open.is_some() || self.plant.locked;
            let enough = drive.tries || blind || {
                let (_, best) = curve.best(drive.min_v);
                best > 1.05 * self.plant.load(drive.min_rpm, &self.view).dc
            };
            if curve.open_v() > 1.15 * drive.min_v && enough {
                self.mode = Mode::Starting { since: t };
                self.open_until = t + self.dice.uniform(1.5, 7.0);
                self.peak = self.first_peak(curve);
            } else {
                self.rest(t, drive.low_rest_s, Flag::LowPower, false);
            }
        }
        match self.mode {
            Mode::Off => truth.flags = Flags::NONE.with(Flag::SwitchedOff),
            Mode::Rest { flag, tripped, .. } => {
                truth.state = if tripped { PumpState::Tripped } else { PumpState::Stopped };
                truth.flags = flag.into_iter().collect();
            }
            Mode::Starting { .. } | Mode::Running if self.plant.motor.open.is_some() => {
                return self.open_lead(t, curve, truth);
            }
            Mode::Starting { .. } | Mode::Running if self.plant.locked => {
                return self.locked_rotor(t, curve, truth);
            }
            Mode::Starting { .. } | Mode::Running if self.trips_to_ground() => {
                self.stop(t, Flag::GroundFault, true, truth);
                return None;
            }
            Mode::Starting { since } => return self.turn(t, dt, Some(since), curve, truth),
            Mode::Running => return self.turn(t, dt, None, curve, truth),
        }
        None
    }
}
