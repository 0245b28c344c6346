//! From the truth to a recording: rows at their spacing, means where they are far apart, cells that are
//! missing, values that cannot be true, stretches without rows.

use chrono::{DateTime, FixedOffset, Offset};
use wellwright_domain::channel::Channel;
use wellwright_domain::flags::Flag;
use wellwright_domain::sample::Sample;

use super::dice::Dice;
use super::run::{Run, Truth};
use super::sensors::Panel;
use super::window::Window;

/// A recording and what was true at each of its rows.
pub struct Recording {
    /// Rows.
    pub samples: Vec<Sample>,
    /// Truth at the end of each row.
    pub truth: Vec<Truth>,
}

/// How a logger spoils its rows.
struct Flaws {
    missing: f64,
    absurd: f64,
    gap: Option<(f64, f64)>,
}

fn instant(unix_s: f64, offset_s: i32) -> DateTime<FixedOffset> {
    let utc = DateTime::from_timestamp_millis((unix_s * 1000.0).round() as i64).unwrap_or_default();
    let offset = FixedOffset::east_opt(offset_s).unwrap_or_else(|| chrono::Utc.fix());
    utc.with_timezone(&offset)
}

/// Runs the plant through the window and reads the instruments.
pub fn record(mut run: Run, panel: &mut Panel, window: &Window, dice: &mut Dice) -> Recording {
    let flaws = Flaws {
        missing: if dice.chance(0.7) { dice.log_uniform(0.0002, 0.006) } else { 0.0 },
        absurd: if dice.chance(0.15) { 0.0005 } else { 0.0 },
        gap: dice.chance(0.12).then(|| (dice.uniform(0.1, 0.9), dice.uniform(0.01, 0.08))),
    };
    let mut t = window.start - window.before;
    let warm = if window.before > 1200.0 { 5.0 } else { 2.5 };
    while t < window.start - warm {
        run.step(t, warm);
        t += warm;
    }
    let fraction = dice.int(0, 9) as f64 / 10.0;
    let mut out = Recording { samples: Vec::new(), truth: Vec::new() };
    let rows = (window.seconds / window.spacing).floor() as usize;
    let means = window.spacing > 60.0;
    for row in 0..rows {
        let aim = window.start + window.spacing * (row as f64 + 1.0);
        let mut inside = Vec::new();
        while t < aim - 1e-6 {
            let dt = window.dt.min(aim - t);
            t += dt;
            inside.push(run.step(t, dt));
        }
        let Some(last) = inside.last().cloned() else { continue };
        let share = row as f64 / rows as f64;
        if flaws.gap.is_some_and(|(from, long)| share > from && share < from + long) {
            continue;
        }
        let shake = if window.jitter { dice.int(0, 3) as f64 / 10.0 - 0.1 } else { 0.0 };
        let silent = last.flags.has(Flag::CommsLost);
        if silent && run.rows_end() {
            break;
        }
        let clock = panel.clock_h * 3600.0;
        let mut sample = Sample::new(instant(aim + fraction + shake + clock, window.offset_s));
        sample.state = (!silent).then_some(last.state);
        sample.flags = Some(last.flags);
        let channels: Vec<Channel> = panel.instruments.iter().map(|i| i.channel).collect();
        for (k, channel) in channels.into_iter().enumerate() {
            let total = matches!(channel, Channel::VolumeM3 | Channel::EnergyKwh | Channel::TankLevelPct);
            let truth = if means && !total {
                inside.iter().map(|x| panel.truth(channel, x)).sum::<f64>() / inside.len() as f64
            } else {
                panel.truth(channel, &last)
            };
            let mut value = panel.instruments[k].read(truth, window.spacing, dice);
            if dice.chance(flaws.absurd) {
                value = dice.pick(&[65535.0, -9999.0]);
            }
            let there = !dice.chance(flaws.missing) && (!silent || panel.readable_alone(channel));
            sample.set(channel, there.then_some(value));
        }
        out.samples.push(sample);
        out.truth.push(last);
    }
    out
}
