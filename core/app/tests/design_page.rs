//! The page of a design check and its pictures.
//!
//! `WRITE_PAGES=DIR cargo test -p wellwright-app` also leaves the pages in a folder, to be looked at.

use std::path::Path;

use wellwright_app::design::{Code, Design, Outcome, design};
use wellwright_app::page::design::render;
use wellwright_app::scene::svg::{SvgStyle, render as svg};
use wellwright_app::scene::{Theme, curves, months};
use wellwright_app::text::{Units, Words};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::record::System;

const BAD: &str = include_str!("fixtures/bramble-scarp.system.toml");

fn page(name: &str, system: &System, words: &Words<'_>) -> (Design, String) {
    let d = design(system, words).unwrap();
    let html = render(&d, words);
    if let Some(dir) = std::env::var_os("WRITE_PAGES") {
        std::fs::write(Path::new(&dir).join(format!("design-{name}.html")), &html).unwrap();
    }
    for outside in ["http", "<script", "src=", "<link", "@import", "javascript:"] {
        assert!(!html.contains(outside), "{name} holds `{outside}`");
    }
    assert!(html.starts_with("<!DOCTYPE html>") && html.ends_with("</html>"));
    let body = html.split("</style>").nth(1).unwrap();
    assert!(!body.contains('{') && !body.contains("NaN"), "{name}: a place in a text is not filled");
    assert!(
        html.contains("Local code and licensed trades decide") && html.contains("Wellwright only reads.")
    );
    assert_eq!(body.matches("<svg").count(), 4);
    (d, html)
}

#[test]
fn every_line_stands_on_the_page_with_word_and_shape() {
    let bad = System::from_toml(BAD, "bramble-scarp.system.toml").unwrap();
    for (name, system) in [("kestrel", kestrel_hollow()), ("dovecote", dovecote_bend()), ("bad", bad)] {
        let (d, html) = page(name, &system, &Words::english());
        for line in &d.lines {
            assert!(html.contains(&format!("<td colspan=\"4\">{}</td>", line.why)), "{}", line.why);
        }
        let n = |class: &str| html.matches(&format!("<tbody class=\"{class}\">")).count();
        assert_eq!([n("pass"), n("look"), n("fail")], [d.counts.pass, d.counts.look, d.counts.fail]);
        assert_eq!(html.contains("verdict differs"), d.counts.fail > 0);
    }
}

#[test]
fn a_bad_record_says_so_first() {
    let bad = System::from_toml(BAD, "bramble-scarp.system.toml").unwrap();
    let (_, html) = page("bad", &bad, &Words::english());
    assert!(html.contains("<h1>4 lines are beyond their limits</h1>"));
    let us = Words { units: Units::US, ..Words::english() };
    let (_, html) = page("bad-us", &bad, &us);
    assert!(html.contains("AWG\u{a0}14") && html.contains("ft"));
}

#[test]
fn a_bare_record_has_a_page_too() {
    let text = "name = \"<b>Bare</b>\"\n\
        site = { latitude_deg = 1, longitude_deg = 2, altitude_m = 3, time_zone = \"UTC\" }\n\
        pump.kind = \"helical_rotor\"\nwell.intake_depth_m = 40\n";
    let (_, html) = page("bare", &System::from_toml(text, "bare.toml").unwrap(), &Words::english());
    assert!(html.contains("&lt;b&gt;Bare&lt;/b&gt;") && !html.contains("<b>Bare"));
}

#[test]
fn pictures_tell_in_words_what_they_show() {
    let w = Words::english();
    let d = design(&kestrel_hollow(), &w).unwrap();
    let pump = curves::pump(&d, &w);
    assert_eq!(pump.description.matches("they meet at").count(), 3, "{}", pump.description);
    let flow = curves::flow(&d, &w);
    assert!(flow.description.contains("water from") && flow.description.contains("needed in"));
    let bars = months::draw(&d, months::NARROW, &w);
    assert_eq!(bars.description.matches("litres of").count(), 12, "{}", bars.description);
    for theme in Theme::ALL {
        for scene in [&pump, &flow, &bars] {
            let text = svg(scene, SvgStyle::file(theme));
            assert!(text.contains("</svg>") && !text.contains("NaN"));
        }
    }
}

#[test]
fn a_month_that_falls_short_is_striped_and_where_nothing_runs_it_is_said() {
    let w = Words::english();
    let mut system = kestrel_hollow();
    system.demand.as_mut().unwrap().litres_per_day = Some([90_000.0; 12]);
    let d = design(&system, &w).unwrap();
    assert!(
        svg(&months::draw(&d, months::NARROW, &w), SvgStyle::file(Theme::Print)).contains("url(#w-differs)")
    );
    // a lift that this pump can never reach
    system.delivery.outlet_height_m = Some(400.0);
    let (d, html) = page("never", &system, &w);
    assert_eq!(d.start_irradiance_w_m2, None);
    let start = d.line(Code::StartIrradiance).unwrap();
    assert_eq!((start.value, start.verdict), (None, Outcome::Fail));
    assert!(start.why.starts_with("No light brings water"), "{}", start.why);
    assert!(curves::flow(&d, &w).description.contains("no light brings water"));
    assert!(html.contains("no light brings water"));
}
