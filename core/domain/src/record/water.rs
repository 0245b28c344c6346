//! Site, well and pipes.

use serde::{Deserialize, Serialize};

/// Where the system stands and its climate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Latitude, degrees, north positive, -90 to 90.
    pub latitude_deg: f64,
    /// Longitude, degrees, east positive, -180 to 180.
    pub longitude_deg: f64,
    /// Altitude, m, -450 to 6000.
    pub altitude_m: f64,
    /// IANA time zone.
    pub time_zone: String,
    /// Coldest morning, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_min_c: Option<f64>,
    /// Hottest afternoon, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_max_c: Option<f64>,
    /// Irradiation in the plane of the array by month, kWh/m2 a day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub irradiation_kwh_m2_day: Option<[f64; 12]>,
    /// Mean day air temperature by month, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_day_c: Option<[f64; 12]>,
}

/// Borehole and its water.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Well {
    /// Inner diameter of the casing, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub casing_inner_mm: Option<f64>,
    /// Depth of the hole, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
    /// Depth of the pump's intake below the wellhead, m.
    pub intake_depth_m: f64,
    /// Resting water level below the wellhead, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub static_level_m: Option<f64>,
    /// Date of that level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub static_level_on: Option<String>,
    /// Linear drawdown coefficient B, m per m3/h.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawdown_b_m_per_m3h: Option<f64>,
    /// Quadratic drawdown coefficient C, m per (m3/h)^2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawdown_c_m_per_m3h2: Option<f64>,
    /// Minutes of pumping that B and C stand for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drawdown_at_min: Option<f64>,
    /// Water temperature, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_c: Option<f64>,
}

/// What a pipe is made of; decides its roughness.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PipeMaterial {
    /// Polyethylene.
    Pe,
    /// PVC.
    Pvc,
    /// Galvanised steel.
    Galvanised,
    /// Plain steel.
    Steel,
}

/// Pipes from pump to outlet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Delivery {
    /// Length of the riser, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub riser_length_m: Option<f64>,
    /// Inner diameter of the riser, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub riser_inner_mm: Option<f64>,
    /// Outer diameter of the riser, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub riser_outer_mm: Option<f64>,
    /// Pressure rating of the pipe, kPa.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pipe_rating_kpa: Option<f64>,
    /// Material of the riser.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub riser_material: Option<PipeMaterial>,
    /// Length of the surface pipe, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface_length_m: Option<f64>,
    /// Inner diameter of the surface pipe, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface_inner_mm: Option<f64>,
    /// Material of the surface pipe.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface_material: Option<PipeMaterial>,
    /// Sum of loss coefficients K on the surface pipe's velocity head, after gauge and meter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fittings_k: Option<f64>,
    /// Outlet above the wellhead, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outlet_height_m: Option<f64>,
    /// A check valve is fitted at the pump.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub check_valve: Option<bool>,
}
