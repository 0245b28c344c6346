//! The crate can only read: nothing in its source can write to a controller.

use std::fs;
use std::path::Path;

fn sources(dir: &Path, all: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, all);
        } else if path.extension().is_some_and(|e| e == "rs") {
            all.push((path.display().to_string(), fs::read_to_string(&path).unwrap()));
        }
    }
}

#[test]
fn no_source_file_can_write_to_a_controller() {
    let mut all = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut all);
    assert!(all.iter().any(|(_, text)| text.contains(".read(&characteristic)")), "the search sees the link");
    for (path, text) in all {
        for word in ["WriteType", ".write(", "write_descriptor", "write_without"] {
            assert!(!text.contains(word), "{path} contains {word}");
        }
    }
}
