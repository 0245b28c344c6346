//! What comes and goes while the plant runs: gas, damp at a leaking splice, and the oddities that no cause of
//! the catalogue explains.

use std::f64::consts::PI;

use super::{Mode, Run};

/// State of what comes and goes.
#[derive(Debug, Clone, Copy, Default)]
pub struct State {
    gas: f64,
    damp: f64,
    neighbour_m: Option<f64>,
    /// What the pump would take if there were water enough, m3/s.
    pub appetite: f64,
    /// Radio stops the controller now.
    pub radio: bool,
    /// Of the tries of a failed controller, s.
    pub phase_s: f64,
}

impl Run {
    /// Moves on what wanders.
    pub(super) fn wander(&mut self, t: f64, dt: f64, g: f64) {
        if self.steady.gas > 0.0 {
            // Bubbles come in clouds.
            let keep = (-dt / 20.0).exp();
            self.odd.gas = self.odd.gas * keep + self.dice.normal(0.0, 0.22) * (1.0 - keep * keep).sqrt();
            self.plant.gas = (self.steady.gas * (1.0 + self.odd.gas)).clamp(0.0, 0.95);
        }
        if let Some((phase, _)) = self.plant.motor.earth {
            let keep = (-dt / 1500.0).exp();
            self.odd.damp = self.odd.damp * keep + self.dice.normal(0.0, 0.12) * (1.0 - keep * keep).sqrt();
            self.plant.motor.earth = Some((phase, self.steady.earth_ohm * self.odd.damp.exp()));
        }
        let odd = self.plant.odd;
        if let Some((metres, lag)) = odd.neighbour {
            let aim = metres * ((g - 150.0) / 750.0).clamp(0.0, 1.2);
            let now = self.odd.neighbour_m.unwrap_or(0.7 * aim);
            let now = now + (aim - now) * (1.0 - (-dt / lag).exp());
            self.odd.neighbour_m = Some(now);
            let deepest = self.plant.well.intake - 0.5;
            self.plant.well.rest = (self.steady.rest + now).min(deepest.max(self.steady.rest));
        }
        if let Some((period, share, shift)) = odd.timer
            && let Some(leak) = &mut self.plant.leak
        {
            let open = ((t + shift) / period).rem_euclid(1.0) < share;
            leak.size = if open { self.steady.leak } else { 0.0 };
        }
        if let Some((most, period)) = odd.hose {
            // Collapses quickly, opens slowly.
            let phase = (t / period).rem_euclid(1.0);
            let narrow = 0.5 - 0.5 * (2.0 * PI * phase.sqrt()).cos();
            self.plant.block =
                self.steady.block + if self.mode == Mode::Running { most * narrow } else { 0.0 };
        }
        self.odd.radio = odd.radio.is_some_and(|(mean_s, _)| self.dice.chance(dt / mean_s));
    }
}
