//! How warm the modules are: towards the temperature of steady sun, with the lag of their mass.

use wellwright_domain::record::Mounting;
use wellwright_physics::cell_temperature::{cell_from_back, faiman};

use crate::dice::Dice;
use crate::weather::SkyNow;

/// Lag of a framed glass module, seconds (common practice 5 to 10 minutes, no single source).
const LAG_S: f64 = 420.0;
/// Rise over the air on a roof, over that on an open rack (engineering judgement).
const ROOF: f64 = 1.3;
/// Spread of the cell temperature model at 800 W/m2, K (contract).
const MODEL_K: f64 = 3.0;

/// Temperature at the back of the modules.
#[derive(Debug, Clone)]
pub struct ModuleHeat {
    back_c: f64,
    rise: f64,
    off_k: f64,
}

impl ModuleHeat {
    /// In balance with the sky.
    pub fn new(mounting: Option<Mounting>, sky: &SkyNow, dice: &mut Dice) -> ModuleHeat {
        let rise = if mounting == Some(Mounting::Roof) { ROOF } else { 1.0 };
        let mut heat = ModuleHeat { back_c: 0.0, rise, off_k: dice.ordinary(MODEL_K) };
        heat.back_c = heat.balance_c(sky);
        heat
    }

    fn balance_c(&self, sky: &SkyNow) -> f64 {
        let rise = faiman(sky.irradiance_w_m2, 0.0, sky.wind_m_s) * self.rise;
        sky.air_c + rise + self.off_k * sky.irradiance_w_m2 / 800.0
    }

    /// Moves on by `dt_s` seconds.
    pub fn step(&mut self, sky: &SkyNow, dt_s: f64) {
        self.back_c += (self.balance_c(sky) - self.back_c) * (1.0 - (-dt_s / LAG_S).exp());
    }

    /// Back of the modules, degC.
    pub fn back_c(&self) -> f64 {
        self.back_c
    }

    /// Cells, degC.
    pub fn cell_c(&self, irradiance_w_m2: f64) -> f64 {
        cell_from_back(self.back_c, irradiance_w_m2)
    }
}
