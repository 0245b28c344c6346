//! Well, pipes and what hangs in the well.

use crate::files::Fault;
use crate::record::System;

/// How far lengths written by two people may differ before they contradict each other, m (common
/// practice, no single source).
const SLACK_M: f64 = 5.0;

pub(super) fn check(system: &System, faults: &mut Vec<Fault>) {
    let (well, delivery) = (&system.well, &system.delivery);
    let intake = well.intake_depth_m;
    let mut say = |field: &str, problem: String, allowed: &str| {
        faults.push(Fault::new(field, problem).allowed(allowed));
    };
    if let Some(depth) = well.depth_m.filter(|d| intake > *d) {
        say(
            "well.intake_depth_m",
            format!("intake at {intake} m is deeper than the well, {depth} m"),
            "intake_depth_m must not be above well.depth_m",
        );
    }
    if let Some(level) = well.static_level_m.filter(|l| *l >= intake) {
        say(
            "well.static_level_m",
            format!("resting level at {level} m is not above the intake at {intake} m"),
            "static_level_m must be less than well.intake_depth_m",
        );
    }
    if let (Some(probe), Some(depth)) =
        (system.protection.as_ref().and_then(|p| p.dry_probe_depth_m), well.depth_m)
        && probe > depth
    {
        say(
            "protection.dry_probe_depth_m",
            format!("probe at {probe} m is deeper than the well, {depth} m"),
            "dry_probe_depth_m must not be above well.depth_m",
        );
    }
    if let (Some(inner), Some(outer)) = (delivery.riser_inner_mm, delivery.riser_outer_mm)
        && inner >= outer
    {
        say(
            "delivery.riser_inner_mm",
            format!("inner diameter {inner} mm is not below the outer, {outer} mm"),
            "riser_inner_mm must be less than riser_outer_mm",
        );
    }
    if let (Some(motor), Some(casing)) = (system.motor.outer_mm, well.casing_inner_mm)
        && motor >= casing
    {
        say(
            "motor.outer_mm",
            format!("a motor of {motor} mm does not fit into a casing of {casing} mm"),
            "outer_mm must be less than well.casing_inner_mm",
        );
    }
    let hanging =
        [("delivery.riser_length_m", delivery.riser_length_m), ("cable.length_m", system.cable.length_m)];
    for (field, length) in hanging {
        if let Some(length) = length.filter(|l| *l < intake - SLACK_M) {
            say(
                field,
                format!("{length} m does not reach the intake at {intake} m"),
                "it must reach from the wellhead to well.intake_depth_m",
            );
        }
    }
    for (i, joint) in system.cable.joints.iter().enumerate() {
        if joint.depth_m > intake + SLACK_M {
            say(
                &format!("cable.joints[{i}].depth_m"),
                format!("joint at {} m is deeper than the intake at {intake} m", joint.depth_m),
                "a joint must not be more than 5 m below well.intake_depth_m",
            );
        }
    }
}
