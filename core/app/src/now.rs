//! The view states of this moment: the section, the account, and a small record for shells.

use chrono::{DateTime, FixedOffset};
use wellwright_domain::channel::Channel;
use wellwright_domain::finding::Regime;
use wellwright_physics::constants::G_M_S2;
use wellwright_physics::pump::centrifugal::omega_rad_s;

use crate::live::{Live, LiveMoment, SunFrom};
use crate::model::Solved;
use crate::scene::account::{AccountView, Part, Segment};
use crate::scene::reading::{Reading, level_note, regime_note};
use crate::scene::span::SpanState;
use crate::scene::view::{Place, ReadingRow, RestLevel, SectionView};
use crate::text::headline::{FlowNow, flow_headline, flow_sentence};
use crate::text::{Quantity, Words, names};

/// One number of the moment, for a shell.
#[derive(Debug, Clone, PartialEq)]
pub struct NowRow {
    /// Stable id: `sun`, `array`, `flow`, `pressure`, `level`, `pump`, `motor`, `controller`, `tank`.
    pub id: String,
    /// Name in words.
    pub name: String,
    /// Number as shown, or words in its place.
    pub value: String,
    /// Unit as shown.
    pub unit: String,
    /// What should be, as shown, without unit.
    pub should: Option<String>,
    /// How far it is off, in words.
    pub note: Option<String>,
    /// Measured, low and high end of what should be, stored units.
    pub measured: Option<f64>,
    /// Low end.
    pub lo: Option<f64>,
    /// High end.
    pub hi: Option<f64>,
    /// It lies outside.
    pub differs: bool,
    /// The row as drawn.
    pub row: ReadingRow,
}

/// What a system does now.
#[derive(Debug, Clone, PartialEq)]
pub struct Now {
    /// Moment of the last sample.
    pub at: DateTime<FixedOffset>,
    /// The controller's state and flags in words.
    pub state: String,
    /// Headline of the flow against its band; the state where there is none.
    pub title: String,
    /// One sentence beneath.
    pub text: String,
    /// Something differs.
    pub differs: bool,
    /// Numbers, from the sun down to the motor.
    pub rows: Vec<NowRow>,
}

/// Numbers of a moment, measured against what should be, from the sun down to the motor.
pub fn readings(live: &Live, m: &LiveMoment) -> Vec<Reading> {
    let fitted = |c: Channel| live.has_seen(c);
    let runs = m.running();
    let band = |what: Solved| {
        let b = live.band(&m.expected, what);
        (b.lo, b.hi)
    };
    let judged = |r: Reading, what: Solved, yes: bool| {
        let (lo, hi) = band(what);
        if yes { r.should(lo, hi) } else { r }
    };
    let or_absent = |r: Reading, c: Channel| if fitted(c) { r } else { r.not_fitted() };
    let channel = |c: Channel| or_absent(Reading::channel(c, m.get(c)), c);
    let mut out = vec![channel(Channel::IrradianceWM2)];
    if runs {
        let power = Reading::new(Place::Array, Quantity::Power, m.array_w());
        out.push(judged(power, Solved::ArrayW, true));
    } else {
        out.push(Reading::new(Place::Array, Quantity::Voltage, m.get(Channel::ArrayV)));
    }
    if fitted(Channel::TankLevelPct) {
        out.push(channel(Channel::TankLevelPct));
    }
    out.push(judged(
        channel(Channel::FlowM3H),
        Solved::Flow,
        fitted(Channel::FlowM3H) && (runs || m.stopped_unmeant()),
    ));
    if fitted(Channel::WellheadKpa) {
        out.push(judged(channel(Channel::WellheadKpa), Solved::Pressure, runs));
    }
    out.push(judged(channel(Channel::WaterLevelM), Solved::Level, runs && fitted(Channel::WaterLevelM)));
    out.push(judged(channel(Channel::MotorRpm), Solved::Rpm, runs));
    if runs {
        let current = Reading::new(Place::Motor, Quantity::Current, m.phase_a());
        out.push(judged(current, Solved::PhaseA, true));
    }
    out
}

fn rows(live: &Live, m: &LiveMoment, words: &Words<'_>, regime: Regime) -> Vec<ReadingRow> {
    let rest = live.system().well.static_level_m.map(|depth_m| RestLevel { depth_m, measured: false });
    readings(live, m)
        .iter()
        .map(|r| {
            let mut row = r.row(words);
            if r.place == Place::Level
                && let Some(rest) = rest
            {
                row.note = level_note(words, r, rest).or(row.note);
            }
            if r.place == Place::Sun {
                row.note = row.note.or_else(|| Some(regime_note(words, regime)).filter(|_| m.running()));
            }
            row
        })
        .collect()
}

/// The installation with the readings of a moment. `regime`: what held the pump.
pub fn section(live: &Live, m: &LiveMoment, words: &Words<'_>, regime: Regime) -> SectionView {
    let sun = Some(m.irradiance_w_m2).filter(|_| m.sun_from != SunFrom::ClearSky);
    let view = SectionView::new(live.system(), rows(live, m, words, regime));
    view.with_sun(m.sun_elevation_deg, sun).with_record_rows(words)
}

/// Where the power goes; `None` while nothing runs or the array's power is not known.
pub fn account(live: &Live, m: &LiveMoment) -> Option<AccountView> {
    if !m.running() {
        return None;
    }
    let (array_w, e) = (m.array_w()?, &m.expected);
    let best = e.get(Solved::BestW).value.max(array_w);
    let is = losses(live, m, array_w);
    let segment = |part: Part, what: Solved, is_w: Option<f64>| {
        let b = e.get(what);
        // no narrower than the instruments: some per cent of what flows through
        let b = b.widened(0.012 * best);
        Segment { part, should_w: b.value, interval_w: [b.lo.max(0.0), b.hi], is_w }
    };
    let segments = vec![
        segment(Part::NotUsed, Solved::NotUsedW, Some((best - array_w).max(0.0))),
        segment(Part::Wires, Solved::WiresW, is.wires),
        segment(Part::Motor, Solved::MotorW, is.motor),
        segment(Part::Pump, Solved::PumpW, is.pump),
        segment(Part::Pipe, Solved::PipeW, is.pipe),
        segment(Part::Water, Solved::WaterW, is.water),
    ];
    Some(AccountView::new(best, segments))
}

#[derive(Default)]
struct Losses {
    wires: Option<f64>,
    motor: Option<f64>,
    pump: Option<f64>,
    pipe: Option<f64>,
    water: Option<f64>,
}

/// Losses from what is measured, with the record's resistances: `sqrt(3) Ke I` is torque, `3 I^2 R` is heat.
fn losses(live: &Live, m: &LiveMoment, array_w: f64) -> Losses {
    let plant = &live.model().plant;
    let mut out = Losses::default();
    let (Some(amps), Some(rpm)) = (m.phase_a(), m.get(Channel::MotorRpm)) else { return out };
    let c = &plant.controller;
    let output_w = ((array_w - c.standby_w) * c.efficiency).max(0.0);
    let motor_in = (output_w - 3.0 * amps * amps * plant.cable_ohm).max(0.0);
    let own = plant.motor.own_torque_nm(rpm) * omega_rad_s(rpm);
    let motor = (3.0 * amps * amps * plant.motor.phase_ohm + own).min(motor_in);
    out.wires = Some(array_w - motor_in);
    out.motor = Some(motor);
    let shaft = motor_in - motor;
    let Some(flow) = m.get(Channel::FlowM3H).map(|q| q.max(0.0)) else { return out };
    let level = m.get(Channel::WaterLevelM).unwrap_or(m.expected.get(Solved::Level).value);
    let pipes = &plant.water.pipes;
    let lift = level + pipes.outlet_height_m;
    let newton_s = flow / 3600.0 * pipes.density_kg_m3 * G_M_S2;
    let friction = friction_m(live, flow, level);
    let water = (newton_s * lift).min(shaft);
    let pipe = (newton_s * friction).min(shaft - water);
    out.pump = Some(shaft - water - pipe);
    out.pipe = Some(pipe);
    out.water = Some(water);
    out
}

/// Friction of the record's pipes at a flow, m.
fn friction_m(live: &Live, flow: f64, level: f64) -> f64 {
    let side = &live.model().plant.water;
    let condition = wellwright_physics::hydraulics::WaterCondition::default();
    let head = side.head_m(&condition, wellwright_physics::hydraulics::Level::Known(level), flow);
    (head - level - side.pipes.outlet_height_m).max(0.0)
}

/// What a system does now, for a shell.
pub fn now(live: &Live, m: &LiveMoment, words: &Words<'_>) -> Now {
    let rows: Vec<NowRow> =
        rows(live, m, words, m.expected.regime).into_iter().map(|r| now_row(r, words)).collect();
    let flow = rows
        .iter()
        .find(|r| r.id == "flow")
        .and_then(|r| Some(FlowNow { measured: r.measured?, lo: r.lo?, hi: r.hi? }));
    let mut state = m.state.map_or_else(String::new, |s| names::state(words.texts, s));
    let flags: Vec<String> = m.flags.iter().map(|f| names::flag(words.texts, f)).collect();
    if !flags.is_empty() {
        state = format!("{state}: {}", flags.join(", "));
    }
    let (title, text, differs) = match flow {
        Some(flow) => {
            let id = flow_headline(flow);
            (words.texts.text(id).to_owned(), flow_sentence(words, flow).0, id != "headline.as_should")
        }
        None => (words.fill("regime.line", &[("x", &state)]), String::new(), false),
    };
    let differs = differs || rows.iter().any(|r| r.differs);
    Now { at: m.at, state, title, text, differs, rows }
}

fn now_row(row: ReadingRow, words: &Words<'_>) -> NowRow {
    let id = match row.place {
        Place::Sun => "sun",
        Place::Array => "array",
        Place::Controller => "controller",
        Place::Tank => "tank",
        Place::Flow => "flow",
        Place::Pressure => "pressure",
        Place::Level => "level",
        Place::Pump => "pump",
        Place::Motor => "motor",
        Place::Joint(_) | Place::Rest | Place::Intake | Place::Bottom | Place::Depth(_) => "record",
    };
    let span = row.span.as_ref().filter(|s| s.state != SpanState::Absent);
    let quantity = match row.place {
        Place::Flow => Quantity::Flow,
        Place::Pressure => Quantity::Pressure,
        Place::Level => Quantity::Depth,
        Place::Pump => Quantity::Speed,
        Place::Motor => Quantity::Current,
        _ => Quantity::Power,
    };
    NowRow {
        id: id.to_owned(),
        name: row.name.clone(),
        value: row.value.clone(),
        unit: row.unit.clone(),
        should: span.map(|s| words.interval(quantity, s.lo, s.hi)),
        note: row.note.as_ref().map(|n| n.text.clone()),
        measured: row.measured,
        lo: span.map(|s| s.lo),
        hi: span.map(|s| s.hi),
        differs: row.differs(),
        row,
    }
}
