//! What the level sensor told about the well at rest and at a stop.

use wellwright_domain::channel::Channel;
use wellwright_domain::sample::Sample;

use super::MEANS_BEYOND_S;

fn level(s: &Sample) -> Option<f64> {
    s.get(Channel::WaterLevelM)
}

/// Highest that the water stood: of a hundred levels the third highest, of fewer at least the second, so that no single
/// row decides.
pub fn highest(samples: &[Sample]) -> Option<f64> {
    let mut levels: Vec<f64> = samples.iter().filter_map(level).collect();
    levels.sort_by(f64::total_cmp);
    levels.get((levels.len() / 50).max(usize::from(levels.len() > 2))).copied()
}

/// Deepest level of the last row and those within the minute before it; rows farther apart are means.
pub fn at_last(rows: &[Sample]) -> Option<f64> {
    let last = rows.last()?.at;
    let near = rows.iter().rev().take_while(|s| (last - s.at).num_seconds() <= MEANS_BEYOND_S);
    near.filter_map(level).reduce(f64::max)
}

/// Mean level of the rows before the first run, and how far apart their ends are.
pub fn before_first_run(samples: &[Sample]) -> Option<(f64, f64)> {
    let first = samples.iter().position(Sample::turns)?;
    let levels: Vec<f64> = samples[..first].iter().filter_map(level).collect();
    let tenth = levels.len().div_ceil(10);
    let mean = |l: &[f64]| l.iter().sum::<f64>() / l.len() as f64;
    (levels.len() > 2)
        .then(|| (mean(&levels), mean(&levels[..tenth]) - mean(&levels[levels.len() - tenth..])))
}
