//! Rows of a played plant: twenty minutes under a nearly clear noon sky.

use chrono::{DateTime, FixedOffset, TimeDelta};
use wellwright_diagnosis::predict::sky::clear_plane;
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::{Flags, PumpState};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_physics::hydraulics::Level;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;

/// Noon by the sun.
fn start(system: &System) -> DateTime<FixedOffset> {
    let noon = DateTime::parse_from_rfc3339("2026-03-14T12:00:00+00:00").unwrap();
    noon - TimeDelta::seconds((240.0 * system.site.longitude_deg) as i64)
}

/// Twenty minutes of a plant in some condition under a nearly clear noon sky, with all channels.
pub fn running(system: &System, change: impl Fn(&mut Plant)) -> Vec<Sample> {
    let (mut plant, _) = Plant::from_record(system).unwrap();
    plant.array.current_share *= 0.97;
    change(&mut plant);
    let clear = clear_plane(&plant, start(system)).unwrap();
    (0..120)
        .map(|k| {
            let at = start(system) + TimeDelta::seconds(10 * k);
            let irradiance_w_m2 = clear * [0.98, 0.9, 0.82, 0.94, 0.86, 0.78][k as usize / 20 % 6];
            let level = Level::After { minutes: 60.0 + k as f64 / 6.0 };
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
        })
        .collect()
}
