//! What a screen reader says for the section as a whole; its rows say themselves.

use crate::scene::span::SpanState;
use crate::scene::view::{Place, Purpose, SectionView};
use crate::text::{Quantity, Words};

/// The sentences.
pub fn section(view: &SectionView, words: &Words<'_>) -> String {
    let metres = |m: f64| words.spoken(Quantity::Depth, m);
    let say = |id: &str, x: &str| words.fill(id, &[("x", x)]);
    let mut out = vec![words.texts.text("section.said").to_owned()];
    if let Some(g) = view.sun.and_then(|s| s.irradiance_w_m2) {
        out.push(say("section.said.sun", &words.spoken(Quantity::Irradiance, g)));
    }
    if let Some(rest) = view.rest {
        out.push(say("section.said.rest", &metres(rest.depth_m)));
    }
    let level = view.rows.iter().find(|r| r.place == Place::Level).and_then(|r| r.span.as_ref());
    match (view.level_m, level.filter(|s| s.state != SpanState::Absent)) {
        (Some(m), Some(span)) => {
            let interval = words.interval(Quantity::Depth, span.lo, span.hi);
            let places = [("x", metres(m)), ("interval", interval)];
            let places = places.each_ref().map(|(n, v)| (*n, v.as_str()));
            out.push(words.fill("section.said.level.should", &places));
        }
        (Some(m), None) => out.push(say("section.said.level", &metres(m))),
        (None, _) if view.purpose == Purpose::Now => {
            out.push(words.texts.text("section.said.level.unknown").to_owned());
        }
        (None, _) => {}
    }
    let depths: Vec<String> =
        view.joints.iter().map(|j| words.amount(Quantity::Depth, j.depth_m.max(0.0), 0.0).number).collect();
    match depths.len() {
        0 => {}
        n => {
            let id = if n == 1 { "section.said.joint" } else { "section.said.joints" };
            out.push(say(id, &words.spoken_with(Quantity::Depth, &words.texts.list(&depths))));
        }
    }
    for j in view.joints.iter().filter(|j| j.odd) {
        out.push(say("section.said.joint.odd", &metres(j.depth_m.max(0.0))));
    }
    out.push(say("section.said.intake", &metres(view.intake_m)));
    out.push(match view.depth_m {
        Some(m) => say("section.said.depth", &metres(m)),
        None => words.texts.text("section.said.depth.unknown").to_owned(),
    });
    out.join(" ")
}
