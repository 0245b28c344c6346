//! Panels and the cable to the controller.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// A conductor by trade size.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Conductor {
    /// American Wire Gauge number (ASTM B258).
    Awg(i32),
    /// Nominal section, mm2, IEC 60228 class 5.
    Mm2(f64),
}

impl FromStr for Conductor {
    type Err = String;
    fn from_str(text: &str) -> Result<Conductor, String> {
        let t = text.trim().to_ascii_lowercase();
        let parsed = if let Some(n) = t.strip_prefix("awg") {
            n.trim().parse().ok().filter(|n| (0..=30).contains(n)).map(Conductor::Awg)
        } else if let Some(a) = t.strip_suffix("mm2") {
            a.trim().parse().ok().filter(|a: &f64| (0.2..=1000.0).contains(a)).map(Conductor::Mm2)
        } else {
            None
        };
        parsed.ok_or_else(|| format!("`{text}` is not a conductor size; write awg12 or 6mm2"))
    }
}

impl fmt::Display for Conductor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Conductor::Awg(n) => write!(f, "awg{n}"),
            Conductor::Mm2(a) => write!(f, "{a}mm2"),
        }
    }
}

impl TryFrom<String> for Conductor {
    type Error = String;
    fn try_from(text: String) -> Result<Conductor, String> {
        text.parse()
    }
}

impl From<Conductor> for String {
    fn from(c: Conductor) -> String {
        c.to_string()
    }
}

/// Cable from array to controller.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct DcCable {
    /// Conductor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conductor: Option<Conductor>,
    /// One way, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
}

/// How the modules are mounted; decides how hot they get.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mounting {
    /// Air on both sides.
    OpenRack,
    /// Close to a roof.
    Roof,
}

/// A point of the horizon: azimuth and elevation, degrees.
pub type HorizonPoint = [f64; 2];

/// One module's data sheet, at 1000 W/m2 and 25 degC.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Module {
    /// Cells in series.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cells: Option<u32>,
    /// Groups of cells with a bypass diode each.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub substrings: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub isc_a: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub voc_v: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub imp_a: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vmp_v: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alpha_isc_a_per_k: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beta_voc_v_per_k: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gamma_pmp_pct_per_k: Option<f64>,
    /// Nominal operating cell temperature, degC.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub noct_c: Option<f64>,
    /// Highest system voltage of the module, V.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_system_v: Option<f64>,
}

/// Panels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct Array {
    /// Modules in series in each string.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub series: Option<u32>,
    /// Strings in parallel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strings: Option<u32>,
    /// Tilt from level, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tilt_deg: Option<f64>,
    /// Azimuth clockwise from true north, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub azimuth_deg: Option<f64>,
    /// Mounting.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mounting: Option<Mounting>,
    /// Ground reflectance, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub albedo: Option<f64>,
    /// Horizon, linear between points, wraps at 360.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub horizon: Option<Vec<HorizonPoint>>,
    /// Module.
    #[serde(default)]
    pub module: Module,
}
