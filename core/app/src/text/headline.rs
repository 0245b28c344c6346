//! The sentence that answers first, and the one beneath it.

use wellwright_domain::cause::Cause;
use wellwright_domain::caution::Caution;
use wellwright_domain::finding::{EvidenceValue, Finding, Regime, Verdict};

use super::names;
use super::number::Words;
use super::quantity::Quantity;

/// Flow of this moment against its band, m3/h.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowNow {
    /// Measured.
    pub measured: f64,
    /// Low end of what should be (80 %).
    pub lo: f64,
    /// High end.
    pub hi: f64,
}

/// Head of a screen or page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Headline {
    /// Up to about 45 characters.
    pub title: String,
    /// One line of plain text beneath.
    pub text: String,
    /// A part of the text that says how far something differs: set in rust.
    pub stress: Option<String>,
    /// Something differs: the line carries the rust bar.
    pub differs: bool,
}

/// From this probability that nothing is wrong on it is said without a doubt.
const SURE: f64 = 0.8;

/// Where the flow stands against its band: the four headlines.
pub fn flow_headline(flow: FlowNow) -> &'static str {
    if flow.measured < 0.25 * flow.lo {
        "headline.almost_none"
    } else if flow.measured < flow.lo {
        "headline.less"
    } else if flow.measured > flow.hi {
        "headline.more"
    } else {
        "headline.as_should"
    }
}

/// The flow in one sentence, and the part of it that says how far it is from the middle of what should
/// be, when it is outside.
pub fn flow_sentence(words: &Words<'_>, flow: FlowNow) -> (String, Option<String>) {
    let measured = words.value(Quantity::Flow, flow.measured);
    let id = match flow_headline(flow) {
        "headline.as_should" => {
            let interval = words.interval(Quantity::Flow, flow.lo, flow.hi);
            let places = [("measured", measured.as_str()), ("interval", &interval)];
            return (words.fill("headline.flow", &places), None);
        }
        "headline.more" => "headline.flow.more",
        _ => "headline.flow.less",
    };
    let distance = words.value(Quantity::Flow, (f64::midpoint(flow.lo, flow.hi) - flow.measured).abs());
    let stress = words.fill(id, &[("distance", &distance)]);
    let text = words.fill("headline.flow.differs", &[("measured", &measured), ("stress", &stress)]);
    (text, Some(stress))
}

/// What must be done before anything else; of a pump that starts again by itself, how it is kept from that. `None` when
/// nothing must.
pub fn stop_now(words: &Words<'_>, finding: &Finding) -> Option<String> {
    finding.do_first?;
    let stop = names::caution(words.texts, Caution::StopNow);
    match finding.regime {
        Regime::Cycling => Some(format!("{stop} {}", words.t("caution.restarts"))),
        _ => Some(stop),
    }
}

/// No water, or less, was noticed, and nothing that is wrong explains it.
fn noticed_less(words: &Words<'_>, finding: &Finding) -> Option<String> {
    let situation = finding.leading()?.evidence.iter().find(|e| e.check.as_deref() == Some("situation"))?;
    let Some(EvidenceValue::Text(told)) = &situation.measured else { return None };
    let what = ["no_water", "less_water"].into_iter().find(|w| told.split(' ').any(|t| t == *w))?;
    Some(words.fill("verdict.healthy.yet", &[("x", words.texts.text(&format!("noticed.{what}")))]))
}

/// Head for a finding. `why` is the reason of a stop that is meant (`tank_full`, `switched_off`, `night`).
pub fn headline(words: &Words<'_>, finding: &Finding, flow: Option<FlowNow>, why: Option<&str>) -> Headline {
    let leading = finding.leading();
    let said_flow = flow.map(|f| flow_sentence(words, f).0);
    let plain = |id: &'static str| words.t(id).to_owned();
    match finding.verdict {
        Verdict::Healthy | Verdict::StandingBy if leading.is_some_and(|c| c.code == Cause::LowSun) => {
            Headline {
                title: plain("verdict.low_sun"),
                text: plain("verdict.low_sun.text"),
                stress: None,
                differs: false,
            }
        }
        Verdict::Healthy => Headline {
            title: plain("verdict.healthy"),
            text: {
                let text = match (said_flow, finding.fine() >= SURE) {
                    (Some(flow), true) => flow,
                    (None, true) => plain("verdict.healthy.text"),
                    (flow, false) => {
                        let percent = words.percent(finding.fine());
                        let unsure = words.fill("verdict.healthy.unsure", &[("percent", &percent)]);
                        flow.map_or(unsure.clone(), |flow| format!("{flow} {unsure}"))
                    }
                };
                match noticed_less(words, finding) {
                    Some(yet) => format!("{text} {yet}"),
                    None => text,
                }
            },
            stress: None,
            differs: false,
        },
        Verdict::StandingBy => {
            let reason = why.and_then(|w| words.texts.get(&format!("why.{w}")).map(str::to_owned));
            let title = match reason {
                Some(r) => words.fill("verdict.standing_by.why", &[("why", &r)]),
                None => plain("verdict.standing_by"),
            };
            Headline { title, text: plain("verdict.standing_by.text"), stress: None, differs: false }
        }
        Verdict::TooLittle => {
            let text = match finding.next_checks.first() {
                Some(n) => {
                    words.fill("verdict.too_little.text", &[("check", &names::check(words.texts, n.code))])
                }
                None => plain("verdict.too_little.text.none"),
            };
            Headline { title: plain("verdict.too_little"), text, stress: None, differs: false }
        }
        Verdict::Fault => {
            let pair = finding.leading_pair();
            let two = pair.map(|p| words.texts.list(&p.codes.map(|c| names::cause(words.texts, c))));
            let cause = leading.map(|c| names::cause(words.texts, c.code)).unwrap_or_default();
            let title = match flow.map(flow_headline) {
                Some(id) if id != "headline.as_should" => words.t(id).to_owned(),
                _ if two.is_some() => plain("verdict.fault.two"),
                _ if cause.is_empty() || leading.is_some_and(|c| c.code == Cause::Unknown) => {
                    plain("verdict.fault")
                }
                _ => cause.clone(),
            };
            let probability = pair.map(|p| p.probability).or(leading.map(|c| c.probability));
            let percent = probability.map(|p| words.percent(p)).unwrap_or_default();
            let fits = match &two {
                Some(x) => words.fill("verdict.fault.two.text", &[("x", x), ("percent", &percent)]),
                None => words.fill("verdict.fault.text", &[("cause", &cause), ("percent", &percent)]),
            };
            let outside = flow.filter(|f| flow_headline(*f) != "headline.as_should");
            let (text, stress) = match outside.map(|f| flow_sentence(words, f)) {
                Some((said, stress)) => (format!("{said} {fits}"), stress),
                None => (fits, None),
            };
            Headline { title, text, stress, differs: true }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_headlines_for_the_flow() {
        let at = |measured| flow_headline(FlowNow { measured, lo: 4.0, hi: 5.0 });
        assert_eq!([at(0.9), at(1.1), at(3.99)], ["headline.almost_none", "headline.less", "headline.less"]);
        assert_eq!(
            [at(4.0), at(5.0), at(5.01)],
            ["headline.as_should", "headline.as_should", "headline.more"]
        );
    }

    #[test]
    fn the_stress_is_a_part_of_the_sentence() {
        let w = Words::english();
        let (text, stress) = flow_sentence(&w, FlowNow { measured: 0.7, lo: 5.3, hi: 5.9 });
        assert_eq!(text.replace('\u{a0}', " "), "0.7 m3/h: 4.9 m3/h less than this sun should give.");
        assert!(text.contains(&stress.unwrap()));
        let (text, stress) = flow_sentence(&w, FlowNow { measured: 6.9, lo: 5.3, hi: 5.9 });
        assert!(text.contains("1.3\u{a0}m3/h more") && text.contains(&stress.unwrap()));
        assert_eq!(flow_sentence(&w, FlowNow { measured: 5.5, lo: 5.3, hi: 5.9 }).1, None);
    }

    #[test]
    fn a_pump_that_starts_again_is_locked_out() {
        let w = Words::english();
        let mut finding: Finding = serde_json::from_value(serde_json::json!({
            "schema": 1, "system": "x", "window": {"from": null, "to": null, "rows": 0, "used": 0, "set_aside": 0},
            "verdict": "fault", "do_first": "stop_now", "regime": "speed_limited", "assumed": [], "causes": [],
            "pairs": [], "next_checks": [], "model": {"version": "1", "record_hash": "0"}
        }))
        .unwrap();
        assert_eq!(stop_now(&w, &finding).unwrap(), "Stop the pump now. Running on destroys it.");
        finding.regime = Regime::Cycling;
        assert!(stop_now(&w, &finding).unwrap().ends_with("open and lock the DC isolator."));
        finding.do_first = None;
        assert_eq!(stop_now(&w, &finding), None);
    }
}
