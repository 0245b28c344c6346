//! Sensors that somebody added to what the controller reads by itself, and how far each may err.

use serde::{Deserialize, Serialize};

use super::FlowPlace;

/// Accuracy class of one added sensor, 1 sigma.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub struct SensorClass {
    /// Per cent of reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accuracy_pct: Option<f64>,
    /// K.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accuracy_k: Option<f64>,
    /// m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accuracy_m: Option<f64>,
    /// Place of a flow meter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<FlowPlace>,
}

/// Added sensors; the controller's own readings are never listed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Sensors {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub irradiance_w_m2: Option<SensorClass>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub module_c: Option<SensorClass>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_c: Option<SensorClass>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_m3_h: Option<SensorClass>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wellhead_kpa: Option<SensorClass>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water_level_m: Option<SensorClass>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tank_level_pct: Option<SensorClass>,
}

impl Sensors {
    /// Error of the irradiance sensor, 1 sigma, share of the reading.
    pub fn irradiance_share(&self) -> f64 {
        share(self.irradiance_w_m2.as_ref(), IRRADIANCE_PCT)
    }

    /// Error of the flow meter, 1 sigma, share of the reading.
    pub fn flow_share(&self) -> f64 {
        share(self.flow_m3_h.as_ref(), FLOW_PCT)
    }

    /// Error of the pressure sensor, 1 sigma, share of the reading.
    pub fn pressure_share(&self) -> f64 {
        share(self.wellhead_kpa.as_ref(), PRESSURE_PCT)
    }

    /// Error of the level sensor at a depth of `reads_m` below the wellhead, 1 sigma, m.
    pub fn level_error_m(&self, reads_m: f64) -> f64 {
        let class = self.water_level_m.as_ref();
        let of_reading = class.and_then(|c| c.accuracy_pct).map(|pct| pct / 100.0 * reads_m.abs());
        match (class.and_then(|c| c.accuracy_m), of_reading) {
            (Some(m), Some(more)) => m.hypot(more),
            (one, other) => one.or(other).unwrap_or(LEVEL_M),
        }
    }

    /// Where the flow meter sits.
    pub fn flow_at(&self) -> FlowPlace {
        self.flow_m3_h.as_ref().and_then(|c| c.at).unwrap_or(FlowPlace::Wellhead)
    }
}

/// Classes of sensors whose own nobody wrote down (common practice, no single source).
const IRRADIANCE_PCT: f64 = 5.0;
const FLOW_PCT: f64 = 3.0;
const PRESSURE_PCT: f64 = 2.0;
const LEVEL_M: f64 = 0.3;

fn share(class: Option<&SensorClass>, usual_pct: f64) -> f64 {
    class.and_then(|c| c.accuracy_pct).unwrap_or(usual_pct) / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_record_holds_goes_before_what_is_usual() {
        let mut sensors = Sensors::default();
        let usual = (sensors.irradiance_share(), sensors.flow_share(), sensors.pressure_share());
        assert_eq!((usual, sensors.level_error_m(40.0)), ((0.05, 0.03, 0.02), 0.3));
        sensors.flow_m3_h = Some(SensorClass { accuracy_pct: Some(1.0), ..SensorClass::default() });
        assert_eq!(sensors.flow_share(), 0.01);
        let level = |accuracy_m, accuracy_pct| {
            let class = SensorClass { accuracy_pct, accuracy_m, ..SensorClass::default() };
            Sensors { water_level_m: Some(class), ..Sensors::default() }.level_error_m(40.0)
        };
        assert_eq!((level(Some(0.1), None), level(None, Some(1.0))), (0.1, 0.4));
        assert_eq!(level(Some(0.3), Some(1.0)), 0.5);
    }
}
