//! What pictures are made from: plain values, already judged and already in words.
//!
//! Whoever fills these knows physics and findings; whoever draws them knows only places and states.

use serde::{Deserialize, Serialize};
use wellwright_domain::lead_map::{LeadMap, Parity};
use wellwright_domain::record::{JointMap, System};

use super::lead_map::LeadMapView;
use super::span::SpanView;
use crate::text::{Quantity, Words};

/// Where in the installation a reading stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// The sun.
    Sun,
    /// The array.
    Array,
    /// The controller.
    Controller,
    /// The tank.
    Tank,
    /// Flow at the wellhead.
    Flow,
    /// Pressure at the wellhead.
    Pressure,
    /// A joint, by its index in the record (from the motor up).
    Joint(usize),
    /// The resting level.
    Rest,
    /// The level now.
    Level,
    /// The pump.
    Pump,
    /// The intake.
    Intake,
    /// The motor.
    Motor,
    /// The bottom of the well.
    Bottom,
    /// Any other depth, m below the wellhead.
    Depth(f64),
}

/// How a value is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tone {
    /// A number as it should be, or with nothing to compare.
    Plain,
    /// A number that differs.
    Differs,
    /// Words in place of a number: "not known", "no sensor".
    Words,
}

/// A line under a reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Note {
    /// What it says.
    pub text: String,
    /// It says how far something differs, and is never left out.
    pub differs: bool,
}

/// A reading at its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingRow {
    /// Where.
    pub place: Place,
    /// Name at the leading edge.
    pub name: String,
    /// Number, or words in its place.
    pub value: String,
    /// Unit; empty when there is none.
    pub unit: String,
    /// The number behind the value, stored unit; `None` when there is none or it cannot be true.
    pub measured: Option<f64>,
    /// How the value is set.
    pub tone: Tone,
    /// Against what it should be, stored units.
    pub span: Option<SpanView>,
    /// Under it.
    pub note: Option<Note>,
    /// Which lead goes where (joints).
    pub leads: Option<LeadMapView>,
    /// What a screen reader says for the row.
    pub spoken: String,
}

impl ReadingRow {
    /// A row with a name and a value, nothing to compare.
    pub fn plain(
        place: Place,
        name: impl Into<String>,
        value: impl Into<String>,
        unit: impl Into<String>,
    ) -> ReadingRow {
        let (name, value, unit) = (name.into(), value.into(), unit.into());
        let spoken = format!("{name} {value} {unit}").trim_end().to_owned() + ".";
        ReadingRow {
            place,
            name,
            value,
            unit,
            measured: None,
            tone: Tone::Plain,
            span: None,
            note: None,
            leads: None,
            spoken,
        }
    }

    /// True when it must never be left out.
    pub fn differs(&self) -> bool {
        self.tone == Tone::Differs
            || self.span.as_ref().is_some_and(SpanView::differs)
            || self.note.as_ref().is_some_and(|n| n.differs)
            || self.leads.as_ref().is_some_and(|l| l.odd)
    }
}

/// A joint as drawn.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct JointView {
    /// Depth, m; 0 at the wellhead.
    pub depth_m: f64,
    /// It turns the pump backwards.
    pub odd: bool,
}

/// The resting level and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RestLevel {
    /// Depth, m.
    pub depth_m: f64,
    /// Measured after 30 min of rest; else from the record.
    pub measured: bool,
}

/// The sun in the sky of this moment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SunView {
    /// True elevation, degrees; not drawn at or below 0.
    pub elevation_deg: f64,
    /// In the plane of the array, W/m2.
    pub irradiance_w_m2: Option<f64>,
}

/// What the riser shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Moving {
    /// Half of what should be, or more.
    Water,
    /// A twentieth to a half.
    Trickle,
    /// Less.
    Nothing,
    /// Not known.
    Unknown,
}

/// What the section is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// What it does now.
    Now,
    /// What is down there.
    Record,
}

/// The installation, ready to be drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SectionView {
    /// What for.
    pub purpose: Purpose,
    /// Depth of the well, m, if recorded.
    pub depth_m: Option<f64>,
    /// Depth of the intake, m.
    pub intake_m: f64,
    /// Outlet above the wellhead, m.
    pub outlet_m: f64,
    /// Tilt of the array, degrees.
    pub tilt_deg: f64,
    /// Joints from the motor up.
    pub joints: Vec<JointView>,
    /// Resting level.
    pub rest: Option<RestLevel>,
    /// Level now, m; usually taken from the row of [`Place::Level`].
    pub level_m: Option<f64>,
    /// Sun.
    pub sun: Option<SunView>,
    /// Share of the tank that is full, 0 to 1, if measured.
    pub tank_share: Option<f64>,
    /// What the riser shows; usually taken from the row of [`Place::Flow`].
    pub moving: Moving,
    /// Least height of the picture, dp.
    pub height: f64,
    /// Readings.
    pub rows: Vec<ReadingRow>,
}

/// Height beside the account, dp.
pub const HEIGHT_BESIDE_ACCOUNT: f64 = 428.0;
/// Height on a healthy screen, dp.
pub const HEIGHT_HEALTHY: f64 = 492.0;
/// Height in the record, dp.
pub const HEIGHT_RECORD: f64 = 400.0;

impl SectionView {
    /// What it does now: the record with readings at their places. Level, flow and tank are drawn as
    /// their rows say; sun and a measured resting level are added with [`SectionView::with_sun`] and
    /// [`SectionView::with_rest`].
    pub fn new(system: &System, rows: Vec<ReadingRow>) -> SectionView {
        let odd = system.cable.parity() == Some(Parity::Odd);
        let joints = system.cable.joints.iter().map(|j| JointView {
            depth_m: j.depth_m,
            odd: odd && matches!(&j.map, JointMap::Known { map, .. } if map.parity() == Parity::Odd),
        });
        let of = |place: Place| rows.iter().find(|r| r.place == place);
        let measured = |place: Place| of(place).and_then(|r| r.measured);
        SectionView {
            purpose: Purpose::Now,
            depth_m: system.well.depth_m,
            intake_m: system.well.intake_depth_m,
            outlet_m: system.delivery.outlet_height_m.unwrap_or(0.0),
            tilt_deg: system.array.tilt_deg.unwrap_or(20.0),
            joints: joints.collect(),
            rest: system.well.static_level_m.map(|depth_m| RestLevel { depth_m, measured: false }),
            level_m: measured(Place::Level),
            sun: None,
            tank_share: measured(Place::Tank).map(|pct| pct / 100.0),
            moving: moving(of(Place::Flow)),
            height: if rows.iter().any(ReadingRow::differs) { HEIGHT_BESIDE_ACCOUNT } else { HEIGHT_HEALTHY },
            rows,
        }
    }

    /// What is down there: the record alone, with every joint's lead map.
    pub fn record(system: &System, words: &Words<'_>) -> SectionView {
        let mut view = SectionView::new(system, record_rows(system, words));
        view.purpose = Purpose::Record;
        view.moving = Moving::Nothing;
        view.height = HEIGHT_RECORD;
        view
    }

    /// With the sun of this moment.
    #[must_use]
    pub fn with_sun(mut self, elevation_deg: f64, irradiance_w_m2: Option<f64>) -> SectionView {
        self.sun = Some(SunView { elevation_deg, irradiance_w_m2 });
        self
    }

    /// With a resting level measured after 30 min of rest, m.
    #[must_use]
    pub fn with_rest(mut self, depth_m: f64) -> SectionView {
        self.rest = Some(RestLevel { depth_m, measured: true });
        self
    }

    /// With what the riser shows, where no flow meter says it.
    #[must_use]
    pub fn with_moving(mut self, moving: Moving) -> SectionView {
        self.moving = moving;
        self
    }

    /// With plain rows for rest, intake and bottom. Those that find no room are listed instead.
    #[must_use]
    pub fn with_record_rows(mut self, words: &Words<'_>) -> SectionView {
        let row = |place, id: &str, m: f64| {
            let amount = words.amount(Quantity::Depth, m, 0.0);
            ReadingRow::plain(place, words.texts.text(id), amount.number, amount.unit)
        };
        let rest = self.rest.map(|r| row(Place::Rest, "reading.rest", r.depth_m));
        let intake = row(Place::Intake, "reading.intake", self.intake_m);
        let bottom = self.depth_m.map(|m| row(Place::Bottom, "reading.bottom", m));
        self.rows.extend(rest.into_iter().chain([intake]).chain(bottom));
        self
    }
}

/// What the riser shows for a flow against its band; without a band any flow at all is water.
fn moving(flow: Option<&ReadingRow>) -> Moving {
    let Some((m, span)) = flow.and_then(|r| Some((r.measured?, r.span.as_ref()))) else {
        return Moving::Unknown;
    };
    let should = span.map_or(0.0, |s| if s.lo > 0.0 { s.lo } else { s.hi });
    if m <= 0.0 || m < 0.05 * should {
        Moving::Nothing
    } else if m < 0.5 * should {
        Moving::Trickle
    } else {
        Moving::Water
    }
}

/// Rows of the record: rest, joints with their lead maps, intake, bottom.
fn record_rows(system: &System, words: &Words<'_>) -> Vec<ReadingRow> {
    let odd = system.cable.parity() == Some(Parity::Odd);
    let mut before = Some(LeadMap::STRAIGHT);
    let mut rows = Vec::new();
    for (i, joint) in system.cable.joints.iter().enumerate() {
        let name = if joint.depth_m <= 0.0 {
            words.texts.text("reading.joint.wellhead").to_owned()
        } else {
            words.fill("reading.joint", &[("x", &words.value(Quantity::Depth, joint.depth_m))])
        };
        let mut row = ReadingRow::plain(Place::Joint(i), name, "", "");
        let leads = LeadMapView::new(&joint.map, before, odd);
        row.spoken = format!("{}: {}.", row.name, leads.words(words));
        row.leads = Some(leads);
        rows.push(row);
        before = match (&joint.map, before) {
            (JointMap::Known { map, .. }, Some(b)) => Some(b.then(*map)),
            _ => None,
        };
    }
    let plain = SectionView { rows, ..SectionView::new(system, Vec::new()) };
    plain.with_record_rows(words).rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_riser_shows_how_much_moves() {
        let row =
            |m, span| ReadingRow { measured: m, span, ..ReadingRow::plain(Place::Flow, "Flow", "", "") };
        let at = |m| moving(Some(&row(m, Some(SpanView::judge(5.3, 5.9, m, true)))));
        assert_eq!(at(Some(5.6)), Moving::Water);
        assert_eq!(at(Some(2.7)), Moving::Water);
        assert_eq!(at(Some(0.7)), Moving::Trickle);
        assert_eq!(at(Some(0.1)), Moving::Nothing);
        assert_eq!(at(None), Moving::Unknown);
        assert_eq!(moving(None), Moving::Unknown);
        assert_eq!(moving(Some(&row(Some(0.0), None))), Moving::Nothing);
        assert_eq!(moving(Some(&row(Some(2.0), None))), Moving::Water);
    }
}
