//! Conductors: the drop of what is recorded, and the smallest common size that would do.

use serde::Serialize;
use wellwright_domain::record::{Conductor, System};
use wellwright_physics::conductor::ohm_per_m;
use wellwright_physics::constants::WATER_C;
use wellwright_physics::plant::{CABLE_RISE_K, Plant};
use wellwright_physics::sizing::{COMMON_AWG, COMMON_MM2, ConductorDrop, Leads, Run};

use super::bench::{Bench, OF_PUMP, lacking};
use super::code::Code;
use super::draft::Draft;
use super::line::{Line, limit_text};
use crate::error::AppError;
use crate::text::{Quantity, Words};

/// Drop that the trade likes and that it bears, % (common practice: 3 to 5 % on a drop cable).
const DROP_CABLE_PCT: [f64; 2] = [3.0, 5.0];
/// The same for the DC side (common practice: 2 to 3 %).
const DC_CABLE_PCT: [f64; 2] = [2.0, 3.0];
/// DC cable in the sun, degC, as in the plant.
const DC_CONDUCTOR_C: f64 = 40.0;

/// Which cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CableOf {
    /// From the motor to the controller, three leads.
    DropCable,
    /// From the array to the controller, two leads.
    DcCable,
}

/// A size with its drop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// Size, as the record writes it.
    pub conductor: String,
    /// Drop, %.
    pub drop_pct: f64,
}

impl From<ConductorDrop> for Choice {
    fn from(s: ConductorDrop) -> Choice {
        Choice { conductor: s.conductor.to_string(), drop_pct: s.drop_pct }
    }
}

/// What size a cable should have.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Advice {
    /// Which cable.
    pub cable: CableOf,
    /// One way, m.
    pub length_m: f64,
    /// Current of a lead, A.
    pub current_a: f64,
    /// Voltage that the drop is a share of, V.
    pub voltage_v: f64,
    /// Conductor, degC.
    pub conductor_c: f64,
    /// Most drop that the trade bears, %.
    pub limit_pct: f64,
    /// What it likes better, %.
    pub better_pct: f64,
    /// What the record holds.
    pub recorded: Option<Choice>,
    /// Smallest common size within the limit, AWG and metric; null when no common size is.
    pub smallest: [Option<Choice>; 2],
    /// The same within the better drop.
    pub better: [Option<Choice>; 2],
    /// Every common size with its drop, thin to thick.
    pub sizes: Vec<Choice>,
    /// The same in a sentence.
    pub why: String,
}

/// A cable with its load, its limits, and the line that judges it.
struct Cable {
    of: CableOf,
    code: Code,
    run: Run,
    recorded: Option<Conductor>,
    pct: [f64; 2],
    missing: Vec<&'static str>,
}

/// The lines and the advice for both cables.
///
/// # Errors
/// A conductor outside the tables.
pub fn check(b: &Bench<'_>) -> Result<(Vec<Line>, Vec<Advice>), AppError> {
    let mut lines = Vec::new();
    let mut advice = Vec::new();
    for cable in [drop_cable(b), dc_cable(b)] {
        lines.push(line(&cable, b.words)?);
        advice.extend(advise(&cable, b.words)?);
    }
    Ok((lines, advice))
}

fn drop_cable(b: &Bench<'_>) -> Cable {
    let (c, m) = (&b.system.cable, &b.plant.motor);
    let mut missing =
        lacking(&[("cable.conductor", c.conductor.is_some()), ("cable.length_m", c.length_m.is_some())]);
    missing.extend(b.assumed_of(&OF_PUMP));
    Cable {
        of: CableOf::DropCable,
        code: Code::DropCable,
        run: Run {
            leads: Leads::Three,
            length_m: c.length_m.unwrap_or(b.system.well.intake_depth_m + 8.0),
            // the current that it will carry; where nothing runs, what the motor is made for
            current_a: b.heaviest().map_or(m.rated_a, |l| l.motor.phase_a),
            voltage_v: m.ke_v_per_krpm * m.rated_rpm / 1000.0,
            conductor_c: b.system.well.water_c.unwrap_or(WATER_C) + CABLE_RISE_K,
        },
        recorded: c.conductor,
        pct: DROP_CABLE_PCT,
        missing,
    }
}

fn dc_cable(b: &Bench<'_>) -> Cable {
    let c = &b.system.dc_cable;
    let mut missing = lacking(&[
        ("dc_cable.conductor", c.conductor.is_some()),
        ("dc_cable.length_m", c.length_m.is_some()),
    ]);
    missing.extend(b.assumed_of(&[
        "array.series",
        "array.strings",
        "array.module.vmp_v",
        "array.module.imp_a",
    ]));
    let best = standard_best(&b.plant, b.system);
    Cable {
        of: CableOf::DcCable,
        code: Code::DcCable,
        run: Run {
            leads: Leads::Two,
            length_m: c.length_m.unwrap_or(20.0),
            current_a: best.1,
            voltage_v: best.0,
            conductor_c: DC_CONDUCTOR_C,
        },
        recorded: c.conductor,
        pct: DC_CABLE_PCT,
        missing,
    }
}

/// Voltage and current of the whole array at its best point, 1000 W/m2 and 25 degC: the data sheet's.
fn standard_best(plant: &Plant, system: &System) -> (f64, f64) {
    let module = plant.array.module.at(1000.0, 25.0).mpp();
    let sheet = &system.array.module;
    let (v, i) = (sheet.vmp_v.unwrap_or(module.v), sheet.imp_a.unwrap_or(module.i));
    (f64::from(plant.array.series) * v, f64::from(plant.array.strings) * i)
}

fn line(c: &Cable, words: &Words<'_>) -> Result<Line, AppError> {
    let r = &c.run;
    let sized = c.recorded.filter(|_| c.missing.iter().all(|f| !f.ends_with("length_m")));
    let value = sized.map(|s| r.with(s)).transpose()?.map(|s| s.drop_pct);
    let ohm = sized.map(|s| ohm_per_m(s, r.conductor_c)).transpose()?;
    let draft = Draft::new(c.code)
        .value(value)
        .limit(Some(c.pct[1]))
        .look_from(c.pct[0])
        .missing(c.missing.clone())
        .place("size", c.recorded.map_or_else(String::new, trade_name))
        .place("length", words.value(Quantity::Depth, r.length_m))
        .place("current", words.value(Quantity::Current, r.current_a))
        .place("volts", words.value(Quantity::Voltage, r.voltage_v))
        .place("better", limit_text(c.pct[0], "%", words))
        .from("length_m", r.length_m)
        .from("current_a", r.current_a)
        .from("voltage_v", r.voltage_v)
        .from("conductor_c", r.conductor_c)
        .from("ohm_per_m", ohm);
    Ok(draft.finish(words))
}

/// Advice for a cable whose length is known.
fn advise(c: &Cable, words: &Words<'_>) -> Result<Option<Advice>, AppError> {
    if c.missing.iter().any(|f| f.ends_with("length_m")) {
        return Ok(None);
    }
    let r = &c.run;
    let pick = |limit: f64| -> Result<[Option<Choice>; 2], AppError> {
        Ok([
            r.smallest(&COMMON_AWG, limit)?.map(Choice::from),
            r.smallest(&COMMON_MM2, limit)?.map(Choice::from),
        ])
    };
    let (better, smallest) = (pick(c.pct[0])?, pick(c.pct[1])?);
    let mut sizes = Vec::new();
    for size in COMMON_AWG.into_iter().chain(COMMON_MM2) {
        sizes.push(Choice::from(r.with(size)?));
    }
    let recorded = c.recorded.map(|s| r.with(s)).transpose()?.map(Choice::from);
    let mut advice = Advice {
        cable: c.of,
        length_m: r.length_m,
        current_a: r.current_a,
        voltage_v: r.voltage_v,
        conductor_c: r.conductor_c,
        limit_pct: c.pct[1],
        better_pct: c.pct[0],
        recorded,
        smallest,
        better,
        sizes,
        why: String::new(),
    };
    advice.why = explain(&advice, words);
    Ok(Some(advice))
}

fn explain(a: &Advice, words: &Words<'_>) -> String {
    let list = |picks: &[Option<Choice>; 2]| {
        let named = picks.iter().flatten().filter_map(|p| p.conductor.parse().ok().map(trade_name));
        named.collect::<Vec<_>>().join(" / ")
    };
    let (current, length) =
        (words.value(Quantity::Current, a.current_a), words.value(Quantity::Depth, a.length_m));
    let volts = words.value(Quantity::Voltage, a.voltage_v);
    let (limit, better) = (limit_text(a.limit_pct, "%", words), limit_text(a.better_pct, "%", words));
    let (small, large) = (list(&a.smallest), list(&a.better));
    let places = [
        ("current", current.as_str()),
        ("length", &length),
        ("volts", &volts),
        ("limit", &limit),
        ("better", &better),
        ("x", &small),
        ("y", &large),
    ];
    let id = match (small.is_empty(), large.is_empty(), small == large) {
        (true, _, _) => "design.conductor.none",
        (_, true, _) => "design.conductor.smallest",
        (_, _, true) => "design.conductor.one",
        _ => "design.conductor.both",
    };
    words.fill(id, &places)
}

/// A size as it is printed on a cable.
pub fn trade_name(size: Conductor) -> String {
    match size {
        Conductor::Awg(n) => format!("AWG\u{a0}{n}"),
        Conductor::Mm2(a) => format!("{a}\u{a0}mm2"),
    }
}
