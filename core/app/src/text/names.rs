//! Names of the things that codes stand for.

use wellwright_domain::cause::Cause;
use wellwright_domain::caution::Caution;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::Check;
use wellwright_domain::finding::Regime;
use wellwright_domain::flags::{Flag, PumpState};

use super::catalogue::Catalogue;

/// Short name of a cause.
pub fn cause(texts: &Catalogue, cause: Cause) -> String {
    own(texts, &format!("cause.{}.name", cause.code()))
}

/// One plain sentence about a cause.
pub fn cause_about(texts: &Catalogue, cause: Cause) -> String {
    own(texts, &format!("cause.{}.about", cause.code()))
}

/// What to do about a cause.
pub fn cause_do(texts: &Catalogue, cause: Cause) -> String {
    own(texts, &format!("cause.{}.do", cause.code()))
}

/// A cause as part of a sentence: "a shut valve".
pub fn cause_noun(texts: &Catalogue, cause: Cause) -> String {
    own(texts, &format!("cause.{}.noun", cause.code()))
}

/// What the severity of a cause counts; `None` for a cause without severity.
pub fn cause_how_much(texts: &Catalogue, cause: Cause) -> Option<String> {
    texts.get(&format!("cause.{}.how_much", cause.code())).map(str::to_owned)
}

/// Name of a check, as on its action.
pub fn check(texts: &Catalogue, check: Check) -> String {
    own(texts, &format!("check.{}.name", check.code()))
}

/// What is done in a check.
pub fn check_what(texts: &Catalogue, check: Check) -> String {
    own(texts, &format!("check.{}.what", check.code()))
}

/// Tool of a check.
pub fn check_tool(texts: &Catalogue, check: Check) -> String {
    own(texts, &format!("check.{}.tool", check.code()))
}

/// Text of a caution.
pub fn caution(texts: &Catalogue, caution: Caution) -> String {
    own(texts, &format!("caution.{}", caution.code()))
}

/// Name of a channel.
pub fn channel(texts: &Catalogue, channel: Channel) -> String {
    own(texts, &format!("channel.{}.name", channel.code()))
}

/// Code of a regime, as in files.
pub const fn regime_code(regime: Regime) -> &'static str {
    match regime {
        Regime::SunLimited => "sun_limited",
        Regime::SpeedLimited => "speed_limited",
        Regime::CurrentLimited => "current_limited",
        Regime::VoltageLimited => "voltage_limited",
        Regime::PowerLimited => "power_limited",
        Regime::HeatLimited => "heat_limited",
        Regime::Cycling => "cycling",
        Regime::Stopped => "stopped",
    }
}

/// What held the pump: "at top speed".
pub fn regime(texts: &Catalogue, regime: Regime) -> String {
    own(texts, &format!("regime.{}", regime_code(regime)))
}

/// The controller's state.
pub fn state(texts: &Catalogue, state: PumpState) -> String {
    own(texts, &format!("state.{}", state.code()))
}

/// One flag of the controller.
pub fn flag(texts: &Catalogue, flag: Flag) -> String {
    own(texts, &format!("flag.{}", flag.code()))
}

/// Name of a channel or check by its code, as `not_seen` and evidence give it; a code that the
/// catalogue does not hold is shown with its underscores as spaces.
pub fn by_code(texts: &Catalogue, code: &str) -> String {
    let ids =
        ["channel.{}.name", "check.{}.name", "cause.{}.name", "flag.{}"].map(|id| id.replace("{}", code));
    ids.iter().find_map(|id| texts.get(id)).map_or_else(|| code.replace('_', " "), str::to_owned)
}

/// A field of the record that was assumed.
pub fn field(texts: &Catalogue, key: &str) -> String {
    texts.get(&format!("field.{key}")).map_or_else(|| key.replace('_', " "), str::to_owned)
}

fn own(texts: &Catalogue, id: &str) -> String {
    texts.text(id).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The short names as the look fixes them, one each.
    const NAMES: &str = "healthy As it should be; low_sun Too little sun; standing_by Resting as meant; \
        reversed_rotation Turned backwards; open_phase A lead is open; high_resistance_joint A joint resists; \
        undersized_drop_cable Drop cable too thin; dc_side_loss Loss before the controller; \
        insulation_fault Leak to ground; winding_fault Motor winding shorted; weak_magnets Motor magnets weak; \
        dry_running Water at the intake; well_yield_limit Well gives too little; \
        static_level_drop Resting level fell; clogged_screen Well screen clogged; closed_valve Valve shut; \
        riser_leak Water escapes on the way; check_valve_leak Check valve leaks; worn_pump Pump worn; \
        blocked_intake Intake blocked; seized_pump Pump stuck; broken_shaft Shaft broken; \
        mechanical_drag Something rubs; gas_in_water Gas in the water; partial_shade Shade on the array; \
        soiling Dust on the array; open_string A string is open; shorted_bypass Part of a module bridged; \
        record_mismatch Array not as recorded; controller_overheating Controller too hot; \
        power_tracking_stuck Controller off the best point; stuck_float Tank-full signal stuck; \
        false_dry_signal Dry signal is false; irradiance_sensor_error Sun sensor wrong; \
        flow_meter_error Flow meter wrong; level_sensor_error Level sensor wrong; \
        pressure_sensor_error Pressure sensor wrong; clock_error Clock wrong; narrowed_pipe Pipe too narrow; \
        blocked_riser Blocked below the gauge; equipment_mismatch Not the pump in the record; \
        controller_failed Controller gives nothing; limit_set_low Limit set too low; \
        no_dc_supply Nothing from the array; unknown None of these";

    #[test]
    fn every_cause_has_its_name_a_sentence_and_a_remedy() {
        let c = Catalogue::english();
        let mut seen = 0;
        for entry in NAMES.split(';') {
            let (code, name) = entry.trim().split_once(' ').unwrap();
            assert_eq!(cause(c, Cause::from_code(code).unwrap()), name);
            seen += 1;
        }
        assert_eq!(seen, Cause::ALL.len());
        for &one in Cause::ALL {
            for text in [cause_about(c, one), cause_do(c, one)] {
                assert!(text.ends_with('.') && !text.starts_with("cause."), "{text}");
            }
            let noun = cause_noun(c, one);
            assert!(!noun.ends_with('.') && !noun.starts_with("cause."), "{noun}");
            assert_eq!(cause_how_much(c, one).is_some(), one.info().severity.is_some(), "{}", one.code());
        }
    }

    #[test]
    fn every_check_caution_channel_state_flag_and_regime_is_named() {
        let c = Catalogue::english();
        let mut all = Vec::new();
        for &k in Check::ALL {
            all.extend([check(c, k), check_what(c, k), check_tool(c, k)]);
        }
        all.extend(Caution::ALL.iter().map(|&k| caution(c, k)));
        all.extend(Channel::ALL.iter().map(|&k| channel(c, k)));
        all.extend(PumpState::ALL.iter().map(|&k| state(c, k)));
        all.extend(Flag::ALL.iter().map(|&k| flag(c, k)));
        let regimes = [
            Regime::SunLimited,
            Regime::SpeedLimited,
            Regime::CurrentLimited,
            Regime::VoltageLimited,
            Regime::PowerLimited,
            Regime::HeatLimited,
            Regime::Cycling,
            Regime::Stopped,
        ];
        for r in regimes {
            assert_eq!(serde_json::to_value(r).unwrap(), regime_code(r));
            all.push(regime(c, r));
        }
        for text in all {
            assert!(text.contains(' ') || c.ids().all(|id| id != text), "an id stands for its text: {text}");
            assert!(!text.contains('!') && !text.contains('_'), "{text}");
        }
        assert_eq!(caution(c, Caution::StopNow), "Stop the pump now. Running on destroys it.");
        assert_eq!(caution(c, Caution::WaitDischarge), "Wait 5 min or as marked. Prove the leads dead.");
        assert_eq!(regime(c, Regime::SpeedLimited), "at top speed");
    }

    #[test]
    fn a_code_that_nobody_named_is_still_readable() {
        let c = Catalogue::english();
        assert_eq!(by_code(c, "wellhead_kpa"), "Pressure at the wellhead");
        assert_eq!(by_code(c, "bucket_test"), "Bucket test");
        assert_eq!(by_code(c, "some_new_sign"), "some new sign");
        assert_eq!(field(c, "well.depth_m"), "depth of the well");
    }

    #[test]
    fn verdicts_are_short_and_nothing_is_said_loudly() {
        let c = Catalogue::english();
        for id in c.ids() {
            let text = c.text(id);
            assert!(!text.contains('!') && !text.contains('—') && !text.contains('–'), "{id}");
            let headline = id.starts_with("headline.") || id.starts_with("verdict.");
            if headline && !text.contains('{') && !id.contains(".text") {
                assert!(text.chars().count() <= 45, "{id}: {text}");
            }
        }
    }
}
