//! Level at rest and level while running are two readings of one well: their difference is the drawdown.

use wellwright_diagnosis::{Case, explain};
use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};
use wellwright_domain::examples::kestrel_hollow;
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::sample::Sample;

use super::bench::{Bench, healthy, made, number};
use super::published::{in_the_sun, running};
use super::rows::with;

/// Where the water of the record rests, m.
const RESTS_M: f64 = 31.5;

fn rest(depth_m: f64) -> CheckMade {
    made(Check::RestingLevelSounding, &[("depth_m", number(depth_m))])
}

fn clogged() -> wellwright_diagnosis::causes::Hypothesis {
    with(Cause::CloggedScreen, 2.5, |c| c.water.drawdown_ratio = 2.5)
}

/// A sensor has told a level far below what the record draws down; the water rests where it did: the well lets less in.
#[test]
fn a_rest_as_recorded_under_a_deep_running_level_speaks_for_the_screen() {
    let deep = running(&kestrel_hollow(), 1.0, |c| c.water.drawdown_ratio = 2.5);
    let bench = Bench::with(kestrel_hollow(), deep);
    let speaks = |depth_m| bench.speaks_for(&rest(depth_m), &clogged(), &healthy());
    assert!(speaks(RESTS_M) > 1.0, "{}", speaks(RESTS_M));
    assert!(speaks(RESTS_M + 4.0) < 0.0, "it rests deeper too: {}", speaks(RESTS_M + 4.0));
    let untold = Bench::new(kestrel_hollow()).speaks_for(&rest(RESTS_M), &clogged(), &healthy());
    assert!(untold.abs() < 0.5, "alone it parts little: {untold}");
    let sound = Bench::with(kestrel_hollow(), in_the_sun(1.0));
    let near = sound.speaks_for(&rest(RESTS_M), &healthy(), &clogged());
    assert!(near > 0.0, "the same rest over the usual running level: {near}");
}

/// Both sounded, and no sensor: deep while it runs and as recorded at rest is no level that fell.
#[test]
fn what_was_sounded_at_rest_is_known_when_the_running_level_is_sounded() {
    let mut rows = running(&kestrel_hollow(), 1.0, |c| c.water.drawdown_ratio = 2.5);
    let level_m = rows[60].get(Channel::WaterLevelM).unwrap();
    for row in &mut rows {
        row.set(Channel::WaterLevelM, None);
    }
    let system = kestrel_hollow();
    let share = |checks: &[CheckMade], cause| {
        let f = explain(&Case { checks, ..Case::new(&system).with_samples(&rows) }).unwrap();
        f.causes.iter().find(|c| c.code == cause).map_or(0.0, |c| c.probability)
    };
    let run = made(Check::WaterLevelSounding, &[("depth_m", number(level_m))]);
    let both = [rest(RESTS_M), run.clone()];
    let (fell, screen) = (share(&both, Cause::StaticLevelDrop), share(&both, Cause::CloggedScreen));
    assert!(screen > fell, "screen {screen}, fell {fell}");
    assert!(screen > share(&[run], Cause::CloggedScreen));
}

/// A dead controller may say that it runs: turns, current and flow know better than the word.
#[test]
fn a_state_that_says_it_runs_while_nothing_turns_is_no_run() {
    let row = |mut s: Sample| {
        for (channel, reads) in [
            (Channel::ArrayV, 411.0),
            (Channel::ArrayA, 0.02),
            (Channel::MotorRpm, 0.0),
            (Channel::PhaseUA, 0.0),
            (Channel::FlowM3H, 0.0),
        ] {
            s.set(channel, Some(reads));
        }
        (s.state, s.flags) = (Some(PumpState::Running), Some(Flags::NONE));
        for channel in [Channel::WellheadKpa, Channel::WaterLevelM] {
            s.set(channel, None);
        }
        s
    };
    let rows: Vec<Sample> = in_the_sun(1.0).into_iter().map(row).collect();
    let f = explain(&Case::new(&kestrel_hollow()).with_samples(&rows)).unwrap();
    assert_eq!(f.causes[0].code, Cause::ControllerFailed, "{:?}", f.causes);
}

/// The pump's own head on the gauge is no column that could have drained.
#[test]
fn a_shut_valve_explains_its_own_gauge() {
    let system = kestrel_hollow();
    let samples = running(&system, 1.0, |c| c.water.valve_m_per_m3h2 = f64::INFINITY);
    assert!(samples.last().unwrap().get(Channel::WellheadKpa).unwrap() > 200.0);
    let finding = explain(&Case::new(&system).with_samples(&samples)).unwrap();
    let first = finding.leading().unwrap();
    assert_eq!(first.code, Cause::ClosedValve);
    assert!(first.probability > 0.9 && first.severity.as_ref().unwrap().value < 0.02, "{first:?}");
}
