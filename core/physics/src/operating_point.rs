//! Sun to tank in one call: the speed at which array, controller, motor, pump, pipes and well agree.

use wellwright_domain::finding::Regime;

use crate::array::ArrayCurve;
use crate::hydraulics::Level;
use crate::load::Load;
use crate::module::Point;
use crate::plant::Plant;

/// The outside world at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Irradiance in the plane of the array, W/m2, 0..1800.
    pub irradiance_w_m2: f64,
    /// Cell temperature, degC.
    pub cell_c: f64,
    /// Where the water stands.
    pub level: Level,
    /// Share of the power limit left by the controller's heat, 0..1 (1: cool).
    pub heat_share: f64,
}

/// Why a plant stands still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standstill {
    /// The array cannot carry the lowest speed.
    TooLittleSun,
    /// Array voltage below the controller's lowest.
    TooLittleVoltage,
    /// Torque at the lowest speed asks for more current than the limit.
    TooMuchTorque,
}

/// The whole chain at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OperatingPoint {
    /// What holds it.
    pub regime: Regime,
    /// Why it stands still, when it does.
    pub standstill: Option<Standstill>,
    /// Voltage and current at the controller's DC input.
    pub dc: Point,
    /// The best the array could give now, at the controller's input.
    pub best: Point,
    /// Load side; `None` when it stands still.
    pub load: Option<Load>,
}

/// Where the power goes, W.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Chain {
    /// The array gives.
    pub array: f64,
    /// At the controller's input.
    pub after_dc_cable: f64,
    /// Out of the controller.
    pub controller_out: f64,
    /// Into the motor.
    pub motor_in: f64,
    /// On the shaft.
    pub shaft: f64,
    /// Water at the pump's outlet.
    pub hydraulic: f64,
}

impl Plant {
    /// Solves the whole chain.
    ///
    /// The highest speed within every limit is the answer: each limit (array power, speed, phase current,
    /// power, output voltage) is a margin that falls with speed, so the smallest of them has one root and
    /// bracketing cannot fail. The limit whose margin is the smallest at the answer names the regime.
    pub fn operating_point(&self, m: &Moment) -> OperatingPoint {
        let curve = self.array.curve(m.irradiance_w_m2, m.cell_c, &self.condition.array);
        self.on_curve(&curve, m)
    }

    /// As [`Plant::operating_point`] with the array's curve already at hand.
    pub fn on_curve(&self, curve: &ArrayCurve, m: &Moment) -> OperatingPoint {
        let best = curve.best();
        let c = &self.controller;
        let available = best.p * (1.0 - self.condition.controller.power_not_taken);
        let stand = |why| {
            let voc = curve.voc();
            OperatingPoint {
                regime: Regime::Stopped,
                standstill: Some(why),
                dc: Point { v: voc, i: 0.0, p: 0.0 },
                best,
                load: None,
            }
        };
        if best.v < c.min_v {
            return stand(Standstill::TooLittleVoltage);
        }
        let power_limit = c.max_power_w * m.heat_share;
        let margins = |load: &Load| -> [(f64, Regime); 4] {
            // The voltage limit cannot bind while the best point's voltage would do.
            let ceiling = c.voltage_ratio();
            let voltage = if load.motor.line_v <= ceiling * best.v {
                f64::INFINITY
            } else {
                1.0 - load.motor.line_v / (ceiling * curve.voltage_for_power(load.dc_w))
            };
            let heat = if m.heat_share < 1.0 { Regime::HeatLimited } else { Regime::PowerLimited };
            [
                (1.0 - load.dc_w / available.max(1e-9), Regime::SunLimited),
                (1.0 - load.motor.phase_a / c.max_phase_a, Regime::CurrentLimited),
                (1.0 - load.dc_w / power_limit, heat),
                (voltage, Regime::VoltageLimited),
            ]
        };
        let smallest = |load: &Load| {
            margins(load)
                .into_iter()
                .fold((f64::INFINITY, Regime::SpeedLimited), |a, b| if b.0 < a.0 { b } else { a })
        };
        let top = self.load_at(c.max_rpm, m.level);
        let (at_top, _) = smallest(&top);
        let (load, regime) = if at_top >= 0.0 {
            (top, Regime::SpeedLimited)
        } else {
            let bottom = self.load_at(c.min_rpm, m.level);
            let (at_bottom, held_by) = smallest(&bottom);
            if at_bottom < 0.0 {
                return stand(match held_by {
                    Regime::CurrentLimited => Standstill::TooMuchTorque,
                    _ => Standstill::TooLittleSun,
                });
            }
            self.highest_speed(m.level, (bottom, at_bottom), (top, at_top), smallest)
        };
        let v = if regime == Regime::SunLimited && self.condition.controller.power_not_taken == 0.0 {
            best.v
        } else {
            curve.voltage_for_power(load.dc_w)
        };
        let p = load.dc_w;
        OperatingPoint { regime, standstill: None, dc: Point { v, i: p / v, p }, best, load: Some(load) }
    }

    /// Root of the smallest margin between two speeds, by Illinois steps on speed.
    fn highest_speed(
        &self,
        level: Level,
        low: (Load, f64),
        high: (Load, f64),
        smallest: impl Fn(&Load) -> (f64, Regime),
    ) -> (Load, Regime) {
        let (mut a, mut fa) = (low.0.rpm, low.1);
        let (mut b, mut fb) = (high.0.rpm, high.1);
        let mut best = (low.0, smallest(&low.0).1);
        let mut last = 0;
        for _ in 0..60 {
            let mut x = (a * fb - b * fa) / (fb - fa);
            if !(x > a && x < b) {
                x = 0.5 * (a + b);
            }
            let load = self.load_at(x, level);
            let (f, regime) = smallest(&load);
            best = (load, regime);
            if f.abs() < 1e-9 || b - a < 1e-7 * b {
                break;
            }
            if f > 0.0 {
                (a, fa) = (x, f);
                if last == 1 {
                    fb *= 0.5;
                }
                last = 1;
            } else {
                (b, fb) = (x, f);
                if last == -1 {
                    fa *= 0.5;
                }
                last = -1;
            }
        }
        best
    }

    /// Where the power goes at an operating point.
    pub fn chain(&self, point: &OperatingPoint) -> Chain {
        let Some(load) = &point.load else { return Chain::default() };
        let dc_ohm = self.array.dc_ohm + self.condition.array.dc_ohm;
        let hydraulic = load.water.pump_m3_h / 3600.0
            * self.water.pipes.density_kg_m3
            * crate::pump::centrifugal::G_M_S2
            * load.water.head_m;
        Chain {
            array: point.dc.p + point.dc.i * point.dc.i * dc_ohm,
            after_dc_cable: point.dc.p,
            controller_out: load.output_w,
            motor_in: load.motor.motor_in_w,
            shaft: load.motor.shaft_w,
            hydraulic,
        }
    }
}
