//! What stands still and speaks all the same: level and pressure at rest, currents of a start that failed.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_physics::plant::Plant;

use crate::causes::Hypothesis;
use crate::likelihood::{LN_AREA, ln_tail, log_sum_exp};
use crate::window::Stops;

/// What a window at rest says of a hypothesis, each natural log likelihood by itself.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Still {
    /// Currents of a start that failed.
    pub start: f64,
    /// Pressure while a trip held.
    pub pressure: f64,
    /// Resting level.
    pub level: f64,
    /// Level at which a dry signal stopped it.
    pub dry: f64,
    /// Voltage of the array at rest.
    pub voltage: f64,
    /// Level of a tank that is said to be full.
    pub tank: f64,
    /// A state that says it runs while nothing turns, or flags that contradict each other.
    pub senseless: f64,
}

impl Still {
    /// Compares a window with a hypothesis. `only_stops`: nothing was seen running, so that the resting level is not
    /// yet counted. `record`: the healthy plant, and how far its resting level lies from the record, m. `probe_m`:
    /// where a dry signal comes from.
    pub fn new(
        stops: &Stops,
        only_stops: bool,
        record: (&Plant, f64),
        probe_m: f64,
        h: &Hypothesis,
    ) -> Still {
        let plant = record.0;
        let amps = stops.start_amps.filter(|_| stops.trips > 0);
        let level = stops.rest_level_m.filter(|_| only_stops);
        let seen = stops.highest_level_m.filter(|_| h.cause == Cause::StaticLevelDrop && !only_stops);
        Still {
            start: amps.map_or(0.0, |amps| start_currents(amps, h)),
            pressure: stops.trip_kpa.map_or(0.0, |kpa| held_pressure(kpa, plant, h)),
            level: level.map_or(0.0, |level| resting_level(level, record, h))
                + seen.map_or(0.0, |highest| never_above(highest, record, h)),
            dry: stops.dry_level_m.map_or(0.0, |level| at_the_probe(level, probe_m, h)),
            voltage: resting_voltage(stops, plant, h),
            tank: stops.full_tank_pct.map_or(0.0, |pct| full_tank(pct, h.cause)),
            senseless: if says_nonsense(stops) { senseless(h.cause).ln() } else { 0.0 },
        }
    }

    /// All together.
    pub fn total(&self) -> f64 {
        self.start + self.pressure + self.level + self.dry + self.voltage + self.tank + self.senseless
    }
}

/// A level this near above the probe, or deeper, has reached it: sensor, probe and record err, m (engineering
/// judgement).
const AT_PROBE_M: f64 = 1.5;

/// The water may fall to the probe of a dry signal.
pub fn reaches_probe(cause: Cause) -> bool {
    matches!(cause, Cause::DryRunning | Cause::WellYieldLimit | Cause::StaticLevelDrop | Cause::CloggedScreen)
}

/// The water that a dry signal tells of is gone, or it is not.
fn at_the_probe(level_m: f64, probe_m: f64, h: &Hypothesis) -> f64 {
    if h.sensor.is_some_and(|(wrong, _)| wrong == Channel::WaterLevelM) {
        return 0.0;
    }
    let p: f64 = match h.cause {
        cause if reaches_probe(cause) => 0.85,
        Cause::Unknown | Cause::RecordMismatch => 0.3,
        // the signal comes over water; what stands as low by chance is rare
        _ => 0.04,
    };
    if level_m > probe_m - AT_PROBE_M { p.ln() } else { (1.0 - p).ln() }
}

/// Voltage of a sound array at rest by day, V.
pub fn open_circuit_v(plant: &Plant, h: &Hypothesis) -> f64 {
    plant.array.curve(600.0, 40.0, &h.condition.array).voc()
}

/// Below this share of the usual voltage at rest nothing arrives.
const GONE: f64 = 0.12;

/// Voltage at rest by day: near nothing, or near that of the open circuit.
fn resting_voltage(stops: &Stops, plant: &Plant, h: &Hypothesis) -> f64 {
    let Some(v) = stops.rest_v.filter(|_| stops.daylight() > 0) else { return 0.0 };
    let gone = v < GONE * open_circuit_v(plant, h);
    let p: f64 = match h.cause {
        Cause::NoDcSupply => 0.97,
        Cause::ControllerFailed => 0.04,
        Cause::Unknown => 0.1,
        _ => 0.004,
    };
    if gone { p.ln() } else { (1.0 - p).ln() }
}

fn says_nonsense(stops: &Stops) -> bool {
    stops.senseless > 0 || stops.names_too_many_reasons()
}

/// How often a controller that stands for this cause says nonsense (engineering judgement).
fn senseless(cause: Cause) -> f64 {
    match cause {
        Cause::ControllerFailed => 0.25,
        Cause::Unknown => 0.1,
        _ => 0.01,
    }
}

/// From here on a tank is full, %: floats hang lower than the overflow.
pub const FULL_PCT: f64 = 82.0;

/// What the tank's own level says to the signal that it is full.
fn full_tank(pct: f64, cause: Cause) -> f64 {
    let full = pct > FULL_PCT;
    let p: f64 = match cause {
        Cause::StuckFloat => 0.1,
        Cause::StandingBy => 0.93,
        _ => 0.7,
    };
    if full { p.ln() } else { (1.0 - p).ln() }
}

/// The least of three currents over their mean.
pub fn least_share(amps: [f64; 3]) -> f64 {
    let mean = amps.iter().sum::<f64>() / 3.0;
    amps.into_iter().fold(f64::INFINITY, f64::min) / mean.max(1e-3)
}

/// Below this share one of the three carries nothing.
const OPEN: f64 = 0.35;

/// An open lead shows in the first moment of a start: one of the three stays at zero.
fn start_currents(amps: [f64; 3], h: &Hypothesis) -> f64 {
    let open = least_share(amps) < OPEN;
    let p: f64 = match h.cause {
        // the start may be over before the row is taken
        Cause::OpenPhase => 0.85,
        Cause::Unknown => 0.2,
        _ => 0.01,
    };
    if open { p.ln() } else { (1.0 - p).ln() }
}

/// A helical rotor that pushed against a shut valve leaves its pressure behind the check valve.
fn held_pressure(kpa: f64, plant: &Plant, h: &Hypothesis) -> f64 {
    let column = h.told(Channel::WellheadKpa, plant.water.pipes.column_kpa());
    // the column may have drained; a pump that ran a moment leaves a little more
    let sigma = 0.4 * column + 15.0;
    let z = (kpa - column) / sigma;
    let column_fits = ln_tail(z) - sigma.ln() - LN_AREA;
    let above: f64 = match h.cause {
        Cause::ClosedValve => 0.75,
        Cause::Unknown => 0.2,
        _ => 0.0,
    };
    // anything from the column to 1.5 MPa above it
    let spread = if kpa > column { -(1500f64.ln()) } else { -20.0 };
    if above > 0.0 {
        log_sum_exp([above.ln() + spread, (1.0 - above).ln() + column_fits])
    } else {
        column_fits
    }
}

/// Resting level under a hypothesis, m below the wellhead, and its spread. `record`: as for [`Still::new`].
pub fn resting_level_m((plant, level_m): (&Plant, f64), h: &Hypothesis) -> (f64, f64) {
    let well = &plant.water.well;
    let still = well.static_m + h.condition.water.static_deeper_m;
    let room = well.intake_m - well.static_m;
    match h.cause {
        // between the intake and wherever it has come back to
        Cause::DryRunning => (0.7 * well.intake_m + 0.3 * well.static_m, (0.3 * room).max(1.5)),
        // on its way back from wherever the run ended
        Cause::WellYieldLimit => (0.6 * well.static_m + 0.4 * well.intake_m, (0.3 * room).max(1.5)),
        Cause::LevelSensorError => {
            (h.told(Channel::WaterLevelM, still), level_m.hypot(1.25).hypot(0.12 * h.severity.unwrap_or(0.0)))
        }
        Cause::Unknown => (still, 8.0),
        // a rest too short, and the sensor
        _ => (still, level_m.hypot(0.83)),
    }
}

/// Water never stands higher than a resting level that fell.
fn never_above(highest_m: f64, record: (&Plant, f64), h: &Hypothesis) -> f64 {
    let (rests_m, sigma) = resting_level_m(record, h);
    let over = ((rests_m - highest_m) / sigma).max(0.0);
    ln_tail(over)
}

fn resting_level(level_m: f64, record: (&Plant, f64), h: &Hypothesis) -> f64 {
    let (mean, sigma) = resting_level_m(record, h);
    let z = (level_m - mean) / sigma;
    ln_tail(z) - sigma.ln()
}
