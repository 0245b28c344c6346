//! Readings that cannot be: more than the array of a hypothesis can ever give, or a pump that runs on nothing.
//!
//! How well a hypothesis fits is asked elsewhere, with wide errors, because sky, heat and limits are not known. Open
//! circuit on the coldest day and short circuit in the brightest sun need none of that: no array passes them, so a
//! hypothesis that leaves the array as recorded cannot explain a reading beyond them, whatever else it explains.
//! What is left is another array than written, or nothing that is known.
//!
//! A sensor that mostly tells values outside its physical range is itself what is wrong, or nothing that is known.
//!
//! The other way round a record that says nothing about a part cannot be wrong about it: what is absent is wide, and
//! a difference from a class value is no mismatch.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::record::System;
use wellwright_physics::plant::{ArrayCondition, Assumed, Plant};

use crate::causes::{Hold, Hypothesis};
use crate::window::{Look, Steady};

/// Cells are never colder than this where the record does not say, degC.
const COLDEST_C: f64 = -10.0;

/// Brightest sun for voltage and for current, W/m2: a clear sky, and the edge of a cloud (common practice).
const BRIGHT_W_M2: (f64, f64) = (1200.0, 1400.0);

/// Module and meter may err by so much together before a reading counts as beyond: three times the contract's
/// spreads, for voltage and for current.
const ALLOWED: (f64, f64) = (0.045, 0.09);

/// A reading this far beyond, as a share, is one more standard deviation.
const SPREAD: f64 = 0.01;

/// Below this share of its lowest voltage no controller turns a motor.
const DEAD: f64 = 0.3;

/// No controller lives on less than this, W.
const NO_POWER_W: f64 = 2.0;

/// Phase current, A, and flow, m3/h, that need power.
const WORKS: (f64, f64) = (0.8, 0.3);

/// What a reading beyond all bounds costs at the most, natural log: more than all else that a sound system shows
/// can outweigh, so that it is left to what is not known.
const MOST: f64 = 40.0;

/// What a sensor that mostly tells what cannot be costs a hypothesis that leaves it sound, natural log (engineering
/// judgement).
const NONSENSE: f64 = 6.0;

/// Sensors whose error is a cause of its own; any other that tells nonsense is pointed out and left out.
const WITH_A_CAUSE: [Channel; 4] =
    [Channel::IrradianceWM2, Channel::FlowM3H, Channel::WellheadKpa, Channel::WaterLevelM];

/// What was seen of the array that can be held against its bounds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Seen {
    volts: f64,
    amps: f64,
    /// Runs on no voltage, or works on no power.
    dead: bool,
}

impl Seen {
    fn of(look: &Look, plant: &Plant) -> Seen {
        let most = |channel: Channel| look.steady.iter().filter_map(|p| p.get(channel)).fold(0.0, f64::max);
        let dead = |p: &Steady| {
            let no_voltage = p.get(Channel::ArrayV).is_some_and(|v| v < DEAD * plant.controller.min_v);
            let works = p.phase_a().is_some_and(|a| a > WORKS.0)
                || p.get(Channel::FlowM3H).is_some_and(|q| q > WORKS.1);
            no_voltage || (works && p.dc_w().is_some_and(|w| w < NO_POWER_W))
        };
        Seen {
            volts: most(Channel::ArrayV).max(look.stops.rest_v.unwrap_or(0.0)),
            amps: most(Channel::ArrayA),
            dead: look.steady.iter().any(dead),
        }
    }

    /// How far beyond the bounds of an array, standard deviations.
    fn beyond(&self, plant: &Plant, array: &ArrayCondition, coldest_c: f64) -> f64 {
        let (volts, amps) = most(plant, array, coldest_c);
        over(self.volts, volts, ALLOWED.0).hypot(over(self.amps, amps, ALLOWED.1))
    }
}

/// The most that an array can give: open circuit, V, and short circuit, A.
fn most(plant: &Plant, array: &ArrayCondition, coldest_c: f64) -> (f64, f64) {
    let mut clean = *array;
    // neither shade nor a lost substring raises what it can give
    (clean.shade, clean.missing_substrings, clean.dc_ohm) = (None, 0.0, 0.0);
    let bound = |g: f64| plant.array.curve(g, coldest_c, &clean);
    (bound(BRIGHT_W_M2.0).voc(), bound(BRIGHT_W_M2.1).current_a(0.0))
}

/// How far a reading lies over a bound and what meter and module may err, standard deviations.
fn over(seen: f64, bound: f64, allowed: f64) -> f64 {
    ((seen / bound.max(1e-3) - 1.0 - allowed) / SPREAD).max(0.0)
}

/// Fields that say what the array is; without one of them it has no bounds.
const ARRAY: [&str; 4] = ["array.series", "array.strings", "array.module.voc_v", "array.module.isc_a"];

/// Fields that say how the array looks at the sky.
const TURNED: [&str; 2] = ["array.tilt_deg", "array.azimuth_deg"];

/// Fields that say what the pump is.
const PUMP: [&str; 2] = ["pump.curve", "pump.displacement_cm3_per_rev"];

/// Fields that say where a controller holds back.
const LIMITS: [(Hold, &str); 3] = [
    (Hold::Speed, "controller.max_rpm"),
    (Hold::Current, "controller.max_phase_a_rms"),
    (Hold::Power, "controller.max_power_w"),
];

/// What the record leaves open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Silent {
    array: bool,
    turned: bool,
    pump: bool,
    limits: [bool; LIMITS.len()],
}

impl Silent {
    fn new(assumed: &[Assumed]) -> Silent {
        let open = |fields: &[&str]| assumed.iter().any(|a| fields.contains(&a.field));
        Silent {
            array: open(&ARRAY),
            turned: open(&TURNED),
            pump: open(&PUMP),
            limits: LIMITS.map(|(_, field)| open(&[field])),
        }
    }

    /// True when the hypothesis is that the record is wrong about something that it does not say.
    fn contradicts_nothing(self, h: &Hypothesis) -> bool {
        match (h.cause, h.of) {
            (Cause::EquipmentMismatch, _) => self.pump,
            (Cause::RecordMismatch, Some("tilt" | "azimuth")) => self.turned,
            (Cause::RecordMismatch, _) => self.array,
            (Cause::LimitSetLow, _) => {
                LIMITS.iter().zip(self.limits).any(|((hold, _), silent)| silent && h.hold == Some(*hold))
            }
            _ => false,
        }
    }
}

/// What no array of the record can pass, and what was seen of it in one look.
#[derive(Debug, Clone, PartialEq)]
pub struct Bounds {
    seen: Seen,
    coldest_c: f64,
    /// A sound array of the record cannot have given what was seen.
    passed: bool,
    silent: Silent,
    /// Sensors that mostly tell what cannot be.
    nonsense: Vec<Channel>,
}

impl Bounds {
    /// Looks at the strongest readings of a look. `plant` is the healthy one.
    pub fn new(system: &System, plant: &Plant, assumed: &[Assumed], look: &Look) -> Bounds {
        let seen = Seen::of(look, plant);
        let coldest_c = system.site.air_min_c.unwrap_or(COLDEST_C).min(COLDEST_C);
        let silent = Silent::new(assumed);
        let passed = !silent.array && seen.beyond(plant, &ArrayCondition::default(), coldest_c) > 0.0;
        let nonsense = WITH_A_CAUSE.into_iter().filter(|c| look.tells_nonsense(*c)).collect();
        Bounds { seen, coldest_c, passed, silent, nonsense }
    }

    /// Readings that the array of the record can never give, each with the most that it can. `plant` is the healthy
    /// one. Empty where the record leaves the array open.
    pub fn passed(&self, plant: &Plant) -> Vec<(Channel, [f64; 2])> {
        if !self.passed {
            return Vec::new();
        }
        let (volts, amps) = most(plant, &ArrayCondition::default(), self.coldest_c);
        let both = [
            (Channel::ArrayV, self.seen.volts, volts, ALLOWED.0),
            (Channel::ArrayA, self.seen.amps, amps, ALLOWED.1),
        ];
        let passed = both.into_iter().filter(|(_, seen, bound, allowed)| over(*seen, *bound, *allowed) > 0.0);
        passed.map(|(channel, seen, bound, _)| (channel, [seen, bound])).collect()
    }

    /// Natural log of how likely such readings, or such a mismatch, are under a hypothesis: 0, or what it costs.
    pub fn log_likelihood(&self, plant: &Plant, h: &Hypothesis) -> f64 {
        if h.cause == Cause::Unknown {
            return -0.5 * NONSENSE * self.nonsense.len() as f64;
        }
        if self.seen.dead || self.silent.contradicts_nothing(h) {
            return -MOST;
        }
        let sound = |c: &&Channel| h.sensor.is_none_or(|(wrong, _)| wrong != **c);
        let nonsense = NONSENSE * self.nonsense.iter().filter(sound).count() as f64;
        if !self.passed {
            return -nonsense;
        }
        let beyond = self.seen.beyond(plant, &h.condition.array, self.coldest_c);
        -(0.5 * beyond * beyond + nonsense).min(MOST)
    }
}
