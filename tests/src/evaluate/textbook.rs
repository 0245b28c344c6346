//! The order in which a careful person without a ranking makes checks: what costs least first.
//!
//! Look, listen, read codes and tank; bucket; DC clamp on the strings; open-circuit voltages; AC clamp on the
//! leads; gauge and dead-head; soundings; resistances; two leads swapped; the pump out last (common practice, no
//! single source). Checks that this list does not name follow by their minutes before the pump is lifted, so
//! that the list is not beaten merely for lacking them.

use wellwright_domain::check::Check;

/// The list.
const LISTED: [Check; 14] = [
    Check::LookAndListen,
    Check::ControllerDisplay,
    Check::TankLook,
    Check::BucketTest,
    Check::StringCurrent,
    Check::StringOpenVoltage,
    Check::LeadCurrent,
    Check::WellheadGauge,
    Check::DeadHeadGauge,
    Check::RestingLevelSounding,
    Check::WaterLevelSounding,
    Check::LeadResistance,
    Check::InsulationResistance,
    Check::SwapTwoLeads,
];

/// Every check in the fixed order.
pub fn order() -> Vec<Check> {
    let mut rest: Vec<Check> =
        Check::ALL.iter().copied().filter(|c| !LISTED.contains(c) && *c != Check::PullPump).collect();
    rest.sort_by(|a, b| a.info().minutes.total_cmp(&b.info().minutes));
    LISTED.into_iter().chain(rest).chain([Check::PullPump]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_stands_once_and_the_lift_last() {
        let mut order = order();
        assert_eq!(order.last(), Some(&Check::PullPump));
        order.sort();
        assert_eq!(order, Check::ALL);
    }
}
