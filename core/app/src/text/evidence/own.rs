//! Evidence that has a sentence of its own: what a number beside two others would not say.

use wellwright_domain::channel::Channel;
use wellwright_domain::finding::{Evidence, EvidenceValue, Regime};

use super::{Quantity, Words, expected, name_of, quantity_of, text_value, value};

/// One kind of evidence; `None` for every other kind.
type Telling = fn(&Words<'_>, &Evidence) -> Option<String>;

const OWN: [Telling; 11] =
    [lead_map, situation, state, runs, silent, unbalance, unsteady, water_came, keeps, bounds, hot];

/// The sentence of its own, if it has one.
pub fn sentence(words: &Words<'_>, e: &Evidence) -> Option<String> {
    OWN.iter().find_map(|tell| tell(words, e))
}

fn number(v: Option<&EvidenceValue>) -> Option<f64> {
    match v {
        Some(EvidenceValue::Number(x)) => Some(*x),
        _ => None,
    }
}

fn channel(e: &Evidence) -> Option<Channel> {
    e.channel.as_deref().and_then(Channel::from_code)
}

/// In this unit, which is not the channel's own.
fn told_in(e: &Evidence, unit: &str) -> Option<Channel> {
    channel(e).filter(|c| e.unit.as_deref() == Some(unit) && c.unit() != unit)
}

fn lead_map(words: &Words<'_>, e: &Evidence) -> Option<String> {
    if e.check.as_deref() != Some("lead_map") {
        return None;
    }
    let id = match &e.measured {
        Some(EvidenceValue::Bool(true)) => "evidence.lead_map.odd",
        Some(EvidenceValue::Text(t)) if t == "odd" => "evidence.lead_map.odd",
        Some(EvidenceValue::Bool(false)) => "evidence.lead_map.even",
        Some(EvidenceValue::Text(t)) if t == "even" => "evidence.lead_map.even",
        _ => "evidence.lead_map.unknown",
    };
    Some(words.t(id).to_owned())
}

/// Before the code of a part that was touched.
const TOUCHED: &str = "touched=";

/// When in the life of the system, then what was touched and what was noticed.
fn situation(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let (Some("situation"), Some(EvidenceValue::Text(codes))) = (e.check.as_deref(), &e.measured) else {
        return None;
    };
    let mut codes = codes.split_whitespace();
    let when = words.texts.get(&format!("evidence.situation.{}", codes.next()?))?.to_owned();
    let (touched, noticed): (Vec<&str>, Vec<&str>) = codes.partition(|c| c.starts_with(TOUCHED));
    let touched: Vec<&str> = touched.iter().map(|c| c.trim_start_matches(TOUCHED)).collect();
    let mut said = vec![when];
    for (id, kind, codes) in
        [("evidence.touched", "touched", touched), ("evidence.noticed", "noticed", noticed)]
    {
        let names: Vec<String> =
            codes.iter().map(|c| words.texts.text(&format!("{kind}.{c}")).to_owned()).collect();
        if !names.is_empty() {
            said.push(words.fill(id, &[("x", &words.texts.list(&names))]));
        }
    }
    Some(said.join(" "))
}

/// Told by the controller itself.
fn controller(e: &Evidence) -> Option<&EvidenceValue> {
    if e.check.as_deref() == Some("controller_display") { e.measured.as_ref() } else { None }
}

/// What the controller says it does, against what it should do.
fn state(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let Some(EvidenceValue::Text(said)) = controller(e) else { return None };
    let text = |v: &Option<EvidenceValue>| match v {
        Some(EvidenceValue::Text(code)) => text_value(words, code),
        _ => String::new(),
    };
    let (said, healthy, cause) = (text_value(words, said), text(&e.if_healthy), text(&e.if_cause));
    let id = if cause.is_empty() || cause == said { "evidence.state.as_this" } else { "evidence.state" };
    Some(words.fill(id, &[("measured", &said), ("healthy", &healthy), ("cause", &cause)]))
}

/// Less than this is never, %.
const NEVER_PCT: f64 = 0.5;

/// Share of the time between its stops in which it ran.
fn runs(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let (EvidenceValue::Number(share), Some("%")) = (controller(e)?, e.unit.as_deref()) else { return None };
    let percent = |x: f64| words.value(Quantity::Percent, x);
    let (measured, cause) = (percent(*share), percent(number(e.if_cause.as_ref())?));
    let id = if *share < NEVER_PCT { "evidence.runs.never" } else { "evidence.runs" };
    Some(words.fill(id, &[("measured", &measured), ("cause", &cause)]))
}

/// How often it stopped of which it said nothing.
fn silent(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let (EvidenceValue::Number(times), Some("1")) = (controller(e)?, e.unit.as_deref()) else { return None };
    Some(words.fill("evidence.silent", &[("measured", &format!("{times:.0}"))]))
}

/// How far one of the three currents is from their mean, a share.
fn unbalance(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let share = number(e.measured.as_ref())?;
    told_in(e, "1").filter(|c| c.code().starts_with("phase_"))?;
    let usual = expected(words, Quantity::Percent, &EvidenceValue::Number(0.0), e.sigma.map(|s| 100.0 * s));
    let measured = words.value(Quantity::Percent, 100.0 * share);
    let id = if e.regime == Regime::Stopped { "evidence.failed_start" } else { "evidence.unbalance" };
    Some(words.fill(id, &[("measured", &measured), ("healthy", &usual)]))
}

/// How much a reading swings at one speed, per cent.
fn unsteady(words: &Words<'_>, e: &Evidence) -> Option<String> {
    told_in(e, "%")?;
    let measured = words.value(Quantity::Percent, number(e.measured.as_ref())?);
    let healthy = expected(words, Quantity::Percent, e.if_healthy.as_ref()?, e.sigma);
    let told = [("name", &*name_of(words, e)), ("measured", &measured), ("healthy", &healthy)];
    Some(words.fill("evidence.unsteady", &told))
}

/// How late water came after a start.
fn water_came(words: &Words<'_>, e: &Evidence) -> Option<String> {
    told_in(e, "s")?;
    let seconds = |v: &Option<EvidenceValue>| number(v.as_ref()).map(|s| words.value(Quantity::Seconds, s));
    let (measured, healthy, cause) = (seconds(&e.measured)?, seconds(&e.if_healthy)?, seconds(&e.if_cause)?);
    let told = [("measured", &*measured), ("healthy", &healthy), ("cause", &cause)];
    Some(words.fill("evidence.water_came", &told))
}

/// What a limit keeps: it can be set anywhere, so nothing else is to be expected.
fn keeps(words: &Words<'_>, e: &Evidence) -> Option<String> {
    channel(e)?;
    if e.if_healthy.is_some() || e.measured.is_none() || e.measured != e.if_cause {
        return None;
    }
    let measured = value(words, quantity_of(e), e.measured.as_ref()?);
    Some(words.fill("evidence.keeps", &[("name", &name_of(words, e)), ("measured", &measured)]))
}

/// Light beside the least that lifts water; voltage or current beside the most that an array gives.
fn bounds(words: &Words<'_>, e: &Evidence) -> Option<String> {
    if let (Channel::IrradianceWM2, Some(_), None) = (channel(e)?, &e.if_cause, e.sigma) {
        return sky(words, e);
    }
    let id = match (channel(e)?, &e.if_cause, e.sigma) {
        (Channel::IrradianceWM2, None, None) => "evidence.light",
        (Channel::ArrayV | Channel::ArrayA, None, None) => "evidence.beyond",
        _ => return None,
    };
    let said = |v: &Option<EvidenceValue>| v.as_ref().map(|v| value(words, quantity_of(e), v));
    let (measured, bound) = (said(&e.measured)?, said(&e.if_healthy)?);
    let told = [("name", &*name_of(words, e)), ("measured", &measured), ("healthy", &bound)];
    Some(words.fill(id, &told))
}

/// Light beside a clear sky by the clock of the record, and by that of the cause.
fn sky(words: &Words<'_>, e: &Evidence) -> Option<String> {
    let said = |v: &Option<EvidenceValue>| v.as_ref().map(|v| value(words, Quantity::Irradiance, v));
    let (measured, clear, cause) = (said(&e.measured)?, said(&e.if_healthy)?, said(&e.if_cause)?);
    let id = if clear == cause { "evidence.sky" } else { "evidence.sky.moved" };
    Some(words.fill(id, &[("measured", &measured), ("healthy", &clear), ("cause", &cause)]))
}

/// Heat of the controller beside that from which it holds back.
fn hot(words: &Words<'_>, e: &Evidence) -> Option<String> {
    channel(e).filter(|c| *c == Channel::ControllerC)?;
    let said = |v: &Option<EvidenceValue>| v.as_ref().map(|v| value(words, Quantity::Temperature, v));
    let (measured, from) = (said(&e.measured)?, said(&e.if_cause)?);
    let told = [("name", &*name_of(words, e)), ("measured", &measured), ("cause", &from)];
    Some(words.fill("evidence.hot", &told))
}
