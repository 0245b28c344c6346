//! What stands still and speaks all the same: level and pressure at rest, currents of a start that failed.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_physics::plant::Plant;

use crate::causes::Hypothesis;
use crate::window::Stops;

/// log likelihood. `only_stops`: nothing was seen running, so that the resting level is not yet counted.
pub fn log_likelihood(stops: &Stops, only_stops: bool, plant: &Plant, h: &Hypothesis) -> f64 {
    let mut total = 0.0;
    if let Some(amps) = stops.start_amps.filter(|_| stops.trips > 0) {
        total += start_currents(amps, h);
    }
    if let Some(kpa) = stops.trip_kpa {
        total += held_pressure(kpa, plant, h);
    }
    if let Some(level) = stops.rest_level_m.filter(|_| only_stops) {
        total += resting_level(level, plant, h);
    }
    total += no_dc(stops, plant, h);
    if let Some(pct) = stops.full_tank_pct {
        total += full_tank(pct, h.cause);
    }
    total
}

/// Voltage at rest by day: near nothing, or near that of the open circuit.
fn no_dc(stops: &Stops, plant: &Plant, h: &Hypothesis) -> f64 {
    let Some(v) = stops.rest_v.filter(|_| stops.daylight() > 0) else { return 0.0 };
    let array = &plant.array;
    let usual = array.curve(600.0, 40.0, &h.condition.array).voc();
    let gone = v < 0.12 * usual;
    let p: f64 = match h.cause {
        Cause::NoDcSupply => 0.97,
        Cause::ControllerFailed => 0.04,
        Cause::Unknown => 0.1,
        _ => 0.004,
    };
    if gone { p.ln() } else { (1.0 - p).ln() }
}

/// What the tank's own level says to the signal that it is full.
fn full_tank(pct: f64, cause: Cause) -> f64 {
    let full = pct > 82.0;
    let p: f64 = match cause {
        Cause::StuckFloat => 0.1,
        Cause::StandingBy => 0.93,
        _ => 0.7,
    };
    if full { p.ln() } else { (1.0 - p).ln() }
}

/// An open lead shows in the first moment of a start: one of the three stays at zero.
fn start_currents(amps: [f64; 3], h: &Hypothesis) -> f64 {
    let mean = (amps[0] + amps[1] + amps[2]) / 3.0;
    let least = amps.into_iter().fold(f64::INFINITY, f64::min) / mean.max(1e-3);
    let open = f64::from(u8::from(least < 0.35));
    let p: f64 = match h.cause {
        // the start may be over before the row is taken
        Cause::OpenPhase => 0.85,
        Cause::Unknown => 0.2,
        _ => 0.01,
    };
    if open > 0.5 { p.ln() } else { (1.0 - p).ln() }
}

/// A helical rotor that pushed against a shut valve leaves its pressure behind the check valve.
fn held_pressure(kpa: f64, plant: &Plant, h: &Hypothesis) -> f64 {
    let column = plant.water.pipes.column_kpa();
    // the column may have drained; a pump that ran a moment leaves a little more
    let sigma = 0.4 * column + 15.0;
    let z = (kpa - column) / sigma;
    let column_fits = -3.0 * (1.0 + z * z / 5.0).ln() - sigma.ln();
    let above: f64 = match h.cause {
        Cause::ClosedValve => 0.75,
        Cause::Unknown => 0.2,
        _ => 0.0,
    };
    // anything from the column to 1.5 MPa above it
    let spread = if kpa > column { -(1500f64.ln()) } else { -20.0 };
    if above > 0.0 {
        crate::likelihood::log_sum_exp([above.ln() + spread, (1.0 - above).ln() + column_fits])
    } else {
        column_fits
    }
}

fn resting_level(level_m: f64, plant: &Plant, h: &Hypothesis) -> f64 {
    let well = &plant.water.well;
    let still = well.static_m + h.condition.water.static_deeper_m;
    let (mean, sigma) = match h.cause {
        // between the intake and wherever it has come back to
        Cause::DryRunning => {
            (0.7 * well.intake_m + 0.3 * well.static_m, (0.3 * (well.intake_m - well.static_m)).max(1.5))
        }
        // on its way back from wherever the run ended
        Cause::WellYieldLimit => {
            (0.6 * well.static_m + 0.4 * well.intake_m, (0.3 * (well.intake_m - well.static_m)).max(1.5))
        }
        Cause::LevelSensorError => {
            (h.told(Channel::WaterLevelM, still), 1.6f64.hypot(0.12 * h.severity.unwrap_or(0.0)))
        }
        Cause::Unknown => (still, 8.0),
        _ => (still, 1.3),
    };
    let z = (level_m - mean) / sigma;
    -3.0 * (1.0 + z * z / 5.0).ln() - sigma.ln()
}
