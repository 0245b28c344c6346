//! One plant, one step after the other.

use wellwright_domain::finding::Regime;

use super::sky::SkyStep;
use super::tank::{Tank, TankState};
use crate::cell_temperature::noct;
use crate::hydraulics::Level;
use crate::motor::ke_v_s;
use crate::operating_point::{Moment, OperatingPoint, Standstill};
use crate::plant::Plant;

/// Below this light nothing is solved, W/m2.
const DARK_W_M2: f64 = 3.0;

/// Closer than this nobody asks when the well was drawn down, minutes.
const SOONEST_DRY_MIN: f64 = 0.05;

/// Heat of the controller over the air at rated loss, K (engineering judgement).
const SINK_RISE_K: f64 = 30.0;

/// How the controller and the site behave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// It starts when the array offers this many times what the lowest speed takes, 1 or more (common
    /// practice: some reserve, or it would fall back at once).
    pub start_margin: f64,
    /// Rest after the water fell to the intake or the probe, minutes.
    pub rest_min: f64,
    /// Depth at which a dry probe stops the pump, m below the wellhead; the intake where there is none.
    pub stop_level_m: Option<f64>,
    /// Tank; `None`: an open end.
    pub tank: Option<Tank>,
    /// The controller's heat follows air and load and may hold it back.
    pub heat: bool,
}

impl Default for Rules {
    fn default() -> Self {
        Rules { start_margin: 1.15, rest_min: 30.0, stop_level_m: None, tank: None, heat: true }
    }
}

/// Why no water comes, or less than the sun would give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// It runs freely.
    Runs,
    /// Too little light, voltage or torque.
    Stands(Standstill),
    /// Enough to go on, not enough to start.
    Waits,
    /// It turns and lifts nothing.
    NoLift,
    /// The tank is full.
    TankFull,
    /// The well gives less than the pump takes: it cycles or rests.
    WellYield,
}

/// What one step gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The light it was given.
    pub sky: SkyStep,
    /// What holds the plant; [`Regime::Cycling`] while it starts and stops.
    pub regime: Regime,
    /// Why.
    pub why: Why,
    /// Share of the step in which it ran, 0 to 1.
    pub ran: f64,
    /// Speed while it ran, rpm.
    pub rpm: f64,
    /// Into the tank, litres.
    pub litres: f64,
    /// Over the brim, litres.
    pub spilled_litres: f64,
    /// Drawn from the tank, litres.
    pub drawn_litres: f64,
    /// Water level while it ran, else at rest, m below the wellhead.
    pub level_m: f64,
    /// How full the tank is after it, 0 to 1; 0 without a tank.
    pub tank_share: f64,
    /// Energy into the controller, Wh.
    pub dc_wh: f64,
    /// Energy that the array could have given, Wh.
    pub best_wh: f64,
}

/// A plant on its way through the days.
#[derive(Debug, Clone)]
pub struct Simulation<'a> {
    plant: &'a Plant,
    rules: Rules,
    /// Minutes since the start; `None`: it stands.
    running_min: Option<f64>,
    rest_left_min: f64,
    tank: Option<TankState>,
    /// Last power into the controller, W.
    last_w: f64,
}

/// The plant, solved for one step before tank and well have their say.
struct Solved {
    point: OperatingPoint,
    regime: Regime,
    why: Why,
    share: f64,
    level_m: f64,
}

impl<'a> Simulation<'a> {
    /// Begins at rest.
    pub fn new(plant: &'a Plant, rules: Rules) -> Simulation<'a> {
        let tank = rules.tank.map(|t| t.begin());
        Simulation { plant, rules, running_min: None, rest_left_min: 0.0, tank, last_w: 0.0 }
    }

    /// Goes one step on.
    ///
    /// Limits: the level follows from the time since the last start, so a well is at rest again as soon as the
    /// pump stands; a step longer than the rest of a dry well counts the mean of its cycles.
    pub fn step(&mut self, sky: &SkyStep) -> Step {
        let hours = sky.minutes / 60.0;
        let solved = self.solve(sky);
        let water = solved.as_ref().and_then(|s| s.point.load).map_or(0.0, |l| l.water.tank_m3_h);
        let offered = water * solved.as_ref().map_or(0.0, |s| s.share);
        let mut out = Step {
            sky: *sky,
            regime: Regime::Stopped,
            why: Why::Stands(Standstill::TooLittleSun),
            ran: 0.0,
            rpm: 0.0,
            litres: 1000.0 * offered * hours,
            spilled_litres: 0.0,
            drawn_litres: 0.0,
            level_m: self.plant.water.well.static_m,
            tank_share: 0.0,
            dc_wh: 0.0,
            best_wh: solved.as_ref().map_or(0.0, |s| s.point.best.p * hours),
        };
        let mut share = 1.0;
        if let (Some(tank), Some(state)) = (&self.rules.tank, &mut self.tank) {
            let filled = tank.pass(state, offered, hours);
            share = filled.share;
            out.litres *= share;
            out.spilled_litres = 1000.0 * filled.spilled_m3;
            out.drawn_litres = 1000.0 * filled.drawn_m3;
            out.tank_share = state.held_m3 / tank.volume_m3;
        }
        let Some(s) = solved else {
            self.stop();
            return out;
        };
        (out.regime, out.why) = (s.regime, s.why);
        if let Some(load) = s.point.load.filter(|_| s.share > 0.0 && share > 0.0) {
            out.ran = s.share * share;
            out.rpm = load.rpm;
            out.level_m = s.level_m;
            out.dc_wh = load.dc_w * out.ran * hours;
            self.last_w = load.dc_w * out.ran;
            self.running_min = Some(self.running_min.unwrap_or(0.0) + sky.minutes);
        } else {
            self.stop();
        }
        if share < 1.0 {
            out.why = Why::TankFull;
            if share == 0.0 {
                out.regime = Regime::Stopped;
            }
            self.running_min = None;
        }
        if s.why == Why::WellYield {
            self.running_min = None;
        }
        out
    }

    fn stop(&mut self) {
        self.running_min = None;
        self.last_w = 0.0;
    }

    /// Why a point stands still, with the start's own conditions; `None`: it runs or may start.
    fn hindrance(&self, point: &OperatingPoint, m: &Moment) -> Option<Why> {
        if let Some(why) = point.standstill {
            return Some(Why::Stands(why));
        }
        if self.running_min.is_some() {
            return None;
        }
        let (plant, c) = (self.plant, &self.plant.controller);
        let most_nm = 3f64.sqrt() * ke_v_s(plant.motor.ke_v_per_krpm) * c.max_phase_a;
        if plant.break_away_nm() > most_nm {
            return Some(Why::Stands(Standstill::TooMuchTorque));
        }
        let least = plant.load_at(c.min_rpm, m.level).dc_w;
        (point.best.p < self.rules.start_margin * least).then_some(Why::Waits)
    }

    fn solve(&mut self, sky: &SkyStep) -> Option<Solved> {
        if sky.irradiance_w_m2 < DARK_W_M2 {
            return None;
        }
        let plant = self.plant;
        let cell_c = noct(sky.irradiance_w_m2, sky.air_c, plant.noct_c);
        let curve = plant.array.curve(sky.irradiance_w_m2, cell_c, &plant.condition.array);
        let heat_share = if self.rules.heat { self.heat_share(sky.air_c) } else { 1.0 };
        let at = |minutes: f64| {
            let level = Level::After { minutes };
            let m = Moment { irradiance_w_m2: sky.irradiance_w_m2, cell_c, level, heat_share };
            (plant.on_curve(&curve, &m), m)
        };
        let since = self.running_min.unwrap_or(0.0);
        let (point, m) = at(since + 0.5 * sky.minutes);
        let rest_m = plant.water.well.static_m;
        let stands = |why, point| Solved { point, regime: Regime::Stopped, why, share: 0.0, level_m: rest_m };
        if self.rest_left_min > 0.0 {
            self.rest_left_min -= sky.minutes;
            return Some(stands(Why::WellYield, point));
        }
        if let Some(why) = self.hindrance(&point, &m) {
            return Some(stands(why, point));
        }
        let limit_m = self.rules.stop_level_m.unwrap_or(f64::INFINITY).min(plant.water.well.intake_m);
        let level = |p: &OperatingPoint| p.load.map_or(rest_m, |l| l.water.level_m);
        let dry = |p: &OperatingPoint| p.load.is_some_and(|l| l.water.at_intake) || level(p) >= limit_m;
        if !dry(&at(since + sky.minutes).0) {
            let lifts = point.load.is_some_and(|l| l.water.tank_m3_h > 0.0);
            let why = if lifts { Why::Runs } else { Why::NoLift };
            return Some(Solved { regime: point.regime, why, share: 1.0, level_m: level(&point), point });
        }
        // how long it takes to draw the well down; a probe at the level of rest is dry at once
        let (mut wet, mut late) = (0.0, since + sky.minutes);
        while late - wet > (0.02 * late).max(SOONEST_DRY_MIN) {
            let mid = 0.5 * (wet + late);
            if dry(&at(mid).0) { late = mid } else { wet = mid }
        }
        let share = if sky.minutes > self.rules.rest_min {
            wet / (wet + self.rules.rest_min)
        } else {
            self.rest_left_min = self.rules.rest_min;
            ((wet - since) / sky.minutes).clamp(0.0, 1.0)
        };
        let point = at(0.5 * wet).0;
        Some(Solved { point, regime: Regime::Cycling, why: Why::WellYield, share, level_m: limit_m })
    }

    fn heat_share(&self, air_c: f64) -> f64 {
        let c = &self.plant.controller;
        let rated_loss_w = (c.max_power_w * (1.0 - c.efficiency)).max(1.0);
        let loss_w = self.last_w * (1.0 - c.efficiency);
        c.heat_share(air_c + SINK_RISE_K * loss_w / rated_loss_w)
    }
}
