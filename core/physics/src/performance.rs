//! Figures that people compare systems by: energy of lifted water, wire-to-water efficiency, yields.

use crate::constants::G_M_S2;

/// Energy to lift water, Wh.
///
/// # Equation
/// E = rho g V H/3600.
///
/// # Symbols
/// rho `density_kg_m3` kg/m3; V `volume_m3` m3; H `head_m` m.
///
/// # Source
/// Definition. 1 m3 lifted by 1 m is 2.724 Wh, so 367.1 m4 are a kWh.
///
/// ```
/// # use wellwright_physics::performance::lift_wh;
/// assert!((lift_wh(1000.0, 1.0, 1.0) - 2.724).abs() < 5e-4);
/// assert!((1000.0 / lift_wh(1000.0, 1.0, 1.0) - 367.1).abs() < 0.05);
/// assert!((lift_wh(1000.0, 10.0, 60.0) - 1634.0).abs() < 1.0); // 600 m4 a day
/// ```
pub fn lift_wh(density_kg_m3: f64, volume_m3: f64, head_m: f64) -> f64 {
    density_kg_m3 * G_M_S2 * volume_m3 * head_m / 3600.0
}

/// Wire-to-water efficiency, 0 to 1: power of the lifted water over DC power; 0 without DC power.
///
/// # Symbols
/// rho `density_kg_m3` kg/m3; Q `flow_m3_h` m3/h; H `head_m` total head, m; P `dc_w` W.
///
/// # Limits
/// Common practice, no single source: 0.25 to 0.55 centrifugal, 0.40 to 0.65 helical rotor.
///
/// # Source
/// Definition.
pub fn wire_to_water(density_kg_m3: f64, flow_m3_h: f64, head_m: f64, dc_w: f64) -> f64 {
    if dc_w > 0.0 { lift_wh(density_kg_m3, flow_m3_h, head_m) / dc_w } else { 0.0 }
}

/// Yields of an array over some time, in hours at rated power.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yields {
    /// Reference yield Yr: irradiation over 1000 W/m2, h.
    pub reference_h: f64,
    /// Array yield Ya: energy over rated power, h.
    pub array_h: f64,
    /// Energy that the reference yield stands for at the cells' temperature, over rated power, h.
    pub warm_h: f64,
}

impl Yields {
    /// From irradiation, energy and the mean cell temperature weighted by light.
    ///
    /// # Equation
    /// Yr = H/1 kW/m2, Ya = E/P0, warm: Yr (1 + gamma (Tc - 25)/100).
    ///
    /// # Symbols
    /// P0 `rated_w` W, more than 0; H `irradiation_kwh_m2`; E `energy_wh` Wh; Tc `cell_c` degC; gamma
    /// `gamma_pct_per_k` %/K, negative.
    ///
    /// # Limits
    /// **A pump at its speed limit or before a full tank wants no more**: count only the hours in which it did.
    ///
    /// # Source
    /// IEC 61724-1 (definitions; clauses not read).
    ///
    /// ```
    /// # use wellwright_physics::performance::Yields;
    /// // 1.5 kW, 5.8 kWh/m2, 5.2 kWh, cells at 52 degC, -0.43 %/K (arithmetic of the definitions).
    /// let y = Yields::of(1500.0, 5.8, 5200.0, 52.0, -0.43);
    /// assert!((y.array_h - 3.4667).abs() < 5e-5 && (y.ratio() - 0.59770).abs() < 5e-6);
    /// assert!((y.warm_ratio() - 0.67621).abs() < 5e-6);
    /// ```
    pub fn of(
        rated_w: f64,
        irradiation_kwh_m2: f64,
        energy_wh: f64,
        cell_c: f64,
        gamma_pct_per_k: f64,
    ) -> Yields {
        let warm = 1.0 + gamma_pct_per_k / 100.0 * (cell_c - 25.0);
        Yields {
            reference_h: irradiation_kwh_m2,
            array_h: energy_wh / rated_w,
            warm_h: irradiation_kwh_m2 * warm,
        }
    }

    /// Performance ratio Ya/Yr.
    pub fn ratio(&self) -> f64 {
        self.array_h / self.reference_h
    }

    /// Performance ratio corrected for the cells' temperature.
    pub fn warm_ratio(&self) -> f64 {
        self.array_h / self.warm_h
    }
}
