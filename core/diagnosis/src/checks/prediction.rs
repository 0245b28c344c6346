//! A plant under a hypothesis, as somebody with a tool in the hand meets it.

use std::cell::OnceCell;

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::flags::PumpState;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::cell_temperature::{cell_from_back, noct};
use wellwright_physics::constants::WATER_C;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::load::Load;
use wellwright_physics::operating_point::{Moment, OperatingPoint};
use wellwright_physics::plant::Plant;

use super::Foreseen;
use super::moment::{NearRow, is_same_moment, near_row, steady_at};
use super::resting_level::both;
use crate::case::Case;
use crate::causes::{Hypothesis, SensorWrong};
use crate::predict::climate::day_air_c;
use crate::predict::outcome::{self, OutcomeTable};
use crate::predict::speed::{load_at, sun_per_speed};
use crate::window::{Look, Outcome, Steady, is_senseless};

/// Rows within so many seconds of a check are of its moment.
const ABOUT_S: i64 = 30;

/// How far the head of a pump lies from the record, 1 sigma, share.
const LIFT: f64 = 0.04;

/// Below this nothing about the array can be told, W/m2.
const DARK_W_M2: f64 = 60.0;

/// From this chance on a pump that was not watched is taken to run.
const MOSTLY_RUNS: f64 = 0.9;

/// Above this share of running rows a check on a running pump can be made at all.
const RUNS_NOW_AND_THEN: f64 = 0.15;

/// True when the window shows a pump that stands, or runs too seldom for a check on a running pump.
pub fn stands(look: &Look) -> bool {
    let stops = &look.stops;
    let told = stops.daylight() + stops.night > 0;
    let seldom = || stops.share(Outcome::Runs) <= RUNS_NOW_AND_THEN || look.steady.is_empty();
    told && (seldom()
        || stops.stays_tripped()
        || outcome::stands_at_end(look).is_some_and(|o| o != Outcome::CommsLost))
}

/// Who finds a pump standing by hardly ever finds it running.
const FOUND_RUNNING: f64 = 0.007;

/// Too little sun, over that from which a healthy pump lifts (engineering judgement).
const TOO_LITTLE: f64 = 0.7;

/// The speed of the nearest stretch within the half hour, 1 sigma of ln (engineering judgement: the sun goes on).
const OF_THE_HALF_HOUR: f64 = 0.05;

/// What all hypotheses share when a check is made.
#[derive(Clone, Copy)]
pub struct Here<'a> {
    /// What is asked.
    pub case: &'a Case<'a>,
    /// Window.
    pub look: &'a Look,
    /// Plant with nothing wrong.
    pub healthy: &'a Plant,
    /// How far the resting level lies from the record, 1 sigma, m.
    pub level_m: f64,
    /// Light from which a healthy pump lifts water, W/m2.
    pub lifts_from_w_m2: f64,
}

/// A plant under a hypothesis, as a check meets it.
pub struct Prediction<'a> {
    /// Plant with what is wrong.
    pub plant: &'a Plant,
    /// Plant with nothing wrong.
    pub healthy: &'a Plant,
    /// Hypothesis.
    pub hypothesis: &'a Hypothesis,
    /// What the controller does.
    pub table: &'a OutcomeTable,
    /// Window.
    pub look: &'a Look,
    /// The answer, when there is one already.
    pub made: Option<&'a CheckMade>,
    /// How far the resting level lies from the record, 1 sigma, m.
    pub level_m: f64,
    here: Here<'a>,
    case: &'a Case<'a>,
    load: OnceCell<Option<Load>>,
    point: OnceCell<Option<OperatingPoint>>,
}

/// Sun on the array when a check is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Irradiance in the plane, W/m2.
    pub w_m2: f64,
    /// Its spread, 1 sigma of ln.
    pub spread: f64,
}

impl<'a> Prediction<'a> {
    /// A hypothesis met by a check: `made` when it has been made, `None` when it is only thought of.
    pub fn new(
        here: Here<'a>,
        plant: &'a Plant,
        hypothesis: &'a Hypothesis,
        table: &'a OutcomeTable,
        made: Option<&'a CheckMade>,
    ) -> Prediction<'a> {
        let Here { case, look, healthy, level_m, .. } = here;
        let (load, point) = (OnceCell::new(), OnceCell::new());
        Prediction { plant, healthy, hypothesis, table, look, made, level_m, here, case, load, point }
    }

    /// Which cause.
    pub fn cause(&self) -> Cause {
        self.hypothesis.cause
    }

    /// True for the hypothesis that nothing here explains it.
    pub fn is_unknown(&self) -> bool {
        self.cause() == Cause::Unknown
    }

    /// All checks that were made.
    pub fn checks(&self) -> &'a [CheckMade] {
        self.case.checks
    }

    /// Record.
    pub fn system(&self) -> &'a System {
        self.case.system
    }

    /// When the check was made, by the clock of the telemetry.
    fn at(&self) -> Option<DateTime<FixedOffset>> {
        Some(self.made?.at? + TimeDelta::seconds((3600.0 * self.hypothesis.sky.clock_h) as i64))
    }

    /// When the check is made: as told, else the end of the window.
    fn now(&self) -> Option<DateTime<FixedOffset>> {
        self.at().or(self.look.span.map(|s| s.1))
    }

    /// The row that tells of the moment of the check, when one is near.
    pub fn row(&self) -> Option<&'a Sample> {
        self.near_row().map(|near| near.row)
    }

    /// A clock that is taken for wrong moves no check that was made on a running pump into a stop.
    fn near_row(&self) -> Option<NearRow<'a>> {
        let near = near_row(self.case.samples, self.at()?)?;
        let moved = self.hypothesis.sky.clock_h != 0.0 && self.is_made_running();
        let stands = near.row.state.is_some_and(|s| s != PumpState::Running);
        (!(moved && stands)).then_some(near)
    }

    fn is_made_running(&self) -> bool {
        let model = self.made.and_then(|m| super::model(m.check));
        model.is_some_and(|m| m.while_running() || m.starts_pump())
    }

    /// The steady point nearest to the check, while sun and level are still those of the check.
    pub fn steady(&self) -> Option<&'a Steady> {
        steady_at(self.look, self.at())
    }

    /// A channel when the check is made: the mean of the rows about that minute in which the controller did the same,
    /// else of the nearest steady point.
    pub fn channel(&self, channel: Channel) -> Option<f64> {
        let Some(at) = self.row().map(|r| (r.at, r.state)) else { return self.steady()?.get(channel) };
        let rows = self.case.samples;
        let from = rows.partition_point(|s| s.at < at.0 - TimeDelta::seconds(ABOUT_S));
        let about = rows[from..].iter().take_while(|s| s.at <= at.0 + TimeDelta::seconds(ABOUT_S));
        let (n, sum) = about
            .filter(|s| s.state == at.1)
            .filter_map(|s| s.get(channel))
            .fold((0usize, 0.0), |(n, sum), x| (n + 1, sum + x));
        if n > 0 { Some(sum / n as f64) } else { self.steady()?.get(channel) }
    }

    /// What the window shows the controller doing, when it tells it.
    pub fn observed(&self) -> Option<Outcome> {
        outcome::observed(self.look)
    }

    /// Chance that the controller does this, before the window is looked at.
    pub fn chance(&self, o: Outcome) -> f64 {
        if self.cause() != Cause::StandingBy {
            return self.table[o as usize];
        }
        // it may have run in a window, not when somebody finds it standing by
        let ran = self.table[Outcome::Runs as usize];
        if o == Outcome::Runs {
            FOUND_RUNNING
        } else {
            self.table[o as usize] * (1.0 - FOUND_RUNNING) / (1.0 - ran)
        }
    }

    /// How surely the pump runs when the check is made, 0..1: as telemetry says, else as the hypothesis has it.
    pub fn runs(&self) -> f64 {
        let sure = |yes: bool| f64::from(u8::from(yes));
        if let Some((row, state)) = self.row().and_then(|r| Some((r, r.state?))) {
            return sure(state == PumpState::Running && !is_senseless(row));
        }
        if let Some(rpm) = self.row().and_then(|r| r.get(Channel::MotorRpm)) {
            return sure(rpm > 0.0);
        }
        let lost = self.observed() == Some(Outcome::CommsLost);
        if self.look.stops.daylight() + self.look.stops.night > 0 && !lost {
            return sure(!stands(self.look));
        }
        if self.shown_rpm().is_some_and(|n| n > 0.0) {
            return 1.0;
        }
        self.chance(Outcome::Runs)
    }

    /// Speed on the controller's own display, where somebody has read it and no telemetry tells it.
    fn shown_rpm(&self) -> Option<f64> {
        let of_now = |c: &&CheckMade| c.at.zip(self.at()).is_none_or(|(read, now)| is_same_moment(read, now));
        let mut shown = self.case.checks.iter().rev().filter(|c| c.check == Check::ControllerDisplay);
        shown.find(of_now).and_then(|c| c.number("rpm"))
    }

    /// The speed of the very moment, rpm, and the minutes pumped; how long is known from the stretch about it.
    fn speed(&self) -> Option<(f64, f64)> {
        // what is a guess for a healthy plant is another speed for this one
        let guess = self.steady().filter(|p| p.guessed_by_w.is_some());
        let by = guess.map_or(1.0, |p| load_at(self.plant, p).rpm / p.rpm().unwrap_or(1.0).max(1.0));
        let steady = self.steady().and_then(|p| Some((by * p.rpm()?, p.minutes)));
        let turning = |r: &Sample| r.get(Channel::MotorRpm).filter(|n| *n > 0.0).map(|n| by * n);
        let of_row = self.row().and_then(turning).map(|n| (n, steady.map_or(60.0, |s| s.1)));
        let read = || self.shown_rpm().filter(|n| *n > 0.0).map(|n| (n, 60.0));
        of_row.or(steady).or_else(read).or_else(|| Some((self.operating_point()?.load?.rpm, 60.0)))
    }

    /// How far the speed of the moment may lie from [`Prediction::speed`], 1 sigma of ln.
    fn speed_spread(&self) -> f64 {
        match (self.near_row(), self.steady(), self.at()) {
            (Some(near), ..) => near.speed_spread,
            (None, Some(_), Some(_)) => OF_THE_HALF_HOUR,
            (None, Some(_), None) => 0.0,
            (None, None, _) if self.shown_rpm().is_some() => 0.0,
            // who tests without telemetry waits for a clear sky, and is taken to have had it
            (None, None, _) if self.look.rows == 0 => 0.0,
            // power goes with the cube of the speed
            (None, None, _) => self.sun().spread / 3.0,
        }
    }

    /// The load of the pump when it runs; `None` when it cannot run.
    pub fn load(&self) -> Option<Load> {
        *self.load.get_or_init(|| {
            if self.runs() < 0.02 {
                return None;
            }
            let (rpm, minutes) = self.speed()?;
            Some(self.plant.load_at(rpm, Level::After { minutes }))
        })
    }

    /// How far a reading may lie from that of [`Prediction::load`], 1 sigma, because the speed of the moment is known
    /// from means over minutes only, from another time, or from the sky.
    pub fn by_speed(&self, of: impl Fn(&Load) -> f64) -> f64 {
        let spread = self.speed_spread();
        let Some((rpm, minutes)) = self.speed().filter(|_| spread > 0.0) else { return 0.0 };
        let at = |by: f64| of(&self.plant.load_at(rpm * by.exp(), Level::After { minutes }));
        0.5 * (at(spread) - at(-spread)).abs()
    }

    /// The whole chain in the sun of the check.
    pub fn operating_point(&self) -> Option<OperatingPoint> {
        *self.point.get_or_init(|| Some(self.plant.operating_point(&self.moment(self.sun().w_m2, 60.0))))
    }

    /// An irradiance, W/m2, with the cells that it makes, after so many minutes of pumping.
    pub fn moment(&self, irradiance_w_m2: f64, minutes: f64) -> Moment {
        Moment {
            irradiance_w_m2,
            cell_c: self.cell_c(irradiance_w_m2).0,
            level: Level::After { minutes },
            heat_share: 1.0,
        }
    }

    /// What is foreseen while it runs, mixed with what is foreseen while it stands. Each is middle and 1 sigma.
    ///
    /// Nobody makes such a check on a pump that was seen to stand for a reason that is meant to stop it, so a
    /// hypothesis that mostly lets it run foresees a running pump.
    pub fn by_running(&self, running: (f64, f64), standing: (f64, f64)) -> Foreseen {
        Foreseen::either(self.runs_when_watched(), running, standing)
    }

    /// Chance that it runs at a check that is made on a running pump.
    pub fn runs_when_watched(&self) -> f64 {
        let runs = self.runs();
        if runs > MOSTLY_RUNS { 1.0 } else { runs }
    }

    /// A quantity that a sensor measures too: what the hypothesis says of it (middle, 1 sigma), drawn towards what
    /// the sensor says (1 sigma of its class given), because the sensor has been believed already. A sensor that is
    /// wrong under the hypothesis draws nothing.
    pub fn drawn_to(
        &self,
        channel: Channel,
        reading: Option<f64>,
        own: (f64, f64),
        class: f64,
    ) -> (f64, f64) {
        let wrong = self.hypothesis.sensor.is_some_and(|(c, _)| c == channel);
        let Some(reading) = reading.filter(|_| !wrong) else { return own };
        both(own, (reading, class))
    }

    /// The flow of a pump that lifts somewhat better or worse than the record, or from another level, m3/h: with
    /// shares that add up to 1.
    ///
    /// Equation: the three points and weights of Gauss and Hermite. Source: any text on quadrature.
    pub fn flows_m3_h(&self, load: &Load, of: impl Fn(&Load) -> f64) -> [(f64, f64); 3] {
        let (_, minutes) = self.speed().unwrap_or((load.rpm, 60.0));
        let flow = |by: f64| {
            let mut plant = self.plant.clone();
            plant.condition.pump.size_ratio *= 1.0 + by * LIFT;
            plant.water.well.static_m -= by * self.level_m;
            of(&plant.load_at(load.rpm, Level::After { minutes }))
        };
        let far = 3f64.sqrt();
        [(1.0 / 6.0, flow(-far)), (2.0 / 3.0, of(load)), (1.0 / 6.0, flow(far))]
    }

    /// How far the sun of the moment may lie from that of the row that stands for it, 1 sigma of ln.
    pub fn sun_of_row(&self) -> f64 {
        self.near_row().map_or(0.0, |near| near.speed_spread * sun_per_speed(self.plant.kind))
    }

    /// Irradiance when the check is made: from the sensor (put right when the hypothesis is that it is wrong),
    /// else from a clear sky with ordinary haze and cloud, else what people work in.
    pub fn sun(&self) -> Sun {
        if let Some(g) = self.channel(Channel::IrradianceWM2).filter(|g| *g > 20.0) {
            let ratio = match self.hypothesis.sensor {
                Some((Channel::IrradianceWM2, SensorWrong::Ratio(r))) => r.max(0.05),
                _ => 1.0,
            };
            let spread = self.system().sensors.irradiance_share().hypot(0.02).hypot(self.sun_of_row());
            return Sun { w_m2: g / ratio, spread };
        }
        if self.cause() == Cause::LowSun && self.look.rows == 0 {
            return Sun { w_m2: TOO_LITTLE * self.here.lifts_from_w_m2, spread: 0.4 };
        }
        match self.now().and_then(|t| self.hypothesis.sky.clear_plane(self.healthy, t)) {
            Some(clear) if clear > 80.0 => Sun { w_m2: 0.88 * clear, spread: 0.22 },
            Some(clear) if self.made.is_some() => Sun { w_m2: clear.max(1.0), spread: 0.5 },
            // it will be looked at by day
            _ => Sun { w_m2: 700.0, spread: 0.35 },
        }
    }

    /// Too little light for a check of the array to say anything, by the record and the times as told: the same under
    /// every hypothesis, so that the answer counts under all or none.
    pub fn is_dark(&self) -> bool {
        let nothing = Hypothesis::new(Cause::Healthy);
        Prediction::new(self.here, self.healthy, &nothing, self.table, self.made).sun().w_m2 < DARK_W_M2
    }

    /// Cell temperature in this sun and its spread, degC and K.
    pub fn cell_c(&self, w_m2: f64) -> (f64, f64) {
        if let Some(back) = self.channel(Channel::ModuleC) {
            return (cell_from_back(back, w_m2), 3.5);
        }
        let in_air = |air: f64| noct(w_m2, air, self.plant.noct_c);
        if let Some(air) = self.channel(Channel::AirC) {
            return (in_air(air), 5.0);
        }
        let (air, spread) = self.now().map_or((25.0, 8.0), |t| day_air_c(self.system(), t));
        (in_air(air), spread.hypot(4.5))
    }

    /// Temperature of the water, degC.
    pub fn water_c(&self) -> f64 {
        self.system().well.water_c.unwrap_or(WATER_C)
    }
}
