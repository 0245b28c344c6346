//! The controller's own head: when it starts, how fast it turns, when it stops and why.
//!
//! A machine of four modes (rest, start, run, protective stop). It sees what a real one sees: its switch, its
//! inputs, its own currents, and what the array gives. Thresholds and delays differ from make to make; they
//! are drawn per seed from common practice (no single source).

use wellwright_domain::finding::Regime;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_physics::operating_point::{OperatingPoint, Standstill};
use wellwright_physics::plant::Plant;

use crate::dice::Dice;

/// Limits, thresholds and delays of one controller.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    /// Lowest speed, rpm.
    pub min_rpm: f64,
    /// How fast the speed may rise, rpm/s.
    pub ramp_rpm_s: f64,
    /// Depth of the dry probe, m; `None` is not fitted.
    pub probe_m: Option<f64>,
    /// A tank float is wired.
    pub float: bool,
    /// Trips below this share of the usual power for the speed; `None` is not fitted.
    pub under_load: Option<f64>,
    /// For so long, s.
    pub under_load_after_s: f64,
    /// An open lead is told as what it is (else as a stall).
    pub tells_phase_loss: bool,
    /// Rest after a dry stop, s.
    pub dry_rest_s: f64,
    /// Rest after under-load, s.
    pub under_load_rest_s: f64,
    /// Rest after stall, over-current or phase loss, s.
    pub fault_rest_s: f64,
    /// Rest after too little power, s.
    pub low_power_rest_s: f64,
}

impl Rules {
    /// Those of a record's controller; delays by the seed.
    pub fn new(system: &System, plant: &Plant, dice: &mut Dice) -> Rules {
        let protection = system.protection.clone().unwrap_or_default();
        let share = dice.between(0.32, 0.42);
        Rules {
            min_rpm: plant.controller.min_rpm,
            ramp_rpm_s: dice.between(0.06, 0.12) * plant.controller.max_rpm,
            probe_m: protection.dry_probe_depth_m,
            float: protection.tank_float,
            under_load: protection.under_load_trip.then_some(share),
            under_load_after_s: dice.between(10.0, 30.0).round(),
            tells_phase_loss: dice.yes(0.85),
            dry_rest_s: dice.between(10.0, 20.0).round() * 60.0,
            under_load_rest_s: dice.between(10.0, 20.0).round() * 60.0,
            fault_rest_s: dice.between(30.0, 90.0).round(),
            low_power_rest_s: dice.between(45.0, 120.0).round(),
        }
    }
}

/// What it sees at one moment.
#[derive(Debug, Clone, Copy)]
#[expect(clippy::struct_excessive_bools, reason = "inputs that are wired apart")]
pub struct Sees<'a> {
    /// The switch is on.
    pub on: bool,
    /// The float says full.
    pub tank_full: bool,
    /// Water level, m below the wellhead (the probe's wet or dry).
    pub level_m: f64,
    /// The array gives next to nothing.
    pub dark: bool,
    /// Where it would settle now.
    pub settles: &'a OperatingPoint,
    /// Power it gives out now over that of ordinary days at this speed; 1 when it does not run.
    pub load_share: f64,
    /// A lead is open.
    pub open_lead: bool,
}

/// What it does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Does {
    /// State told.
    pub state: PumpState,
    /// Flags told.
    pub flags: Flags,
    /// Speed commanded, rpm.
    pub rpm: f64,
    /// The rotor does not follow: it pushes its highest current.
    pub locked: bool,
    /// It stands at the settling speed (else it is still on its way there).
    pub settled: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Mode {
    /// Stopped as meant; the flag stays until `left_s` has run out.
    Rest { why: Option<Flag>, left_s: f64 },
    /// Protective stop.
    Trip { why: Flag, left_s: f64 },
    /// Speeding up to the lowest speed, or failing to.
    Start { since_s: f64 },
    /// Turning.
    Run { under_s: f64 },
}

/// A controller at work.
#[derive(Debug, Clone)]
pub struct Controller {
    rules: Rules,
    mode: Mode,
    rpm: f64,
    /// Protective stops in a row; each rest is longer than the one before.
    trips: u32,
    dice: Dice,
}

/// Seconds from switching on to the first start.
const BOOT_S: f64 = 3.0;
/// Seconds a start is pushed before it counts as failed.
const PUSH_S: f64 = 3.0;
/// Speed shown while the rotor does not follow, rpm.
const CRAWL_RPM: f64 = 100.0;

impl Controller {
    /// At rest, off.
    pub fn new(rules: Rules, dice: Dice) -> Controller {
        Controller {
            rules,
            mode: Mode::Rest { why: Some(Flag::SwitchedOff), left_s: 0.0 },
            rpm: 0.0,
            trips: 0,
            dice,
        }
    }

    /// Moves on by `dt_s` seconds.
    pub fn step(&mut self, sees: &Sees<'_>, dt_s: f64) -> Does {
        if let Some((why, rest_s)) = self.must_rest(sees) {
            self.rpm = 0.0;
            self.mode = Mode::Rest { why: Some(why), left_s: rest_s };
            return self.does(false, false);
        }
        match self.mode {
            Mode::Rest { why, left_s } => self.rest(why, left_s, sees, dt_s),
            Mode::Trip { why, left_s } if left_s > dt_s => {
                self.rpm = 0.0;
                self.mode = Mode::Trip { why, left_s: left_s - dt_s };
                self.does(false, false)
            }
            Mode::Trip { .. } => self.try_start(sees, dt_s),
            Mode::Start { since_s } => self.start(since_s + dt_s, sees, dt_s),
            Mode::Run { under_s } => self.run(under_s, sees, dt_s),
        }
    }

    /// A stop that is meant, and the rest that follows once its reason is gone.
    fn must_rest(&self, sees: &Sees<'_>) -> Option<(Flag, f64)> {
        let dry = self.rules.probe_m.is_some_and(|depth| sees.level_m > depth);
        if !sees.on {
            Some((Flag::SwitchedOff, 0.0))
        } else if sees.tank_full && self.rules.float {
            Some((Flag::TankFull, 120.0))
        } else if dry {
            Some((Flag::DryProbe, self.rules.dry_rest_s))
        } else {
            None
        }
    }

    fn rest(&mut self, why: Option<Flag>, left_s: f64, sees: &Sees<'_>, dt_s: f64) -> Does {
        if why == Some(Flag::SwitchedOff) {
            self.mode = Mode::Rest { why: None, left_s: BOOT_S };
        } else if left_s > dt_s {
            self.mode = Mode::Rest { why, left_s: left_s - dt_s };
        } else {
            return self.try_start(sees, dt_s);
        }
        self.does(false, false)
    }

    fn try_start(&mut self, sees: &Sees<'_>, dt_s: f64) -> Does {
        self.rpm = 0.0;
        let has_power = !sees.dark
            && match sees.settles.standstill {
                Some(Standstill::TooLittleSun | Standstill::TooLittleVoltage) => false,
                // a little to spare, or the next cloud stops it again
                None if sees.settles.regime == Regime::SunLimited => {
                    sees.settles.load.is_some_and(|l| l.rpm > 1.04 * self.rules.min_rpm)
                }
                Some(Standstill::TooMuchTorque) | None => true,
            };
        if has_power {
            self.mode = Mode::Start { since_s: 0.0 };
            return self.start(0.0, sees, dt_s);
        }
        self.low_power()
    }

    fn low_power(&mut self) -> Does {
        self.rpm = 0.0;
        self.mode = Mode::Rest { why: Some(Flag::LowPower), left_s: self.rules.low_power_rest_s };
        self.does(false, false)
    }

    fn start(&mut self, since_s: f64, sees: &Sees<'_>, dt_s: f64) -> Does {
        let fails = sees.open_lead || sees.settles.standstill == Some(Standstill::TooMuchTorque);
        if fails {
            self.rpm = CRAWL_RPM;
            if since_s < PUSH_S {
                self.mode = Mode::Start { since_s };
                return self.does(true, false);
            }
            let why = if sees.open_lead && self.rules.tells_phase_loss {
                Flag::PhaseLoss
            } else if self.dice.yes(0.5) {
                Flag::Stall
            } else {
                Flag::OverCurrent
            };
            return self.trip(why, self.rules.fault_rest_s, true);
        }
        if sees.settles.load.is_none() {
            return self.low_power();
        }
        self.rpm += self.rules.ramp_rpm_s * dt_s;
        self.mode =
            if self.rpm >= self.rules.min_rpm { Mode::Run { under_s: 0.0 } } else { Mode::Start { since_s } };
        self.does(false, false)
    }

    fn run(&mut self, under_s: f64, sees: &Sees<'_>, dt_s: f64) -> Does {
        let Some(load) = &sees.settles.load else {
            return match sees.settles.standstill {
                Some(Standstill::TooMuchTorque) => {
                    self.trip(Flag::OverCurrent, self.rules.fault_rest_s, false)
                }
                _ => self.low_power(),
            };
        };
        let under = self.rules.under_load.is_some_and(|share| sees.load_share < share);
        let under_s = if under { under_s + dt_s } else { 0.0 };
        if under_s > self.rules.under_load_after_s {
            return self.trip(Flag::UnderLoad, self.rules.under_load_rest_s, false);
        }
        if under_s == 0.0 {
            self.trips = 0;
        }
        self.mode = Mode::Run { under_s };
        let settled = self.rpm > 0.995 * load.rpm;
        self.rpm = if self.rpm >= load.rpm {
            // less sun: down at once, or the voltage would collapse
            load.rpm
        } else {
            let nearer = (load.rpm - self.rpm) * (1.0 - (-dt_s / 2.0).exp());
            self.rpm + nearer.min(self.rules.ramp_rpm_s * dt_s)
        };
        self.does(false, settled)
    }

    /// The row of a trip still shows the speed and currents of the moment before.
    fn trip(&mut self, why: Flag, rest_s: f64, locked: bool) -> Does {
        let longer = 1.5f64.powf(f64::from(self.trips.min(4)));
        let rest_s = if why == Flag::UnderLoad { rest_s } else { rest_s * longer };
        self.trips += 1;
        self.mode = Mode::Trip { why, left_s: rest_s };
        self.does(locked, false)
    }

    fn does(&self, locked: bool, settled: bool) -> Does {
        let (state, flag) = match self.mode {
            Mode::Rest { why, .. } => (PumpState::Stopped, why),
            Mode::Trip { why, .. } => (PumpState::Tripped, Some(why)),
            Mode::Start { .. } => (PumpState::Starting, None),
            Mode::Run { .. } => (PumpState::Running, None),
        };
        Does { state, flags: flag.into_iter().collect(), rpm: self.rpm, locked, settled }
    }
}
