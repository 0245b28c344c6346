//! What a design check looks at: the stable code of each line with its unit, its limit and its texts.

use serde::Serialize;

use super::line::{LimitIs, Whose};

/// What a line is about. The code is stable; names and sentences are not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Code {
    /// Open circuit on the coldest morning against the controller.
    ColdVocController,
    /// The same against the module.
    ColdVocModule,
    /// Best-point voltage in cold full sun against the controller's highest.
    ColdVmpController,
    /// Best-point voltage in hot full sun against the controller's lowest.
    HotVmpController,
    /// What that voltage makes at the output against what the motor needs at rated speed.
    HotVmpMotor,
    /// Drop in the drop cable.
    DropCable,
    /// Drop in the DC cable.
    DcCable,
    /// Highest motor current in full sun against the motor.
    MotorCurrentMotor,
    /// The current that full sun would ask for against the controller.
    MotorCurrentController,
    /// Current to break a helical rotor away against the controller.
    BreakAwayCurrent,
    /// What the lead maps of all joints together do to the direction of rotation.
    LeadMaps,
    /// Water past the motor.
    CoolingFlow,
    /// Water over the intake while pumping.
    Submergence,
    /// The dry-run probe over the intake, and under the pumping level.
    DryProbe,
    /// Net positive suction head at the intake.
    Npsh,
    /// Least irradiance at which water comes.
    StartIrradiance,
    /// Water of the month that is shortest of it.
    DailyWater,
    /// Highest pressure in the pipe.
    PipePressure,
}

/// Ids of a line's texts.
#[derive(Debug, Clone, Copy)]
pub struct Texts {
    /// Name.
    pub name: &'static str,
    /// How the value comes about.
    pub how: &'static str,
    /// What to do between look and limit.
    pub look: Option<&'static str>,
    /// What to do beyond the limit.
    pub fail: &'static str,
}

const fn t(name: &'static str, how: &'static str, look: Option<&'static str>, fail: &'static str) -> Texts {
    Texts { name, how, look, fail }
}

impl Code {
    /// Unit of the line.
    pub const fn unit(self) -> &'static str {
        match self {
            Code::ColdVocController
            | Code::ColdVocModule
            | Code::ColdVmpController
            | Code::HotVmpController
            | Code::HotVmpMotor => "V",
            Code::DropCable | Code::DcCable | Code::DailyWater => "%",
            Code::MotorCurrentMotor | Code::MotorCurrentController | Code::BreakAwayCurrent => "A",
            Code::CoolingFlow => "m/s",
            Code::Submergence | Code::DryProbe | Code::Npsh => "m",
            Code::StartIrradiance => "W/m2",
            Code::LeadMaps => "1",
            Code::PipePressure => "kPa",
        }
    }

    /// Which side of the limit is good.
    pub const fn limit_is(self) -> LimitIs {
        match self {
            Code::HotVmpController
            | Code::HotVmpMotor
            | Code::CoolingFlow
            | Code::Submergence
            | Code::DryProbe
            | Code::Npsh
            | Code::DailyWater => LimitIs::AtLeast,
            _ => LimitIs::AtMost,
        }
    }

    /// Whose limit it is, as a rule.
    pub const fn whose(self) -> Whose {
        match self {
            Code::ColdVocController
            | Code::ColdVmpController
            | Code::HotVmpController
            | Code::MotorCurrentController
            | Code::BreakAwayCurrent => Whose::Controller,
            Code::ColdVocModule => Whose::Module,
            Code::HotVmpMotor | Code::MotorCurrentMotor | Code::LeadMaps => Whose::Motor,
            Code::DropCable | Code::DcCable | Code::CoolingFlow | Code::DryProbe | Code::StartIrradiance => {
                Whose::CommonPractice
            }
            Code::Submergence => Whose::Well,
            Code::Npsh => Whose::Pump,
            Code::DailyWater => Whose::Owner,
            Code::PipePressure => Whose::Pipe,
        }
    }

    /// Ids of the texts.
    pub const fn texts(self) -> Texts {
        match self {
            Code::ColdVocController => t(
                "design.cold_voc_controller",
                "design.cold_voc.how",
                Some("design.cold_voc_controller.look"),
                "design.cold_voc_controller.fail",
            ),
            Code::ColdVocModule => t(
                "design.cold_voc_module",
                "design.cold_voc.how",
                Some("design.cold_voc_module.look"),
                "design.cold_voc_module.fail",
            ),
            Code::ColdVmpController => t(
                "design.cold_vmp_controller",
                "design.cold_vmp_controller.how",
                None,
                "design.cold_vmp_controller.fail",
            ),
            Code::HotVmpController => t(
                "design.hot_vmp_controller",
                "design.hot_vmp_controller.how",
                Some("design.hot_vmp_controller.look"),
                "design.hot_vmp_controller.fail",
            ),
            Code::HotVmpMotor => t(
                "design.hot_vmp_motor",
                "design.hot_vmp_motor.how",
                Some("design.hot_vmp_motor.look"),
                "design.hot_vmp_motor.fail",
            ),
            Code::DropCable => t(
                "design.drop_cable",
                "design.drop_cable.how",
                Some("design.drop_cable.look"),
                "design.drop_cable.fail",
            ),
            Code::DcCable => t(
                "design.dc_cable",
                "design.dc_cable.how",
                Some("design.dc_cable.look"),
                "design.dc_cable.fail",
            ),
            Code::MotorCurrentMotor => t(
                "design.motor_current_motor",
                "design.motor_current_motor.how",
                Some("design.motor_current_motor.look"),
                "design.motor_current_motor.fail",
            ),
            Code::MotorCurrentController => t(
                "design.motor_current_controller",
                "design.motor_current_controller.how",
                Some("design.motor_current_controller.look"),
                "design.motor_current_controller.fail",
            ),
            Code::BreakAwayCurrent => t(
                "design.break_away_current",
                "design.break_away_current.how",
                Some("design.break_away_current.look"),
                "design.break_away_current.fail",
            ),
            Code::LeadMaps => t("design.lead_maps", "design.lead_maps.how", None, "design.lead_maps.fail"),
            Code::CoolingFlow => t(
                "design.cooling_flow",
                "design.cooling_flow.how",
                Some("design.cooling_flow.look"),
                "design.cooling_flow.fail",
            ),
            Code::Submergence => t(
                "design.submergence",
                "design.submergence.how",
                Some("design.submergence.look"),
                "design.submergence.fail",
            ),
            Code::DryProbe => t(
                "design.dry_probe",
                "design.dry_probe.how",
                Some("design.dry_probe.look"),
                "design.dry_probe.fail",
            ),
            Code::Npsh => t("design.npsh", "design.npsh.how", Some("design.npsh.look"), "design.npsh.fail"),
            Code::StartIrradiance => t(
                "design.start_irradiance",
                "design.start_irradiance.how",
                Some("design.start_irradiance.look"),
                "design.start_irradiance.fail",
            ),
            Code::DailyWater => t(
                "design.daily_water",
                "design.daily_water.how",
                Some("design.daily_water.look"),
                "design.daily_water.fail",
            ),
            Code::PipePressure => t(
                "design.pipe_pressure",
                "design.pipe_pressure.how",
                Some("design.pipe_pressure.look"),
                "design.pipe_pressure.fail",
            ),
        }
    }
}
