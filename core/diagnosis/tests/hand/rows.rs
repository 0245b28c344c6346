//! One check a row: the cause it is meant for, an answer that this cause gives, and one that a healthy system
//! gives.

use wellwright_diagnosis::causes::Hypothesis;
use wellwright_diagnosis::window::Outcome;
use wellwright_domain::cause::Cause;
use wellwright_domain::check::{Answer, Check, CheckMade};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_physics::plant::Shade;
use wellwright_physics::pump::Rotation;

use super::bench::{Bench, healthy, list, made, number, stopped_by, yes};

/// One check, the cause it is meant for, an answer that this cause gives, and one that a healthy system gives.
pub struct Row {
    pub check: Check,
    pub bench: Bench,
    pub h: Hypothesis,
    /// What it is to be told from.
    pub against: Hypothesis,
    pub if_cause: CheckMade,
    pub if_healthy: CheckMade,
}

fn row(bench: Bench, check: Check, h: Hypothesis, cause: &[(&str, Answer)], sound: &[(&str, Answer)]) -> Row {
    Row { check, bench, h, against: healthy(), if_cause: made(check, cause), if_healthy: made(check, sound) }
}

impl Row {
    /// Where a healthy system never comes to the question.
    fn against(self, other: Hypothesis) -> Row {
        Row { against: other, ..self }
    }
}

pub fn kestrel() -> Bench {
    Bench::new(kestrel_hollow())
}

pub fn dovecote() -> Bench {
    Bench::new(dovecote_bend())
}

/// What the healthy plant of a bench shows a gauge or a bucket now.
fn sound(bench: &Bench, check: Check) -> f64 {
    bench.foresee(&healthy(), check)[0].middle()
}

pub fn with(
    cause: Cause,
    severity: f64,
    change: impl FnOnce(&mut wellwright_physics::plant::Condition),
) -> Hypothesis {
    Hypothesis::new(cause).at(severity).with(change)
}

fn flags(f: Flag) -> Answer {
    Answer::Flags(Flags::NONE.with(f))
}

pub fn rows() -> Vec<Row> {
    use Cause as C;
    use Check as K;
    let shade = Shade { share: 0.4, darkness: 0.2, gathered: true, right_peak: false };
    let mut slow_clock = Hypothesis::new(C::ClockError).at(-2.0);
    slow_clock.sky.clock_h = -2.0;
    let reversed = || Hypothesis::new(C::ReversedRotation).with(|c| c.pump.rotation = Rotation::Reversed);
    let shut = || with(C::ClosedValve, 0.0, |c| c.water.valve_m_per_m3h2 = f64::INFINITY);
    let worn = || with(C::WornPump, 0.35, |c| c.pump.wear = 0.35);
    let dry = || {
        Hypothesis::new(C::DryRunning).with(|c| {
            c.pump.dry_torque_share = Some(0.2);
            c.water.static_deeper_m = 28.5;
        })
    };
    let dead = (K::DeadHeadGauge, sound(&kestrel(), K::DeadHeadGauge));
    let flow = sound(&kestrel(), K::BucketTest);
    let kpa = sound(&kestrel(), K::WellheadGauge);
    vec![
        row(
            kestrel(),
            K::LookAndListen,
            with(C::PartialShade, 0.4, |c| c.array.shade = Some(shade)),
            &[("running", yes(true)), ("shade_seen", yes(true))],
            &[("shade_seen", yes(false))],
        ),
        row(
            kestrel(),
            K::LookAndListen,
            with(C::Soiling, 0.3, |c| c.array.current_ratio = 0.7),
            &[("dirt_seen", yes(true))],
            &[("dirt_seen", yes(false))],
        ),
        row(
            kestrel(),
            K::ControllerDisplay,
            stopped_by(C::OpenPhase, Outcome::PhaseLoss),
            &[("state", Answer::State(PumpState::Tripped)), ("flags", flags(Flag::PhaseLoss))],
            &[("state", Answer::State(PumpState::Running)), ("flags", Answer::Flags(Flags::NONE))],
        ),
        row(
            kestrel(),
            K::ControllerDisplay,
            stopped_by(C::InsulationFault, Outcome::GroundFault),
            &[("state", Answer::State(PumpState::Tripped)), ("flags", flags(Flag::GroundFault))],
            &[("state", Answer::State(PumpState::Running)), ("flags", Answer::Flags(Flags::NONE))],
        ),
        row(
            dovecote(),
            K::DrumRun,
            reversed(),
            &[("water_came", yes(false)), ("seconds", number(20.0))],
            &[("water_came", yes(true)), ("seconds", number(4.0))],
        ),
        row(
            kestrel(),
            K::TankLook,
            stopped_by(C::StuckFloat, Outcome::TankFull),
            &[("level_pct", number(30.0)), ("water_arriving", yes(false))],
            &[("level_pct", number(60.0)), ("water_arriving", yes(true))],
        ),
        row(
            kestrel(),
            K::BucketTest,
            worn(),
            &[("litres", number(20.0)), ("seconds", number(72.0 / (0.55 * flow)))],
            &[("litres", number(20.0)), ("seconds", number(72.0 / flow))],
        ),
        row(kestrel(), K::WellheadGauge, shut(), &[("kpa", number(430.0))], &[("kpa", number(kpa))]),
        row(kestrel(), dead.0, reversed(), &[("kpa", number(0.0))], &[("kpa", number(dead.1))]),
        row(kestrel(), dead.0, worn(), &[("kpa", number(0.55 * dead.1))], &[("kpa", number(dead.1))]),
        row(kestrel(), K::ValvePosition, shut(), &[("all_open", yes(false))], &[("all_open", yes(true))]),
        row(
            kestrel(),
            K::WaterLevelSounding,
            dry(),
            &[("depth_m", number(59.8))],
            &[("depth_m", number(sound(&kestrel(), K::WaterLevelSounding)))],
        ),
        row(
            kestrel(),
            K::WaterLevelSounding,
            with(C::CloggedScreen, 4.0, |c| c.water.drawdown_ratio = 4.0),
            &[("depth_m", number(44.0))],
            &[("depth_m", number(sound(&kestrel(), K::WaterLevelSounding)))],
        ),
        row(
            kestrel(),
            K::RestingLevelSounding,
            with(C::StaticLevelDrop, 9.0, |c| c.water.static_deeper_m = 9.0),
            &[("depth_m", number(40.2))],
            &[("depth_m", number(31.8))],
        ),
        row(
            kestrel(),
            K::ColumnDrain,
            Hypothesis { drains_in_min: Some(2.0), ..Hypothesis::new(C::CheckValveLeak).at(2.0) },
            &[("water_delay_s", number(45.0)), ("spins_back", yes(true))],
            &[("water_delay_s", number(10.0)), ("spins_back", yes(false))],
        ),
        row(
            kestrel(),
            K::LeadCurrent,
            Hypothesis::new(C::OpenPhase).with(|c| c.pump.uncoupled = true),
            &[("u_a", number(5.0)), ("v_a", number(5.1)), ("w_a", number(0.0))],
            &[("u_a", number(4.1)), ("v_a", number(4.15)), ("w_a", number(4.05))],
        ),
        row(
            kestrel(),
            K::LeadCurrent,
            with(C::WeakMagnets, 0.35, |c| c.lead.flux_lost = 0.35),
            &[("u_a", number(6.0)), ("v_a", number(6.1)), ("w_a", number(6.0))],
            &[("u_a", number(4.1)), ("v_a", number(4.15)), ("w_a", number(4.05))],
        ),
        row(
            kestrel(),
            K::ArrayTerminalVoltage,
            with(C::DcSideLoss, 3.0, |c| c.array.dc_ohm = 3.0),
            &[("array_v", number(270.0)), ("controller_v", number(250.0)), ("array_a", number(6.2))],
            &[("array_v", number(270.0)), ("controller_v", number(268.7)), ("array_a", number(6.2))],
        ),
        row(
            kestrel(),
            K::ArrayTerminalVoltage,
            stopped_by(C::NoDcSupply, Outcome::Silent),
            &[("array_v", number(330.0)), ("controller_v", number(0.0))],
            &[("array_v", number(270.0)), ("controller_v", number(268.9))],
        ),
        row(
            dovecote(),
            K::StringCurrent,
            with(C::OpenString, 1.0, |c| c.array.open_strings = 1),
            &[("amps", list(&[7.2, 0.0]))],
            &[("amps", list(&[7.2, 7.1]))],
        ),
        row(
            dovecote(),
            K::StringCurrent,
            with(C::PartialShade, 0.4, |c| c.array.shade = Some(shade)),
            &[("amps", list(&[7.2, 4.0]))],
            &[("amps", list(&[7.2, 7.1]))],
        ),
        row(
            dovecote(),
            K::StringOpenVoltage,
            with(C::ShortedBypass, 2.0, |c| {
                c.array.missing_substrings = 2.0;
                c.array.missing_gathered = true;
            }),
            &[("volts", list(&[124.0, 97.0]))],
            &[("volts", list(&[124.0, 123.5]))],
        ),
        row(
            kestrel(),
            K::StringOpenVoltage,
            with(C::RecordMismatch, 0.8, |c| c.array.voltage_ratio = 0.8),
            &[("volts", list(&[270.0]))],
            &[("volts", list(&[338.0]))],
        ),
        row(
            kestrel(),
            K::LeadResistance,
            with(C::HighResistanceJoint, 1.0, |c| c.lead.one_lead_ohm = 1.0),
            &[("uv_ohm", number(3.1)), ("vw_ohm", number(4.1)), ("wu_ohm", number(4.12))],
            &[("uv_ohm", number(3.1)), ("vw_ohm", number(3.11)), ("wu_ohm", number(3.12))],
        ),
        row(
            kestrel(),
            K::LeadResistance,
            with(C::WindingFault, 0.3, |c| c.lead.shorted_turns = 0.3),
            &[("uv_ohm", number(2.74)), ("vw_ohm", number(2.75)), ("wu_ohm", number(3.1))],
            &[("uv_ohm", number(3.1)), ("vw_ohm", number(3.11)), ("wu_ohm", number(3.12))],
        ),
        row(
            kestrel(),
            K::LeadResistance,
            with(C::UndersizedDropCable, 2.5, |c| c.lead.cable_ratio = 2.5),
            &[("uv_ohm", number(4.1)), ("vw_ohm", number(4.11)), ("wu_ohm", number(4.12))],
            &[("uv_ohm", number(3.1)), ("vw_ohm", number(3.11)), ("wu_ohm", number(3.12))],
        ),
        row(
            kestrel(),
            K::InsulationResistance,
            with(C::InsulationFault, 80.0, |_| {}),
            &[("mohm", number(0.09)), ("test_v", number(500.0)), ("lead_c", number(24.0))],
            &[("mohm", number(999.0)), ("test_v", number(500.0))],
        ),
        row(
            kestrel(),
            K::SwapTwoLeads,
            reversed(),
            &[("flow_before_m3_h", number(0.2)), ("flow_after_m3_h", number(4.5))],
            &[("flow_before_m3_h", number(4.5)), ("flow_after_m3_h", number(0.2))],
        ),
        row(
            kestrel(),
            K::BridgeDryInput,
            stopped_by(C::FalseDrySignal, Outcome::Dry),
            &[("starts", yes(true))],
            &[("starts", yes(false))],
        )
        .against(stopped_by(C::OpenPhase, Outcome::PhaseLoss)),
        row(
            kestrel(),
            K::BridgeFloatInput,
            stopped_by(C::StuckFloat, Outcome::TankFull),
            &[("starts", yes(true))],
            &[("starts", yes(false))],
        )
        .against(stopped_by(C::FalseDrySignal, Outcome::Dry)),
        row(
            kestrel(),
            K::RestartController,
            stopped_by(C::ControllerFailed, Outcome::Silent),
            &[("array_v_after", number(345.0)), ("array_a_after", number(0.0))],
            &[("array_v_after", number(275.0)), ("array_a_after", number(5.8))],
        ),
        row(
            kestrel(),
            K::WashModules,
            with(C::Soiling, 0.25, |c| c.array.current_ratio = 0.75),
            &[("amps_before", number(5.0)), ("amps_after", number(6.5))],
            &[("amps_before", number(6.5)), ("amps_after", number(6.55))],
        ),
        row(
            kestrel(),
            K::ClockCompare,
            slow_clock,
            &[("offset_h", number(-2.02))],
            &[("offset_h", number(0.02))],
        ),
        row(
            kestrel(),
            K::DcIsolatorLook,
            stopped_by(C::NoDcSupply, Outcome::Silent),
            &[("input_v", number(0.4)), ("all_closed", yes(false))],
            &[("input_v", number(280.0)), ("all_closed", yes(true))],
        ),
        row(
            kestrel(),
            K::RecordCount,
            with(C::RecordMismatch, 0.8, |c| c.array.voltage_ratio = 0.8),
            &[("series", number(8.0)), ("strings", number(1.0))],
            &[("series", number(10.0)), ("strings", number(1.0)), ("voc_v", number(37.6))],
        ),
        row(
            kestrel(),
            K::RecordCount,
            with(C::EquipmentMismatch, 0.7, |c| c.pump.size_ratio = 0.7),
            &[("pole_pairs", number(3.0))],
            &[("series", number(10.0)), ("pole_pairs", number(2.0))],
        ),
        row(
            kestrel(),
            K::ControllerTouch,
            Hypothesis::new(C::ControllerOverheating),
            &[("blocked", yes(true)), ("in_sun", yes(true))],
            &[("blocked", yes(false)), ("in_sun", yes(false))],
        ),
        row(
            kestrel(),
            K::WaterLook,
            with(C::GasInWater, 0.3, |c| c.pump.gas = 0.3),
            &[("bubbles", yes(true))],
            &[("bubbles", yes(false))],
        ),
        row(
            kestrel(),
            K::WaterLook,
            with(C::BlockedIntake, 0.5, |c| c.pump.blockage = 0.5),
            &[("sand", yes(true))],
            &[("sand", yes(false)), ("bubbles", yes(false))],
        ),
        row(
            kestrel(),
            K::PullPump,
            worn(),
            &[("finding", Answer::Cause(C::WornPump))],
            &[("finding", Answer::Cause(C::Healthy))],
        ),
    ]
}
