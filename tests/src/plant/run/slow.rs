//! Slow things after each step: water in pipe, well and tank, heat, totals.

use super::{Run, Truth};
use crate::plant::pipe::GRAVITY;
use crate::plant::plant::{Load, SHUT};
use crate::plant::pump::RHO;

impl Run {
    /// Slow things: water in pipe, well and tank, heat.
    pub(super) fn after(&mut self, dt: f64, load: Option<&Load>, truth: &mut Truth) {
        let plant = &self.plant;
        let q = load.map_or(0.0, |l| l.pump.q);
        let mut out = load.map_or(0.0, |l| l.out);
        if let Some(l) = load {
            self.view.empty = (self.view.empty - l.pump.q * dt).max(0.0);
            truth.kpa = RHO * GRAVITY * l.gauge / 1000.0;
            self.held_head = if plant.valve > 0.0 { l.gauge } else { 0.0 };
        } else {
            if !plant.check_valve {
                let all = plant.drained();
                self.view.empty = (self.view.empty + all * dt / 60.0).min(all);
            }
            // A shut valve keeps the pressure for an hour or so, one that is not quite shut loses it at once.
            self.held_head *= (-dt / if plant.valve >= SHUT { 5000.0 } else { 4.0 }).exp();
            let still = plant.outlet * (1.0 - (self.view.empty / plant.surface.volume().max(1e-9)).min(1.0));
            let held = if plant.valve > 0.0 { self.held_head } else { 0.0 };
            truth.kpa = RHO * GRAVITY * still.max(held) / 1000.0;
            out = 0.0;
        }
        self.plant.well.step(&mut self.well, q, dt);
        let at_intake = self.plant.well.depth(&self.well) >= self.plant.well.intake - 0.05;
        let aim = if !at_intake {
            1.0
        } else if q > 0.0 {
            (self.view.wet * self.well.inflow / q).clamp(0.0, 1.0)
        } else if self.well.inflow > 1e-7 {
            0.1
        } else {
            0.0
        };
        self.view.wet += (aim - self.view.wet) * (1.0 - (-dt / 4.0).exp());
        if !at_intake && load.is_none() {
            self.view.wet = 1.0;
        }
        let loss = (truth.chain[1] - truth.chain[2]).max(0.0);
        let heat_aim = truth.air_c + 3.0 + 0.004 * truth.g + self.plant.drive.heat_k * loss;
        let heat = self.heat_c.unwrap_or(heat_aim);
        self.heat_c = Some(heat + (heat_aim - heat) * (1.0 - (-dt / 900.0).exp()));
        let copper = (truth.chain[3] - truth.chain[4]).max(0.0);
        let winding_aim = self.plant.water_c + self.plant.motor.warm_k_per_w * copper;
        self.view.winding_c += (winding_aim - self.view.winding_c) * (1.0 - (-dt / 300.0).exp());
        self.tank = (self.tank + (out - self.plant.demand) * dt / self.plant.tank).clamp(0.02, 1.0);
        self.volume += out * dt;
        self.energy += truth.v * truth.a * dt / 3.6e6;
        truth.flow = out * 3600.0;
        truth.volume = self.volume;
        truth.energy = self.energy;
    }
}
