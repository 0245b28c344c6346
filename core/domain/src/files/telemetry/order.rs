//! Rows must rise in time: which rows to set aside so that the fewest are lost.
//!
//! Dropping each row that is earlier than the last kept one would let a single row with a clock years
//! ahead throw away the rest of the file. So the longest strictly rising run of rows is kept; among equally
//! long ones, the one that keeps the earlier rows of the file.

use super::BadRow;
use super::row::Row;

/// Keeps the longest rising run and reports the rest.
pub(super) fn keep_rising(rows: Vec<Row>, bad: &mut Vec<BadRow>) -> Vec<Row> {
    if rows.windows(2).all(|w| w[0].sample.at < w[1].sample.at) {
        return rows;
    }
    let runs = runs_from(&rows);
    let mut wanted = runs.iter().copied().max().unwrap_or(0);
    let mut kept: Vec<Row> = Vec::with_capacity(wanted);
    let mut dropped = Vec::new();
    for (row, run) in rows.into_iter().zip(runs) {
        let rises = kept.last().is_none_or(|k| k.sample.at < row.sample.at);
        if wanted > 0 && run == wanted && rises {
            wanted -= 1;
            kept.push(row);
        } else {
            dropped.push(row);
        }
    }
    for row in dropped {
        let at = row.sample.at;
        let next = kept.partition_point(|k| k.sample.at < at);
        let why = match kept.get(next).filter(|k| k.sample.at == at) {
            Some(same) => format!("the time of line {} again; the row of that line is kept", same.line),
            None => "out of time order".to_owned(),
        };
        bad.push(BadRow { line: row.line, column: Some("time".into()), why });
    }
    kept
}

/// Length of the longest strictly rising run that begins at each row; n log n (patience sorting from the
/// end).
fn runs_from(rows: &[Row]) -> Vec<usize> {
    // tops[k]: the latest time that begins a run of k + 1 rows; falling in k.
    let mut tops = Vec::new();
    let mut runs = vec![0; rows.len()];
    for (i, row) in rows.iter().enumerate().rev() {
        let at = row.sample.at;
        let longer = tops.partition_point(|t| *t > at);
        if longer == tops.len() {
            tops.push(at);
        } else {
            tops[longer] = at;
        }
        runs[i] = longer + 1;
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::Sample;

    fn kept(seconds: &[i64]) -> (Vec<usize>, Vec<String>) {
        let rows = seconds.iter().enumerate().map(|(line, s)| Row {
            line,
            sample: Sample::new(chrono::DateTime::from_timestamp(*s, 0).unwrap().fixed_offset()),
            extra: Vec::new(),
        });
        let mut bad = Vec::new();
        let lines = keep_rising(rows.collect(), &mut bad).into_iter().map(|r| r.line).collect();
        (lines, bad.into_iter().map(|b| format!("{} {}", b.line, b.why)).collect())
    }

    #[test]
    fn a_step_back_loses_the_row_that_steps_back() {
        assert_eq!(kept(&[1, 3, 2]), (vec![0, 1], vec!["2 out of time order".into()]));
        assert_eq!(kept(&[1, 2, 3, 2, 4]).0, [0, 1, 2, 4]);
    }

    #[test]
    fn one_row_far_ahead_does_not_lose_the_rest() {
        assert_eq!(kept(&[1, 2, 9999, 3, 4, 5]), (vec![0, 1, 3, 4, 5], vec!["2 out of time order".into()]));
    }

    #[test]
    fn of_two_equal_times_the_first_is_kept() {
        let again = "2 the time of line 1 again; the row of that line is kept".to_owned();
        assert_eq!(kept(&[1, 2, 2, 3]), (vec![0, 1, 3], vec![again]));
        assert_eq!(kept(&[5, 5, 5]).0, [0]);
    }
}
