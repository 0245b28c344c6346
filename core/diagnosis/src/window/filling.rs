//! Rows of a start whose water had not come yet.
//!
//! A pump that fills its pipe turns as fast as later and gives nothing: rows from before and after the water came are
//! no stretch of one kind. Where water came later in the same run, what lies before it makes steady points of its own,
//! which tell of the array and not of the load; how long it took is told by [`super::starts`].

use wellwright_domain::channel::Channel;

use super::share_below;
use super::steady::Row;

/// A run whose first row is not older than this was seen to start, min.
const SEEN_START_MIN: f64 = 2.0;

/// Water has come when so much of what comes later is there.
const COME: f64 = 0.3;

/// Less is no water, m3/h, and no column, kPa.
const LEAST: [(Channel, f64); 2] = [(Channel::FlowM3H, 0.05), (Channel::WellheadKpa, 10.0)];

/// Marks the rows in which the pipe was filling.
pub(super) fn mark(rows: &mut [Row<'_>]) {
    let mut from = 0;
    while from < rows.len() {
        let ends = (from + 1..rows.len()).find(|k| rows[*k].running < rows[k - 1].running);
        let to = ends.unwrap_or(rows.len());
        let run = &rows[from..to];
        let filling = LEAST.iter().map(|(channel, least)| filling(run, *channel, *least)).max().unwrap_or(0);
        rows[from..from + filling].iter_mut().for_each(|row| row.filling = true);
        from = to;
    }
}

/// How many rows of a run lie before its water.
fn filling(run: &[Row], channel: Channel, least: f64) -> usize {
    if run[0].running > SEEN_START_MIN {
        return 0;
    }
    let told = |row: &Row| row.sample.get(channel);
    let late = run[run.len() / 2..].iter().filter_map(told);
    let Some(later) = share_below(late, 0.5).filter(|later| *later > least) else { return 0 };
    run.iter().position(|row| told(row).is_some_and(|v| v > COME * later)).unwrap_or(0)
}
