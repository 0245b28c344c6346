//! What the water meets from the well to the outlet at one moment: lift, friction, what blocks it, where it leaks.

use super::pipe::EXPONENT;
use super::plant::{Plant, SHUT, View};

/// A hole or an open branch.
#[derive(Debug, Clone, Copy)]
pub struct Leak {
    /// Depth below the wellhead, m: in the riser, and what escapes falls back into the well. 0: in the surface
    /// pipe just after gauge and meter, and what escapes is lost.
    pub depth: f64,
    /// Flow that escapes under a metre of head, m3/s; it grows with the root of the head.
    pub size: f64,
}

impl Leak {
    /// In the riser.
    pub fn in_riser(&self) -> bool {
        self.depth > 0.0
    }

    /// Flow that escapes under a head, m3/s.
    pub fn flow(&self, head: f64) -> f64 {
        self.size * head.max(0.0).sqrt()
    }
}

/// The way of the water with its coefficients worked out.
#[derive(Debug, Clone, Copy)]
pub struct Path<'a> {
    plant: &'a Plant,
    depth: Option<f64>,
    /// Part of the riser is still empty.
    in_riser: bool,
    /// Share of the surface pipe that is full.
    filled: f64,
    /// Height of the column over the wellhead, m; negative while it stands in the riser.
    top: f64,
    riser: f64,
    surface: [f64; 2],
    valve: f64,
    before: f64,
}

impl<'a> Path<'a> {
    /// With a view of the moment.
    pub fn new(plant: &'a Plant, view: &View) -> Path<'a> {
        let volume = plant.surface.volume().max(1e-9);
        let in_surface = view.empty.min(volume);
        let empty_riser = (view.empty - volume).max(0.0) / plant.riser.area();
        let filled = 1.0 - in_surface / volume;
        let in_riser = empty_riser > 0.0;
        let [riser, riser_square] = plant.riser.terms();
        let surface = plant.surface.terms().map(|c| c * filled);
        Path {
            plant,
            depth: view.depth,
            in_riser,
            filled,
            top: if in_riser { -empty_riser } else { plant.outlet * filled },
            riser,
            surface,
            valve: if in_riser { 0.0 } else { plant.valve },
            before: plant.block + plant.intake_k + riser_square,
        }
    }

    /// Nothing passes.
    pub fn shut(&self) -> bool {
        self.before >= SHUT || (self.valve >= SHUT && self.plant.leak.is_none())
    }

    /// Depth of the water while `q` m3/s leave the well, m.
    pub fn depth(&self, q: f64) -> f64 {
        self.depth.unwrap_or_else(|| self.plant.well.rest + self.plant.well.settled(q))
    }

    /// Head lost after the wellhead at `q` m3/s, m.
    fn after(&self, q: f64) -> f64 {
        let q = q.max(0.0);
        self.surface[0] * q.powf(EXPONENT) + (self.surface[1] + self.valve) * q * q
    }

    /// What is left after the leak and what escapes, of `q` m3/s from the pump, and the head inside the pipe at the
    /// leak, m.
    fn split(&self, q: f64, leak: &Leak) -> (f64, f64, f64) {
        let outside = if leak.in_riser() { (leak.depth - self.depth(q)).max(0.0) } else { 0.0 };
        let still = (leak.depth.max(0.0) + self.top).max(0.0);
        let above = if leak.in_riser() { self.riser * leak.depth / self.plant.riser.length } else { 0.0 };
        let least = leak.flow(still - outside);
        if least >= q || self.plant.valve >= SHUT {
            return (0.0, if self.plant.valve >= SHUT { q.max(least) } else { least }, still);
        }
        // on + leak(head(on)) = q rises with `on`: Newton from below never leaves the bracket by much.
        let (friction, square) = (above + self.surface[0], self.surface[1] + self.valve);
        let mut on = q - least;
        let mut head = still;
        for _ in 0..6 {
            let power = on.powf(EXPONENT);
            head = still + friction * power + square * on * on;
            let escapes = leak.flow(head - outside);
            let slope =
                (EXPONENT * friction * power / on.max(1e-12) + 2.0 * square * on) * leak.size * leak.size
                    / (2.0 * escapes.max(1e-12));
            let step = (on + escapes - q) / (1.0 + slope);
            on = (on - step).clamp(0.02 * on, q);
            if step.abs() < 1e-6 * q {
                break;
            }
        }
        (on, q - on, head)
    }

    /// What goes past the wellhead gauge, what arrives at the outlet, what escapes; of `q` m3/s from the pump.
    pub fn shares(&self, q: f64) -> (f64, f64, f64) {
        let shut = self.plant.valve >= SHUT;
        let Some(leak) = &self.plant.leak else {
            let out = if self.in_riser || shut { 0.0 } else { q };
            return (out, out, 0.0);
        };
        let (on, lost, _) = self.split(q, leak);
        let on = if self.in_riser || shut { 0.0 } else { on };
        let past = if leak.in_riser() || self.in_riser { on } else { q };
        (past, on, lost)
    }

    /// Head that the pump must make at `q` m3/s, m.
    pub fn needed(&self, q: f64) -> f64 {
        let power = q.max(0.0).powf(EXPONENT);
        let own = self.before * q * q;
        let head = match &self.plant.leak {
            None => {
                let square = (self.surface[1] + self.valve) * q * q;
                self.depth(q) + self.top + (self.riser + self.surface[0]) * power + square
            }
            Some(leak) => {
                let (_, _, head) = self.split(q, leak);
                let below = self.riser * (1.0 - leak.depth.max(0.0) / self.plant.riser.length);
                let net = if leak.in_riser() && self.depth.is_none() { self.shares(q).1 } else { q };
                self.depth(net) - leak.depth.max(0.0) + head + below * power
            }
        };
        head.max(0.0) + own
    }

    /// Head at the wellhead gauge with `q` m3/s from a pump that makes `head` m.
    pub fn gauge(&self, q: f64, head: f64) -> f64 {
        if self.in_riser {
            return 0.0;
        }
        let still = self.plant.outlet * self.filled;
        if self.plant.valve >= SHUT {
            return (head - self.depth(0.0)).max(still);
        }
        match &self.plant.leak {
            // A column that no longer reaches the wellhead presses on nothing.
            Some(leak) => {
                let (on, lost, at_leak) = self.split(q, leak);
                if on <= 0.0 && lost > q {
                    return if leak.in_riser() { 0.0 } else { at_leak.min(still) };
                }
                still + self.after(on)
            }
            None => still + self.after(q),
        }
    }
}
