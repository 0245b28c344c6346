//! The page: whole, self-contained, safe with any text, and honest about what it does not know.
//!
//! `WRITE_PAGES=DIR cargo test -p wellwright-app` also leaves the pages in a folder, to be looked at.

mod demo;

use std::path::Path;

use wellwright_app::page::{PageView, render};
use wellwright_app::text::Words;
use wellwright_domain::cause::Cause;
use wellwright_domain::caution::Caution;
use wellwright_domain::finding::{CausePair, Severity, Verdict};

fn written(name: &str, view: &PageView) -> String {
    let html = render(view, &Words::english());
    if let Some(dir) = std::env::var_os("WRITE_PAGES") {
        std::fs::write(Path::new(&dir).join(format!("{name}.html")), &html).unwrap();
    }
    for outside in ["http", "<script", "src=", "<link", "@import", "javascript:"] {
        assert!(!html.contains(outside), "{name} holds `{outside}`");
    }
    assert_eq!(html.matches("url(").count(), html.matches("url(#").count(), "{name}");
    assert!(html.starts_with("<!DOCTYPE html>") && html.ends_with("</html>"));
    let body = html.split("</style>").nth(1).unwrap();
    assert!(!body.contains('{'), "{name}: a place in a text is not filled");
    assert!(html.contains("Local code and licensed trades decide"));
    assert!(html.contains("Wellwright only reads."));
    html
}

fn backwards() -> PageView {
    let w = Words::english();
    let mut view = PageView::new(demo::finding_backwards(), demo::backwards(&w));
    view.account = Some(demo::account_backwards());
    view.note = Some(w.texts.text("page.demo").to_owned());
    view.conditions = vec![("Back of module".into(), "55\u{a0}°C".into())];
    view
}

#[test]
fn a_fault_answers_first_and_ends_with_a_check() {
    let html = written("backwards", &backwards()).replace('\u{a0}', " ");
    assert!(html.contains("<h1>Almost no water</h1>"));
    assert!(html.contains(
        "0.7 m3/h: <b>4.9 m3/h less than this sun should give.</b> Turned backwards fits best: 89 %."
    ));
    assert!(html.contains("Pump at top speed, 948 W/m2 on the array"));
    assert!(html.contains("941 of 960") && html.contains("18 Nov 2026, 10:42 to 10:58"));
    assert!(html.contains("how far the level falls at large flow"));
    assert!(html.contains("Pressure at the wellhead is not measured."));
    let (care, go) =
        (html.find("Open and lock the DC isolator.").unwrap(), html.find("Swap two motor leads").unwrap());
    assert!(care < go, "cautions stand above the action");
    assert_eq!(html.matches("class=\"go\"").count(), 1, "one filled block");
    assert!(html.contains("Model 0.1.0, record 3f9a71c2."));
    assert!(!html.contains("class=\"stop\""));
    assert!(html.contains("Invented demo system, simulated readings."));
}

#[test]
fn every_caution_of_every_check_that_is_shown_is_shown() {
    let view = backwards();
    let html = written("cautions", &view);
    for check in &view.finding.next_checks {
        for &c in &check.cautions {
            assert!(html.contains(Words::english().texts.text(&format!("caution.{}", c.code()))), "{c:?}");
        }
    }
}

#[test]
fn stop_now_stands_above_everything() {
    let w = Words::english();
    let html = written("stop-now", &PageView::new(demo::finding_stop_now(), demo::helical(&w)));
    let stop = html.find(w.texts.text(&format!("caution.{}", Caution::StopNow.code()))).unwrap();
    assert!(stop < html.find("<h1>").unwrap());
    assert!(html.contains("<h1>Valve shut</h1>"), "without a flow meter the cause is the headline");
    assert!(html.contains("no sensor"));
}

#[test]
fn a_healthy_page_has_no_filled_block_and_no_rust_bar() {
    let w = Words::english();
    let mut view = PageView::new(demo::finding_healthy(), demo::healthy(&w));
    view.account = Some(demo::account_healthy());
    let html = written("healthy", &view);
    assert!(html.contains("<h1>As it should be</h1>"));
    assert!(html.replace('\u{a0}', " ").contains("4.9 m3/h. This sun should give 4.7 to 5.2."));
    assert!(!html.contains("class=\"go\"") && !html.contains("verdict differs"));
    assert!(html.contains("No check is needed now."));
}

#[test]
fn too_little_says_which_check_would_tell_most() {
    let w = Words::english();
    let mut section = demo::helical(&w);
    section.rows.retain(|r| !r.differs());
    let html = written("too-little", &PageView::new(demo::finding_too_little(), section));
    assert!(html.contains("<h1>Too little to decide</h1>"));
    assert!(html.contains("Bucket test would tell most."));
    assert!(html.contains("Flow is not measured."));
}

#[test]
fn a_stop_that_is_meant_says_why() {
    let w = Words::english();
    let mut f = demo::finding_healthy();
    f.verdict = Verdict::StandingBy;
    f.causes[0].code = Cause::StandingBy;
    let mut view = PageView::new(f, demo::stopped(&w));
    view.why = Some("tank_full".into());
    let html = written("standing-by", &view);
    assert!(html.contains("<h1>Resting as meant: tank full</h1>"));
    view.why = Some("no such reason".into());
    assert!(render(&view, &w).contains("<h1>Resting as meant</h1>"));
}

#[test]
fn deep_shallow_and_unknown_wells_have_pages_too() {
    let w = Words::english();
    written("deep", &PageView::new(demo::finding_too_little(), demo::deep(&w)));
    written("shallow", &PageView::new(demo::finding_healthy(), demo::shallow(&w)));
    let mut f = demo::finding_too_little();
    f.window.from = None;
    let html = written("no-record", &PageView::new(f, demo::no_record(&w)));
    assert!(html.contains("checks by hand only, no telemetry"));
}

#[test]
fn severity_and_pairs_are_said() {
    let mut view = backwards();
    view.finding.causes[0].code = Cause::HighResistanceJoint;
    view.finding.causes[0].severity =
        Some(Severity { value: 1.3, interval: [0.9, 1.8], unit: "ohm".into(), of: None });
    view.finding.pairs = vec![CausePair {
        codes: [Cause::Soiling, Cause::WornPump],
        probability: 0.07,
        bits_over_best_single: 3.0,
    }];
    let html = written("severity", &view).replace('\u{a0}', " ");
    assert!(html.contains("Extra resistance: 1.30 ohm (0.90 to 1.80)."));
    assert!(html.contains("Two at once: Dust on the array and Pump worn, 7 percent."));
    view.finding.pairs[0].probability = 0.99;
    let html = written("two", &view).replace('\u{a0}', " ");
    assert!(html.contains("Dust on the array and Pump worn together fit best: 99 %."), "{html}");
}

#[test]
fn texts_from_outside_cannot_break_out() {
    let mut view = backwards();
    view.finding.system = "<b>\"Hollow\"&'</b>\u{0}".into();
    view.finding.assumed = vec!["<img onerror=x>".into()];
    view.finding.model.record_hash = "é".repeat(20);
    view.section.rows[0].name = "<svg onload=x>".into();
    view.section.rows[0].spoken = "\"><b>".into();
    view.finding.causes[0].not_seen = vec!["</style><b>".into()];
    let html = written("hostile", &view);
    assert_eq!(html.matches("<b>").count(), 1, "only the stress of the headline");
    for raw in ["<img", "<svg onload", "</style><"] {
        let allowed = usize::from(raw == "</style><");
        assert_eq!(html.matches(raw).count(), allowed, "{raw}");
    }
}
