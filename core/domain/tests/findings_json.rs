//! The findings JSON: names and order of its keys are fixed for everyone who reads it.

use wellwright_domain::cause::Cause;
use wellwright_domain::caution::Caution;
use wellwright_domain::check::Check;
use wellwright_domain::finding::{EvidenceValue, Finding, Severity, Verdict};

/// The example of the file format, as it is published.
const EXAMPLE: &str = include_str!("fixtures/finding.json");

#[test]
fn the_published_example_is_understood() {
    let f: Finding = serde_json::from_str(EXAMPLE).unwrap();
    assert_eq!((f.verdict, f.do_first, f.window.set_aside), (Verdict::Fault, None, 188));
    let lead = f.leading().unwrap();
    assert_eq!((lead.code, lead.probability), (Cause::ReversedRotation, 0.91));
    assert_eq!(lead.evidence[0].measured, Some(EvidenceValue::Number(0.7)));
    assert_eq!(f.next_checks[0].code, Check::SwapTwoLeads);
    assert_eq!(f.next_checks[0].cautions, [Caution::IsolateDc, Caution::WaitDischarge]);
}

#[test]
fn it_is_written_with_the_same_names_values_and_order() {
    let f: Finding = serde_json::from_str(EXAMPLE).unwrap();
    let written = serde_json::to_string(&f).unwrap();
    assert_eq!(written, compact(EXAMPLE));
    assert_eq!(serde_json::from_str::<Finding>(&written).unwrap(), f);
}

#[test]
fn severity_text_and_yes_no_evidence_have_their_fixed_form() {
    let severity = Severity { value: 1.3, interval: [0.9, 1.8], unit: "ohm".into(), of: None };
    assert_eq!(
        serde_json::to_string(&severity).unwrap(),
        r#"{"value":1.3,"interval":[0.9,1.8],"unit":"ohm"}"#
    );
    let of = Severity { of: Some("series".into()), ..severity };
    assert!(serde_json::to_string(&of).unwrap().ends_with(r#","of":"series"}"#));
    for (value, text) in [
        (EvidenceValue::Bool(true), "true"),
        (EvidenceValue::Text("odd".into()), "\"odd\""),
        (EvidenceValue::Number(1.5), "1.5"),
    ] {
        assert_eq!(serde_json::to_string(&value).unwrap(), text);
        assert_eq!(serde_json::from_str::<EvidenceValue>(text).unwrap(), value);
    }
}

/// JSON without the white space between its parts (none of the example's texts holds a quote).
fn compact(text: &str) -> String {
    let mut inside = false;
    text.chars()
        .filter(|c| {
            inside ^= *c == '"';
            inside || !c.is_whitespace()
        })
        .collect()
}
