//! Checks made by hand, as a file: what is read, and the exact line when it is refused.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check};
use wellwright_domain::files::checks::{ChecksFile, read_checks};
use wellwright_domain::flags::{Flag, PumpState};
use wellwright_domain::situation::{Noticed, Situation, Touched};

fn refusal(text: &str) -> String {
    read_checks(text, "visit.toml").unwrap_err().to_string()
}

/// The message for one check with these lines, which begin at line 2.
fn check_refusal(lines: &str) -> String {
    refusal(&format!("[[check]]\n{lines}"))
}

#[test]
fn the_form_in_the_contract_is_read() {
    let file = read_checks(
        "schema = 1\nsituation = \"first_start\"\ntouched = [\"joint\"]\nnoticed = [\"no_water\"]\n\
         [[check]]\ncode = \"bucket_test\"\nat = \"2026-03-14T10:20:00Z\"\nlitres = 20.0\nseconds = 24\n\
         [[check]]\ncode = \"bucket_test\"\nat_place = \"outlet\"\nlitres = 0\nseconds = 300\n",
        "visit.toml",
    )
    .unwrap();
    assert_eq!(file.situation, Some(Situation::FirstStart));
    assert_eq!(file.touched, Some(vec![Touched::Joint]));
    assert_eq!(file.noticed, Some(vec![Noticed::NoWater]));
    assert_eq!(file.checks.len(), 2);
    let first = &file.checks[0];
    assert_eq!(
        (first.check, first.number("litres"), first.number("seconds")),
        (Check::BucketTest, Some(20.0), Some(24.0))
    );
    assert_eq!(first.at.unwrap().to_rfc3339(), "2026-03-14T10:20:00+00:00");
    assert_eq!(file.checks[1].answers["at_place"], Answer::Word("outlet".into()));
}

#[test]
fn absent_and_empty_are_not_the_same() {
    assert_eq!(read_checks("", "v").unwrap(), ChecksFile::default());
    let asked = read_checks("touched = []\nnoticed = []", "v").unwrap();
    assert_eq!((asked.touched, asked.noticed), (Some(vec![]), Some(vec![])));
}

#[test]
fn every_kind_of_answer_is_read() {
    let text = "[[check]]\ncode = \"controller_display\"\nstate = \"tripped\"\nflags = \"stall dry_probe\"\nrpm = 0\n\
        [[check]]\ncode = \"string_current\"\namps = [8.1, -0.2]\n\
        [[check]]\ncode = \"look_and_listen\"\nrunning = false\n\
        [[check]]\ncode = \"pull_pump\"\nfinding = \"worn_pump\"\nat = 2026-03-14T10:20:00+02:00\n";
    let c = read_checks(text, "v").unwrap().checks;
    assert_eq!(c[0].answers["state"], Answer::State(PumpState::Tripped));
    assert_eq!(c[0].answers["flags"], Answer::Flags([Flag::Stall, Flag::DryProbe].into_iter().collect()));
    assert_eq!(c[1].answers["amps"], Answer::List(vec![8.1, -0.2]));
    assert_eq!(c[2].yes("running"), Some(false));
    assert_eq!(c[3].answers["finding"], Answer::Cause(Cause::WornPump));
    assert_eq!(c[3].at.unwrap().to_rfc3339(), "2026-03-14T10:20:00+02:00");
}

#[test]
fn unknown_words_name_the_nearest() {
    assert_eq!(
        refusal("\nsituation = \"first_stat\""),
        "visit.toml:2: situation: `first_stat` is not a known word; allowed: first_start, after_repair, \
         in_service; did you mean `first_start`?"
    );
    assert_eq!(
        refusal("touched = [\"joint\", \"cabel\"]"),
        "visit.toml:1: touched[1]: `cabel` is not a known word; allowed: joint, cable, pump, motor, controller, \
         array, pipework, well, tank, probe, sensor; did you mean `cable`?"
    );
    assert_eq!(
        refusal("sitaution = \"in_service\""),
        "visit.toml:1: sitaution: unknown key; allowed here: schema, situation, touched, noticed, check; did \
         you mean `situation`?"
    );
    assert_eq!(
        check_refusal("code = \"bucket_tset\""),
        "visit.toml:2: check[0].code: `bucket_tset` is not a known check; did you mean `bucket_test`?"
    );
    assert_eq!(
        check_refusal("code = \"bucket_test\"\nliters = 20\nseconds = 24"),
        "visit.toml:3: check[0].liters: unknown key for bucket_test; allowed here: code, at, litres, seconds, \
         at_place; did you mean `litres`?"
    );
    assert_eq!(
        check_refusal("code = \"pull_pump\"\nfinding = \"worn_pumps\""),
        "visit.toml:3: check[0].finding: `worn_pumps` is not a known cause; did you mean `worn_pump`?"
    );
    assert_eq!(
        check_refusal("code = \"controller_display\"\nstate = \"runing\""),
        "visit.toml:3: check[0].state: `runing` is not a known state; allowed: running, starting, stopped, \
         tripped; did you mean `running`?"
    );
}

#[test]
fn impossible_answers_and_wrong_kinds_are_refused() {
    let cases = [
        (
            "code = \"bucket_test\"\nlitres = -20\nseconds = 24",
            "3: check[0].litres: -20 is negative; allowed: 0 to 1000000 L",
        ),
        ("code = \"drum_run\"\nseconds = -1", "3: check[0].seconds: -1 is negative; allowed: 0 to 1000000 s"),
        (
            "code = \"bucket_test\"\nlitres = \"many\"\nseconds = 24",
            "3: check[0].litres: `many` is not a number; allowed: 0 to 1000000 L",
        ),
        (
            "code = \"bucket_test\"\nlitres = 20\nseconds = 0",
            "1: check[0]: a bucket cannot fill in 0 s; seconds must be more than 0",
        ),
        (
            "code = \"bucket_test\"\nlitres = 20",
            "1: check[0]: bucket_test says nothing without both litres and seconds; no water: litres = 0 and the seconds waited",
        ),
        (
            "code = \"tank_look\"",
            "1: check[0]: tank_look has no answer; at least one of: level_pct, water_arriving",
        ),
        ("litres = 20", "1: check[0].code: missing; required: the code of the check"),
        (
            "code = \"tank_look\"\nlevel_pct = 130",
            "3: check[0].level_pct: 130 is too large; allowed: 0 to 100 %",
        ),
        (
            "code = \"tank_look\"\nwater_arriving = \"no\"",
            "3: check[0].water_arriving: `no` is not yes or no; write true or false, without quotes",
        ),
        (
            "code = \"string_current\"\namps = [8.1, nan]",
            "3: check[0].amps: nan is not a finite number; allowed: -500 to 500 A",
        ),
        (
            "code = \"string_current\"\namps = 8.1",
            "3: check[0].amps: `8.1` is not a list; write a list in [ ], each in A",
        ),
        (
            "code = \"record_count\"\nseries = 10.5",
            "3: check[0].series: 10.5 is not a whole number; allowed: a whole number from 1 to 1000",
        ),
        (
            "code = \"drum_run\"\nat = \"yesterday\"\nseconds = 2",
            "3: check[0].at: `yesterday` is not an RFC 3339 time with offset; write it such as \"2026-03-14T10:20:00Z\"",
        ),
    ];
    for (lines, message) in cases {
        assert_eq!(check_refusal(lines), format!("visit.toml:{message}"));
    }
    assert_eq!(
        refusal("check = 3"),
        "visit.toml:1: check: `3` is not a list; write each check under [[check]]"
    );
    assert_eq!(
        refusal("touched = \"joint\""),
        "visit.toml:1: touched: `joint` is not a list; write a list of words in [ ]"
    );
}

#[test]
fn a_newer_schema_is_said_first() {
    assert_eq!(
        refusal("schema = 2\nnew = 1"),
        "visit.toml:1: schema: 2 was written by a newer program; install a newer version to read it; this \
         version reads schema 1"
    );
}
