//! What holds a plant: each limit as the share of it that a load uses.

use std::cell::Cell;

use wellwright_domain::finding::Regime;

use super::Moment;
use crate::array::ArrayCurve;
use crate::load::Load;
use crate::module::Point;
use crate::plant::Plant;

/// Least power that counts as a limit, W: keeps shares finite in the dark.
const LEAST_W: f64 = 1e-9;

/// A limit and the share of it that is used: 1 at the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    /// Used over allowed, 0 or more.
    pub share: f64,
    /// The regime that the limit makes.
    pub regime: Regime,
}

/// The limits of a plant at one moment, but for its highest speed.
#[derive(Debug, Clone)]
pub struct Limits<'a> {
    curve: &'a ArrayCurve,
    best: Point,
    voc: f64,
    /// The voltage answered last: the next is near it.
    near_v: Cell<f64>,
    /// What the controller takes of the array's best, W.
    pub available_w: f64,
    /// Power limit left by the controller's heat, W.
    pub power_w: f64,
    /// Phase current, A rms.
    pub phase_a: f64,
    /// Output voltage over DC voltage.
    ceiling: f64,
    hot: bool,
}

impl<'a> Limits<'a> {
    /// At one moment, for the array's curve with its best point.
    pub fn new(plant: &Plant, curve: &'a ArrayCurve, best: Point, m: &Moment) -> Limits<'a> {
        let wrong = &plant.condition.controller;
        Limits {
            curve,
            best,
            voc: curve.voc(),
            near_v: Cell::new(f64::NAN),
            available_w: (best.p * (1.0 - wrong.power_not_taken)).max(LEAST_W),
            power_w: (plant.controller.max_power_w * wrong.power_share * m.heat_share).max(LEAST_W),
            phase_a: plant.controller.max_phase_a * wrong.current_share,
            ceiling: plant.controller.voltage_ratio(),
            hot: m.heat_share < 1.0,
        }
    }

    /// Voltage at which the array gives `dc_w`, V: above that of its best point.
    pub fn voltage_v(&self, dc_w: f64) -> f64 {
        let v = self.curve.voltage_above(&self.best, self.voc, dc_w, self.near_v.get());
        self.near_v.set(v);
        v
    }

    /// The limit of which a load uses most.
    #[inline]
    pub fn tightest(&self, load: &Load) -> Use {
        self.uses(load).into_iter().fold(Use { share: 0.0, regime: Regime::SpeedLimited }, |a, b| {
            if b.share > a.share { b } else { a }
        })
    }

    /// All limits with what a load uses of them.
    #[inline]
    pub fn uses(&self, load: &Load) -> [Use; 4] {
        // The voltage limit cannot bind while the best point's voltage would do.
        let voltage = if load.motor.line_v <= self.ceiling * self.best.v {
            0.0
        } else {
            load.motor.line_v / (self.ceiling * self.voltage_v(load.dc_w))
        };
        let heat = if self.hot { Regime::HeatLimited } else { Regime::PowerLimited };
        [
            Use { share: load.dc_w / self.available_w, regime: Regime::SunLimited },
            Use { share: load.motor.phase_a / self.phase_a, regime: Regime::CurrentLimited },
            Use { share: load.dc_w / self.power_w, regime: heat },
            Use { share: voltage, regime: Regime::VoltageLimited },
        ]
    }
}
