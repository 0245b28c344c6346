//! The program as a person runs it: commands, output, exit status.

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use wellwright_domain::examples::{DOVECOTE_BEND_TOML, KESTREL_HOLLOW_TOML};

struct Run {
    code: Option<i32>,
    out: String,
    err: String,
}

fn run(dir: &Path, args: &[&str]) -> Run {
    let output = Command::cargo_bin("wellwright").unwrap().current_dir(dir).args(args).output().unwrap();
    Run {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

fn dir() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("kestrel.system.toml"), KESTREL_HOLLOW_TOML).unwrap();
    fs::write(dir.path().join("dovecote.system.toml"), DOVECOTE_BEND_TOML).unwrap();
    dir
}

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"))
}

fn leading(v: &serde_json::Value) -> &str {
    v["causes"][0]["code"].as_str().unwrap()
}

#[test]
fn help_names_the_commands_that_exist_and_no_other() {
    let d = dir();
    let r = run(d.path(), &["--help"]);
    assert_eq!(r.code, Some(0));
    for command in ["try", "find", "follow", "explain", "expect", "design"] {
        assert!(r.out.contains(&format!("\n  {command} ")), "{command}: {}", r.out);
    }
    for later in ["fleet", "bundle", "commission", "visit"] {
        assert!(!r.out.contains(later), "{later}");
    }
    let v = run(d.path(), &["--version"]);
    assert_eq!(v.out.trim(), format!("wellwright {}", env!("CARGO_PKG_VERSION")));
}

#[test]
fn a_healthy_system_is_healthy_and_json_stands_alone() {
    let d = dir();
    let r = run(d.path(), &["try", "healthy", "--json"]);
    assert_eq!(r.code, Some(0), "{}", r.err);
    let v = json(&r.out);
    assert_eq!(v["verdict"], "healthy");
    assert_eq!(v["schema"], 1);
    let sum: f64 = v["causes"].as_array().unwrap().iter().map(|c| c["probability"].as_f64().unwrap()).sum();
    assert!((sum - 1.0).abs() < 1e-6, "{sum}");
    assert!(!d.path().join("wellwright-try.html").exists(), "with --json no page unless asked");
}

#[test]
fn piped_output_is_plain_text_and_a_self_contained_page_is_left() {
    let d = dir();
    let r = run(d.path(), &["try", "--speed", "2000"]);
    assert_eq!(r.code, Some(0), "{}", r.err);
    for text in [&r.out, &r.err] {
        assert!(!text.contains('\u{1b}') && !text.contains('\r'), "{text}");
    }
    for said in [
        "simulated",
        "invented",
        "Almost no water",
        "Turned backwards",
        "Speaks for it",
        "What to do",
        "only reads",
    ] {
        assert!(r.out.contains(said), "{said}: {}", r.out);
    }
    assert!(r.out.lines().all(|l| l.chars().count() <= 120), "{}", r.out);
    let page = fs::read_to_string(d.path().join("wellwright-try.html")).unwrap();
    for needed in ["<svg", "Where the power goes", "What fits", "A simulated plant"] {
        assert!(page.contains(needed), "{needed}");
    }
    for outside in ["<script", "src=\"http", "href=\"http", "@import", "url(http", "url(\"http"] {
        assert!(!page.contains(outside), "{outside}");
    }
}

#[test]
fn an_exported_run_explains_to_the_same_cause() {
    let d = dir();
    let r = run(d.path(), &["try", "reversed_rotation", "--seed", "4", "--json", "--csv", "run.csv"]);
    assert_eq!(r.code, Some(0), "{}", r.err);
    let args = ["explain", "--system", "kestrel.system.toml", "--telemetry", "run.csv", "--json"];
    let e = run(d.path(), &args);
    assert_eq!(e.code, Some(0), "{}", e.err);
    assert_eq!(leading(&json(&e.out)), leading(&json(&r.out)));
    assert_eq!(leading(&json(&e.out)), "reversed_rotation");
    let told = run(d.path(), &[&args[..], &["--checks", "run.checks.toml"]].concat());
    let p = |v: &serde_json::Value| v["causes"][0]["probability"].as_f64().unwrap();
    assert!(
        (p(&json(&told.out)) - p(&json(&r.out))).abs() < 1e-6,
        "rows and words the same, the answer the same"
    );
    let mut asked = args.to_vec();
    asked.push("--status");
    assert_eq!(run(d.path(), &asked).code, Some(1), "asked to say so, a fault is 1");
    let text = run(d.path(), &[&args[..5], &["--report", "page.html"]].concat());
    assert!(text.out.contains("Turned backwards"), "{}", text.out);
    assert!(fs::read_to_string(d.path().join("page.html")).unwrap().contains("Kestrel Hollow"));
}

#[test]
fn checks_alone_are_enough() {
    let d = dir();
    let checks = "situation = \"first_start\"\nnoticed = [\"no_water\"]\n\n[[check]]\ncode = \"bucket_test\"\nlitres = 0.0\nseconds = 120.0\n";
    fs::write(d.path().join("a.checks.toml"), checks).unwrap();
    let args = ["explain", "--system", "kestrel.system.toml", "--checks", "a.checks.toml"];
    let r = run(d.path(), &[&args[..], &["--json"]].concat());
    assert_eq!(r.code, Some(0), "{}", r.err);
    let v = json(&r.out);
    assert_eq!(v["window"]["rows"], 0);
    assert!(v["window"]["from"].is_null());
    assert_ne!(leading(&v), "healthy");
    let text = run(d.path(), &args);
    assert!(text.out.contains("checks by hand only"), "{}", text.out);
    let none = run(d.path(), &args[..3]);
    assert_eq!(none.code, Some(2));
    assert!(none.err.contains("--telemetry"), "{}", none.err);
}

#[test]
fn a_baseline_is_used_and_said_to_be() {
    let d = dir();
    run(d.path(), &["try", "healthy", "--json", "--csv", "good.csv"]);
    let args = ["explain", "--system", "kestrel.system.toml", "--telemetry", "good.csv", "--json"];
    let asked = run(d.path(), &[&args[..], &["--baseline", "good.csv"]].concat());
    assert_eq!(asked.code, Some(0), "{}", asked.err);
    assert!(asked.err.contains("baseline good.csv: Compared with the recording of"), "{}", asked.err);
    let v = json(&asked.out);
    assert!(v["baseline"]["rows"].as_u64().unwrap() > 0 && v["baseline"]["refused"].is_null(), "{v}");
    assert!(!v["baseline"]["narrowed"].as_array().unwrap().is_empty(), "{v}");
    assert!(json(&run(d.path(), &args).out)["baseline"].is_null());

    // the same when the record names it, and said when it is not there
    let record = fs::read_to_string(d.path().join("kestrel.system.toml")).unwrap();
    for (name, says) in
        [("good.csv", "Compared with"), ("gone.csv", "not at hand"), ("../good.csv", "not at hand")]
    {
        let named = format!("baseline = \"{name}\"\n{record}");
        fs::write(d.path().join("kestrel.system.toml"), named).unwrap();
        let r = run(d.path(), &args);
        assert_eq!(r.code, Some(0), "{}", r.err);
        assert!(r.err.contains(&format!("baseline {name}: ")) && r.err.contains(says), "{}", r.err);
    }
}

/// One line, exit 2, and what is in it.
fn refused(d: &Path, args: &[&str], says: &[&str]) {
    let r = run(d, args);
    assert_eq!(r.code, Some(2), "{args:?}: {}", r.err);
    assert_eq!(r.out, "", "{args:?}");
    assert_eq!(r.err.trim_end().lines().count(), 1, "{args:?}: {}", r.err);
    for s in says {
        assert!(r.err.contains(s), "{args:?}: {s}: {}", r.err);
    }
}

#[test]
fn bad_files_are_refused_in_one_line_with_file_line_and_field() {
    let d = dir();
    let p = d.path();
    let write = |name: &str, text: &str| fs::write(p.join(name), text).unwrap();
    write("typo.system.toml", &KESTREL_HOLLOW_TOML.replace("tilt_deg", "tilt_degrees"));
    write("minus.system.toml", &KESTREL_HOLLOW_TOML.replace("series = 10", "series = -10"));
    write("bad.csv", "time,flow_m3_h\n2026-03-14T10:00:00Z,x\nyesterday,1\n");
    write("bad.checks.toml", "[[check]]\ncode = \"bucket_tset\"\n");
    write("noise.csv", "\u{0}\u{1b}[31m\n");
    let at = ["--at", "2026-03-14T10:00:00Z"];
    refused(
        p,
        &[&["expect", "--system", "typo.system.toml"], &at[..]].concat(),
        &["typo.system.toml:", "tilt_degrees", "tilt_deg"],
    );
    refused(
        p,
        &[&["expect", "--system", "minus.system.toml"], &at[..]].concat(),
        &["minus.system.toml:", "series"],
    );
    refused(p, &[&["expect", "--system", "none.toml"], &at[..]].concat(), &["none.toml", "no such file"]);
    refused(p, &[&["expect", "--system", "."], &at[..]].concat(), &["folder"]);
    let explain = ["explain", "--system", "kestrel.system.toml"];
    refused(p, &[&explain[..], &["--telemetry", "bad.csv"]].concat(), &["bad.csv:2", "malformed"]);
    refused(p, &[&explain[..], &["--telemetry", "noise.csv"]].concat(), &["noise.csv"]);
    refused(
        p,
        &[&explain[..], &["--checks", "bad.checks.toml"]].concat(),
        &["bad.checks.toml:2", "bucket_test"],
    );
    refused(p, &["try", "worn_pumps", "--json"], &["worn_pumps", "closed_valve"]);
    refused(p, &["try", "worn_pump", "--json"], &["worn_pump is not simulated yet"]);
    let far = ["expect", "--system", "kestrel.system.toml", "--irradiance", "5000"];
    refused(p, &[&far[..], &at[..]].concat(), &["irradiance", "1800"]);
}

#[test]
fn expect_prints_the_format_or_words() {
    let d = dir();
    let args = [
        "expect",
        "--system",
        "kestrel.system.toml",
        "--at",
        "2026-03-14T10:30:00Z",
        "--irradiance",
        "850",
        "--air",
        "28",
    ];
    let v = json(&run(d.path(), &[&args[..], &["--json"]].concat()).out);
    assert_eq!(v["given"]["irradiance_w_m2"], 850.0);
    assert!(v["channels"]["flow_m3_h"].as_f64().unwrap() > 3.0);
    assert!(v["chain_w"]["hydraulic"].as_f64().unwrap() > 300.0);
    let text = run(d.path(), &args).out;
    assert!(text.starts_with("Kestrel Hollow, 14 Mar 2026, 10:30 (UTC)\n"), "{text}");
    assert!(text.contains("m3/h") && text.contains("Pump ") && !text.contains('\u{1b}'), "{text}");
    let us = run(d.path(), &[&args[..], &["--units", "us"]].concat()).out;
    assert!(us.contains("gpm") && us.contains("ft") && us.contains("psi"), "{us}");
}

#[cfg(unix)]
#[test]
fn a_page_that_cannot_be_written_says_so_and_the_answer_still_comes() {
    let d = dir();
    let no: PathBuf = d.path().join("no/page.html");
    let r = run(d.path(), &["try", "--json", "--report", no.to_str().unwrap()]);
    assert_eq!(r.code, Some(2));
    assert_eq!(leading(&json(&r.out)), "reversed_rotation");
    assert_eq!(r.err.trim_end().lines().count(), 1, "{}", r.err);
    assert!(r.err.contains("page.html cannot be written (the folder does not exist)"), "{}", r.err);
    // a folder that takes no page, even for the superuser: it is no folder
    fs::write(d.path().join("plain"), "").unwrap();
    let r = run(d.path(), &["try", "--json", "--report", "plain/page.html"]);
    assert_eq!(r.code, Some(2));
    assert!(r.err.contains("cannot be written"), "{}", r.err);
}

/// An answer is never written over what it is made from.
#[test]
fn nothing_that_is_read_is_written_over() {
    let d = dir();
    let csv = ["try", "healthy", "--speed", "100000", "--json", "--csv"];
    assert_eq!(run(d.path(), &[&csv[..], &["run.csv"]].concat()).code, Some(0));
    fs::write(d.path().join("well.system.toml"), KESTREL_HOLLOW_TOML).unwrap();
    let before = |name: &str| fs::read(d.path().join(name)).unwrap();
    let kept = ["run.csv", "run.checks.toml", "well.system.toml"].map(before);
    let explain =
        ["explain", "--system", "well.system.toml", "--telemetry", "run.csv", "--checks", "run.checks.toml"];
    for page in ["well.system.toml", "./run.csv", "run.checks.toml"] {
        let r = run(d.path(), &[&explain[..], &["--report", page]].concat());
        assert_eq!((r.code, r.err.contains("would be lost")), (Some(2), true), "{}", r.err);
    }
    let onto_record =
        run(d.path(), &[&csv[..], &["well.system.toml", "--system", "well.system.toml"]].concat());
    assert_eq!(onto_record.code, Some(2));
    // what a person wrote beside it is not taken for our own
    fs::remove_file(d.path().join("run.csv")).unwrap();
    let r = run(d.path(), &[&csv[..], &["run.csv"]].concat());
    assert!(r.code == Some(2) && r.err.contains("run.checks.toml"), "{}", r.err);
    assert_eq!(kept[1..], ["run.checks.toml", "well.system.toml"].map(before));
}

/// A folder that may only be read. The superuser may write anyway, so there is nothing to see then.
#[cfg(unix)]
#[test]
fn a_read_only_folder_is_said_and_is_no_failure_of_the_answer() {
    use std::os::unix::fs::PermissionsExt as _;
    let d = dir();
    let locked = d.path().join("locked");
    fs::create_dir(&locked).unwrap();
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    let superuser = fs::write(locked.join("probe"), "").is_ok();
    let r = run(&locked, &["try", "--speed", "5000"]);
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(r.code, Some(0), "{}", r.err);
    assert!(r.out.contains("Turned backwards"));
    if superuser {
        assert!(locked.join("wellwright-try.html").exists());
    } else {
        assert!(r.err.contains("may not be written to"), "{}", r.err);
    }
}

#[test]
fn the_recording_can_be_kept_and_looked_at_again() {
    let d = dir();
    for cause in ["reversed_rotation", "closed_valve", "reversed_rotation"] {
        let r = run(d.path(), &["try", cause, "--json", "--store", "wells.db"]);
        assert_eq!(r.code, Some(0), "{}", r.err);
        assert_eq!(leading(&json(&r.out)), cause, "plays do not mix");
    }
    assert!(d.path().join("wells.db").exists());
    fs::write(d.path().join("other.db"), "this is a letter").unwrap();
    refused(d.path(), &["try", "--json", "--store", "other.db"], &["other.db is not a store"]);
}

/// Where there is no radio. A machine with one may find a controller or none; both have a status of their own.
#[test]
fn without_a_radio_or_controller_the_status_is_3() {
    let d = dir();
    for args in [
        vec!["find", "--seconds", "1"],
        vec!["follow", "--system", "kestrel.system.toml", "--wait", "1", "--seconds", "2"],
    ] {
        let mut command = Command::cargo_bin("wellwright").unwrap();
        let output = command
            .current_dir(d.path())
            .args(&args)
            .env("DBUS_SYSTEM_BUS_ADDRESS", "unix:path=/nonexistent/bus")
            .output()
            .unwrap();
        let err = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{args:?}: {err}");
        assert!(err.contains("wellwright: "), "{err}");
    }
}

/// Every text of the command line is used by it.
#[test]
fn no_text_of_the_command_line_is_dead() {
    fn sources(dir: &Path, out: &mut String) {
        for entry in fs::read_dir(dir).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() { sources(&path, out) } else { *out += &fs::read_to_string(path).unwrap() }
        }
    }
    let mut code = String::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut code);
    let texts = wellwright_app::text::Catalogue::english();
    let dead: Vec<&str> = texts
        .ids()
        .filter(|id| id.starts_with("cli.") || id.starts_with("try."))
        .filter(|id| !code.contains(&format!("\"{id}\"")))
        .collect();
    assert!(dead.is_empty(), "{dead:?}");
}

/// Words that no command takes are one line too.
#[test]
fn wrong_words_are_told_in_one_line() {
    let d = dir();
    for args in [
        &["--units", "imperial", "try"][..],
        &["explain"],
        &["expect", "--system", "kestrel.system.toml", "--at", "now"],
        &["expect", "--system", "kestrel.system.toml", "--at", "2026-03-14T10:00:00Z", "--irradiance", "-5"],
        &["frob"],
    ] {
        let r = run(d.path(), args);
        assert_eq!(r.code, Some(2), "{args:?}: {}", r.err);
        assert_eq!(r.err.trim_end().lines().count(), 1, "{args:?}: {}", r.err);
        assert!(r.err.starts_with("wellwright: "), "{args:?}: {}", r.err);
    }
    let help = run(d.path(), &["--help"]);
    assert_eq!(help.code, Some(0));
    assert!(help.out.lines().count() > 10);
}
