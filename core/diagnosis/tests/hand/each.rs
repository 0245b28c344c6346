//! Every check: what it foresees under the cause it is meant for differs from healthy, an answer of that cause
//! raises it, and an answer of a healthy system lowers it.

use wellwright_diagnosis::causes::Hypothesis;
use wellwright_diagnosis::checks::{self, Foreseen};
use wellwright_diagnosis::window::Outcome;
use wellwright_domain::cause::Cause;
use wellwright_domain::check::Check;

use super::bench::{healthy, stopped_by};
use super::rows::{dovecote, kestrel, rows, with};

/// An answer speaks when it makes one three times as likely as the other.
const SPEAKS: f64 = 1.0986;

/// How far two foreseen features lie apart: in spreads, or in share.
fn apart(a: Foreseen, b: Foreseen) -> bool {
    let wide = |f: Foreseen| match f {
        Foreseen::Number { sigma, .. } => sigma,
        Foreseen::Either { first, second, .. } => first.sigma.max(second.sigma),
        Foreseen::Between { low, high, edge } => edge.max(0.3 * (high - low)),
        Foreseen::Yes(_) => 0.25,
        Foreseen::Known => f64::INFINITY,
    };
    let moved = (a.middle() - b.middle()).abs() > 1.2 * wide(a).min(wide(b));
    match (a, b) {
        (Foreseen::Either { p, .. }, Foreseen::Either { p: q, .. }) if !moved => (p - q).abs() > 0.3,
        (Foreseen::Either { p, first, .. }, Foreseen::Number { mean, sigma })
        | (Foreseen::Number { mean, sigma }, Foreseen::Either { p, first, .. })
            if !moved =>
        {
            p > 0.3 && ((first.mean - mean).abs() > sigma || first.sigma > 3.0 * sigma)
        }
        _ => moved,
    }
}

#[test]
fn it_foresees_something_else_than_healthy() {
    for r in rows() {
        let (cause, sound) = (r.bench.foresee(&r.h, r.check), r.bench.foresee(&r.against, r.check));
        assert_eq!(cause.len(), sound.len());
        let differs = cause.iter().zip(&sound).any(|(a, b)| apart(*a, *b));
        assert!(differs, "{:?} under {:?}: {cause:?} against {sound:?}", r.check, r.h.cause);
    }
}

#[test]
fn an_answer_raises_its_cause_and_a_sound_one_lowers_it() {
    for r in rows() {
        let (check, cause) = (r.check.code(), r.h.cause);
        let up = r.bench.speaks_for(&r.if_cause, &r.h, &r.against);
        assert!(up > SPEAKS, "{check}: its own answer says only {up:.2} for {cause:?}");
        // what sits in the sun and breathes freely may still be hot, sand may be missing: those speak softly
        let down = r.bench.speaks_for(&r.if_healthy, &r.h, &r.against);
        let softly = matches!(
            r.check,
            Check::WaterLook
                | Check::ControllerTouch
                | Check::RecordCount
                | Check::BridgeFloatInput
                | Check::BridgeDryInput
        );
        assert!(
            down < if softly { 0.0 } else { -SPEAKS },
            "{check}: a sound answer says {down:.2} for {cause:?}"
        );
    }
}

#[test]
fn every_check_of_the_contract_is_modelled_and_tried() {
    assert_eq!(checks::ALL.len(), Check::ALL.len());
    let tried: Vec<Check> = rows().iter().map(|r| r.check).collect();
    for (k, check) in Check::ALL.iter().enumerate() {
        assert_eq!(checks::ALL[k].check(), *check);
        // the hand-held meter is tried beside a sensor, in `published`
        assert!(tried.contains(check) || *check == Check::HandheldIrradiance, "{}", check.code());
    }
}

/// Densities can only be compared when every cause foresees as many features, with the sensors of the bench or
/// without, running or not.
#[test]
fn every_cause_foresees_the_same_features() {
    for bench in [kestrel(), dovecote()] {
        for model in checks::ALL {
            let count = bench.foresee(&healthy(), model.check()).len();
            for cause in Cause::ALL {
                for h in [Hypothesis::new(*cause), stopped_by(*cause, Outcome::Silent)] {
                    let own = bench.foresee(&h, model.check());
                    assert_eq!(own.len(), count, "{} under {cause:?}", model.check().code());
                    for f in own {
                        let sane = f.middle().is_finite() && f.log_density(f.middle()).is_finite();
                        assert!(sane, "{} under {cause:?}: {f:?}", model.check().code());
                    }
                }
            }
        }
    }
}

/// Sensor errors and a wrong clock move no hand check, but for the ones that look at just that.
#[test]
fn sensor_errors_touch_no_hand_check() {
    let bench = kestrel();
    let errors = [
        with(Cause::FlowMeterError, 0.5, |_| {}),
        with(Cause::LevelSensorError, 8.0, |_| {}),
        with(Cause::PressureSensorError, 0.5, |_| {}),
        with(Cause::IrradianceSensorError, 0.7, |_| {}),
        with(Cause::ClockError, 3.0, |_| {}),
    ];
    for h in errors {
        for model in checks::ALL.iter().filter(|m| !matches!(m.check(), Check::ClockCompare)) {
            if model.check() == Check::PullPump {
                continue;
            }
            let (own, sound) = (bench.foresee(&h, model.check()), bench.foresee(&healthy(), model.check()));
            assert_eq!(own, sound, "{} under {:?}", model.check().code(), h.cause);
        }
    }
}
