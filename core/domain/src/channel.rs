//! The measured quantities: one entry a channel, with its stored name, unit and physical range.

use serde::{Deserialize, Serialize};

/// A quantity that the controller or an added sensor reports.
///
/// Codes are the column names of the telemetry file and never change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Channel {
    /// Voltage at the controller's DC input.
    #[serde(rename = "array_v")]
    ArrayV,
    /// Current at the controller's DC input.
    #[serde(rename = "array_a")]
    ArrayA,
    /// Commanded speed: electrical frequency x 60 / pole pairs, always positive.
    MotorRpm,
    /// Output current of phase U.
    #[serde(rename = "phase_u_a")]
    PhaseUA,
    /// Output current of phase V.
    #[serde(rename = "phase_v_a")]
    PhaseVA,
    /// Output current of phase W.
    #[serde(rename = "phase_w_a")]
    PhaseWA,
    /// Output voltage line to line.
    #[serde(rename = "output_v")]
    OutputV,
    /// Heat-sink temperature of the controller.
    #[serde(rename = "controller_c")]
    ControllerC,
    /// Irradiance in the plane of the array.
    #[serde(rename = "irradiance_w_m2")]
    IrradianceWM2,
    /// Temperature at the back of a module.
    #[serde(rename = "module_c")]
    ModuleC,
    /// Air temperature in the shade.
    #[serde(rename = "air_c")]
    AirC,
    /// Flow at the place named in the record.
    #[serde(rename = "flow_m3_h")]
    FlowM3H,
    /// Gauge pressure before the wellhead valve.
    WellheadKpa,
    /// Depth of the water below the wellhead.
    #[serde(rename = "water_level_m")]
    WaterLevelM,
    /// Tank level.
    TankLevelPct,
    /// Running total of water.
    #[serde(rename = "volume_m3")]
    VolumeM3,
    /// Running total of energy.
    EnergyKwh,
}

/// What is fixed about a channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChannelInfo {
    /// Stored name: the telemetry column.
    pub code: &'static str,
    /// Unit as written in files and on screens.
    pub unit: &'static str,
    /// Lowest value that can be true.
    pub min: f64,
    /// Highest value that can be true.
    pub max: f64,
}

impl Channel {
    /// Every channel, in column order.
    pub const ALL: [Channel; 17] = [
        Channel::ArrayV,
        Channel::ArrayA,
        Channel::MotorRpm,
        Channel::PhaseUA,
        Channel::PhaseVA,
        Channel::PhaseWA,
        Channel::OutputV,
        Channel::ControllerC,
        Channel::IrradianceWM2,
        Channel::ModuleC,
        Channel::AirC,
        Channel::FlowM3H,
        Channel::WellheadKpa,
        Channel::WaterLevelM,
        Channel::TankLevelPct,
        Channel::VolumeM3,
        Channel::EnergyKwh,
    ];

    /// Number of channels.
    pub const COUNT: usize = Self::ALL.len();

    /// Name, unit and physical range.
    ///
    /// The ranges are wide on purpose: they catch values that no borehole pump system can show, not
    /// values that are merely unusual (engineering judgement).
    pub const fn info(self) -> ChannelInfo {
        const fn i(code: &'static str, unit: &'static str, min: f64, max: f64) -> ChannelInfo {
            ChannelInfo { code, unit, min, max }
        }
        match self {
            Channel::ArrayV => i("array_v", "V", -1.0, 1500.0),
            Channel::ArrayA => i("array_a", "A", -1.0, 300.0),
            Channel::MotorRpm => i("motor_rpm", "rpm", 0.0, 30000.0),
            Channel::PhaseUA => i("phase_u_a", "A", -0.5, 500.0),
            Channel::PhaseVA => i("phase_v_a", "A", -0.5, 500.0),
            Channel::PhaseWA => i("phase_w_a", "A", -0.5, 500.0),
            Channel::OutputV => i("output_v", "V", -1.0, 1100.0),
            Channel::ControllerC => i("controller_c", "degC", -50.0, 150.0),
            Channel::IrradianceWM2 => i("irradiance_w_m2", "W/m2", -20.0, 1800.0),
            Channel::ModuleC => i("module_c", "degC", -50.0, 120.0),
            Channel::AirC => i("air_c", "degC", -60.0, 65.0),
            Channel::FlowM3H => i("flow_m3_h", "m3/h", -0.5, 500.0),
            Channel::WellheadKpa => i("wellhead_kpa", "kPa", -101.0, 10000.0),
            Channel::WaterLevelM => i("water_level_m", "m", -5.0, 1000.0),
            Channel::TankLevelPct => i("tank_level_pct", "%", -5.0, 110.0),
            Channel::VolumeM3 => i("volume_m3", "m3", 0.0, 1e9),
            Channel::EnergyKwh => i("energy_kwh", "kWh", 0.0, 1e9),
        }
    }

    /// Stored name.
    pub const fn code(self) -> &'static str {
        self.info().code
    }

    /// Unit as written in files.
    pub const fn unit(self) -> &'static str {
        self.info().unit
    }

    /// The channel with this stored name.
    pub fn from_code(code: &str) -> Option<Channel> {
        Self::ALL.into_iter().find(|c| c.code() == code)
    }

    /// True when `value` lies in the physical range and is a number.
    pub fn is_plausible(self, value: f64) -> bool {
        let info = self.info();
        value.is_finite() && value >= info.min && value <= info.max
    }
}
