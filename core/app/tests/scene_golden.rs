//! Pictures compared with the files in `tests/golden`, byte by byte.
//!
//! To write them anew after a change that is meant: `UPDATE_GOLDEN=1 cargo test -p wellwright-app`, then
//! look at every changed picture before it is committed.

mod demo;

use std::fs;
use std::path::PathBuf;

use wellwright_app::scene::ladder::LadderView;
use wellwright_app::scene::span::SpanView;
use wellwright_app::scene::svg::{SvgStyle, render};
use wellwright_app::scene::view::SectionView;
use wellwright_app::scene::{Item, Scene, Theme, account, build, ladder, section, span};
use wellwright_app::text::{Units, Words};

fn golden(name: &str, scene: &Scene, theme: Theme) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(format!("{name}.svg"));
    let drawn = render(scene, SvgStyle::file(theme));
    assert_eq!(drawn, render(scene, SvgStyle::file(theme)), "the same scene gives the same bytes");
    assert!(!drawn.contains('{'), "{name}: a place in a text is not filled");
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        fs::write(&path, &drawn).unwrap();
    }
    let kept = fs::read_to_string(&path)
        .unwrap_or_else(|e| panic!("{}: {e}; run with UPDATE_GOLDEN=1 to write it", path.display()))
        .replace("\r\n", "\n");
    assert!(kept == drawn, "{name} is drawn otherwise than kept; look at it, then run with UPDATE_GOLDEN=1");
}

fn draw(view: &SectionView, w: &Words<'_>) -> Scene {
    section::draw(view, w).scene
}

#[test]
fn sections() {
    let w = Words::english();
    golden("section-healthy", &draw(&demo::healthy(&w), &w), Theme::Day);
    golden("section-backwards", &draw(&demo::backwards(&w), &w), Theme::Day);
    golden("section-backwards-night", &draw(&demo::backwards(&w), &w), Theme::Night);
    golden("section-backwards-bright-sun", &draw(&demo::backwards(&w), &w), Theme::BrightSun);
    golden("section-helical", &draw(&demo::helical(&w), &w), Theme::Day);
    golden("section-stopped", &draw(&demo::stopped(&w), &w), Theme::Day);
    golden("section-shallow", &draw(&demo::shallow(&w), &w), Theme::Day);
    golden("section-deep", &draw(&demo::deep(&w), &w), Theme::Day);
    golden("section-no-record", &draw(&demo::no_record(&w), &w), Theme::Day);
    golden("section-record-crossed", &draw(&demo::crossed(&w), &w), Theme::Day);
    let us = Words { units: Units::US, ..w };
    golden("section-healthy-us", &draw(&demo::healthy(&us), &us), Theme::Day);
}

#[test]
fn accounts() {
    let w = Words::english();
    for (name, view) in [
        ("account-healthy", demo::account_healthy()),
        ("account-backwards", demo::account_backwards()),
        ("account-no-flow-meter", demo::account_no_flow_meter()),
        ("account-wide", demo::account_wide()),
    ] {
        golden(name, &account::draw(&view, &w).unwrap(), Theme::Day);
    }
    golden("account-backwards-night", &account::draw(&demo::account_backwards(), &w).unwrap(), Theme::Night);
}

#[test]
fn ladders() {
    let w = Words::english();
    for (name, finding) in [
        ("ladder-backwards", demo::finding_backwards()),
        ("ladder-too-little", demo::finding_too_little()),
        ("ladder-healthy", demo::finding_healthy()),
    ] {
        golden(name, &ladder::draw(&LadderView::new(&finding, &w), &w), Theme::Day);
    }
}

#[test]
fn spans() {
    let mut both = SpanView::judge(5.3, 5.9, Some(0.7), true);
    both.second = Some(0.71);
    let mut visits = SpanView::judge(5.2, 6.0, Some(5.6), true);
    visits.history = vec![5.65, 5.62, 5.55];
    let views = [
        SpanView::judge(4.7, 5.2, Some(4.9), true),
        SpanView::judge(5.3, 5.9, Some(3.5), true),
        SpanView::judge(37.6, 38.7, Some(39.6), false),
        SpanView::judge(4.7, 5.2, None, true),
        SpanView::absent(),
        SpanView::implausible(40.0, 60.0, false),
        both,
        visits,
    ];
    let items: Vec<Item> = views
        .iter()
        .enumerate()
        .map(|(i, v)| build::group("", 16.0, 10.0 + 30.0 * i as f64, span::items(v, 379.0)))
        .collect();
    let scene =
        Scene { width: 411.0, height: 250.0, description: "Spans in all their states.".into(), items };
    golden("spans", &scene, Theme::Day);
    golden("spans-night", &scene, Theme::Night);
}

#[test]
fn a_scene_crosses_as_data() {
    let w = Words::english();
    let scene = draw(&demo::backwards(&w), &w);
    let json = serde_json::to_string(&scene).unwrap();
    let back: Scene = serde_json::from_str(&json).unwrap();
    let style = SvgStyle::file(Theme::Day);
    assert_eq!(render(&back, style), render(&scene, style));
}

#[test]
fn nothing_that_differs_is_ever_left_out() {
    let w = Words::english();
    let mut view = demo::backwards(&w);
    let extra = view.rows.clone();
    // far too many rows: the picture grows, rust rows all stand in it
    view.rows.extend(extra.clone());
    view.rows.extend(extra);
    let picture = section::draw(&view.clone().with_record_rows(&w), &w);
    let differing = view.rows.iter().filter(|r| r.differs()).count();
    let drawn = picture
        .scene
        .items
        .iter()
        .filter(|i| matches!(i, Item::Group { description, .. } if description.contains("than it should be")))
        .count();
    assert_eq!(drawn, differing);
    assert_eq!(picture.listed.len(), 3);
    assert!(picture.scene.height > view.height);
}

/// Places of the texts of a scene: leading edge, top, width and height, estimated.
fn text_boxes(items: &[Item], dx: f64, dy: f64, out: &mut Vec<(String, [f64; 4])>) {
    use wellwright_app::scene::{Anchor, measure};
    for item in items {
        match item {
            Item::Group { x, y, items, .. } => text_boxes(items, dx + x, dy + y, out),
            Item::Text { x, y, anchor, runs } => {
                let width: f64 = runs.iter().map(|r| measure::width(&r.text, r.font)).sum();
                let size = runs.iter().map(|r| r.font.size()).fold(0.0, f64::max);
                let left = match anchor {
                    Anchor::Start => *x,
                    Anchor::Middle => x - width / 2.0,
                    Anchor::End => x - width,
                };
                let words = runs.iter().map(|r| r.text.as_str()).collect();
                out.push((words, [dx + left, dy + y - 0.75 * size, width, 0.9 * size]));
            }
            _ => {}
        }
    }
}

#[test]
fn no_text_stands_on_another_or_outside() {
    let w = Words::english();
    let us = Words { units: Units::US, ..w };
    let mut scenes: Vec<(&str, Scene)> = Vec::new();
    for (name, view) in [
        ("healthy", demo::healthy(&w)),
        ("healthy, feet", demo::healthy(&us)),
        ("backwards", demo::backwards(&w)),
        ("helical", demo::helical(&w)),
        ("stopped", demo::stopped(&w)),
        ("shallow", demo::shallow(&w)),
        ("deep", demo::deep(&w)),
        ("no record", demo::no_record(&w)),
        ("crossed", demo::crossed(&w)),
    ] {
        scenes.push((name, draw(&view, &w)));
    }
    for (name, view) in [
        ("account healthy", demo::account_healthy()),
        ("account backwards", demo::account_backwards()),
        ("account without meter", demo::account_no_flow_meter()),
        ("account wide", demo::account_wide()),
    ] {
        scenes.push((name, account::draw(&view, &w).unwrap()));
    }
    for (name, f) in
        [("ladder backwards", demo::finding_backwards()), ("ladder too little", demo::finding_too_little())]
    {
        scenes.push((name, ladder::draw(&LadderView::new(&f, &w), &w)));
    }
    for (name, scene) in &scenes {
        let mut boxes = Vec::new();
        text_boxes(&scene.items, 0.0, 0.0, &mut boxes);
        for (i, (words, [x, y, width, height])) in boxes.iter().enumerate() {
            let inside = *x >= -0.5
                && x + width <= scene.width + 0.5
                && *y >= -1.0
                && y + height <= scene.height + 1.0;
            assert!(inside, "{name}: `{words}` reaches out of the picture");
            for (other, [ox, oy, owidth, oheight]) in &boxes[i + 1..] {
                let apart = x + width <= *ox || ox + owidth <= *x || y + height <= *oy || oy + oheight <= *y;
                assert!(apart, "{name}: `{words}` stands on `{other}`");
            }
        }
    }
}
