//! One row of a played plant; the benchmark plays its hour with it too.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;

/// Noon by the sun.
pub fn noon(system: &System) -> DateTime<FixedOffset> {
    let clock = DateTime::parse_from_rfc3339("2026-03-14T12:00:00+00:00").unwrap();
    clock - TimeDelta::seconds((240.0 * system.site.longitude_deg) as i64)
}

/// One row with all channels: a plant in a light, after so many minutes of pumping.
pub fn row(plant: &Plant, at: DateTime<FixedOffset>, irradiance_w_m2: f64, minutes: f64) -> Sample {
    let level = Level::After { minutes };
    let cell_c = 25.0 + irradiance_w_m2 * 0.03;
    let point = plant.operating_point(&Moment { irradiance_w_m2, cell_c, level, heat_share: 1.0 });
    let load = point.load.unwrap();
    let mut s = Sample::new(at)
        .with(Channel::ArrayV, point.dc.v)
        .with(Channel::ArrayA, point.dc.i)
        .with(Channel::MotorRpm, load.rpm)
        .with(Channel::PhaseUA, load.motor.phase_a * load.motor.unbalance[0])
        .with(Channel::PhaseVA, load.motor.phase_a * load.motor.unbalance[1])
        .with(Channel::PhaseWA, load.motor.phase_a * load.motor.unbalance[2])
        .with(Channel::OutputV, load.motor.told_line_v)
        .with(Channel::IrradianceWM2, irradiance_w_m2)
        .with(Channel::ModuleC, cell_c)
        .with(Channel::FlowM3H, load.water.wellhead_m3_h)
        .with(Channel::WellheadKpa, load.water.wellhead_kpa)
        .with(Channel::WaterLevelM, load.water.level_m);
    s.state = Some(PumpState::Running);
    s.flags = Some(Flags::NONE);
    s
}
