//! Telemetry as a file: what is kept, what is set aside and why, when the file is refused.

use std::fmt::Write;
use std::time::{Duration, Instant};

use wellwright_domain::channel::Channel;
use wellwright_domain::files::telemetry::{Telemetry, read_telemetry, write_telemetry};
use wellwright_domain::flags::{Flag, Flags, PumpState};

fn read(text: &str) -> Telemetry {
    read_telemetry(text.as_bytes(), "log.csv").unwrap()
}

fn refusal(text: &str) -> String {
    read_telemetry(text.as_bytes(), "log.csv").unwrap_err().to_string()
}

fn bad(telemetry: &Telemetry) -> Vec<String> {
    telemetry.bad_rows.iter().map(ToString::to_string).collect()
}

/// A file with `good` good rows, a second apart, then the rows given.
fn with_rows(good: u32, more: &[&str]) -> String {
    let mut text = String::from("time,state,flags,flow_m3_h\n");
    for i in 0..good {
        writeln!(text, "2026-03-14T10:{:02}:{:02}Z,running,,5.6", i / 60, i % 60).unwrap();
    }
    text + &more.join("\n")
}

#[test]
fn a_plain_file_is_read() {
    let t = read(
        "time,state,flags,flow_m3_h,array_v\n\
         2026-03-14T10:00:00.250+02:00,running,,5.6,301.5\n\
         2026-03-14T10:00:01.250+02:00,tripped,dry_probe under_load,,0\n",
    );
    assert_eq!((t.rows, t.implausible, t.bad_rows.len(), t.warnings.len()), (2, 0, 0, 0));
    assert_eq!(t.columns, [Channel::FlowM3H, Channel::ArrayV]);
    assert_eq!(t.samples[0].get(Channel::FlowM3H), Some(5.6));
    assert_eq!(t.samples[0].flags, Some(Flags::NONE));
    assert_eq!(t.samples[1].raw(Channel::FlowM3H), None);
    assert_eq!(t.samples[1].state, Some(PumpState::Tripped));
    assert!(t.samples[1].flags.unwrap().has(Flag::DryProbe));
}

#[test]
fn what_is_written_is_read_back_with_fraction_and_offset() {
    let text = "time,state,flags,array_v,flow_m3_h\n\
        2026-03-14T10:00:00.250+02:00,running,,301.5,5.6\n\
        2026-03-14T10:00:01-03:30,,,,0.1\n\
        2026-03-14T13:30:02.000000001Z,stopped,tank_full,6553.5,\n";
    let t = read(text);
    assert_eq!(t.to_csv(), text);
    assert_eq!(write_telemetry(&t.samples, &t.columns), text);
    assert_eq!(t.implausible, 1);
}

#[test]
fn byte_order_mark_crlf_spaces_and_blank_lines_are_tolerated() {
    let t = read("\u{feff}\"time\" , flow_m3_h\r\n\r\n 2026-03-14T10:00:00Z , \"5.6\" \r\n\r\n");
    assert_eq!((t.rows, t.samples[0].get(Channel::FlowM3H)), (1, Some(5.6)));
}

#[test]
fn malformed_rows_are_set_aside_with_line_and_column() {
    let t = read(&with_rows(
        40,
        &[
            "2026-03-14T11:00:00Z,running,,NaN",
            "2026-03-14T11:00:01Z,running,,inf",
            "2026-03-14T11:00:02Z,running,,5;6",
            "2026-03-14T11:00:03Z,runing,,5.6",
            "2026-03-14T11:00:04Z,running,stal,5.6",
            "14.03.2026 11:00,running,,5.6",
            "2026-03-14T11:00:06Z,running,",
            "2026-03-14T11:00:07Z,running,\",5.6",
            "2026-03-14T11:00:08Z,running,,5.6",
        ],
    ));
    assert_eq!((t.rows, t.samples.len()), (49, 41));
    assert_eq!(
        bad(&t),
        [
            "line 42, flow_m3_h: `NaN` is not a finite number",
            "line 43, flow_m3_h: `inf` is not a finite number",
            "line 44, flow_m3_h: `5;6` is not a number",
            "line 45, state: `runing` is not a known state; did you mean `running`?",
            "line 46, flags: `stal` is not a known flag; did you mean `stall`?",
            "line 47, time: `14.03.2026 11:00` is not an RFC 3339 time with offset",
            "line 48: 3 cells, the header has 4",
            "line 49: a quote is not closed",
        ]
    );
}

#[test]
fn wrong_order_and_duplicate_times_are_set_aside() {
    let t = read(&with_rows(10, &["2026-03-14T10:00:05Z,running,,9.9", "2026-03-14T09:00:00Z,running,,9.9"]));
    assert_eq!(
        bad(&t),
        [
            "line 12, time: the time of line 7 again; the row of that line is kept",
            "line 13, time: out of time order",
        ]
    );
    assert!(t.samples.iter().all(|s| s.get(Channel::FlowM3H) == Some(5.6)));
    assert!(t.samples.windows(2).all(|w| w[0].at < w[1].at));
}

#[test]
fn one_clock_that_jumps_ahead_loses_one_row() {
    let mut lines: Vec<String> = with_rows(10, &[]).lines().map(str::to_owned).collect();
    lines[3] = "2099-01-01T00:00:00Z,running,,5.6".into();
    let t = read(&lines.join("\n"));
    assert_eq!((t.samples.len(), bad(&t)), (9, vec!["line 4, time: out of time order".into()]));
}

#[test]
fn a_fifth_of_garbage_is_borne_and_more_is_refused() {
    let garbage = ["#", "\u{1}", "2026-03-14T11:00:00Z,running,,x"];
    let t = read(&with_rows(12, &garbage));
    assert_eq!((t.rows, t.samples.len(), t.bad_rows.len()), (15, 12, 3));
    assert_eq!(
        refusal(&with_rows(11, &garbage)),
        "log.csv:13: 3 of 14 rows are malformed (21 %): line 13: 1 cells, the header has 4; line 14: 1 cells, \
         the header has 4; line 15, flow_m3_h: `x` is not a number; at most 20 % may be; nothing was taken"
    );
}

#[test]
fn files_that_are_no_telemetry_say_why() {
    let cases = [
        ("", "log.csv: the file is empty; a header line with `time` comes first"),
        ("\n \n", "log.csv: the file is empty; a header line with `time` comes first"),
        ("time,flow_m3_h\n", "log.csv: there is a header but no rows; at least one row is needed"),
        ("time;flow_m3_h\n", "log.csv:1: the columns are not separated by commas; separate them by commas"),
        ("time,time\n", "log.csv:1: time: the column stands twice in the header; each column once"),
        (
            "Time,flow_m3_h\n",
            "log.csv:1: time: the column is missing (there is `Time`); required: the header line first, with \
             `time` in RFC 3339 with offset",
        ),
        (
            "2026-03-14T10:00:00Z,5.6\n",
            "log.csv:1: time: the column is missing; required: the header line first, with `time` in RFC 3339 \
             with offset",
        ),
    ];
    for (text, message) in cases {
        assert_eq!(refusal(text), message);
    }
}

#[test]
fn bytes_that_are_no_text_spoil_only_their_row() {
    let mut bytes = with_rows(10, &[]).into_bytes();
    bytes.extend(b"\xff\xfe\x00\n");
    bytes.extend(std::iter::repeat_n(b'x', 200_000));
    bytes.extend(b"\n2026-03-14T11:00:00Z,running,,5.6\n");
    let t = read_telemetry(&bytes[..], "log.csv").unwrap();
    assert_eq!(bad(&t), ["line 12: the line is not UTF-8 text", "line 13: the line is too long"]);
    assert_eq!(t.samples.len(), 11);
}

#[test]
fn an_unknown_column_is_kept_and_said() {
    let text = "time,flow_m3_h,flow_m3h,note\n2026-03-14T10:00:00Z,5.6,5.7,\"cloud, then sun\"\n";
    let t = read(text);
    assert_eq!(
        t.warnings,
        [
            "log.csv:1: flow_m3h: unknown column, kept as it is and not used; did you mean `flow_m3_h`?",
            "log.csv:1: note: unknown column, kept as it is and not used",
        ]
    );
    assert_eq!(t.extra[1].cells, ["cloud, then sun"]);
    assert_eq!(t.to_csv(), text);
}

#[test]
fn implausible_values_are_kept_counted_and_left_out_of_the_arithmetic() {
    let t = read("time,irradiance_w_m2\n2026-03-14T10:00:00Z,6553.5\n");
    assert_eq!(t.implausible, 1);
    assert_eq!(t.samples[0].raw(Channel::IrradianceWM2), Some(6553.5));
    assert_eq!(t.samples[0].get(Channel::IrradianceWM2), None);
}

#[test]
fn a_hundred_thousand_rows_take_little_time() {
    let mut text = String::from("time,state,flags,array_v,array_a,motor_rpm,flow_m3_h\n");
    for i in 0..100_000 {
        let (h, m, s) = (i / 3600 % 24, i / 60 % 60, i % 60);
        writeln!(
            text,
            "2026-03-{:02}T{h:02}:{m:02}:{s:02}.5+02:00,running,,301.5,6.2,2500,5.61",
            1 + i / 86400
        )
        .unwrap();
    }
    let start = Instant::now();
    let t = read(&text);
    let took = start.elapsed();
    assert_eq!((t.samples.len(), t.bad_rows.len()), (100_000, 0));
    // Generous: unoptimised code on a busy machine; it guards against a quadratic reader.
    assert!(took < Duration::from_secs(10), "{took:?}");
}
