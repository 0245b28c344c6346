//! Well and pipe: water over the intake, suction head, the light at which water comes, pressure.

use wellwright_domain::record::PumpKind;
use wellwright_physics::atmosphere;
use wellwright_physics::constants::WATER_C;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::motor::ke_v_s;
use wellwright_physics::pump::{HelicalRotor, Pump, PumpCondition};
use wellwright_physics::sizing::pressure_kpa;
use wellwright_physics::water::npsh_available_m;

use super::bench::{Bench, FULL_SUN_W_M2, OF_ARRAY, OF_PUMP, lacking};
use super::code::Code;
use super::draft::Draft;
use super::line::{Line, Outcome};
use crate::error::AppError;
use crate::text::Quantity;

/// Water over the intake that the trade likes to see, m (common practice, no single source): levels fall in
/// dry years and records are off by a metre.
const COVER_M: f64 = 2.0;
/// How far over the intake a dry-run probe hangs, m (common practice, no single source).
const PROBE_OVER_M: f64 = 0.5;
/// Suction head to spare, m (common practice, no single source).
const NPSH_SPARE_M: f64 = 0.5;
/// Light from which on a person should look, and that is too much, W/m2 (engineering judgement: at half of
/// full sun the middle of the day is left, at 800 next to nothing).
const START_W_M2: [f64; 2] = [500.0, 800.0];
/// Share of the pipe's rating from which on a person should look.
const NEAR_RATING: f64 = 0.95;

/// All lines of well and pipe.
///
/// # Errors
/// A water temperature or altitude outside the tables.
pub fn lines(b: &Bench<'_>) -> Result<Vec<Line>, AppError> {
    let level = pumping_level(b);
    let mut lines = vec![submergence(b, level)];
    lines.extend(dry_probe(b, level));
    lines.extend([npsh(b, level)?, start(b), pressure(b)]);
    Ok(lines)
}

/// Where the water comes to stand in full sun, m below the wellhead.
fn pumping_level(b: &Bench<'_>) -> f64 {
    b.full().load.map_or(b.plant.water.well.static_m, |l| l.water.level_m)
}

fn level_fields(b: &Bench<'_>) -> Vec<&'static str> {
    let w = &b.system.well;
    let mut missing = lacking(&[
        ("well.static_level_m", w.static_level_m.is_some()),
        ("well.drawdown_b_m_per_m3h", w.drawdown_b_m_per_m3h.is_some()),
    ]);
    missing.extend(b.assumed_of(&OF_PUMP));
    missing
}

fn submergence(b: &Bench<'_>, level: f64) -> Line {
    let intake = b.system.well.intake_depth_m;
    let (flow, rest) = (b.full_flow(), b.plant.water.well.static_m);
    Draft::new(Code::Submergence)
        .value(Some(intake - level))
        .limit(Some(0.0))
        .look_from(COVER_M)
        .missing(level_fields(b))
        .place("intake", b.words.value(Quantity::Depth, intake))
        .place("level", b.words.value(Quantity::Depth, level))
        .place("rest", b.words.value(Quantity::Depth, rest))
        .place("flow", b.words.value(Quantity::Flow, flow))
        .place("better", b.words.value(Quantity::Depth, COVER_M))
        .from("intake_depth_m", intake)
        .from("pumping_level_m", level)
        .from("static_level_m", rest)
        .from("flow_m3_h", flow)
        .from("minutes", b.minutes())
        .finish(b.words)
}

/// Where a probe is recorded: it must fall dry before the intake does, and not while all is well.
fn dry_probe(b: &Bench<'_>, level: f64) -> Option<Line> {
    let probe = b.system.protection.as_ref()?.dry_probe_depth_m?;
    let intake = b.system.well.intake_depth_m;
    let bare = level_fields(b).is_empty() && level > probe && probe < intake;
    let draft = Draft::new(Code::DryProbe)
        .value(Some(intake - probe))
        .limit(Some(0.0))
        .look_from(PROBE_OVER_M)
        .at_best(if bare { Outcome::Look } else { Outcome::Pass })
        .place("probe", b.words.value(Quantity::Depth, probe))
        .place("intake", b.words.value(Quantity::Depth, intake))
        .place("level", b.words.value(Quantity::Depth, level))
        .place("better", b.words.value(Quantity::Depth, PROBE_OVER_M))
        .from("dry_probe_depth_m", probe)
        .from("intake_depth_m", intake)
        .from("pumping_level_m", level)
        .also(bare.then(|| b.words.t("design.dry_probe.bare").to_owned()));
    Some(draft.finish(b.words))
}

fn npsh(b: &Bench<'_>, level: f64) -> Result<Line, AppError> {
    let needs = b.system.pump.npsh_required_m;
    let mut missing = lacking(&[("pump.npsh_required_m", needs.is_some())]);
    missing.extend(level_fields(b));
    let over = b.system.well.intake_depth_m - level;
    let (air_pa, water_c) =
        (atmosphere::pressure_pa(b.system.site.altitude_m)?, b.system.well.water_c.unwrap_or(WATER_C));
    let mut draft = Draft::new(Code::Npsh)
        // above the water there is no suction to speak of: it draws air
        .value((over >= 0.0).then(|| npsh_available_m(air_pa, water_c, over, 0.0)).transpose()?)
        .limit(needs)
        .missing(missing)
        .place("air", b.words.value(Quantity::Pressure, air_pa / 1000.0))
        .place("water", b.words.value(Quantity::Temperature, water_c))
        .place("over", b.words.value(Quantity::Depth, over))
        .from("air_kpa", air_pa / 1000.0)
        .from("water_c", water_c)
        .from("submergence_m", over)
        .also((over < 0.0).then(|| b.words.t("design.npsh.above").to_owned()));
    if let Some(needs) = needs {
        draft = draft.look_from(needs + NPSH_SPARE_M);
    }
    Ok(draft.finish(b.words))
}

/// Least irradiance at which water comes, the well being at rest, W/m2; `None` when even a bright cloud edge
/// brings none.
pub fn start_irradiance(b: &Bench<'_>) -> Option<f64> {
    let comes = |g: f64| {
        let m = b.moment(g, b.air_c, Level::After { minutes: 0.0 });
        b.plant.operating_point(&m).load.is_some_and(|l| l.water.tank_m3_h > 0.0)
    };
    let (mut low, mut high) = (0.0, 1.2 * FULL_SUN_W_M2);
    if !comes(high) {
        return None;
    }
    while high - low > 0.1 {
        let mid = f64::midpoint(low, high);
        if comes(mid) { high = mid } else { low = mid }
    }
    Some(high)
}

fn start(b: &Bench<'_>) -> Line {
    let mut missing = b.assumed_of(&OF_PUMP);
    missing.extend(b.assumed_of(&["well.static_level_m"]));
    missing.extend(b.assumed_of(&OF_ARRAY));
    let found = start_irradiance(b);
    Draft::new(Code::StartIrradiance)
        .value(found)
        .at_best(if found.is_some() { Outcome::Pass } else { Outcome::Fail })
        .limit(Some(START_W_M2[1]))
        .look_from(START_W_M2[0])
        .missing(missing)
        .place("air", b.words.value(Quantity::Temperature, b.air_c))
        .from("air_c", b.air_c)
        .also(found.is_none().then(|| b.words.t("design.start_irradiance.never").to_owned()))
        .finish(b.words)
}

/// Most head that the pump can make against a shut valve, m.
fn shut_head_m(b: &Bench<'_>) -> f64 {
    let none = PumpCondition::default();
    match &b.plant.pump {
        Pump::Centrifugal(p) => p.head_m(b.plant.controller.max_rpm, 0.0, &none),
        Pump::Helical(p) => helical_most_m(b, p),
    }
}

/// A helical rotor presses until its slip takes all it moves or the current limit holds the motor.
fn helical_most_m(b: &Bench<'_>, p: &HelicalRotor) -> f64 {
    let c = &b.plant.controller;
    let by_slip = p.swept_m3_h(c.max_rpm, &PumpCondition::default()) / p.slip_m3h_per_m.max(1e-6);
    let motor = 3f64.sqrt() * ke_v_s(b.plant.motor.ke_v_per_krpm) * c.max_phase_a;
    let (none, one) =
        (p.torque_nm(0.0, &PumpCondition::default()), p.torque_nm(1.0, &PumpCondition::default()));
    let by_torque = (motor - b.plant.motor.own_torque_nm(0.0) - none) / (one - none);
    by_slip.min(by_torque).max(0.0)
}

fn pressure(b: &Bench<'_>) -> Line {
    let rating = b.system.delivery.pipe_rating_kpa;
    let mut missing = lacking(&[("delivery.pipe_rating_kpa", rating.is_some())]);
    missing.extend(b.assumed_of(&OF_PUMP));
    let rho = b.plant.water.pipes.density_kg_m3;
    let working = b.full().load.map_or(0.0, |l| pressure_kpa(l.water.head_m, rho));
    let most = shut_head_m(b);
    let helical = b.system.pump.kind == PumpKind::HelicalRotor;
    // a helical rotor is never run against a shut valve: its line is about what protects the pipe
    let worst = match rating {
        Some(r) if helical && working <= r => Outcome::Look,
        _ => Outcome::Fail,
    };
    let best = if helical { Outcome::Look } else { Outcome::Pass };
    let also = helical.then(|| {
        let x = b.words.value(Quantity::Pressure, working);
        b.words.fill("design.pipe_pressure.helical", &[("x", &x)])
    });
    let mut draft = Draft::new(Code::PipePressure)
        .value(Some(pressure_kpa(most, rho)))
        .limit(rating)
        .missing(missing)
        .at_worst(worst)
        .at_best(best)
        .place("head", b.words.value(Quantity::Depth, most))
        .place("rpm", b.words.value(Quantity::Speed, b.plant.controller.max_rpm))
        .from("shut_off_head_m", most)
        .from("working_kpa", working)
        .from("max_rpm", b.plant.controller.max_rpm)
        .from("density_kg_m3", rho)
        .also(also);
    if let Some(rating) = rating {
        draft = draft.look_from(NEAR_RATING * rating);
    }
    draft.finish(b.words)
}
