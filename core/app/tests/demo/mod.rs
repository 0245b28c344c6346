//! Invented demo values for pictures and pages: no measurement of any real system.
#![allow(dead_code, reason = "each test file uses its own part of the demo")]

use wellwright_app::scene::account::{AccountView, Part, Segment};
use wellwright_app::scene::reading::{Reading, level_note, regime_note};
use wellwright_app::scene::view::{HEIGHT_BESIDE_ACCOUNT, Place, ReadingRow, RestLevel, SectionView};
use wellwright_app::text::{Quantity, Words};
use wellwright_domain::cause::Cause;
use wellwright_domain::caution::Caution;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::Check;
use wellwright_domain::finding::{
    DoFirst, Evidence, EvidenceValue, Finding, ModelId, NextCheck, RankedCause, Regime, Verdict, Window,
};
use wellwright_domain::record::System;

pub fn kestrel() -> System {
    wellwright_domain::examples::kestrel_hollow()
}

pub fn dovecote() -> System {
    wellwright_domain::examples::dovecote_bend()
}

/// The level's row with its note about rest.
fn level_row(w: &Words<'_>, reading: &Reading, rest: RestLevel) -> ReadingRow {
    let mut row = reading.row(w);
    row.note = level_note(w, reading, rest).or(row.note);
    row
}

fn sun_row(w: &Words<'_>, watts: f64, regime: Regime) -> ReadingRow {
    let mut row = Reading::channel(Channel::IrradianceWM2, Some(watts)).row(w);
    row.note = Some(regime_note(w, regime));
    row
}

pub fn healthy(w: &Words<'_>) -> SectionView {
    let rest = RestLevel { depth_m: 32.6, measured: true };
    let rows = vec![
        sun_row(w, 640.0, Regime::SunLimited),
        Reading::new(Place::Array, Quantity::Power, Some(1480.0)).should(1400.0, 1590.0).row(w),
        Reading::channel(Channel::FlowM3H, Some(4.9)).should(4.7, 5.2).row(w),
        Reading::channel(Channel::WellheadKpa, Some(59.0)).should(55.0, 63.0).row(w),
        level_row(w, &Reading::channel(Channel::WaterLevelM, Some(38.2)).should(38.0, 38.7), rest),
        Reading::channel(Channel::MotorRpm, Some(3080.0)).should(3020.0, 3160.0).row(w),
        Reading::new(Place::Motor, Quantity::Current, Some(4.2)).should(3.9, 4.5).row(w),
    ];
    SectionView::new(&kestrel(), rows).with_sun(38.0, Some(640.0)).with_rest(32.6)
}

pub fn backwards(w: &Words<'_>) -> SectionView {
    let rest = RestLevel { depth_m: 31.5, measured: true };
    let rows = vec![
        sun_row(w, 948.0, Regime::SpeedLimited),
        Reading::new(Place::Array, Quantity::Power, Some(1780.0)).should(1750.0, 1890.0).row(w),
        Reading::channel(Channel::FlowM3H, Some(0.7)).should(5.3, 5.9).row(w),
        level_row(w, &Reading::channel(Channel::WaterLevelM, Some(32.2)).should(37.6, 38.7), rest),
        Reading::channel(Channel::MotorRpm, Some(3300.0)).should(3260.0, 3340.0).row(w),
        Reading::new(Place::Motor, Quantity::Current, Some(4.7)).should(4.5, 5.1).row(w),
    ];
    SectionView::new(&kestrel(), rows).with_sun(67.0, Some(948.0)).with_rest(31.5)
}

pub fn helical(w: &Words<'_>) -> SectionView {
    let rows = vec![
        Reading::channel(Channel::IrradianceWM2, None).not_fitted().row(w),
        Reading::new(Place::Array, Quantity::Power, Some(870.0)).should(820.0, 960.0).row(w),
        Reading::channel(Channel::ControllerC, Some(48.0)).row(w),
        Reading::channel(Channel::FlowM3H, None).not_fitted().row(w),
        Reading::channel(Channel::WaterLevelM, None).not_fitted().row(w),
        Reading::channel(Channel::MotorRpm, Some(2140.0)).should(2280.0, 2460.0).row(w),
        Reading::new(Place::Motor, Quantity::Current, Some(8.4)).should(6.1, 6.9).row(w),
    ];
    SectionView::new(&dovecote(), rows).with_sun(52.0, None).with_record_rows(w)
}

pub fn stopped(w: &Words<'_>) -> SectionView {
    let rows = vec![
        sun_row(w, 712.0, Regime::Stopped),
        Reading::new(Place::Array, Quantity::Voltage, Some(338.0)).row(w),
        Reading::channel(Channel::FlowM3H, Some(0.0)).row(w),
        Reading::channel(Channel::WaterLevelM, Some(31.7)).row(w),
        Reading::channel(Channel::MotorRpm, Some(0.0)).row(w),
        Reading::channel(Channel::TankLevelPct, Some(98.0)).row(w),
    ];
    let mut view = SectionView::new(&kestrel(), rows).with_sun(44.0, Some(712.0)).with_rest(31.6);
    view.height = HEIGHT_BESIDE_ACCOUNT;
    view
}

pub fn shallow(w: &Words<'_>) -> SectionView {
    let mut system = kestrel();
    (system.well.depth_m, system.well.intake_depth_m) = (Some(12.0), 10.5);
    system.well.static_level_m = Some(3.1);
    system.cable.joints[0].depth_m = 9.5;
    let rest = RestLevel { depth_m: 3.1, measured: false };
    let rows = vec![
        sun_row(w, 820.0, Regime::SpeedLimited),
        Reading::new(Place::Array, Quantity::Power, Some(610.0)).should(580.0, 660.0).row(w),
        Reading::channel(Channel::FlowM3H, Some(6.2)).should(6.0, 6.6).row(w),
        level_row(w, &Reading::channel(Channel::WaterLevelM, Some(5.6)).should(5.2, 5.9), rest),
        Reading::channel(Channel::MotorRpm, Some(2100.0)).should(2040.0, 2160.0).row(w),
        Reading::new(Place::Motor, Quantity::Current, Some(2.6)).should(2.4, 2.8).row(w),
    ];
    SectionView::new(&system, rows).with_sun(8.0, Some(820.0)).with_record_rows(w)
}

pub fn deep(w: &Words<'_>) -> SectionView {
    let mut system = kestrel();
    (system.well.depth_m, system.well.intake_depth_m) = (Some(300.0), 276.0);
    system.well.static_level_m = Some(212.0);
    system.cable.joints[0].depth_m = 274.0;
    let silent = |c| Reading::channel(c, None).silent(370.0);
    let rows = vec![
        silent(Channel::IrradianceWM2).row(w),
        Reading { place: Place::Array, ..silent(Channel::ArrayV) }.should(500.0, 600.0).row(w),
        silent(Channel::FlowM3H).should(1.4, 1.7).row(w),
        Reading::channel(Channel::WellheadKpa, Some(12_400.0)).should(55.0, 70.0).row(w),
        silent(Channel::WaterLevelM).should(226.0, 231.0).row(w),
        silent(Channel::MotorRpm).should(2900.0, 3100.0).row(w),
    ];
    SectionView::new(&system, rows).with_record_rows(w)
}

pub fn no_record(w: &Words<'_>) -> SectionView {
    let mut system = kestrel();
    (system.well.depth_m, system.well.static_level_m) = (None, None);
    system.cable.joints.clear();
    let rows = vec![
        Reading::new(Place::Array, Quantity::Power, Some(1320.0)).row(w),
        Reading::channel(Channel::MotorRpm, Some(2900.0)).row(w),
    ];
    SectionView::new(&system, rows).with_record_rows(w)
}

pub fn crossed(w: &Words<'_>) -> SectionView {
    let mut system = kestrel();
    system.cable.joints[0].map = toml::from_str::<wellwright_domain::record::Joint>(
        "depth_m = 58.0\nmap = [\"1-1\", \"2-3\", \"3-2\"]",
    )
    .unwrap()
    .map;
    SectionView::record(&system, w)
}

fn segment(part: Part, should_w: f64, is_w: Option<f64>) -> Segment {
    let half = (0.3 * should_w).max(12.0);
    Segment { part, should_w, interval_w: [should_w - half, should_w + half], is_w }
}

fn account(total: f64, values: [(f64, Option<f64>); 6]) -> AccountView {
    let parts = [Part::NotUsed, Part::Wires, Part::Motor, Part::Pump, Part::Pipe, Part::Water];
    let segments = parts.iter().zip(values).map(|(p, (s, i))| segment(*p, s, i)).collect();
    AccountView::new(total, segments)
}

pub fn account_backwards() -> AccountView {
    account(
        2106.0,
        [
            (260.0, Some(324.0)),
            (105.0, Some(100.0)),
            (152.0, Some(146.0)),
            (808.0, Some(1460.0)),
            (130.0, Some(2.0)),
            (651.0, Some(73.0)),
        ],
    )
}

pub fn account_healthy() -> AccountView {
    account(
        1497.0,
        [
            (13.0, Some(17.0)),
            (85.0, Some(83.0)),
            (124.0, Some(125.0)),
            (612.0, Some(615.0)),
            (90.0, Some(89.0)),
            (573.0, Some(568.0)),
        ],
    )
}

pub fn account_no_flow_meter() -> AccountView {
    let mut view = account_backwards();
    for s in &mut view.segments[3..] {
        s.is_w = None;
    }
    view
}

pub fn account_wide() -> AccountView {
    let parts = [
        (Part::NotUsed, 60.0, 64.0),
        (Part::DcCable, 22.0, 21.0),
        (Part::Controller, 70.0, 68.0),
        (Part::DropCable, 90.0, 240.0),
        (Part::Motor, 140.0, 128.0),
        (Part::Pump, 410.0, 360.0),
        (Part::Pipe, 48.0, 36.0),
        (Part::Water, 460.0, 383.0),
    ];
    let segments = parts.into_iter().map(|(p, s, i)| segment(p, s, Some(i))).collect();
    AccountView { width: 600.0, past: true, ..AccountView::new(1300.0, segments) }
}

fn number(channel: &str, unit: &str, values: [f64; 3], sigma: f64, bits: f64) -> Evidence {
    let v = |x| Some(EvidenceValue::Number(x));
    Evidence {
        channel: Some(channel.into()),
        check: None,
        regime: Regime::SpeedLimited,
        unit: Some(unit.into()),
        measured: v(values[0]),
        if_healthy: v(values[1]),
        if_cause: v(values[2]),
        sigma: Some(sigma),
        weight_bits: bits,
    }
}

fn cause(code: Cause, probability: f64) -> RankedCause {
    RankedCause { code, probability, severity: None, evidence: vec![], not_seen: vec![] }
}

fn next(code: Check, cost: f64, bits: f64, separates: &[Cause]) -> NextCheck {
    let info = code.info();
    NextCheck {
        code,
        minutes: info.minutes,
        cost,
        expected_bits: bits,
        separates: separates.to_vec(),
        cautions: info.cautions.clone(),
        why: None,
    }
}

fn finding(
    verdict: Verdict,
    regime: Regime,
    causes: Vec<RankedCause>,
    next_checks: Vec<NextCheck>,
) -> Finding {
    let at = |t| chrono::DateTime::parse_from_rfc3339(t).ok();
    Finding {
        schema: 1,
        system: "Kestrel Hollow".into(),
        window: Window {
            from: at("2026-11-18T10:42:00+02:00"),
            to: at("2026-11-18T10:58:00+02:00"),
            rows: 960,
            used: 941,
            set_aside: 19,
        },
        verdict,
        do_first: None,
        regime,
        assumed: vec![],
        causes,
        pairs: vec![],
        next_checks,
        contradictions: vec![],
        baseline: None,
        model: ModelId { version: "0.1.0".into(), record_hash: "3f9a71c2".into() },
    }
}

pub fn finding_backwards() -> Finding {
    let mut first = cause(Cause::ReversedRotation, 0.89);
    let lead_map = Evidence {
        channel: None,
        check: Some("lead_map".into()),
        regime: Regime::SpeedLimited,
        unit: None,
        measured: Some(EvidenceValue::Text("even".into())),
        if_healthy: None,
        if_cause: None,
        sigma: None,
        weight_bits: -1.2,
    };
    first.evidence = vec![
        number("flow_m3_h", "m3/h", [0.7, 5.6, 0.65], 0.25, 5.2),
        number("water_level_m", "m", [32.2, 38.1, 32.1], 0.4, 3.9),
        number("phase_u_a", "A", [4.7, 4.8, 4.7], 0.2, 2.8),
        lead_map,
    ];
    first.not_seen = vec!["wellhead_kpa".into()];
    let mut causes = vec![first, cause(Cause::RiserLeak, 0.06), cause(Cause::Unknown, 0.02)];
    let rest: Vec<Cause> =
        Cause::ALL.iter().copied().filter(|c| causes.iter().all(|k| k.code != *c)).take(33).collect();
    causes.extend(rest.into_iter().map(|c| cause(c, 0.03 / 33.0)));
    let checks = vec![
        next(Check::SwapTwoLeads, 20.0, 0.42, &[Cause::ReversedRotation, Cause::RiserLeak]),
        next(Check::BucketTest, 5.0, 0.05, &[Cause::FlowMeterError]),
        next(Check::WaterLevelSounding, 10.0, 0.04, &[Cause::RiserLeak]),
    ];
    let mut f = finding(Verdict::Fault, Regime::SpeedLimited, causes, checks);
    f.assumed = vec!["well.drawdown_c_m_per_m3h2".into(), "motor.inductance_mh_ll".into()];
    f
}

pub fn finding_healthy() -> Finding {
    let causes = vec![
        cause(Cause::Healthy, 0.93),
        cause(Cause::Soiling, 0.02),
        cause(Cause::Unknown, 0.02),
        cause(Cause::WornPump, 0.03),
    ];
    finding(Verdict::Healthy, Regime::SunLimited, causes, vec![])
}

pub fn finding_too_little() -> Finding {
    let mut unknown = cause(Cause::Unknown, 0.34);
    unknown.evidence = vec![number("phase_u_a", "A", [8.4, 6.5, 7.4], 0.3, 1.1)];
    unknown.not_seen = vec!["flow_m3_h".into(), "wellhead_kpa".into()];
    let causes = vec![
        unknown,
        cause(Cause::ReversedRotation, 0.22),
        cause(Cause::ClosedValve, 0.17),
        cause(Cause::MechanicalDrag, 0.15),
        cause(Cause::WindingFault, 0.12),
    ];
    let checks = vec![next(Check::BucketTest, 5.0, 0.9, &[Cause::ReversedRotation, Cause::MechanicalDrag])];
    let mut f = finding(Verdict::TooLittle, Regime::VoltageLimited, causes, checks);
    f.system = "Dovecote Bend".into();
    f
}

pub fn finding_stop_now() -> Finding {
    let causes =
        vec![cause(Cause::ClosedValve, 0.71), cause(Cause::BlockedRiser, 0.21), cause(Cause::Unknown, 0.08)];
    let checks = vec![next(Check::ValvePosition, 5.0, 0.8, &[Cause::ClosedValve, Cause::BlockedRiser])];
    let mut f = finding(Verdict::Fault, Regime::CurrentLimited, causes, checks);
    f.system = "Dovecote Bend".into();
    f.do_first = Some(DoFirst::StopNow);
    assert!(f.next_checks[0].cautions.contains(&Caution::Pressure));
    f
}
