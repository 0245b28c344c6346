//! Every text of the catalogue is used, and every text that is asked for is there.

use std::fs;
use std::path::Path;

use wellwright_app::text::Catalogue;

fn sources(dir: &Path, out: &mut String) {
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push_str(&fs::read_to_string(path).unwrap());
        }
    }
}

/// Ids that are put together from a code; `text::names` and its tests hold these.
const FAMILIES: [&str; 23] = [
    "baseline.of.",
    "cause.",
    "check.",
    "caution.",
    "channel.",
    "regime.",
    "state.",
    "flag.",
    "field.",
    "unit.",
    "month.",
    "why.",
    "evidence.situation.",
    "page.demo",
    "session.",
    "touched.",
    "noticed.",
    "answer.",
    "find.",
    "try.",
    "cli.",
    "next.",
    "contradiction.",
];

#[test]
fn no_text_is_dead() {
    let mut code = String::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut code);
    let dead: Vec<&str> = Catalogue::english()
        .ids()
        .filter(|id| !FAMILIES.iter().any(|f| id.starts_with(f)) && !code.contains(&format!("\"{id}\"")))
        .collect();
    assert!(dead.is_empty(), "nothing asks for {dead:?}");
}

#[test]
fn no_text_is_missing() {
    let mut code = String::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut code);
    let ids: Vec<&str> = Catalogue::english().ids().collect();
    let roots: Vec<&str> = ids.iter().filter_map(|id| id.split_once('.')).map(|(root, _)| root).collect();
    let mut asked = 0;
    for literal in code.split('"').skip(1).step_by(2) {
        let Some((root, rest)) = literal.split_once('.') else { continue };
        let is_id = roots.contains(&root)
            && !rest.is_empty()
            && literal.chars().all(|c| c.is_ascii_lowercase() || c == '_' || c == '.');
        if is_id && !literal.starts_with("well.") && !literal.ends_with('.') {
            assert!(ids.contains(&literal), "`{literal}` is asked for and not in the catalogue");
            asked += 1;
        }
    }
    assert!(asked > 100, "only {asked} ids were found in the code");
}
