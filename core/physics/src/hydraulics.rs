//! Well, riser, surface pipe and outlet: what head a flow asks for, and where pump and pipes meet.

use crate::pipe::{Pipe, minor_loss_m};
use crate::pump::centrifugal::G_M_S2;
use crate::pump::{Pump, PumpCondition, Rotation};
use crate::well::StepDrawdown;

/// Well as the pump sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Well {
    /// Resting level below the wellhead, m.
    pub static_m: f64,
    /// Step drawdown after `at_min` minutes of pumping.
    pub drawdown: StepDrawdown,
    /// Minutes that the coefficients stand for.
    pub at_min: f64,
    /// Intake below the wellhead, m.
    pub intake_m: f64,
    /// Free area of the casing, m2.
    pub casing_m2: f64,
}

impl Well {
    /// Share of the linear drawdown that has developed after `minutes` of pumping, 0..about 1.2.
    ///
    /// Equation: casing storage, 1 - exp(-t/tau) with tau = A B, times growth with log time,
    /// 0.6 + 0.4 log10(t) / log10(t_ref).
    /// Limits: a stand-in between step test and Theis; use `well::theis` where T and S are known.
    /// Source: Cooper & Jacob 1946 (growth with log time); casing storage, Papadopulos & Cooper 1967;
    /// the split 0.6 / 0.4 is engineering judgement.
    pub fn developed(&self, minutes: f64) -> f64 {
        if minutes <= 0.0 {
            return 0.0;
        }
        let tau_min = (self.casing_m2 * self.drawdown.b * 60.0).max(0.05);
        let growth = 0.6 + 0.4 * minutes.max(1.0).log10() / self.at_min.max(10.0).log10();
        (1.0 - (-minutes / tau_min).exp()) * growth
    }
}

/// Where the water stands in the well while the pump runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Level {
    /// Follows from the flow after so many minutes of pumping.
    After {
        /// Minutes since the start.
        minutes: f64,
    },
    /// Known, m below the wellhead.
    Known(f64),
}

/// Pipes above the pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pipes {
    /// Riser.
    pub riser: Pipe,
    /// Surface pipe.
    pub surface: Pipe,
    /// Sum of K on the surface pipe's velocity head, after gauge and meter.
    pub fittings_k: f64,
    /// Outlet above the wellhead, m.
    pub outlet_height_m: f64,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// Kinematic viscosity, m2/s.
    pub nu_m2_s: f64,
}

/// What is wrong between well and outlet; the default is nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterCondition {
    /// Extra loss after the gauge, m per (m3/h)^2; infinite = shut.
    pub valve_m_per_m3h2: f64,
    /// Extra loss before the gauge, m per (m3/h)^2; infinite = shut.
    pub blocked_m_per_m3h2: f64,
    /// Friction of the riser over the record's.
    pub riser_friction: f64,
    /// Friction of surface pipe and fittings over the record's.
    pub surface_friction: f64,
    /// Share of the pump's flow that escapes inside the well.
    pub riser_leak: f64,
    /// Share of the wellhead's flow that escapes at the surface.
    pub surface_leak: f64,
    /// Resting level deeper than the record, m.
    pub static_deeper_m: f64,
    /// Drawdown over the record's at the same flow.
    pub drawdown_ratio: f64,
}

impl Default for WaterCondition {
    fn default() -> Self {
        WaterCondition {
            valve_m_per_m3h2: 0.0,
            blocked_m_per_m3h2: 0.0,
            riser_friction: 1.0,
            surface_friction: 1.0,
            riser_leak: 0.0,
            surface_leak: 0.0,
            static_deeper_m: 0.0,
            drawdown_ratio: 1.0,
        }
    }
}

/// Where pump and pipes meet at one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterPoint {
    /// Through the pump, m3/h.
    pub pump_m3_h: f64,
    /// At the wellhead, m3/h.
    pub wellhead_m3_h: f64,
    /// At the tank, m3/h.
    pub tank_m3_h: f64,
    /// Head across the pump, m.
    pub head_m: f64,
    /// Water level while running, m below the wellhead.
    pub level_m: f64,
    /// Gauge pressure before the wellhead valve, kPa.
    pub wellhead_kpa: f64,
    /// The level would fall to the intake: the well gives less than the pump takes.
    pub at_intake: bool,
    /// Friction and fittings, m.
    pub friction_m: f64,
}

/// Well and pipes; what is wrong with them comes as an argument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterSide {
    /// Well.
    pub well: Well,
    /// Pipes.
    pub pipes: Pipes,
}

impl WaterSide {
    fn level_m(&self, c: &WaterCondition, level: Level, flow_m3_h: f64) -> f64 {
        match level {
            Level::Known(m) => m,
            Level::After { minutes } => {
                let well = &self.well;
                let q = flow_m3_h * (1.0 - c.riser_leak);
                let linear = well.developed(minutes) * well.drawdown.b * q;
                let quadratic = if minutes > 0.0 { well.drawdown.c * q * q } else { 0.0 };
                well.static_m + c.static_deeper_m + c.drawdown_ratio * (linear + quadratic)
            }
        }
    }

    fn losses_m(&self, c: &WaterCondition, pump_m3_h: f64) -> (f64, f64) {
        let p = &self.pipes;
        let up = pump_m3_h * (1.0 - c.riser_leak);
        let out = up * (1.0 - c.surface_leak);
        let riser =
            c.riser_friction * p.riser.loss_m(up, p.nu_m2_s) + quadratic_loss(c.blocked_m_per_m3h2, up);
        let surface = c.surface_friction
            * (p.surface.loss_m(out, p.nu_m2_s) + minor_loss_m(p.fittings_k, p.surface.velocity_m_s(out)))
            + quadratic_loss(c.valve_m_per_m3h2, out);
        (riser, surface)
    }

    /// Head that a flow through the pump asks for, m.
    pub fn head_m(&self, c: &WaterCondition, level: Level, pump_m3_h: f64) -> f64 {
        let (riser, surface) = self.losses_m(c, pump_m3_h);
        self.level_m(c, level, pump_m3_h) + self.pipes.outlet_height_m + riser + surface
    }

    /// Where `pump` at `rpm` meets the pipes. Always answers: no flow when the pump cannot lift.
    pub fn meet(
        &self,
        wrong: &WaterCondition,
        pump: &Pump,
        c: &PumpCondition,
        rpm: f64,
        level: Level,
    ) -> WaterPoint {
        if c.moves_nothing() || rpm <= 0.0 {
            return self.point(wrong, 0.0, 0.0, level);
        }
        let (flow, head) = match pump {
            Pump::Centrifugal(p) => {
                let gap = |q: f64| p.head_m(rpm, q, c) - self.head_m(wrong, level, q);
                let top = match c.rotation {
                    Rotation::Forward => p.max_flow_m3_h(rpm) * (1.0 - c.blockage).max(0.02),
                    Rotation::Reversed => 0.6 * p.best_flow_m3_h() * rpm / p.rated_rpm(),
                };
                let q = falling_root(gap, top);
                (q, p.head_m(rpm, q, c))
            }
            Pump::Helical(p) => {
                let swept = p.swept_m3_h(rpm, c);
                let slip = p.slip(c, self.head_m(wrong, level, 0.0)).max(1e-6);
                let gap = |q: f64| swept - slip * self.head_m(wrong, level, q) - q;
                let q = if swept > 0.0 { falling_root(gap, swept) } else { 0.0 };
                (q, (swept - q) / slip)
            }
        };
        self.point(wrong, flow, head, level)
    }

    fn point(&self, c: &WaterCondition, flow: f64, head: f64, level: Level) -> WaterPoint {
        let asked = self.level_m(c, level, flow);
        let at_intake = asked > self.well.intake_m;
        let level_m = asked.min(self.well.intake_m);
        let (riser, surface) = self.losses_m(c, flow);
        let wellhead = flow * (1.0 - c.riser_leak);
        // With a shut valve after it the gauge shows the pump's own head less the lift.
        let gauge_m = if flow <= 0.0 && c.valve_m_per_m3h2.is_infinite() {
            (head - level_m).max(0.0)
        } else {
            self.pipes.outlet_height_m + surface
        };
        WaterPoint {
            pump_m3_h: flow,
            wellhead_m3_h: wellhead,
            tank_m3_h: wellhead * (1.0 - c.surface_leak),
            head_m: head,
            level_m,
            wellhead_kpa: gauge_m * self.pipes.density_kg_m3 * G_M_S2 / 1000.0,
            at_intake,
            friction_m: if riser.is_finite() && surface.is_finite() { riser + surface } else { 0.0 },
        }
    }
}

fn quadratic_loss(k: f64, flow: f64) -> f64 {
    if k == 0.0 || flow == 0.0 { 0.0 } else { k * flow * flow }
}

/// Root of a falling function on [0, top]; 0 when it starts at or below zero, `top` when it never falls so far.
fn falling_root(f: impl Fn(f64) -> f64, top: f64) -> f64 {
    let (mut a, mut fa) = (0.0, f(0.0));
    if fa <= 0.0 || top <= 0.0 {
        return 0.0;
    }
    let (mut b, mut fb) = (top, f(top));
    if fb >= 0.0 {
        return top;
    }
    if !fb.is_finite() {
        // an infinite loss: shut
        return 0.0;
    }
    // Illinois: secant steps that keep the bracket and never stall on one side.
    let tolerance = 1e-7 * top;
    let mut last = 0;
    for _ in 0..60 {
        let mut x = (a * fb - b * fa) / (fb - fa);
        if !(x > a && x < b) {
            x = 0.5 * (a + b);
        }
        let fx = f(x);
        if fx > 0.0 {
            if x - a < tolerance && last == 1 && b - a < 1e3 * tolerance {
                return x;
            }
            (a, fa) = (x, fx);
            if last == 1 {
                fb *= 0.5;
            }
            last = 1;
        } else {
            (b, fb) = (x, fx);
            if last == -1 {
                fa *= 0.5;
            }
            last = -1;
        }
        if b - a < tolerance || fx.abs() < 1e-7 {
            return x;
        }
    }
    0.5 * (a + b)
}
