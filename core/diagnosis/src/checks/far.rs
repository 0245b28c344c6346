//! Checks that belong to another time than the recording.
//!
//! A check is weighed with the readings of its moment. One that was made weeks before or after, or whose date was
//! written down wrong, would be weighed with readings that have nothing to do with it: it is left out and said.

use chrono::{DateTime, FixedOffset};
use wellwright_domain::check::{Check, CheckMade};

/// So many days from the recording nothing is known of a check's moment (engineering judgement).
pub const FAR_DAYS: i64 = 7;

/// True when a check was made so long before or after the rows. The clock itself may be what is asked.
pub fn is_far(made: &CheckMade, span: Option<(DateTime<FixedOffset>, DateTime<FixedOffset>)>) -> bool {
    let Some((at, (from, to))) = made.at.zip(span) else { return false };
    made.check != Check::ClockCompare
        && ((from - at).num_days() >= FAR_DAYS || (at - to).num_days() >= FAR_DAYS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn a_week_is_another_time() {
        let at = |t: &str| DateTime::parse_from_rfc3339(t).unwrap();
        let span = Some((at("2026-03-14T10:00:00Z"), at("2026-03-14T11:00:00Z")));
        let made = |check, t: &str| CheckMade { check, at: Some(at(t)), answers: BTreeMap::new() };
        assert!(!is_far(&made(Check::BucketTest, "2026-03-15T06:00:00+05:00"), span));
        assert!(is_far(&made(Check::BucketTest, "2099-01-01T00:00:00Z"), span));
        assert!(is_far(&made(Check::BucketTest, "2026-03-01T00:00:00Z"), span));
        assert!(!is_far(&made(Check::ClockCompare, "2099-01-01T00:00:00Z"), span));
        assert!(
            !is_far(&made(Check::BucketTest, "2099-01-01T00:00:00Z"), None),
            "there is nothing to be far from"
        );
        assert!(!is_far(&CheckMade { check: Check::BucketTest, at: None, answers: BTreeMap::new() }, span));
    }
}
