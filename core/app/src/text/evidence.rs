//! One sentence for one piece of evidence: what was measured, what a healthy system gives, what the
//! cause gives.

use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, FieldKind};
use wellwright_domain::finding::{Evidence, EvidenceValue};

use super::names;
use super::number::Words;
use super::quantity::Quantity;

/// Half width of an 80 % interval in standard deviations of a normal law (z at 0.90 is 1.2816).
const Z80: f64 = 1.2816;

/// The sentence.
pub fn sentence(words: &Words<'_>, e: &Evidence) -> String {
    match (e.check.as_deref(), &e.measured) {
        (Some("lead_map"), measured) => return words.t(lead_map_id(measured.as_ref())).to_owned(),
        (Some("situation"), Some(EvidenceValue::Text(codes))) => {
            if let Some(text) = situation(words, codes) {
                return text;
            }
        }
        (Some("controller_display"), Some(EvidenceValue::Text(code))) => return state(words, e, code),
        _ => {}
    }
    if let Some(text) = unsteady(words, e) {
        return text;
    }
    if let Some(text) = unbalance(words, e) {
        return text;
    }
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

/// When in the life of the system, then what was noticed.
fn situation(words: &Words<'_>, codes: &str) -> Option<String> {
    let mut codes = codes.split_whitespace();
    let when = words.texts.get(&format!("evidence.situation.{}", codes.next()?))?.to_owned();
    let noticed: Vec<String> = codes.map(|c| words.texts.text(&format!("noticed.{c}")).to_owned()).collect();
    if noticed.is_empty() {
        return Some(when);
    }
    let noticed = words.fill("evidence.noticed", &[("x", &words.texts.list(&noticed))]);
    Some(format!("{when} {noticed}"))
}

/// What the controller says it does, against what it should do.
fn state(words: &Words<'_>, e: &Evidence, code: &str) -> String {
    let text = |v: &Option<EvidenceValue>| match v {
        Some(EvidenceValue::Text(code)) => text_value(words, code),
        _ => String::new(),
    };
    let (said, healthy, cause) = (text_value(words, code), text(&e.if_healthy), text(&e.if_cause));
    let id = if cause.is_empty() || cause == said { "evidence.state.as_this" } else { "evidence.state" };
    words.fill(id, &[("measured", &said), ("healthy", &healthy), ("cause", &cause)])
}

/// How far one of the three currents is from their mean, a share.
fn unbalance(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let of_phase = e.channel.as_deref().is_some_and(|c| c.starts_with("phase_"));
    match e.measured {
        Some(EvidenceValue::Number(share)) if of_phase && e.unit.as_deref() == Some("1") => {
            let usual =
                expected(words, Quantity::Percent, &EvidenceValue::Number(0.0), e.sigma.map(|s| 100.0 * s));
            let measured = words.value(Quantity::Percent, 100.0 * share);
            Some(words.fill("evidence.unbalance", &[("measured", &measured), ("healthy", &usual)]))
        }
        _ => None,
    }
}

/// How much a reading swings at one speed, per cent.
fn unsteady(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let own = e.channel.as_deref().and_then(Channel::from_code)?.unit();
    match (&e.measured, &e.if_healthy) {
        (Some(EvidenceValue::Number(swings)), Some(usual))
            if e.unit.as_deref() == Some("%") && own != "%" =>
        {
            let measured = words.value(Quantity::Percent, *swings);
            let healthy = expected(words, Quantity::Percent, usual, e.sigma);
            let name = name_of(words, e);
            let told = [("name", name.as_str()), ("measured", &measured), ("healthy", &healthy)];
            Some(words.fill("evidence.unsteady", &told))
        }
        _ => None,
    }
}

fn lead_map_id(measured: Option<&EvidenceValue>) -> &'static str {
    match measured {
        Some(EvidenceValue::Bool(true)) => "evidence.lead_map.odd",
        Some(EvidenceValue::Text(t)) if t == "odd" => "evidence.lead_map.odd",
        Some(EvidenceValue::Bool(false)) => "evidence.lead_map.even",
        Some(EvidenceValue::Text(t)) if t == "even" => "evidence.lead_map.even",
        _ => "evidence.lead_map.unknown",
    }
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
    names::by_code(words.texts, code)
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
            let ids = [format!("flag.{token}"), format!("state.{token}")];
            let known = ids.iter().find_map(|id| words.texts.get(id)).map(str::to_owned);
            known.unwrap_or_else(|| names::by_code(words.texts, token))
        })
        .collect();
    parts.join(if parts.iter().any(|p| p.contains(' ')) { ", " } else { " " })
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
    use wellwright_domain::finding::Regime;

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
    fn what_swings_is_said_to_swing() {
        let mut e = flow();
        (e.unit, e.if_cause, e.sigma) = (Some("%".into()), None, Some(4.0));
        (e.measured, e.if_healthy) = (Some(EvidenceValue::Number(12.0)), Some(EvidenceValue::Number(0.0)));
        let said = sentence(&Words::english(), &e).replace('\u{a0}', " ");
        assert_eq!(said, "Flow swings by 12 % at one speed. Healthy gives 0 to 5.");
    }

    #[test]
    fn a_value_without_spread_is_about() {
        let mut e = flow();
        e.sigma = None;
        assert!(sentence(&Words::english(), &e).contains("Healthy gives about 5.6; this gives about 0.6."));
    }
}
