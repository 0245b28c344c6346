//! Faults of instruments and clock: the plant is sound, the reading is not.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;

use super::full;
use crate::plant::Case;
use crate::plant::run::Truth;

/// Pairs of reading and truth.
fn pairs<'a>(
    case: &'a Case,
    channel: Channel,
    truth: impl Fn(&Truth) -> f64 + 'a,
) -> impl Iterator<Item = (f64, f64)> + 'a {
    let rows = case.samples.iter().zip(&case.truth);
    rows.filter_map(move |(s, t)| s.get(channel).map(|seen| (seen, truth(t))))
}

fn ratio(case: &Case, channel: Channel, truth: impl Fn(&Truth) -> f64) -> f64 {
    let (seen, real) = pairs(case, channel, truth).fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
    seen / real.max(1e-9)
}

#[test]
fn ratios_of_readings_are_as_said() {
    for case in full(Cause::IrradianceSensorError, 8) {
        let told = case.severity.unwrap();
        assert!((ratio(&case, Channel::IrradianceWM2, |t| t.g) / told - 1.0).abs() < 0.2, "{}", case.name);
        assert!((0.5..=1.5).contains(&told) && (told - 1.0).abs() > 0.05);
    }
    for case in full(Cause::PressureSensorError, 8) {
        let seen = ratio(&case, Channel::WellheadKpa, |t| t.kpa);
        assert!((seen - case.severity.unwrap()).abs() < 0.15, "{}: {seen}", case.name);
    }
    for case in full(Cause::FlowMeterError, 8) {
        let at_tank = case.system.sensors.flow_m3_h.as_ref().unwrap().at
            == Some(wellwright_domain::record::FlowPlace::Tank);
        let seen = ratio(&case, Channel::FlowM3H, |t| if at_tank { t.arrives } else { t.flow });
        assert!((seen - case.severity.unwrap()).abs() < 0.2, "{}: {seen}", case.name);
    }
}

#[test]
fn a_level_sensor_is_off_by_its_metres() {
    for case in full(Cause::LevelSensorError, 8) {
        let (mut sum, mut n) = (0.0, 0.0);
        for (seen, real) in pairs(&case, Channel::WaterLevelM, |t| t.depth) {
            sum += seen - real;
            n += 1.0;
        }
        assert!((sum / n - case.severity.unwrap()).abs() < 1.3, "{}: {}", case.name, sum / n);
    }
}

#[test]
fn a_wrong_clock_shifts_every_row() {
    for case in full(Cause::ClockError, 10) {
        let told = case.severity.unwrap();
        assert!(told.abs() > 0.3 && told.abs() <= 12.0);
        for (s, t) in case.samples.iter().zip(&case.truth) {
            let shift = (s.at.timestamp_millis() as f64 / 1000.0 - t.t) / 3600.0;
            assert!((shift - told).abs() < 0.001, "{}: {shift} is not {told}", case.name);
        }
    }
    for case in full(Cause::Healthy, 3) {
        let (s, t) = (&case.samples[0], &case.truth[0]);
        assert!((s.at.timestamp_millis() as f64 / 1000.0 - t.t).abs() < 2.0);
    }
}
