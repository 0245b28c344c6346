//! Where pump and pipes meet: the flow at which the pump's head is what well and pipes ask for.

use super::WaterPoint;
use super::lift::{Asked, Lift};
use crate::pump::{Pump, PumpCondition, Rotation};

/// Least leakage back through a helical rotor that the arithmetic needs, m3/h per m.
const LEAST_SLIP: f64 = 1e-6;

/// What stands over the intake goes within this share of the time that the water took to it (engineering judgement).
const EMPTIES_OVER: f64 = 0.25;

impl Lift<'_> {
    /// The meeting at `rpm`; no flow when the pump cannot lift, and with the water at the intake no more than what
    /// comes in. `guess_m3_h` is a flow near it, if known: it saves time and changes nothing else.
    #[inline]
    pub(crate) fn meet(
        &self,
        pump: &Pump,
        c: &PumpCondition,
        rpm: f64,
        guess_m3_h: Option<f64>,
    ) -> WaterPoint {
        let met = self.meet_under_water(pump, c, rpm, guess_m3_h);
        // without any water it turns in air, whether it could lift or not
        let starves = met.at_intake && (met.pump_m3_h > 0.0 || self.rest_m >= self.side.well.intake_m);
        if starves { self.starved(pump, c, rpm, met) } else { met }
    }

    /// With the water at the intake: what comes in, the rest of the pump's appetite is air. `met`: where they would
    /// meet if the pump had a suction hose.
    fn starved(&self, pump: &Pump, c: &PumpCondition, rpm: f64, met: WaterPoint) -> WaterPoint {
        let intake_m = self.side.well.intake_m;
        let here = self.with_water_at(intake_m);
        let appetite = here.meet_under_water(pump, c, rpm, Some(met.pump_m3_h)).pump_m3_h;
        // what leaks in the riser falls back into the well
        let comes = self.inflow_m3_h(intake_m) + self.wrong.riser_leak_m3_h;
        let all = if comes > 0.0 { (comes / appetite.max(1e-9)).min(1.0) } else { 0.0 };
        let wet = 1.0 - (1.0 - all) * self.emptied(appetite);
        let asked = here.at(wet * appetite);
        WaterPoint { at_intake: true, wet, ..here.point(wet * appetite, asked.head_m().max(0.0), &asked) }
    }

    /// How far what stood over the intake is gone since the water met it, 0 to 1, where the pump takes `m3_h` of it.
    /// It takes a while, and what is compared are means over minutes.
    fn emptied(&self, m3_h: f64) -> f64 {
        let settled_m = self.settled_m(m3_h);
        let room_m = self.side.well.intake_m - settled_m;
        let fallen_m = self.at(m3_h).level_m - settled_m;
        if room_m > 0.0 { ((fallen_m / room_m - 1.0) / EMPTIES_OVER).clamp(0.0, 1.0) } else { 1.0 }
    }

    #[inline]
    fn meet_under_water(
        &self,
        pump: &Pump,
        c: &PumpCondition,
        rpm: f64,
        guess_m3_h: Option<f64>,
    ) -> WaterPoint {
        if c.moves_nothing() || rpm <= 0.0 {
            return self.point(0.0, 0.0, &self.at(0.0));
        }
        let still = self.at(0.0);
        match pump {
            Pump::Centrifugal(p) => {
                let top = match c.rotation {
                    Rotation::Forward => p.max_flow_m3_h(rpm) * (1.0 - c.blockage).max(0.02),
                    Rotation::Reversed => 0.6 * p.best_flow_m3_h() * rpm / p.rated_rpm(),
                };
                let shutoff_m = p.head_m(rpm, 0.0, c);
                if shutoff_m <= still.head_m() || self.shut() {
                    return self.point(0.0, shutoff_m, &still);
                }
                let gap = |q: f64| {
                    let asked = self.at(q);
                    let (head, slope) = p.head_and_slope_m(rpm, q, c);
                    (head - asked.head_m(), slope - asked.slope(), (head, slope, asked))
                };
                let spare_m = shutoff_m - still.head_m();
                let guess = guess_m3_h.unwrap_or_else(|| power_law_root(gap, spare_m, 0.6 * top));
                let (q, step, (head, slope, asked)) = falling_root(gap, top, guess);
                self.point(q, head + step * slope, &asked.moved(step))
            }
            Pump::Helical(p) => {
                let swept = p.swept_m3_h(rpm, c);
                let slip = p.slip(c, still.head_m()).max(LEAST_SLIP);
                let most_m = swept / slip;
                if most_m <= still.head_m() || self.shut() {
                    return self.point(0.0, most_m, &still);
                }
                let gap = |q: f64| {
                    let asked = self.at(q);
                    (swept - slip * asked.head_m() - q, -slip * asked.slope() - 1.0, asked)
                };
                let guess = guess_m3_h.unwrap_or(swept - slip * still.head_m());
                let (q, step, asked) = falling_root(gap, swept, guess);
                let asked = asked.moved(step);
                // a lift below zero pushes the water through by itself: the rotor adds no head
                self.point(q, asked.head_m().max(0.0), &asked)
            }
        }
    }

    fn point(&self, flow: f64, head_m: f64, asked: &Asked) -> WaterPoint {
        let (p, well) = (&self.side.pipes, &self.side.well);
        let (wellhead_m3_h, tank_m3_h) = self.arrives(flow);
        let at_intake = asked.level_m > well.intake_m;
        let level_m = asked.level_m.min(well.intake_m);
        // With a shut valve after it the gauge shows the pump's own head less the lift.
        let gauge_m = if flow <= 0.0 && self.wrong.valve_m_per_m3h2.is_infinite() {
            (head_m - level_m).max(0.0)
        } else {
            self.column_m(flow, wellhead_m3_h, asked) + asked.surface_m
        };
        WaterPoint {
            pump_m3_h: flow,
            wellhead_m3_h,
            tank_m3_h,
            head_m,
            level_m,
            wellhead_kpa: p.pressure_kpa(gauge_m),
            at_intake,
            wet: 1.0,
            friction_m: asked.riser_m + asked.surface_m,
        }
    }

    /// Water over the gauge without friction, m: up to the outlet, less what a leak keeps it short. A hole lets go as
    /// the root of the height over it. `up`: of the flow, what arrives at the wellhead.
    fn column_m(&self, flow: f64, up: f64, asked: &Asked) -> f64 {
        let (outlet_m, leak) = (self.side.pipes.outlet_height_m, self.wrong.surface_leak_m3_h);
        if flow <= 0.0 {
            return outlet_m;
        }
        let held = if up < leak { (up / leak).powi(2) } else { 1.0 };
        asked.outlet_m.max(0.0).min(outlet_m * held)
    }
}

/// First guess of a root: of c - k x^p, which has the value `at_zero` at 0 and value and slope of `f` at `x`.
#[inline]
fn power_law_root<T>(f: impl Fn(f64) -> (f64, f64, T), at_zero: f64, x: f64) -> f64 {
    let (value, slope, _) = f(x);
    let fall = at_zero - value;
    x * (at_zero / fall).powf(-fall / (slope * x))
}

/// Root on (0, top] of a falling function that is positive at 0; `top` when it never falls to zero.
///
/// Newton's method inside a bracket: a step that leaves it is replaced by halving, so it cannot fail. `f`
/// gives value, slope and whatever its caller wants back. Returns the root, the last small step that led
/// there, and what `f` gave just before that step.
#[inline]
fn falling_root<T>(f: impl Fn(f64) -> (f64, f64, T), top: f64, guess: f64) -> (f64, f64, T) {
    let (mut lo, mut hi) = (0.0, top);
    let mut x = if guess > 0.0 && guess < top { guess } else { 0.5 * top };
    let mut last = f(x);
    for _ in 0..100 {
        if last.0 > 0.0 {
            if x >= top {
                break;
            }
            lo = x;
        } else {
            hi = x;
        }
        let step = -last.0 / last.1;
        let next = x + step;
        // Newton squares the distance: after a step this small 1e-11 is left.
        if step.abs() <= 3e-6 * next && next <= top {
            return (next, step, last.2);
        }
        if hi - lo <= 1e-14 * top {
            break;
        }
        x = if next > lo && next < hi {
            next
        } else if next >= top && hi == top && x < top {
            top
        } else {
            0.5 * (lo + hi)
        };
        last = f(x);
    }
    (x, 0.0, last.2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_power_law_is_met_at_once() {
        let f = |x: f64| (40.0 - 3.0 * x.powf(1.8), -5.4 * x.powf(0.8), ());
        assert!((power_law_root(f, 40.0, 2.0) - (40f64 / 3.0).powf(1.0 / 1.8)).abs() < 1e-12);
    }

    #[test]
    fn finds_the_root_of_any_falling_function() {
        type F = fn(f64) -> (f64, f64, ());
        let cases: [(F, f64); 5] = [
            (|x| (2.0 - x * x, -2.0 * x, ()), 2f64.sqrt()),
            (|x| (1e-10 - x * x, -2.0 * x, ()), 1e-5),
            (|x| (1.0 - (8.0 * x).exp() / 1e6, -8.0 * (8.0 * x).exp() / 1e6, ()), 1e6f64.ln() / 8.0),
            // a kink, and a flat start
            (|x| if x < 1.0 { (1.0, 0.0, ()) } else { (2.0 - x, -1.0, ()) }, 2.0),
            (|x| (50.0 - x, -1.0, ()), 10.0), // never falls to zero: the top
        ];
        for (k, (f, want)) in cases.into_iter().enumerate() {
            for guess in [0.0, 0.01, 5.0, 9.99, 30.0] {
                let (x, _, ()) = falling_root(f, 10.0, guess);
                assert!((x - want).abs() < 1e-9, "case {k} from {guess}: {x}");
            }
        }
    }
}
