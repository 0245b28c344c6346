//! Rows as a plant of the product's own physics would give them, for tests of the diagnosis that need no weather.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flag, Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;

/// Noon by the sun, on a day in March.
pub fn noon(system: &System) -> DateTime<FixedOffset> {
    let at_greenwich = DateTime::from_timestamp(1_773_489_600, 0).unwrap_or_default().fixed_offset();
    at_greenwich - TimeDelta::seconds((240.0 * system.site.longitude_deg) as i64)
}

/// Light of the row with this number under a nearly clear sky, as a share of the clear one: a little less now and
/// then, so that there is more than one speed.
pub fn nearly_clear(number: i64) -> f64 {
    if number % 40 < 20 { 0.92 } else { 0.85 }
}

/// A row of a plant in so much light and air, after so many minutes of pumping, with all controller channels and the
/// water's; stopped for want of light where it cannot run.
pub fn row(
    plant: &Plant,
    at: DateTime<FixedOffset>,
    irradiance_w_m2: f64,
    air_c: f64,
    minutes: f64,
) -> Sample {
    let cell_c = air_c + irradiance_w_m2 * 0.03;
    let level = Level::After { minutes };
    let point = plant.operating_point(&Moment { irradiance_w_m2, cell_c, level, heat_share: 1.0 });
    let mut s = Sample::new(at).with(Channel::ArrayV, point.dc.v).with(Channel::ArrayA, point.dc.i);
    let Some(load) = point.load else {
        s.state = Some(PumpState::Stopped);
        s.flags = Some(Flags::NONE.with(Flag::LowPower));
        for c in [Channel::MotorRpm, Channel::PhaseUA, Channel::PhaseVA, Channel::PhaseWA, Channel::FlowM3H] {
            s.set(c, Some(0.0));
        }
        return s;
    };
    s.state = Some(PumpState::Running);
    s.flags = Some(Flags::NONE);
    s.with(Channel::MotorRpm, load.rpm)
        .with(Channel::PhaseUA, load.motor.phase_a)
        .with(Channel::PhaseVA, load.motor.phase_a)
        .with(Channel::PhaseWA, load.motor.phase_a)
        .with(Channel::FlowM3H, load.water.wellhead_m3_h)
        .with(Channel::WellheadKpa, load.water.wellhead_kpa)
        .with(Channel::WaterLevelM, load.water.level_m)
}
