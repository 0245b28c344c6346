//! Sun to tank in one call: the speed at which array, controller, motor, pump, pipes and well agree.

mod limits;
mod sensitivity;
mod speed;
mod why;

pub use limits::{Limits, Use};
pub use sensitivity::{Change, Parameter, Sensitivity};
pub use why::Apart;

use wellwright_domain::finding::Regime;

use crate::array::ArrayCurve;
use crate::hydraulics::Level;
use crate::load::Load;
use crate::module::Point;
use crate::plant::Plant;
use speed::{Fastest, fastest};

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

/// Less than this share below the array's best is the best.
const SHORT_OF_BEST: f64 = 1e-4;

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
    /// Limits: a pump that takes less power once it lifts than just before (a large `shutoff_power_share`
    /// beside its curve) can have two such speeds; one of them is given.
    pub fn operating_point(&self, m: &Moment) -> OperatingPoint {
        let curve = self.array.curve(m.irradiance_w_m2, m.cell_c, &self.condition.array);
        self.on_curve(&curve, m)
    }

    /// As [`Plant::operating_point`] with the array's curve already at hand.
    pub fn on_curve(&self, curve: &ArrayCurve, m: &Moment) -> OperatingPoint {
        let best = curve.best();
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
        if best.v < self.controller.min_v {
            return stand(Standstill::TooLittleVoltage);
        }
        let limits = Limits::new(self, curve, best, m);
        let lift = self.lift(m.level);
        let (load, regime) = match fastest(self, &lift, &limits) {
            Fastest::At(load, regime) => (load, regime),
            Fastest::Nowhere(Regime::CurrentLimited) => return stand(Standstill::TooMuchTorque),
            Fastest::Nowhere(_) => return stand(Standstill::TooLittleSun),
        };
        // Short of the best point although it is named: a shaded array would have to leave a peak whose voltage
        // the motor needs for a higher one at less. The voltage holds it there.
        let short = load.dc_w < (1.0 - SHORT_OF_BEST) * limits.available_w;
        let regime = if regime == Regime::SunLimited && short { Regime::VoltageLimited } else { regime };
        let v = if regime == Regime::SunLimited && self.condition.controller.power_not_taken == 0.0 {
            best.v
        } else {
            limits.voltage_v(load.dc_w)
        };
        let p = load.dc_w;
        OperatingPoint { regime, standstill: None, dc: Point { v, i: p / v, p }, best, load: Some(load) }
    }

    /// Where the power goes at an operating point.
    pub fn chain(&self, point: &OperatingPoint) -> Chain {
        let Some(load) = &point.load else { return Chain::default() };
        let dc_ohm = self.array.dc_ohm + self.condition.array.dc_ohm;
        let hydraulic = load.water.pump_m3_h / 3600.0
            * self.water.pipes.density_kg_m3
            * crate::constants::G_M_S2
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
