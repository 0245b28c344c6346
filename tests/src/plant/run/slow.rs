//! Slow things after each step: water in pipe, well and tank, heat, totals.

use super::{Run, Truth};
use crate::plant::path::Leak;
use crate::plant::pipe::GRAVITY;
use crate::plant::plant::{Load, SHUT};
use crate::plant::pump::RHO;

impl Run {
    /// Slow things: water in pipe, well and tank, heat.
    pub(super) fn after(&mut self, dt: f64, load: Option<&Load>, truth: &mut Truth) {
        let plant = &self.plant;
        let q = load.map_or(0.0, |l| l.pump.q);
        let mut out = load.map_or((0.0, 0.0), |l| (l.out, l.arrives));
        // What leaves the well for good.
        let mut net = q;
        let in_riser = plant.leak.filter(Leak::in_riser);
        if let Some(l) = load {
            self.view.empty = (self.view.empty - (l.pump.q - l.leak) * dt).clamp(0.0, plant.drained());
            if in_riser.is_some() {
                net = q - l.leak;
            }
            truth.kpa = RHO * GRAVITY * l.gauge / 1000.0;
            self.held_head = if plant.valve > 0.0 { l.gauge } else { 0.0 };
        } else {
            let (minutes, all) = (plant.drain_min.unwrap_or(1.0), plant.drained());
            if !plant.check_valve || plant.drain_min.is_some() {
                let back = (all * dt / 60.0 / minutes).min(all - self.view.empty).max(0.0);
                self.view.empty += back;
                net = -back / dt;
            }
            if let Some(leak) = plant.leak {
                net -= self.drain(leak, dt);
            }
            let plant = &self.plant;
            // A shut valve keeps the pressure for an hour or so, one that is not quite shut loses it at once.
            self.held_head *= (-dt / if plant.valve >= SHUT { 5000.0 } else { 4.0 }).exp();
            let still = plant.outlet * (1.0 - (self.view.empty / plant.surface.volume().max(1e-9)).min(1.0));
            let held = if plant.valve > 0.0 { self.held_head } else { 0.0 };
            truth.kpa = RHO * GRAVITY * still.max(held) / 1000.0;
            out = (0.0, 0.0);
        }
        self.plant.well.step(&mut self.well, net, dt);
        self.take_air(q, q - net.min(q), load.is_some(), dt);
        let loss = (truth.chain[1] - truth.chain[2]).max(0.0);
        let heat_aim =
            truth.air_c + 3.0 + 0.004 * truth.g + self.plant.drive.heat_k * loss + self.plant.drive.hot_k;
        let heat = self.heat_c.unwrap_or(heat_aim);
        self.heat_c = Some(heat + (heat_aim - heat) * (1.0 - (-dt / 900.0).exp()));
        let copper = (truth.chain[3] - truth.chain[4]).max(0.0);
        let winding_aim = self.plant.water_c + self.plant.motor.warm_k_per_w * copper;
        self.view.winding_c += (winding_aim - self.view.winding_c) * (1.0 - (-dt / 300.0).exp());
        self.tank = (self.tank + (out.1 - self.plant.demand) * dt / self.plant.tank).clamp(0.02, 1.0);
        self.volume += out.0 * dt;
        self.arrived += out.1 * dt;
        self.energy += truth.v * truth.a * dt / 3.6e6;
        truth.flow = out.0 * 3600.0;
        truth.arrives = out.1 * 3600.0;
        truth.volume = self.volume;
        truth.arrived = self.arrived;
        truth.energy = self.energy;
    }

    /// Near the intake the pump gets no more than what runs in and what stands over it, in a few seconds; the rest
    /// of its appetite is air, in gulps. `falls` comes back through a hole in the riser, m3/s.
    fn take_air(&mut self, q: f64, falls: f64, runs: bool, dt: f64) {
        let well = &self.plant.well;
        let over = (well.intake - well.depth(&self.well)).max(0.0) * well.area;
        let seconds = (3.0 * dt).max(12.0);
        let there = over / seconds + self.well.inflow.max(0.0) + falls.max(0.0);
        if q > 0.0 {
            self.odd.appetite = q / self.view.wet.max(0.05);
        }
        let share = if there > 0.0 { there / self.odd.appetite.max(1e-9) } else { 0.0 };
        let aim = if share >= 1.0 { 1.0 } else { (share * self.dice.uniform(0.6, 1.4)).min(1.0) };
        self.view.wet += (aim - self.view.wet) * (1.0 - (-dt / 4.0).exp());
        if !runs && over > 0.05 * well.area {
            self.view.wet = 1.0;
        }
    }

    /// The standing column runs out through a leak; what falls back into the well, m3/s.
    fn drain(&mut self, leak: Leak, dt: f64) -> f64 {
        let plant = &self.plant;
        let surface = plant.surface.volume();
        let depth = self.view.depth.unwrap_or(plant.well.rest);
        let (lowest, base) = if leak.in_riser() {
            let to = leak.depth.min(depth);
            (surface + plant.riser.area() * to, to)
        } else {
            (surface, 0.0)
        };
        let filled = 1.0 - (self.view.empty / surface.max(1e-9)).min(1.0);
        let gone = (self.view.empty - surface).max(0.0) / plant.riser.area();
        let runs = leak.flow(base - gone + plant.outlet * filled);
        let lost = (runs * dt).min(lowest - self.view.empty).max(0.0);
        self.view.empty += lost;
        if leak.in_riser() { lost / dt } else { 0.0 }
    }
}
