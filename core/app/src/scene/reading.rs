//! A measured number becomes a row of the section: name, value, span, note, and what is said aloud.

use wellwright_domain::channel::Channel;
use wellwright_domain::finding::Regime;

use super::span::{SpanState, SpanView};
use super::view::{Note, Place, ReadingRow, RestLevel, Tone};
use crate::text::{Quantity, Words, names, time};

/// One number at its place, not yet judged. Values in the stored unit of the quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Where.
    pub place: Place,
    /// Name; by the place when `None`.
    pub name: Option<String>,
    /// What it counts.
    pub quantity: Quantity,
    /// Measured, plausible or not.
    pub measured: Option<f64>,
    /// 80 % interval of what should be.
    pub expected: Option<[f64; 2]>,
    /// There is a sensor for it.
    pub fitted: bool,
    /// The value lies outside what can be true.
    pub implausible: bool,
    /// Seconds since the last reading, when there is none now.
    pub silent_s: Option<f64>,
}

impl Reading {
    /// A number at a place.
    pub fn new(place: Place, quantity: Quantity, measured: Option<f64>) -> Reading {
        Reading {
            place,
            name: None,
            quantity,
            measured,
            expected: None,
            fitted: true,
            implausible: false,
            silent_s: None,
        }
    }

    /// A channel at its place in the installation, checked against what can be true. Phase currents
    /// stand at the motor; air, module and total channels are named, at the array, wellhead and
    /// controller.
    pub fn channel(channel: Channel, measured: Option<f64>) -> Reading {
        let place = match channel {
            Channel::IrradianceWM2 => Place::Sun,
            Channel::ArrayV | Channel::ArrayA | Channel::ModuleC | Channel::AirC => Place::Array,
            Channel::ControllerC | Channel::OutputV | Channel::EnergyKwh => Place::Controller,
            Channel::FlowM3H | Channel::VolumeM3 => Place::Flow,
            Channel::WellheadKpa => Place::Pressure,
            Channel::WaterLevelM => Place::Level,
            Channel::TankLevelPct => Place::Tank,
            Channel::MotorRpm => Place::Pump,
            Channel::PhaseUA | Channel::PhaseVA | Channel::PhaseWA => Place::Motor,
        };
        let mut reading = Reading::new(place, Quantity::of(channel), measured);
        reading.implausible = measured.is_some_and(|m| !channel.is_plausible(m));
        reading
    }

    /// With a name of its own.
    #[must_use]
    pub fn named(mut self, name: impl Into<String>) -> Reading {
        self.name = Some(name.into());
        self
    }

    /// With what should be (80 %).
    #[must_use]
    pub fn should(mut self, lo: f64, hi: f64) -> Reading {
        self.expected = Some([lo.min(hi), lo.max(hi)]);
        self
    }

    /// Without a sensor.
    #[must_use]
    pub fn not_fitted(mut self) -> Reading {
        self.fitted = false;
        self
    }

    /// Silent for so many seconds.
    #[must_use]
    pub fn silent(mut self, seconds: f64) -> Reading {
        self.silent_s = Some(seconds);
        self
    }

    /// The state of the number.
    pub fn state(&self) -> SpanState {
        match (self.measured.filter(|m| m.is_finite()), self.expected) {
            _ if !self.fitted => SpanState::Absent,
            (Some(_), _) if self.implausible => SpanState::Implausible,
            (Some(m), Some([lo, hi])) if m < lo || m > hi => SpanState::Outside,
            (Some(_), _) => SpanState::Inside,
            (None, _) => SpanState::Unknown,
        }
    }

    /// The row, judged and in words.
    pub fn row(&self, words: &Words<'_>) -> ReadingRow {
        let name = self.name.clone().unwrap_or_else(|| name_of(words, self.place));
        let state = self.state();
        let (value, unit, tone) = match (state, self.measured) {
            (SpanState::Absent, _) => (words.t("span.absent").to_owned(), "", Tone::Words),
            (SpanState::Unknown, _) | (_, None) => (words.t("span.unknown").to_owned(), "", Tone::Words),
            (state, Some(m)) => {
                let amount = words.amount(self.quantity, m, 0.0);
                let differs = matches!(state, SpanState::Outside | SpanState::Implausible);
                (amount.number, amount.unit, if differs { Tone::Differs } else { Tone::Plain })
            }
        };
        let mut row = ReadingRow::plain(self.place, name, value, unit);
        row.tone = tone;
        row.measured = self.measured.filter(|_| matches!(state, SpanState::Inside | SpanState::Outside));
        row.span = self.span(state);
        row.note = self.note(words, state);
        row.spoken = self.spoken(words, &row.name, state);
        row
    }

    fn span(&self, state: SpanState) -> Option<SpanView> {
        let zero = self.quantity.has_zero();
        match (state, self.expected) {
            (SpanState::Absent, _) => Some(SpanView::absent()),
            (SpanState::Implausible, Some([lo, hi])) => Some(SpanView::implausible(lo, hi, zero)),
            (_, Some([lo, hi])) => Some(SpanView::judge(lo, hi, self.measured, zero)),
            (_, None) => None,
        }
    }

    /// How far from the middle of the band, as an amount with unit.
    fn distance(&self, words: &Words<'_>) -> Option<String> {
        Some(words.value(self.quantity, self.off_middle()?))
    }

    /// How far from the middle of the band, stored unit.
    fn off_middle(&self) -> Option<f64> {
        let (m, [lo, hi]) = (self.measured?, self.expected?);
        Some((m - f64::midpoint(lo, hi)).abs())
    }

    fn note(&self, words: &Words<'_>, state: SpanState) -> Option<Note> {
        let (text, differs) = match state {
            SpanState::Outside => {
                let more = self.measured? > self.expected?[1];
                let id = match (self.quantity, more) {
                    (Quantity::Depth, true) => "distance.deeper",
                    (Quantity::Depth, false) => "distance.higher",
                    (_, true) => "distance.more",
                    (_, false) => "distance.less",
                };
                (words.fill(id, &[("x", &self.distance(words)?)]), true)
            }
            SpanState::Implausible => (words.t("span.implausible").to_owned(), true),
            SpanState::Unknown => {
                (words.fill("span.silent", &[("x", &time::duration(words, self.silent_s?))]), false)
            }
            SpanState::Inside | SpanState::Absent => return None,
        };
        Some(Note { text, differs })
    }

    fn spoken(&self, words: &Words<'_>, name: &str, state: SpanState) -> String {
        let value = self.measured.map(|m| words.spoken(self.quantity, m)).unwrap_or_default();
        let interval = self.expected.map(|[lo, hi]| words.interval(self.quantity, lo, hi));
        let distance =
            self.off_middle().map(|d| words.amount(self.quantity, d, 0.0).number).unwrap_or_default();
        let more = matches!((self.measured, self.expected), (Some(m), Some([_, hi])) if m > hi);
        let id = match (state, &interval) {
            (SpanState::Absent, _) => "span.said.absent",
            (SpanState::Implausible, _) => "span.said.implausible",
            (SpanState::Unknown, Some(_)) => "span.said.unknown",
            (SpanState::Unknown, None) => "span.said.unknown.open",
            (SpanState::Inside | SpanState::Outside, None) => "span.said",
            (SpanState::Inside, Some(_)) => "span.said.inside",
            (SpanState::Outside, Some(_)) => match (self.quantity, more) {
                (Quantity::Depth, true) => "span.said.deeper",
                (Quantity::Depth, false) => "span.said.higher",
                (_, true) => "span.said.more",
                (_, false) => "span.said.less",
            },
        };
        words.fill(
            id,
            &[
                ("name", name),
                ("value", &value),
                ("distance", &distance),
                ("interval", interval.as_deref().unwrap_or_default()),
            ],
        )
    }
}

/// Name of the reading at a place.
fn name_of(words: &Words<'_>, place: Place) -> String {
    let id = match place {
        Place::Sun => "reading.sun",
        Place::Array => "reading.array",
        Place::Controller => "reading.controller",
        Place::Tank => "reading.tank",
        Place::Flow => "reading.flow",
        Place::Pressure => "reading.pressure",
        Place::Rest => "reading.rest",
        Place::Level => "reading.level",
        Place::Pump => "reading.pump",
        Place::Intake => "reading.intake",
        Place::Motor => "reading.motor",
        Place::Bottom => "reading.bottom",
        Place::Joint(_) => "reading.joint.wellhead",
        Place::Depth(m) => return words.fill("reading.depth", &[("x", &words.value(Quantity::Depth, m))]),
    };
    words.texts.text(id).to_owned()
}

/// The note under the level: how far it fell, against how far it should, or where it stands from rest.
pub fn level_note(words: &Words<'_>, reading: &Reading, rest: RestLevel) -> Option<Note> {
    let m = reading.measured?;
    let metres = |x: f64| words.value(Quantity::Depth, x);
    match reading.state() {
        SpanState::Outside => {
            let [lo, hi] = reading.expected?;
            let (is, should) = (m - rest.depth_m, f64::midpoint(lo, hi) - rest.depth_m);
            if is < 0.0 || should < 0.0 {
                return reading.note(words, SpanState::Outside);
            }
            let places = [("is", metres(is)), ("should", metres(should))];
            let places = places.each_ref().map(|(n, v)| (*n, v.as_str()));
            Some(Note { text: words.fill("level.fall", &places), differs: true })
        }
        SpanState::Inside => {
            let id = match (m >= rest.depth_m, rest.measured) {
                (true, true) => "level.below_rest",
                (true, false) => "level.below_record",
                (false, true) => "level.above_rest",
                (false, false) => "level.above_record",
            };
            let (x, rest) = (metres((m - rest.depth_m).abs()), metres(rest.depth_m));
            Some(Note { text: words.fill(id, &[("x", &x), ("rest", &rest)]), differs: false })
        }
        _ => None,
    }
}

/// The note under the sun: what held the pump.
pub fn regime_note(words: &Words<'_>, regime: Regime) -> Note {
    let text = match regime {
        Regime::SunLimited => words.t("sun.uses_all").to_owned(),
        other => words.fill("sun.with_regime", &[("regime", &names::regime(words.texts, other))]),
    };
    Note { text, differs: false }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flow(m: Option<f64>) -> Reading {
        Reading::channel(Channel::FlowM3H, m).should(5.3, 5.9)
    }

    #[test]
    fn five_states_in_words() {
        let w = Words::english();
        let said = |r: Reading| {
            let row = r.row(&w);
            let note = row.note.map(|n| n.text).unwrap_or_default();
            format!("{} {} | {note} | {}", row.value, row.unit, row.spoken).replace('\u{a0}', " ")
        };
        assert_eq!(
            said(flow(Some(5.5))),
            "5.5 m3/h |  | Flow 5.5 cubic metres an hour, should be 5.3 to 5.9."
        );
        assert_eq!(
            said(flow(Some(0.7))),
            "0.7 m3/h | 4.9 m3/h less | Flow 0.7 cubic metres an hour, 4.9 less than it should be, 5.3 to 5.9."
        );
        assert_eq!(
            said(flow(None).silent(365.0)),
            "not known  | No reading for 6 min | Flow not known, should be 5.3 to 5.9."
        );
        assert_eq!(said(flow(None).not_fitted()), "no sensor  |  | Flow: no sensor.");
        let heat = Reading::channel(Channel::ModuleC, Some(185.0)).should(40.0, 60.0).named("Module heat");
        assert_eq!(
            said(heat),
            "185 °C | Cannot be true. Left out. | Module heat 185 degrees Celsius cannot be true and is left out."
        );
    }

    #[test]
    fn a_level_is_deeper_or_higher_and_falls_from_rest() {
        let w = Words::english();
        let level = |m| Reading::channel(Channel::WaterLevelM, Some(m)).should(37.5, 38.7);
        let rest = RestLevel { depth_m: 31.5, measured: true };
        let note = |m| level_note(&w, &level(m), rest).unwrap().text.replace('\u{a0}', " ");
        assert_eq!(note(32.2), "fell 0.7 m, should fall 6.6 m");
        assert_eq!(note(38.2), "6.7 m below rest at 31.5 m");
        assert_eq!(note(31.0), "7.1 m higher than it should");
        assert!(level(32.2).row(&w).spoken.contains("higher than it should be"));
        let record = RestLevel { measured: false, ..rest };
        assert!(level_note(&w, &level(38.2), record).unwrap().text.contains("below record's 31.5"));
    }
}
