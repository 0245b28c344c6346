//! `design` as a person runs it: table, JSON, page, exit status.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use wellwright_domain::examples::{DOVECOTE_BEND_TOML, KESTREL_HOLLOW_TOML};

fn run(dir: &Path, args: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::cargo_bin("wellwright").unwrap().current_dir(dir).args(args).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

fn dir() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("kestrel.system.toml"), KESTREL_HOLLOW_TOML).unwrap();
    fs::write(dir.path().join("dovecote.system.toml"), DOVECOTE_BEND_TOML).unwrap();
    let hot = KESTREL_HOLLOW_TOML.replace("series = 10", "series = 12");
    fs::write(dir.path().join("twelve.system.toml"), hot).unwrap();
    dir
}

#[test]
fn a_table_for_people() {
    let d = dir();
    let (code, out, err) = run(d.path(), &["design", "--system", "kestrel.system.toml"]);
    assert_eq!((code, err.as_str()), (Some(0), ""));
    for said in [
        "Kestrel Hollow: design check",
        "pass Cold open voltage, controller     411 V  at most 450 V     controller",
        "AWG 14 / 2.5 mm2 is the smallest common size within 5 %",
        "Water by month",
        "Wellwright only reads.",
    ] {
        let (out, said) = (out.split_whitespace().collect::<Vec<_>>(), said.split_whitespace());
        assert!(out.join(" ").contains(&said.collect::<Vec<_>>().join(" ")), "{out:?}");
    }
    assert!(out.lines().all(|l| l.chars().count() <= 80), "{out}");
    assert!(!out.contains('\u{1b}') && !out.contains('\u{a0}'));
    let (_, out, _) = run(d.path(), &["design", "--system", "dovecote.system.toml"]);
    assert!(out.lines().all(|l| l.chars().count() <= 80), "{out}");
    assert!(out.contains("Not in the record: coldest morning."));
}

#[test]
fn json_stands_alone_and_a_failing_line_is_no_failure_of_the_command() {
    let d = dir();
    let (code, out, err) = run(d.path(), &["design", "--system", "twelve.system.toml", "--json"]);
    assert_eq!((code, err.as_str()), (Some(0), ""));
    let v: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!((v["schema"].as_u64(), v["system"].as_str()), (Some(1), Some("Kestrel Hollow")));
    assert_eq!((v["verdict"].as_str(), v["counts"]["fail"].as_u64()), (Some("fail"), Some(1)));
    let line = &v["lines"][0];
    assert_eq!(
        (&line["code"], &line["verdict"], &line["unit"]),
        (&"cold_voc_controller".into(), &"fail".into(), &"V".into())
    );
    // 12 x (37.6 - 0.129 x (-2 - 25)) = 493.0 V
    assert!((line["value"].as_f64().unwrap() - 492.996).abs() < 1e-6);
    assert!(line["why"].as_str().unwrap().contains("can be destroyed on a cold morning"));
    assert_eq!(v["months"].as_array().unwrap().len(), 12);
    assert_eq!(v["conductors"][0]["cable"], "drop_cable");
    assert_eq!(v["lines"][5]["whose"], "common practice");
}

#[test]
fn a_page_is_left_where_it_was_asked_for() {
    let d = dir();
    let args = ["design", "--system", "kestrel.system.toml", "--report", "check.html", "--json"];
    let (code, out, err) = run(d.path(), &args);
    assert_eq!(code, Some(0));
    assert!(out.starts_with('{') && err.contains("check.html"), "{err}");
    let html = fs::read_to_string(d.path().join("check.html")).unwrap();
    assert!(html.starts_with("<!DOCTYPE html>") && html.matches("<svg").count() == 4);
    let (code, _, err) =
        run(d.path(), &["design", "--system", "kestrel.system.toml", "--report", "no/such/folder.html"]);
    assert_eq!(code, Some(2));
    assert!(err.contains("the folder does not exist"), "{err}");
}

#[test]
fn bad_input_is_one_line_and_status_2() {
    let d = dir();
    fs::write(d.path().join("bad.system.toml"), KESTREL_HOLLOW_TOML.replace("vmp_v = 30.4", "vmp_v = 40.4"))
        .unwrap();
    for (file, said) in
        [("bad.system.toml", "array.module.vmp_v"), ("none.system.toml", "there is no such file")]
    {
        let (code, out, err) = run(d.path(), &["design", "--system", file]);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{err}");
        assert!(err.lines().count() == 1 && err.contains(said), "{err}");
    }
    assert_eq!(run(d.path(), &["design"]).0, Some(2), "a record is needed");
}
