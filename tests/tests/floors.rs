//! The floors hold: which crate may know which, and what stands where.
//!
//! Asked of `cargo metadata` and of the files themselves, so that a dependency that points upwards is
//! found when it is added and not when it has grown roots.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// Which of our crates each of our crates may depend on, for the product and for its tests alike.
const FLOORS: &[(&str, &[&str])] = &[
    ("wellwright-domain", &[]),
    ("wellwright-physics", &["domain"]),
    ("wellwright-diagnosis", &["domain", "physics"]),
    ("wellwright-device", &["domain"]),
    ("wellwright-store", &["domain"]),
    // The simulated plant and controller: only app offers it, and only as the demo.
    ("wellwright-sim", &["domain", "physics", "device"]),
    ("wellwright-app", &["domain", "physics", "diagnosis", "device", "store", "sim"]),
    ("wellwright-ffi", &["domain", "app"]),
    ("wellwright", &["domain", "app"]),
    ("wellwright-xtask", &[]),
    ("wellwright-tests", &["domain", "physics", "diagnosis", "device", "store", "sim", "app"]),
];

/// Outside crates that have one home, so that what they do is done in one place.
const HOMES: &[(&str, &[&str])] = &[
    ("rusqlite", &["wellwright-store"]),
    ("btleplug", &["wellwright-device"]),
    ("uniffi", &["wellwright-ffi"]),
    ("uniffi_bindgen", &["wellwright-xtask"]),
    // Java's native interface: where the radio needs it, and where Android hands it over.
    ("jni", &["wellwright-device", "wellwright-ffi"]),
];

/// What stands at the top besides entries that begin with a dot; `ios` comes with its first real content.
const TOP: &[&str] =
    &["Cargo.toml", "Cargo.lock", "README.md", "DEVELOPERS.md", "core", "bindings", "android", "tests"];
const TOP_LATER: &str = "ios";

/// A file in `core` that is longer holds more than one idea.
const MOST_LINES: usize = 400;

/// Our crates and what they depend on directly, whatever for (build, tests, any platform).
type Graph = BTreeMap<String, BTreeSet<String>>;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("tests stands in the workspace").to_owned()
}

fn metadata() -> Value {
    let out = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--no-deps", "--offline"])
        .current_dir(root())
        .output()
        .expect("cargo runs");
    assert!(out.status.success(), "cargo metadata: {}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("cargo metadata answers in JSON")
}

fn graph(metadata: &Value) -> Graph {
    let packages = metadata["packages"].as_array().expect("packages");
    let name = |v: &Value| v["name"].as_str().expect("a name").to_owned();
    let needs = |p: &Value| p["dependencies"].as_array().expect("dependencies").iter().map(name).collect();
    packages.iter().map(|package| (name(package), needs(package))).collect()
}

/// Every dependency that points where it must not, and every crate that the list of floors does not know.
fn misplaced(graph: &Graph) -> Vec<String> {
    let mut wrong = Vec::new();
    for (name, needs) in graph {
        let Some((_, allowed)) = FLOORS.iter().find(|(known, _)| known == name) else {
            wrong.push(format!("{name} has no floor"));
            continue;
        };
        for need in needs.iter().filter(|need| graph.contains_key(*need)) {
            let short = need.strip_prefix("wellwright-").unwrap_or(need);
            if !allowed.contains(&short) {
                wrong.push(format!("{name} must not depend on {need}"));
            }
        }
        for (outside, homes) in HOMES.iter().filter(|(outside, _)| needs.contains(*outside)) {
            if !homes.contains(&name.as_str()) {
                wrong.push(format!("{name} must not depend on {outside}"));
            }
        }
    }
    wrong
}

/// Files under a folder whose name ends so.
fn files(folder: &Path, extension: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())) {
            let path = entry.expect("a readable entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == extension) {
                found.push(path);
            }
        }
    }
    assert!(!found.is_empty(), "no .{extension} under {}", folder.display());
    found
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Lines of code, outside comments, that name one of our crates other than those that are allowed.
fn names_of_ours(source: &str, allowed: &[&str]) -> Vec<String> {
    let code = source.lines().map(|line| line.split("//").next().unwrap_or_default());
    code.filter(|line| {
        line.split(|c: char| !c.is_alphanumeric() && c != '_')
            .any(|word| word.starts_with("wellwright_") && !allowed.contains(&word))
    })
    .map(|line| line.trim().to_owned())
    .collect()
}

/// Whether a manifest takes a table's key with this value.
fn says(manifest: &str, table: &str, line: &str) -> bool {
    manifest
        .lines()
        .map(str::trim)
        .skip_while(|l| *l != format!("[{table}]"))
        .skip(1)
        .take_while(|l| !l.starts_with('['))
        .any(|l| l == line)
}

#[test]
fn dependencies_point_down() {
    let graph = graph(&metadata());
    assert_eq!(misplaced(&graph), Vec::<String>::new());
    let missing: Vec<_> = FLOORS.iter().filter(|(name, _)| !graph.contains_key(*name)).collect();
    assert!(missing.is_empty(), "crates that are gone still have a floor: {missing:?}");
}

#[test]
fn a_dependency_that_points_up_is_found() {
    let mut graph: Graph = graph(&metadata());
    let mut add = |name: &str, need: &str| {
        graph.entry(name.into()).or_default().insert(need.into());
    };
    add("wellwright-domain", "wellwright-physics");
    add("wellwright-diagnosis", "wellwright-sim");
    add("wellwright-app", "wellwright-tests");
    add("wellwright-app", "rusqlite");
    add("wellwright-newcomer", "serde");
    let wrong = misplaced(&graph);
    for said in [
        "wellwright-domain must not depend on wellwright-physics",
        "wellwright-diagnosis must not depend on wellwright-sim",
        "wellwright-app must not depend on wellwright-tests",
        "wellwright-app must not depend on rusqlite",
        "wellwright-newcomer has no floor",
    ] {
        assert!(wrong.iter().any(|line| line == said), "{said} is not among {wrong:?}");
    }
}

#[test]
fn crates_with_one_home_are_at_home() {
    let graph = graph(&metadata());
    for (outside, homes) in HOMES.iter().filter(|(outside, _)| *outside != "jni") {
        for home in *homes {
            assert!(
                graph[*home].contains(*outside),
                "{home} does not use {outside}: the list is out of date"
            );
        }
    }
}

#[test]
fn folders_bear_the_names_of_their_crates() {
    let metadata = metadata();
    for package in metadata["packages"].as_array().expect("packages") {
        let name = package["name"].as_str().expect("a name");
        let folder =
            Path::new(package["manifest_path"].as_str().expect("a path")).parent().expect("a folder");
        let folder = folder.file_name().expect("a name").to_string_lossy().into_owned();
        let expected = if name == "wellwright" { "cli" } else { name.trim_start_matches("wellwright-") };
        assert_eq!(folder, expected, "folder of {name}");
    }
}

#[test]
fn the_top_holds_what_was_agreed() {
    let root = root();
    for name in TOP {
        assert!(root.join(name).exists(), "{name} is missing at the top");
    }
    let ignored = read(&root.join(".gitignore"));
    for entry in fs::read_dir(&root).expect("the workspace") {
        let name = entry.expect("a readable entry").file_name().to_string_lossy().into_owned();
        let built = ignored.lines().any(|line| {
            line == format!("/{name}") || line.strip_prefix('*').is_some_and(|end| name.ends_with(end))
        });
        assert!(
            name.starts_with('.') || TOP.contains(&name.as_str()) || name == TOP_LATER || built,
            "{name} does not belong at the top"
        );
    }
}

#[test]
fn unsafe_code_is_forbidden_everywhere() {
    let root = root();
    assert!(says(&read(&root.join("Cargo.toml")), "workspace.lints.rust", "unsafe_code = \"forbid\""));
    let metadata = metadata();
    for package in metadata["packages"].as_array().expect("packages") {
        let name = package["name"].as_str().expect("a name");
        let manifest = read(Path::new(package["manifest_path"].as_str().expect("a path")));
        // Also in ffi: what UniFFI needs stands inside its own macros.
        assert!(says(&manifest, "lints", "workspace = true"), "{name} does not take the common lints");
    }
}

#[test]
fn the_independent_plant_knows_only_the_domain() {
    for path in files(&root().join("tests/src/plant"), "rs") {
        let wrong = names_of_ours(&read(&path), &["wellwright_domain"]);
        assert!(wrong.is_empty(), "{} must stand apart from what it judges: {wrong:?}", path.display());
    }
}

#[test]
fn a_borrowed_formula_is_found() {
    let source = "//! Unlike wellwright_physics.\nuse wellwright_domain::units;\nlet x = wellwright_physics::water::density(t); // why\n";
    let wrong = names_of_ours(source, &["wellwright_domain"]);
    assert_eq!(wrong, ["let x = wellwright_physics::water::density(t);"]);
}

#[test]
fn files_in_core_hold_one_idea() {
    let root = root();
    let long: Vec<String> = files(&root.join("core"), "rs")
        .iter()
        .filter_map(|path| {
            let lines = read(path).lines().count();
            (lines > MOST_LINES)
                .then(|| format!("{}: {lines} lines", path.strip_prefix(&root).unwrap_or(path).display()))
        })
        .collect();
    assert!(long.is_empty(), "split these, at most {MOST_LINES} lines: {long:#?}");
}
