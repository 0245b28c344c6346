//! The water in the well: falls while the pump takes more than comes in, and recovers.

use wellwright_physics::hydraulics::WaterCondition;
use wellwright_physics::plant::Plant;

/// Water level over time.
///
/// Equation: the level runs towards static + ratio (B Q g(t) + C Q^2) with the lag of the casing's storage,
/// tau = A B; g grows with the logarithm of the pumping time to 1 at the time that B and C stand for.
/// Limits: one well, no neighbours; recovery mirrors the drawdown.
/// Source: as `hydraulics::Well::developed` (Jacob 1947 for B and C; the split 0.6 / 0.4 is engineering
/// judgement), here as a process that remembers its past flows.
#[derive(Debug, Clone)]
pub struct WellLevel {
    level_m: f64,
    pumped_min: f64,
    static_m: f64,
    b: f64,
    c: f64,
    at_min: f64,
    intake_m: f64,
    lag_s: f64,
}

impl WellLevel {
    /// At rest.
    pub fn new(plant: &Plant, wrong: &WaterCondition) -> WellLevel {
        let well = &plant.water.well;
        let static_m = (well.static_m + wrong.static_deeper_m).min(well.intake_m);
        WellLevel {
            level_m: static_m,
            pumped_min: 0.0,
            static_m,
            b: well.drawdown.b * wrong.drawdown_ratio,
            c: well.drawdown.c * wrong.drawdown_ratio,
            at_min: well.at_min.max(10.0),
            intake_m: well.intake_m,
            lag_s: (well.casing_m2 * well.drawdown.b * 3600.0).max(3.0),
        }
    }

    /// Depth of the water below the wellhead, m.
    pub fn level_m(&self) -> f64 {
        self.level_m
    }

    /// True when the water stands at the intake, so that the pump takes air.
    pub fn at_intake(&self) -> bool {
        self.level_m >= self.intake_m - 0.02
    }

    /// Moves on by `dt_s` seconds in which `flow_m3_h` left the well.
    pub fn step(&mut self, flow_m3_h: f64, dt_s: f64) {
        let q = flow_m3_h.max(0.0);
        let minutes = dt_s / 60.0;
        self.pumped_min =
            if q > 0.0 { self.pumped_min + minutes } else { (self.pumped_min - 0.5 * minutes).max(0.0) };
        let growth = 0.6 + 0.4 * self.pumped_min.max(1.0).log10() / self.at_min.log10();
        let aim = (self.static_m + self.b * q * growth + self.c * q * q).min(self.intake_m);
        self.level_m += (aim - self.level_m) * (1.0 - (-dt_s / self.lag_s).exp());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::examples::kestrel_hollow;

    /// Kestrel Hollow at 4 m3/h for the two hours that B and C stand for: 31.5 + 0.9 x 4 + 0.05 x 16 = 35.9 m.
    #[test]
    fn draws_down_to_the_step_test_and_recovers() {
        let (plant, _) = Plant::from_record(&kestrel_hollow()).unwrap();
        let mut level = WellLevel::new(&plant, &WaterCondition::default());
        assert_eq!(level.level_m(), 31.5);
        for _ in 0..7200 {
            level.step(4.0, 1.0);
        }
        assert!((level.level_m() - 35.9).abs() < 0.02, "{}", level.level_m());
        for _ in 0..3600 {
            level.step(0.0, 1.0);
        }
        assert!((level.level_m() - 31.5).abs() < 0.01);
    }

    #[test]
    fn stops_at_the_intake() {
        let (plant, _) = Plant::from_record(&kestrel_hollow()).unwrap();
        let wrong = WaterCondition { drawdown_ratio: 20.0, ..WaterCondition::default() };
        let mut level = WellLevel::new(&plant, &wrong);
        for _ in 0..7200 {
            level.step(5.0, 1.0);
        }
        assert!(level.at_intake() && level.level_m() <= 60.0);
    }
}
