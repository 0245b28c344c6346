//! The healthy plant of a record with its ordinary spread: what should be at a moment, with 80 % intervals.
//!
//! The centre is the plant that the ranking calls healthy: the record's, as clean and as warm as usual. The spread is
//! found with sigma points: each latent quantity of `diagnosis::nuisance`, the array's and the sun's own spreads are
//! moved by one sigma up and down, one at a time, and what each moves is added in quadrature, upwards and downwards
//! apart (a speed limit cuts one side only).

use wellwright_diagnosis::nuisance::{Nuisance, nuisances};
use wellwright_diagnosis::predict::as_seen::healthy_plant_as_seen;
use wellwright_diagnosis::predict::sun::{MODULE_CURRENT, MODULE_VOLTAGE};
use wellwright_diagnosis::predict::{RIPPLE, healthy_plant};
use wellwright_domain::finding::Regime;
use wellwright_domain::record::{FlowPlace, System};
use wellwright_domain::sample::Sample;
use wellwright_physics::constants::G_M_S2;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::{Chain, Moment};
use wellwright_physics::plant::{Assumed, Plant};

pub use wellwright_diagnosis::likelihood::Z80;

/// A quantity that is solved for a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Solved {
    /// At the controller's DC input, V.
    ArrayV,
    /// At the controller's DC input, A.
    ArrayA,
    /// At the controller's DC input, W.
    ArrayW,
    /// Speed, rpm.
    Rpm,
    /// Phase current, A rms.
    PhaseA,
    /// Output voltage line to line, V rms.
    OutputV,
    /// Flow where the meter sits, m3/h.
    Flow,
    /// Gauge before the wellhead valve, kPa.
    Pressure,
    /// Water level, m below the wellhead.
    Level,
    /// The array's best power at the controller's input, W.
    BestW,
    /// Not taken from the array, W.
    NotUsedW,
    /// Lost in controller and drop cable, W.
    WiresW,
    /// Lost in the motor, W.
    MotorW,
    /// Lost in the pump, W.
    PumpW,
    /// Lost in pipes and fittings, W.
    PipeW,
    /// Into lifted water, W.
    WaterW,
}

const COUNT: usize = Solved::WaterW as usize + 1;

/// A value with its 80 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Band {
    /// By the record.
    pub value: f64,
    /// Low end.
    pub lo: f64,
    /// High end.
    pub hi: f64,
}

impl Band {
    /// Wider by an independent error, 1 sigma.
    #[must_use]
    pub fn widened(self, sigma: f64) -> Band {
        let half = Z80 * sigma;
        Band {
            value: self.value,
            lo: self.value - (self.value - self.lo).hypot(half),
            hi: self.value + (self.hi - self.value).hypot(half),
        }
    }
}

/// The outside world at a moment, with what is not known about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// In the plane of the array, W/m2.
    pub irradiance_w_m2: f64,
    /// 1 sigma, share of it.
    pub irradiance_sigma: f64,
    /// Cells, degC.
    pub cell_c: f64,
    /// 1 sigma, K.
    pub cell_sigma_k: f64,
    /// Minutes of pumping.
    pub minutes: f64,
}

/// What should be at a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// What holds the pump.
    pub regime: Regime,
    /// Where the power goes.
    pub chain: Chain,
    bands: [Band; COUNT],
}

impl Expected {
    /// One quantity.
    pub fn get(&self, what: Solved) -> Band {
        self.bands[what as usize]
    }
}

/// A record as a plant, with its spreads; built once, asked often.
#[derive(Clone)]
pub struct Model {
    /// The plant of the record.
    pub plant: Plant,
    /// What the record does not hold.
    pub assumed: Vec<Assumed>,
    latent: Vec<Nuisance>,
    flow_at: FlowPlace,
    module_current: f64,
    module_voltage: f64,
}

impl std::fmt::Debug for Model {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Model").field("plant", &self.plant).finish_non_exhaustive()
    }
}

impl Model {
    /// The plant of a record.
    ///
    /// # Errors
    /// Values that no system can have.
    pub fn new(system: &System) -> Result<Model, PhysicsError> {
        let (plant, assumed) = healthy_plant(system)?;
        Ok(Model::of(system, plant, assumed))
    }

    /// The plant of a record; what it leaves out and `samples` show of the size is taken from these.
    ///
    /// # Errors
    /// Values that no system can have.
    pub fn as_seen(system: &System, samples: &[Sample]) -> Result<Model, PhysicsError> {
        let (plant, assumed) = healthy_plant_as_seen(system, samples)?;
        Ok(Model::of(system, plant, assumed))
    }

    fn of(system: &System, plant: Plant, assumed: Vec<Assumed>) -> Model {
        let spread = |field: &str| assumed.iter().find(|a| a.field == field).map_or(0.0, |a| a.sigma);
        let module_current =
            MODULE_CURRENT.hypot(spread("array.strings")).hypot(spread("array.module.isc_a"));
        let module_voltage = MODULE_VOLTAGE.hypot(spread("array.series")).hypot(spread("array.module.voc_v"));
        Model {
            latent: nuisances(system, &assumed),
            flow_at: system.sensors.flow_m3_h.as_ref().and_then(|c| c.at).unwrap_or(FlowPlace::Wellhead),
            plant,
            assumed,
            module_current,
            module_voltage,
        }
    }

    /// Solves a moment with its spread.
    pub fn expect(&self, o: &Outside) -> Expected {
        let moment = Moment {
            irradiance_w_m2: o.irradiance_w_m2.max(0.0),
            cell_c: o.cell_c,
            level: Level::After { minutes: o.minutes },
            heat_share: 1.0,
        };
        let (centre, regime, chain) = self.solve(&self.plant, &moment);
        let (mut down, mut up) = ([0.0; COUNT], [0.0; COUNT]);
        let mut add = |plus: [f64; COUNT], minus: [f64; COUNT]| {
            for k in 0..COUNT {
                let (a, b) = (plus[k] - centre[k], minus[k] - centre[k]);
                down[k] += a.min(b).min(0.0).powi(2);
                up[k] += a.max(b).max(0.0).powi(2);
            }
        };
        for n in &self.latent {
            let at = |step: f64| {
                let mut plant = self.plant.clone();
                (n.apply)(&mut plant, step);
                self.solve(&plant, &moment).0
            };
            add(at(n.sigma), at(-n.sigma));
        }
        let changed = |change: &dyn Fn(&mut Plant, &mut Moment)| {
            let (mut plant, mut m) = (self.plant.clone(), moment);
            change(&mut plant, &mut m);
            self.solve(&plant, &m).0
        };
        let pair = |change: &dyn Fn(&mut Plant, &mut Moment, f64)| {
            (changed(&|p, m| change(p, m, 1.0)), changed(&|p, m| change(p, m, -1.0)))
        };
        let sun = o.irradiance_sigma.min(0.9);
        let (plus, minus) = pair(&|_, m, s| m.irradiance_w_m2 *= 1.0 + s * sun);
        add(plus, minus);
        let (plus, minus) = pair(&|_, m, s| m.cell_c += s * o.cell_sigma_k);
        add(plus, minus);
        let (plus, minus) = pair(&|p, _, s| p.array.current_share *= 1.0 + s * self.module_current);
        add(plus, minus);
        let (plus, minus) = pair(&|p, _, s| p.array.voltage_share *= 1.0 + s * self.module_voltage);
        add(plus, minus);
        let mut bands = [Band::default(); COUNT];
        for k in 0..COUNT {
            let value = centre[k];
            bands[k] = Band { value, lo: value - Z80 * down[k].sqrt(), hi: value + Z80 * up[k].sqrt() };
            // only a level above ground and a gauge under suction may be below zero
            if value >= 0.0 {
                bands[k].lo = bands[k].lo.max(0.0);
            }
        }
        Expected { regime, chain, bands }
    }

    fn solve(&self, plant: &Plant, m: &Moment) -> ([f64; COUNT], Regime, Chain) {
        let point = plant.operating_point(m);
        let chain = plant.chain(&point);
        let mut out = [0.0; COUNT];
        let mut set =
            |what: Solved, value: f64| out[what as usize] = if value.is_finite() { value } else { 0.0 };
        set(Solved::ArrayV, point.dc.v);
        set(Solved::ArrayA, point.dc.i);
        set(Solved::ArrayW, point.dc.p);
        set(Solved::BestW, point.best.p);
        set(Solved::NotUsedW, (point.best.p - point.dc.p).max(0.0));
        let pipes = &plant.water.pipes;
        let newton = pipes.density_kg_m3 * G_M_S2;
        match &point.load {
            None => {
                set(Solved::Pressure, pipes.outlet_height_m * newton / 1000.0);
                set(Solved::Level, plant.water.well.static_m + plant.condition.water.static_deeper_m);
            }
            Some(load) => {
                let w = &load.water;
                set(Solved::Rpm, load.rpm);
                set(Solved::PhaseA, RIPPLE * load.motor.phase_a);
                set(Solved::OutputV, load.motor.told_line_v);
                set(Solved::Flow, self.flow_of(w.wellhead_m3_h, w.tank_m3_h));
                set(Solved::Pressure, w.wellhead_kpa);
                set(Solved::Level, w.level_m);
                set(Solved::WiresW, chain.after_dc_cable - chain.motor_in);
                set(Solved::MotorW, chain.motor_in - chain.shaft);
                set(Solved::PumpW, (chain.shaft - chain.hydraulic).max(0.0));
                let kg_s = w.pump_m3_h / 3600.0 * newton;
                set(Solved::PipeW, kg_s * w.friction_m);
                set(Solved::WaterW, kg_s * (w.level_m + pipes.outlet_height_m));
            }
        }
        (out, point.regime, chain)
    }

    /// The flow that the meter would show.
    pub fn flow_of(&self, wellhead_m3_h: f64, tank_m3_h: f64) -> f64 {
        match self.flow_at {
            FlowPlace::Wellhead => wellhead_m3_h,
            FlowPlace::Tank => tank_m3_h,
        }
    }

    /// Irradiance that would make this array give `i` at `v`, W/m2; `None` where the curve is too flat to
    /// tell (near open circuit) or nothing flows.
    pub fn irradiance_from_array(&self, v: f64, i: f64, cell_c: impl Fn(f64) -> f64) -> Option<f64> {
        if !(v > 1.0 && i > 0.05) {
            return None;
        }
        let current = |g: f64| self.plant.array.curve(g, cell_c(g), &self.plant.condition.array).current_a(v);
        let (mut lo, mut hi) = (5.0, 1600.0);
        if current(hi) < i || current(lo) > i {
            return None;
        }
        for _ in 0..40 {
            let mid = 0.5 * (lo + hi);
            if current(mid) < i {
                lo = mid;
            } else {
                hi = mid;
            }
            if hi - lo < 0.5 {
                break;
            }
        }
        let g = 0.5 * (lo + hi);
        let best = self.plant.array.curve(g, cell_c(g), &self.plant.condition.array).best();
        // far right of the best point a small error of the voltage is a large one of the sun
        (v < 1.12 * best.v).then_some(g)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};

    fn outside(irradiance_w_m2: f64) -> Outside {
        Outside { irradiance_w_m2, irradiance_sigma: 0.05, cell_c: 45.0, cell_sigma_k: 3.0, minutes: 120.0 }
    }

    #[test]
    fn the_centre_is_the_plant_and_lies_inside() {
        for system in [kestrel_hollow(), dovecote_bend()] {
            let model = Model::new(&system).unwrap();
            let e = model.expect(&outside(700.0));
            for k in [Solved::ArrayW, Solved::Rpm, Solved::PhaseA, Solved::Flow, Solved::Level] {
                let b = e.get(k);
                assert!(b.lo <= b.value && b.value <= b.hi, "{k:?} {b:?}");
                // at its highest speed the speed itself is certain
                assert!(b.hi > b.lo || (k == Solved::Rpm && e.regime == Regime::SpeedLimited), "{k:?} {b:?}");
                assert!((b.hi - b.lo) / b.value < 0.6, "{k:?} {b:?}");
            }
        }
    }

    /// The segments close on what the array could give: nothing is lost and nothing made.
    #[test]
    fn the_account_closes() {
        for (system, g) in [(kestrel_hollow(), 950.0), (kestrel_hollow(), 500.0), (dovecote_bend(), 800.0)] {
            let e = Model::new(&system).unwrap().expect(&outside(g));
            let parts = [
                Solved::NotUsedW,
                Solved::WiresW,
                Solved::MotorW,
                Solved::PumpW,
                Solved::PipeW,
                Solved::WaterW,
            ];
            let sum: f64 = parts.iter().map(|p| e.get(*p).value).sum();
            let best = e.get(Solved::BestW).value;
            // the slip of a helical rotor goes up the riser as head only, so it counts in the pump
            assert!((sum / best - 1.0).abs() < 0.02, "{} {g}: {sum} of {best}", system.name);
        }
    }

    #[test]
    fn no_sun_is_a_standstill_with_the_water_at_rest() {
        let e = Model::new(&kestrel_hollow()).unwrap().expect(&outside(0.0));
        assert_eq!(e.regime, Regime::Stopped);
        assert_eq!(e.get(Solved::Flow).hi, 0.0);
        assert_eq!(e.get(Solved::Level).value, 31.5);
    }

    #[test]
    fn the_array_is_a_sun_meter_near_its_best_point_only() {
        let model = Model::new(&kestrel_hollow()).unwrap();
        let cell = |g: f64| 25.0 + 0.03 * g;
        let curve = model.plant.array.curve(700.0, cell(700.0), &model.plant.condition.array);
        let best = curve.best();
        let g = model.irradiance_from_array(best.v, best.i, cell).unwrap();
        assert!((g - 700.0).abs() < 2.0, "{g}");
        assert_eq!(model.irradiance_from_array(0.99 * curve.voc(), 0.3, cell), None);
        assert_eq!(model.irradiance_from_array(300.0, 0.0, cell), None);
    }

    #[test]
    fn an_error_of_the_instrument_widens_both_sides() {
        let b = Band { value: 5.0, lo: 4.7, hi: 5.4 }.widened(0.4 / Z80);
        assert!((b.lo - 4.5).abs() < 1e-9 && (b.hi - (5.0 + 0.4f64.hypot(0.4))).abs() < 1e-9, "{b:?}");
    }
}
