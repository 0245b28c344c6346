//! What a record leaves out, sized from the recording itself.
//!
//! Most wells that need help have no record. A class value serves them badly: arrays of such systems have 60 to 450 V,
//! pumps 0.3 to 7 kW, and whatever differs from the class value would look like a fault. So voltage, current, speed
//! and flow that were seen say how large the system is; what they cannot say stays as wide as its class. Moderate
//! losses then cannot be told from a smaller system, which is true. Nothing that the record holds is touched.

use wellwright_domain::channel::Channel;
use wellwright_domain::record::{PumpKind, System};
use wellwright_domain::sample::Sample;
use wellwright_physics::constants::G_M_S2;
use wellwright_physics::error::PhysicsError;
use wellwright_physics::plant::assume::{CENTRIFUGAL_BEST, CENTRIFUGAL_SHAPE};
use wellwright_physics::plant::{Assumed, Plant};

use super::healthy_plant;
use crate::window::share_below;

/// Voltage of the best point of a warm array in use, and of its open circuit at rest, over the open circuit of its data
/// sheet (common practice, no single source).
const IN_USE: f64 = 0.74;
const AT_REST: f64 = 0.94;

/// Open circuit of a module of 60 cells, V.
const MODULE_V: f64 = 37.6;

/// Light in which people mostly look, over 1000 W/m2, and short circuit of a module, A.
const LIGHT: f64 = 0.75;
const MODULE_A: f64 = 9.0;

/// Rows that run at this share of the highest speed and more tell the size.
const TOP: f64 = 0.97;

/// Water over wire of small systems, best to usual, that a flow must agree with to tell a size: share of the usual.
const BELIEVED: std::ops::Range<f64> = 0.45..1.8;

/// What a recording shows of the size of a system; each `None` where no row tells it.
#[derive(Debug, Clone, Copy, Default)]
struct Seen {
    rest_v: Option<f64>,
    run_v: Option<f64>,
    run_a: Option<f64>,
    sun_w_m2: Option<f64>,
    top_rpm: Option<f64>,
    phase_a: Option<f64>,
    line_v: Option<f64>,
    flow_m3_h: Option<f64>,
    rest_level_m: Option<f64>,
    kpa: Option<f64>,
    /// Of the rows that run, those at the very top: a limit, not the sun.
    flat: f64,
}

impl Seen {
    fn new(samples: &[Sample]) -> Seen {
        let rpm = |s: &Sample| s.get(Channel::MotorRpm).filter(|n| *n > 0.0);
        let runs = |s: &&Sample| s.runs() && s.turns();
        let mut speeds: Vec<f64> = samples.iter().filter(runs).filter_map(rpm).collect();
        speeds.sort_by(f64::total_cmp);
        // a single wild reading is no speed
        let top = speeds.len().checked_sub(1 + speeds.len() / 50).and_then(|k| speeds.get(k)).copied();
        let at_top = |s: &&Sample| runs(s) && rpm(s).zip(top).is_some_and(|(n, top)| n >= TOP * top);
        let of = |channel: Channel, which: &dyn Fn(&&Sample) -> bool| {
            share_below(samples.iter().filter(which).filter_map(|s| s.get(channel)), 0.5)
        };
        let rests = |s: &&Sample| !runs(s) && s.get(Channel::ArrayV).is_some_and(|v| v > 5.0);
        let first = samples.iter().position(|s| runs(&s)).unwrap_or(samples.len());
        let before = share_below(samples[..first].iter().filter_map(|s| s.get(Channel::WaterLevelM)), 0.5);
        let flat = speeds.iter().filter(|n| top.is_some_and(|top| **n >= 0.995 * top)).count();
        Seen {
            rest_v: of(Channel::ArrayV, &rests),
            run_v: of(Channel::ArrayV, &at_top),
            run_a: of(Channel::ArrayA, &at_top),
            sun_w_m2: of(Channel::IrradianceWM2, &at_top),
            top_rpm: top,
            phase_a: share_below(
                samples.iter().filter(at_top).filter_map(|s| s.get(Channel::PhaseUA)).filter(|a| *a > 0.1),
                0.5,
            ),
            line_v: of(Channel::OutputV, &at_top),
            flow_m3_h: of(Channel::FlowM3H, &at_top),
            rest_level_m: before,
            kpa: of(Channel::WellheadKpa, &at_top),
            flat: flat as f64 / speeds.len().max(1) as f64,
        }
    }

    fn power_w(&self) -> Option<f64> {
        Some(self.run_v? * self.run_a?).filter(|w| *w > 5.0)
    }

    /// What turns at one speed for most of the time meets a limit, not the sun.
    fn meets_limit(&self) -> bool {
        self.flat > 0.3
    }

    /// Speed that stands for the rated one: that of a limit, else at least a slow pump's of its kind, for the sun may
    /// have been low.
    fn rated_rpm(&self, kind: PumpKind) -> Option<f64> {
        let slow = match kind {
            PumpKind::Centrifugal => 2600.0,
            PumpKind::HelicalRotor => 1500.0,
        };
        self.top_rpm.map(|top| if self.meets_limit() { top } else { top.max(slow) })
    }
}

/// A record with what it leaves out filled in.
struct Filling {
    system: System,
    assumed: Vec<Assumed>,
}

impl Filling {
    fn note(&mut self, field: &'static str, value: f64, sigma: f64) {
        self.assumed.push(Assumed { field, value, sigma });
    }

    /// Modules in series and their voltage, so that the array gives the voltage that was seen.
    fn voltage(&mut self, seen: &Seen) {
        let from_rest = seen.rest_v.map(|v| (v / AT_REST, 0.1));
        let Some((voc, sigma)) = from_rest.or(seen.run_v.map(|v| (v / IN_USE, 0.15))) else { return };
        let a = &mut self.system.array;
        if a.module.voc_v.is_some() && a.series.is_some() || self.system.controller.max_v.is_some() {
            return;
        }
        let each = a.module.voc_v.unwrap_or(MODULE_V);
        let series = a.series.unwrap_or_else(|| (voc / each).round().clamp(1.0, 60.0) as u32);
        if a.series.is_none() {
            a.series = Some(series);
            self.note(
                "array.series",
                f64::from(series),
                if self.system.array.module.voc_v.is_some() { sigma } else { 0.0 },
            );
        }
        if self.system.array.module.voc_v.is_none() {
            let each = (voc / f64::from(series)).clamp(5.0, 80.0);
            self.system.array.module.voc_v = Some(each);
            self.note("array.module.voc_v", each, sigma);
        }
    }

    /// Parallel strings and their current.
    fn current(&mut self, seen: &Seen) {
        let a = &self.system.array;
        let Some(amps) = seen.run_a.filter(|a| *a > 0.1) else { return };
        if a.strings.is_some() || self.system.controller.max_power_w.is_some() {
            return;
        }
        let light = seen.sun_w_m2.map(|g| (g / 1000.0).max(0.15));
        let all = amps / (0.93 * light.unwrap_or(LIGHT));
        let each = a.module.isc_a;
        let strings = (all / each.unwrap_or(MODULE_A)).round().clamp(1.0, 60.0);
        self.system.array.strings = Some(strings as u32);
        // what a limit holds back is not seen
        self.note("array.strings", strings, if light.is_some() { 0.3 } else { 0.45 });
        if each.is_none() {
            self.system.array.module.isc_a = Some((all / strings).clamp(1.0, 25.0));
            self.note("array.module.isc_a", all / strings, 0.1);
        }
    }

    fn speed(&mut self, seen: &Seen) {
        let Some(rated) = seen.rated_rpm(self.system.pump.kind) else { return };
        if self.system.pump.rated_rpm.is_none() && self.system.controller.max_rpm.is_none() {
            self.system.pump.rated_rpm = Some(rated);
            self.note("pump.rated_rpm", rated, 0.2);
        }
        if self.system.controller.max_rpm.is_none() {
            let max = if seen.meets_limit() { rated } else { 1.15 * rated };
            self.system.controller.max_rpm = Some(max);
            self.note("controller.max_rpm", max, 0.15);
        }
    }

    fn motor(&mut self, seen: &Seen) {
        let Some(top) = seen.top_rpm else { return };
        let m = &mut self.system.motor;
        if let (Some(amps), None) = (seen.phase_a, m.rated_a_rms) {
            m.rated_a_rms = Some(1.1 * amps);
            self.assumed.push(Assumed { field: "motor.rated_a_rms", value: 1.1 * amps, sigma: 0.3 });
        }
        if m.ke_v_rms_ll_per_krpm.is_some() {
            return;
        }
        match seen.line_v.filter(|v| *v > 5.0) {
            // a tenth is lost in leads and winding
            Some(volts) => {
                let ke = 0.92 * volts / (top / 1000.0);
                m.ke_v_rms_ll_per_krpm = Some(ke);
                self.note("motor.ke_v_rms_ll_per_krpm", ke, 0.15);
            }
            // beside what the class leaves open
            None => self.note("motor.ke_v_rms_ll_per_krpm", 0.0, 0.18),
        }
    }

    fn well(&mut self, seen: &Seen) {
        if let (Some(level), None) = (seen.rest_level_m, self.system.well.static_level_m) {
            let level = level.min(self.system.well.intake_depth_m - 0.5);
            self.system.well.static_level_m = Some(level);
            self.note("well.static_level_m", level, 0.15 * self.system.well.intake_depth_m);
        }
        if let (Some(kpa), None) = (seen.kpa, self.system.delivery.outlet_height_m) {
            let height = 0.8 * kpa.max(0.0) / 9.8;
            self.system.delivery.outlet_height_m = Some(height);
            self.note("delivery.outlet_height_m", height, (0.5 * height).max(3.0));
        }
    }

    /// A pump for the power that was seen, and for the flow where that is what such power gives.
    fn pump(&mut self, seen: &Seen) {
        let (Some(power), Some(top)) = (seen.power_w(), seen.top_rpm) else { return };
        let p = &self.system.pump;
        if p.curve.is_some() || p.displacement_cm3_per_rev.is_some() {
            return;
        }
        let rated = p.rated_rpm.or(self.system.controller.max_rpm).unwrap_or(top);
        // power goes with the cube of the speed of a centrifugal pump, less the losses; under one head with the speed
        let more = rated / top;
        let power = power * more.powf(if p.kind == PumpKind::Centrifugal { 2.6 } else { 1.15 });
        let (well, d) = (&self.system.well, &self.system.delivery);
        let level = well.static_level_m.unwrap_or(0.6 * well.intake_depth_m);
        let lift = (level + 0.1 * well.intake_depth_m + d.outlet_height_m.unwrap_or(3.0)).max(3.0);
        let best = if p.kind == PumpKind::Centrifugal { 0.42 } else { 0.5 };
        let usual = best * power / (1000.0 * G_M_S2 * lift) * 3600.0;
        let told = seen.flow_m3_h.map(|q| q * more).filter(|q| BELIEVED.contains(&(q / usual)));
        let flow = told.unwrap_or(usual);
        match p.kind {
            PumpKind::Centrifugal => {
                let rows = CENTRIFUGAL_SHAPE.iter();
                let rows = rows.map(|r| [r[0] * flow, r[1] * lift, r[2] * CENTRIFUGAL_BEST * flow / usual]);
                let rows = rows.map(|r| [r[0], r[1], r[2].clamp(0.0, 0.9)]).collect();
                self.system.pump.curve = Some(rows);
                self.note("pump.curve", lift, 0.45);
            }
            PumpKind::HelicalRotor => {
                let displacement = flow / (0.94 * rated * 60e-6);
                self.system.pump.displacement_cm3_per_rev = Some(displacement);
                self.note("pump.displacement_cm3_per_rev", displacement, 0.4);
            }
        }
    }
}

/// The healthy plant of a record whose gaps a recording sizes, and all that was assumed.
///
/// Errors: those of [`healthy_plant`] for the record itself.
pub fn healthy_plant_as_seen(
    system: &System,
    samples: &[Sample],
) -> Result<(Plant, Vec<Assumed>), PhysicsError> {
    let (sized, mut assumed) = sized(system, samples);
    if assumed.is_empty() {
        return healthy_plant(system);
    }
    // a reading that fits no system says nothing of its size
    let Ok((plant, more)) = healthy_plant(&sized) else { return healthy_plant(system) };
    assumed.extend(more);
    Ok((plant, assumed))
}

/// The record with what it leaves out sized from a recording, and what was so assumed.
fn sized(system: &System, samples: &[Sample]) -> (System, Vec<Assumed>) {
    let seen = Seen::new(samples);
    let mut filling = Filling { system: system.clone(), assumed: Vec::new() };
    filling.voltage(&seen);
    filling.current(&seen);
    filling.speed(&seen);
    filling.motor(&seen);
    filling.well(&seen);
    filling.pump(&seen);
    (filling.system, filling.assumed)
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, TimeDelta};
    use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};

    use super::*;
    use wellwright_domain::flags::PumpState;

    /// At one speed, at a limit: 210 V, 4 A, 2,400 rpm, 1.6 m3/h.
    fn rows() -> Vec<Sample> {
        let from = DateTime::parse_from_rfc3339("2026-03-14T10:00:00Z").unwrap();
        let row = |k| {
            let mut s = Sample::new(from + TimeDelta::seconds(k))
                .with(Channel::ArrayV, 210.0)
                .with(Channel::ArrayA, 4.0)
                .with(Channel::MotorRpm, 2400.0)
                .with(Channel::FlowM3H, 1.6);
            s.state = Some(PumpState::Running);
            s
        };
        (0..60).map(row).collect()
    }

    #[test]
    fn what_the_record_holds_is_not_touched() {
        for system in [kestrel_hollow(), dovecote_bend()] {
            let (sized, assumed) = sized(&system, &rows());
            assert_eq!(sized.array, system.array);
            assert_eq!((&sized.pump, &sized.controller), (&system.pump, &system.controller));
            assert!(
                assumed.iter().all(|a| a.field != "array.series" && a.field != "pump.curve"),
                "{assumed:?}"
            );
        }
    }

    #[test]
    fn a_recording_tells_the_size() {
        let text = "schema = 1\nname = \"Somewhere\"\n[site]\nlatitude_deg = 1.0\nlongitude_deg = 30.0\n\
                    altitude_m = 900.0\ntime_zone = \"UTC\"\n[pump]\nkind = \"centrifugal\"\n[well]\n\
                    intake_depth_m = 60.0\n";
        let bare = System::from_toml(text, "somewhere").unwrap();
        let (system, assumed) = sized(&bare, &rows());
        // 210 V in use is 284 V open
        let open = f64::from(system.array.series.unwrap()) * system.array.module.voc_v.unwrap();
        assert!((open - 210.0 / IN_USE).abs() < 1.0, "{open}");
        assert_eq!((system.controller.max_rpm, system.pump.rated_rpm), (Some(2400.0), Some(2400.0)));
        assert!(assumed.iter().any(|a| a.field == "pump.curve" && a.sigma > 0.3), "{assumed:?}");
        // the pump that is put in its place moves about that water at that power
        let (plant, _) = healthy_plant_as_seen(&bare, &rows()).unwrap();
        let load = plant.load_at(2400.0, wellwright_physics::hydraulics::Level::After { minutes: 60.0 });
        assert!((load.water.pump_m3_h / 1.6 - 1.0).abs() < 0.35, "{:?}", load.water);
        assert!((load.dc_w / 840.0 - 1.0).abs() < 0.35, "{}", load.dc_w);
    }

    #[test]
    fn nothing_seen_is_nothing_sized() {
        let system = kestrel_hollow();
        assert!(sized(&system, &[]).1.is_empty());
    }
}
