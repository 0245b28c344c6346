//! The head that well and pipes ask of the pump, as a rising function of the flow, with its slope.

use super::{Level, WaterCondition, WaterSide};
use crate::pipe::{minor_loss_m, velocity_m_s};

/// How steeply the level falls at the most once the pump takes more than the well gives, m per m3/h: a wall.
const STEEPEST: f64 = 2000.0;

/// A hole in the riser lies at about this share of the way up from the water to the outlet (it may be anywhere).
const HOLE_AT: f64 = 0.4;

/// Well and pipes at one moment, ready for many flows: what does not change with the flow is worked out once.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Lift<'a> {
    pub(super) side: &'a WaterSide,
    pub(super) wrong: &'a WaterCondition,
    /// Level without flow, m below the wellhead.
    pub(super) rest_m: f64,
    /// Drawdown, m per m3/h taken from the well and m per (m3/h)^2.
    linear: f64,
    quadratic: f64,
    /// Fall for every m3/h that is taken beyond the yield, m per m3/h: it empties the casing.
    beyond: f64,
    /// Loss of fittings, m per (m3/h)^2.
    fittings: f64,
}

/// What one flow asks for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked {
    pub(super) level_m: f64,
    pub(super) riser_m: f64,
    pub(super) surface_m: f64,
    /// Outlet over the wellhead, less what a large hole keeps the column short of it.
    pub(super) outlet_m: f64,
    outlet_slope: f64,
    level_slope: f64,
    riser_slope: f64,
    surface_slope: f64,
}

impl Asked {
    /// Total head, m.
    pub(super) fn head_m(&self) -> f64 {
        self.level_m + self.outlet_m + self.riser_m + self.surface_m
    }

    /// Its slope with the flow through the pump, m per m3/h.
    pub(super) fn slope(&self) -> f64 {
        self.level_slope + self.outlet_slope + self.riser_slope + self.surface_slope
    }

    /// The same a very small step of flow further.
    pub(super) fn moved(&self, step_m3_h: f64) -> Asked {
        Asked {
            level_m: self.level_m + step_m3_h * self.level_slope,
            riser_m: self.riser_m + step_m3_h * self.riser_slope,
            surface_m: self.surface_m + step_m3_h * self.surface_slope,
            outlet_m: self.outlet_m + step_m3_h * self.outlet_slope,
            ..*self
        }
    }
}

impl<'a> Lift<'a> {
    /// For a level and what is wrong between well and outlet.
    pub(crate) fn new(side: &'a WaterSide, wrong: &'a WaterCondition, level: Level) -> Lift<'a> {
        let (rest_m, linear, quadratic, beyond) = match level {
            Level::Known(m) => (m, 0.0, 0.0, 0.0),
            Level::After { minutes } => {
                let well = &side.well;
                let c = if minutes > 0.0 { well.drawdown.c } else { 0.0 };
                let by = wrong.drawdown_ratio;
                let beyond = (minutes / 60.0 / well.casing_m2.max(1e-4)).min(STEEPEST);
                (well.static_m + wrong.static_deeper_m, by * well.linear_m_per_m3h(minutes), by * c, beyond)
            }
        };
        Lift {
            side,
            wrong,
            rest_m,
            linear,
            quadratic,
            beyond,
            fittings: minor_loss_m(side.pipes.fittings_k, velocity_m_s(1.0, side.pipes.surface.inner_mm)),
        }
    }

    /// What a flow through the pump asks for; `pump_m3_h` 0 or more.
    #[inline]
    pub(super) fn at(&self, pump_m3_h: f64) -> Asked {
        let (p, c) = (&self.side.pipes, self.wrong);
        let (up, out) = self.arrives(pump_m3_h);
        let (rises, leaves) = (f64::from(u8::from(up > 0.0)), f64::from(u8::from(out > 0.0)));
        let (riser, riser_slope) = p.riser.loss_and_slope_m(up, p.nu_m2_s);
        let (surface, surface_slope) = p.surface.loss_and_slope_m(out, p.nu_m2_s);
        let blocked = quadratic(c.blocked_m_per_m3h2, up);
        let valve = quadratic(c.valve_m_per_m3h2, out);
        let fittings = quadratic(self.fittings, out);
        // what leaks in the riser falls back into the well
        let over = (up - c.yield_m3_h).max(0.0);
        let falls = if over > 0.0 { self.beyond } else { 0.0 };
        let level_m = self.drawn_m(up) + self.beyond * over;
        let (short_m, short_slope) = self.column_short_m(pump_m3_h, level_m + p.outlet_height_m);
        Asked {
            level_m,
            riser_m: c.riser_friction * riser + blocked.0,
            surface_m: c.surface_friction * (surface + fittings.0) + valve.0,
            outlet_m: p.outlet_height_m - short_m,
            outlet_slope: -short_slope,
            level_slope: rises * (self.linear + 2.0 * self.quadratic * up + falls),
            riser_slope: rises * (c.riser_friction * riser_slope + blocked.1),
            surface_slope: leaves * (c.surface_friction * (surface_slope + fittings.1) + valve.1),
        }
    }

    /// A hole in the riser that takes all: by how much the column stays short of the outlet, m, with its slope with
    /// the flow. What stands over the hole goes with the square of what it lets go.
    fn column_short_m(&self, pump_m3_h: f64, full_m: f64) -> (f64, f64) {
        let leak = self.wrong.riser_leak_m3_h;
        if pump_m3_h >= leak {
            return (0.0, 0.0);
        }
        let over_hole_m = (1.0 - HOLE_AT) * full_m.max(0.0);
        (over_hole_m * (1.0 - (pump_m3_h / leak).powi(2)), -2.0 * over_hole_m * pump_m3_h / (leak * leak))
    }

    /// Level under a flow out of the well, the emptying of the casing left aside, m below the wellhead.
    fn drawn_m(&self, up_m3_h: f64) -> f64 {
        self.rest_m + up_m3_h * (self.linear + self.quadratic * up_m3_h)
    }

    /// The same under a flow through the pump.
    pub(super) fn settled_m(&self, pump_m3_h: f64) -> f64 {
        self.drawn_m(self.arrives(pump_m3_h).0)
    }

    /// The same with the water held at a level, m below the wellhead.
    pub(super) fn with_water_at(self, level_m: f64) -> Lift<'a> {
        Lift { rest_m: level_m, linear: 0.0, quadratic: 0.0, beyond: 0.0, ..self }
    }

    /// What comes into the well while the water stands at a level, m3/h: nothing above the resting level.
    pub(super) fn inflow_m3_h(&self, level_m: f64) -> f64 {
        let fall = level_m - self.rest_m;
        if fall <= 0.0 {
            return 0.0;
        }
        let root = (self.linear * self.linear + 4.0 * self.quadratic * fall).sqrt();
        (2.0 * fall / (self.linear + root).max(1e-9)).min(self.wrong.yield_m3_h)
    }

    /// Of a flow through the pump, what arrives at the wellhead and at the tank, m3/h.
    pub(super) fn arrives(&self, pump_m3_h: f64) -> (f64, f64) {
        let up = (pump_m3_h - self.wrong.riser_leak_m3_h).max(0.0);
        (up, (up - self.wrong.surface_leak_m3_h).max(0.0))
    }

    /// A valve or the riser is shut: nothing can flow.
    pub(super) fn shut(&self) -> bool {
        self.wrong.valve_m_per_m3h2.is_infinite() || self.wrong.blocked_m_per_m3h2.is_infinite()
    }
}

/// Loss k Q^2 and its slope; none without flow, even through what is shut.
#[inline]
fn quadratic(k: f64, flow: f64) -> (f64, f64) {
    if k == 0.0 || flow == 0.0 { (0.0, 0.0) } else { (k * flow * flow, 2.0 * k * flow) }
}
