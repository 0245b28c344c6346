//! Why a plant stands still, or turns and lifts nothing: which two curves do not meet, and by how much.

use wellwright_domain::finding::Regime;

use super::{Limits, Moment};
use crate::plant::Plant;

/// Two curves that do not meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// The two, in words.
    pub which: &'static str,
    /// What the one asks for at the least.
    pub asked: f64,
    /// What the other offers at the most.
    pub offered: f64,
    /// Unit of both.
    pub unit: &'static str,
}

impl Plant {
    /// Which curves do not meet, when the plant stands still or turns without lifting; `None` when water flows.
    ///
    /// Equation: at rest every limit is asked at the lowest speed and the one most broken is named; running,
    /// the head at no flow is set against the lift at no flow.
    /// Symbols: `m` as for [`Plant::operating_point`].
    pub fn apart(&self, m: &Moment) -> Option<Apart> {
        let curve = self.array.curve(m.irradiance_w_m2, m.cell_c, &self.condition.array);
        let point = self.on_curve(&curve, m);
        if let Some(load) = point.load {
            return self.no_lift(m, load.rpm, load.water.pump_m3_h);
        }
        let c = &self.controller;
        if point.best.v < c.min_v {
            let which = "the array's voltage at its best point and the controller's lowest voltage";
            return Some(Apart { which, asked: c.min_v, offered: point.best.v, unit: "V" });
        }
        let limits = Limits::new(self, &curve, point.best, m);
        let load = self.load_at(c.min_rpm, m.level);
        let (which, asked, offered, unit) = match limits.tightest(&load).regime {
            Regime::CurrentLimited => (
                "the torque at the lowest speed and the controller's phase current",
                load.motor.phase_a,
                limits.phase_a,
                "A",
            ),
            Regime::VoltageLimited => (
                "the motor's voltage at the lowest speed and what the array's voltage allows",
                load.motor.line_v,
                c.voltage_ratio() * point.best.v,
                "V",
            ),
            Regime::PowerLimited => (
                "the power at the lowest speed and the controller's power limit",
                load.dc_w,
                limits.power_w,
                "W",
            ),
            Regime::HeatLimited => (
                "the power at the lowest speed and what the controller's heat leaves of its limit",
                load.dc_w,
                limits.power_w,
                "W",
            ),
            _ => (
                "the power at the lowest speed and the array's best point",
                load.dc_w,
                limits.available_w,
                "W",
            ),
        };
        Some(Apart { which, asked, offered, unit })
    }

    fn no_lift(&self, m: &Moment, rpm: f64, flow_m3_h: f64) -> Option<Apart> {
        if flow_m3_h > 0.0 {
            return None;
        }
        let asked = self.water.head_m(&self.condition.water, m.level, 0.0);
        let offered = self.load_at(rpm, m.level).water.head_m;
        let which = if offered > asked {
            "the pump's head and a shut valve or pipe"
        } else {
            "the pump's head without flow and the lift"
        };
        Some(Apart { which, asked, offered, unit: "m" })
    }
}
