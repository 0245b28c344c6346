//! One sentence for one piece of evidence: what was measured, what a healthy system gives, what the
//! cause gives.

mod own;

use wellwright_diagnosis::likelihood::Z80;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, FieldKind};
use wellwright_domain::finding::{Evidence, EvidenceValue, Regime};

use super::names;
use super::number::Words;
use super::quantity::Quantity;

/// The sentence.
pub fn sentence(words: &Words<'_>, e: &Evidence) -> String {
    own::sentence(words, e).unwrap_or_else(|| compared(words, e))
}

/// What was measured beside what a healthy system and the cause give.
fn compared(words: &Words<'_>, e: &Evidence) -> String {
    let quantity = quantity_of(e);
    let name = name_of(words, e);
    let said = |v: &Option<EvidenceValue>| v.as_ref().map(|v| value(words, quantity, v));
    let model = |v: &Option<EvidenceValue>| v.as_ref().map(|v| expected(words, quantity, v, e.sigma));
    let measured = said(&e.measured).unwrap_or_else(|| words.t("span.unknown").to_owned());
    let (healthy, cause) = (model(&e.if_healthy), model(&e.if_cause));
    let places = [
        ("name", name.as_str()),
        ("measured", measured.as_str()),
        ("healthy", healthy.as_deref().unwrap_or_default()),
        ("cause", cause.as_deref().unwrap_or_default()),
    ];
    let id = match (&healthy, &cause) {
        (Some(h), Some(c)) if h == c => "evidence.number.healthy",
        (Some(_), Some(_)) => "evidence.number",
        (Some(_), None) => "evidence.number.healthy",
        (None, Some(_)) => "evidence.number.cause",
        (None, None) => "evidence.number.only",
    };
    words.fill(id, &places)
}

/// The quantity, by channel, else by unit, else by the first number a check asks for.
fn quantity_of(e: &Evidence) -> Quantity {
    if let Some(channel) = e.channel.as_deref().and_then(Channel::from_code) {
        return Quantity::of(channel);
    }
    if let Some(unit) = &e.unit {
        return Quantity::of_unit(unit);
    }
    let fields = e.check.as_deref().and_then(Check::from_code).map(|c| &c.info().fields);
    fields
        .and_then(|f| {
            f.iter().find_map(|(_, kind)| match kind {
                FieldKind::Number(u) | FieldKind::List(u) => Some(Quantity::of_unit(u)),
                _ => None,
            })
        })
        .unwrap_or(Quantity::Plain)
}

fn name_of(words: &Words<'_>, e: &Evidence) -> String {
    let code = e.channel.as_deref().or(e.check.as_deref()).unwrap_or_default();
    let name = names::by_code(words.texts, code);
    let at_rest = e.channel.is_some() && e.regime == Regime::Stopped;
    if at_rest { words.fill("evidence.at_rest", &[("name", &name)]) } else { name }
}

fn value(words: &Words<'_>, quantity: Quantity, v: &EvidenceValue) -> String {
    match v {
        EvidenceValue::Number(x) => words.value(quantity, *x),
        EvidenceValue::Bool(true) => words.t("evidence.yes").to_owned(),
        EvidenceValue::Bool(false) => words.t("evidence.no").to_owned(),
        EvidenceValue::Text(code) => text_value(words, code),
    }
}

/// Words of a text value: flags, states, causes, each by its name; numbers of a list stay as they are.
fn text_value(words: &Words<'_>, code: &str) -> String {
    let parts: Vec<String> = code
        .split_whitespace()
        .map(|token| {
            if let Some((field, said)) = token.split_once('=') {
                return answer(words, field, said);
            }
            let ids = [format!("flag.{token}"), format!("state.{token}")];
            let known = ids.iter().find_map(|id| words.texts.get(id)).map(str::to_owned);
            known.unwrap_or_else(|| names::by_code(words.texts, token))
        })
        .collect();
    parts.join(if parts.iter().any(|p| p.contains(' ')) { ", " } else { " " })
}

/// Yes or no to one field of a check, in words.
fn answer(words: &Words<'_>, field: &str, said: &str) -> String {
    let own = words.texts.get(&format!("answer.{field}.{said}"));
    own.map_or_else(
        || {
            let name = names::by_code(words.texts, field);
            if said == "yes" { name } else { words.fill("answer.no", &[("name", &name)]) }
        },
        str::to_owned,
    )
}

/// A model value as its 80 % interval when the spread is known.
fn expected(words: &Words<'_>, quantity: Quantity, v: &EvidenceValue, sigma: Option<f64>) -> String {
    match (v, sigma) {
        (EvidenceValue::Number(x), Some(s)) if s > 0.0 && s.is_finite() => {
            let half = Z80 * s;
            let lo = if quantity.has_zero() || *x >= 0.0 && quantity != Quantity::Temperature {
                (x - half).max(0.0_f64.min(*x))
            } else {
                x - half
            };
            words.interval(quantity, lo, x + half)
        }
        (EvidenceValue::Number(x), _) => {
            words.fill("evidence.about", &[("x", &words.amount(quantity, *x, 0.0).number)])
        }
        _ => value(words, quantity, v),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flow() -> Evidence {
        Evidence {
            channel: Some("flow_m3_h".into()),
            check: None,
            regime: Regime::SpeedLimited,
            unit: Some("m3/h".into()),
            measured: Some(EvidenceValue::Number(0.7)),
            if_healthy: Some(EvidenceValue::Number(5.6)),
            if_cause: Some(EvidenceValue::Number(0.6)),
            sigma: Some(0.25),
            weight_bits: 5.2,
        }
    }

    #[test]
    fn a_channel_says_is_should_and_would() {
        let s = sentence(&Words::english(), &flow()).replace('\u{a0}', " ");
        assert_eq!(s, "Flow: 0.7 m3/h. Healthy gives 5.3 to 5.9; this gives 0.3 to 0.9.");
    }

    #[test]
    fn what_cannot_be_below_zero_is_not_said_to_be() {
        let mut e = flow();
        e.sigma = Some(1.0);
        assert!(sentence(&Words::english(), &e).contains("this gives 0.0 to 1.9"));
    }

    #[test]
    fn text_yes_and_missing_values_are_words() {
        let mut e = flow();
        (e.channel, e.check, e.unit, e.sigma) = (None, Some("valve_position".into()), None, None);
        e.measured = Some(EvidenceValue::Bool(true));
        (e.if_healthy, e.if_cause) = (None, None);
        assert_eq!(sentence(&Words::english(), &e), "Look at every valve: yes.");
        (e.check, e.measured) = (Some("lead_map".into()), Some(EvidenceValue::Text("odd".into())));
        assert!(sentence(&Words::english(), &e).starts_with("On paper the leads cross an odd"));
        (e.check, e.measured) = (Some("situation".into()), Some(EvidenceValue::Text("first_start".into())));
        assert_eq!(sentence(&Words::english(), &e), "It has never run as built.");
        (e.check, e.measured) =
            (Some("flags".into()), Some(EvidenceValue::Text("dry_probe tank_full".into())));
        assert_eq!(sentence(&Words::english(), &e), "flags: dry signal, tank full.");
        (e.check, e.measured) = (Some("no_such_sign".into()), None);
        assert_eq!(sentence(&Words::english(), &e), "no such sign: not known.");
    }

    #[test]
    fn state_situation_and_unbalance_are_whole_sentences() {
        let w = Words::english();
        let mut e = flow();
        (e.channel, e.check) = (None, Some("controller_display".into()));
        let text = |s: &str| Some(EvidenceValue::Text(s.into()));
        (e.measured, e.if_healthy, e.if_cause) = (text("dry_probe"), text("runs"), text("dry_probe"));
        assert_eq!(sentence(&w, &e), "The controller says: dry signal. Healthy: runs.");
        e.if_cause = text("under_load");
        assert_eq!(
            sentence(&w, &e),
            "The controller says: dry signal. Healthy: runs; this: too little load."
        );
        (e.check, e.measured) = (Some("situation".into()), text("first_start no_water noise"));
        assert_eq!(sentence(&w, &e), "It has never run as built. Noticed: no water and noise.");
        let mut e = flow();
        (e.channel, e.unit) = (Some("phase_v_a".into()), Some("1".into()));
        (e.measured, e.sigma) = (Some(EvidenceValue::Number(0.21)), Some(0.026));
        let said = sentence(&w, &e).replace('\u{a0}', " ");
        assert_eq!(said, "One motor current is 21 % off their mean. Healthy gives 0 to 3.");
    }

    #[test]
    fn what_was_touched_and_answered_is_named() {
        let w = Words::english();
        let mut e = flow();
        let text = |s: &str| Some(EvidenceValue::Text(s.into()));
        (e.channel, e.unit, e.sigma, e.check) = (None, None, None, Some("situation".into()));
        e.measured = text("in_service touched=pump touched=joint less_water");
        assert_eq!(
            sentence(&w, &e),
            "It ran well before. Touched: the pump and a joint. Noticed: less water."
        );
        e.check = Some("look_and_listen".into());
        (e.measured, e.if_healthy, e.if_cause) =
            (text("leak_seen=yes"), text("leak_seen=no"), text("leak_seen=yes"));
        assert_eq!(sentence(&w, &e), "Look and listen: a leak. Healthy gives no leak; this gives a leak.");
        (e.check, e.measured, e.if_cause) = (Some("water_look".into()), text("sand=yes"), text("sand=no"));
        e.if_healthy = text("sand=no");
        assert_eq!(sentence(&w, &e), "Look at the water: sand. Healthy gives no sand.");
    }

    #[test]
    fn what_swings_is_said_to_swing() {
        let mut e = flow();
        (e.unit, e.if_cause, e.sigma) = (Some("%".into()), None, Some(4.0));
        (e.measured, e.if_healthy) = (Some(EvidenceValue::Number(12.0)), Some(EvidenceValue::Number(0.0)));
        let said = sentence(&Words::english(), &e).replace('\u{a0}', " ");
        assert_eq!(said, "Flow swings by 12 % at one speed. Healthy gives 0 to 5.");
    }

    fn said(e: &Evidence) -> String {
        sentence(&Words::english(), e).replace('\u{a0}', " ")
    }

    fn number(x: f64) -> EvidenceValue {
        EvidenceValue::Number(x)
    }

    #[test]
    fn at_rest_is_said() {
        let mut e = flow();
        e.regime = Regime::Stopped;
        assert!(said(&e).starts_with("Flow at rest: 0.7 m3/h."), "{}", said(&e));
        (e.channel, e.unit) = (Some("phase_v_a".into()), Some("1".into()));
        (e.measured, e.sigma) = (Some(number(0.97)), Some(0.026));
        let start =
            "In the start that failed one motor current was 97 % below their mean. Healthy gives 0 to 3.";
        assert_eq!(said(&e), start);
    }

    #[test]
    fn starts_light_heat_limits_and_bounds_have_sentences_of_their_own() {
        let mut e = flow();
        (e.unit, e.sigma) = (Some("s".into()), None);
        (e.measured, e.if_healthy, e.if_cause) =
            (Some(number(94.0)), Some(number(16.0)), Some(number(100.0)));
        assert_eq!(said(&e), "After a start water came within 94 s. Healthy gives 16 s; this gives 100 s.");
        (e.channel, e.unit) = (Some("irradiance_w_m2".into()), Some("W/m2".into()));
        (e.measured, e.if_healthy, e.if_cause) = (Some(number(180.0)), Some(number(310.0)), None);
        let light = "Sun on the array: 180 W/m2. A healthy pump lifts water from 310 W/m2 on.";
        assert_eq!(said(&e), light);
        e.if_cause = Some(number(640.0));
        assert!(said(&e).ends_with("about 310 W/m2 at that time; by this, 640 W/m2."), "{}", said(&e));
        e.if_cause = None;
        (e.channel, e.unit) = (Some("array_v".into()), Some("V".into()));
        (e.measured, e.if_healthy) = (Some(number(900.0)), Some(number(452.0)));
        assert!(said(&e).ends_with("never gives more than 452 V."), "{}", said(&e));
        (e.channel, e.unit) = (Some("controller_c".into()), Some("degC".into()));
        (e.measured, e.if_healthy, e.if_cause) = (Some(number(78.0)), None, Some(number(70.0)));
        assert!(said(&e).contains("It holds back from 70"), "{}", said(&e));
        (e.channel, e.unit) = (Some("motor_rpm".into()), Some("rpm".into()));
        (e.measured, e.if_cause) = (Some(number(2400.0)), Some(number(2400.0)));
        assert!(said(&e).ends_with("stays at 2,400 rpm: this keeps it there."), "{}", said(&e));
    }

    #[test]
    fn the_rhythm_of_stops_is_told() {
        let mut e = flow();
        (e.channel, e.check) = (None, Some("controller_display".into()));
        (e.unit, e.sigma) = (Some("%".into()), None);
        (e.measured, e.if_healthy, e.if_cause) =
            (Some(number(12.0)), Some(number(100.0)), Some(number(20.0)));
        assert_eq!(said(&e), "It ran for 12 % of the time between its stops. Healthy: always; this: 20 %.");
        e.measured = Some(number(0.0));
        assert_eq!(said(&e), "It never ran between its stops. Healthy: always; this: 20 % of the time.");
        (e.unit, e.measured, e.if_healthy, e.if_cause) =
            (Some("1".into()), Some(number(4.0)), Some(number(0.0)), None);
        assert_eq!(said(&e), "It stopped without saying why: 4 times.");
    }

    #[test]
    fn a_value_without_spread_is_about() {
        let mut e = flow();
        e.sigma = None;
        assert!(sentence(&Words::english(), &e).contains("Healthy gives about 5.6; this gives about 0.6."));
    }
}
