//! The causes: stable codes, and what the contract fixes about each.
//!
//! The list is an enum so that code cannot name a cause that does not exist; everything else about a
//! cause (priors, severity range, whether the pump must come out) is read from the contract's table,
//! `contract/causes.csv`, so that it stands in one place.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::channel::Channel;
use crate::record::{PumpKind, System};
use crate::situation::Situation;

macro_rules! causes {
    ($($variant:ident = $code:literal),* $(,)?) => {
        /// A cause that the ranking knows. Its code is stable; translated text never is.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[allow(missing_docs)]
        pub enum Cause {
            $(#[serde(rename = $code)] $variant,)*
        }

        impl Cause {
            /// Every cause, in the order of the contract.
            pub const ALL: &'static [Cause] = &[$(Cause::$variant,)*];

            /// Stable code.
            pub const fn code(self) -> &'static str {
                match self { $(Cause::$variant => $code,)* }
            }
        }
    };
}

causes! {
    Healthy = "healthy",
    LowSun = "low_sun",
    StandingBy = "standing_by",
    ReversedRotation = "reversed_rotation",
    OpenPhase = "open_phase",
    HighResistanceJoint = "high_resistance_joint",
    UndersizedDropCable = "undersized_drop_cable",
    DcSideLoss = "dc_side_loss",
    InsulationFault = "insulation_fault",
    WindingFault = "winding_fault",
    WeakMagnets = "weak_magnets",
    DryRunning = "dry_running",
    WellYieldLimit = "well_yield_limit",
    StaticLevelDrop = "static_level_drop",
    CloggedScreen = "clogged_screen",
    ClosedValve = "closed_valve",
    NarrowedPipe = "narrowed_pipe",
    RiserLeak = "riser_leak",
    CheckValveLeak = "check_valve_leak",
    WornPump = "worn_pump",
    BlockedIntake = "blocked_intake",
    SeizedPump = "seized_pump",
    BrokenShaft = "broken_shaft",
    BlockedRiser = "blocked_riser",
    MechanicalDrag = "mechanical_drag",
    GasInWater = "gas_in_water",
    PartialShade = "partial_shade",
    Soiling = "soiling",
    OpenString = "open_string",
    NoDcSupply = "no_dc_supply",
    ShortedBypass = "shorted_bypass",
    RecordMismatch = "record_mismatch",
    EquipmentMismatch = "equipment_mismatch",
    ControllerOverheating = "controller_overheating",
    ControllerFailed = "controller_failed",
    LimitSetLow = "limit_set_low",
    PowerTrackingStuck = "power_tracking_stuck",
    StuckFloat = "stuck_float",
    FalseDrySignal = "false_dry_signal",
    IrradianceSensorError = "irradiance_sensor_error",
    FlowMeterError = "flow_meter_error",
    LevelSensorError = "level_sensor_error",
    PressureSensorError = "pressure_sensor_error",
    ClockError = "clock_error",
    Unknown = "unknown",
}

/// Whether settling the cause means lifting the pump.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PumpOut {
    /// Never.
    No,
    /// Depends on where it sits.
    Maybe,
    /// Always.
    Yes,
}

/// One condition of `applies_to`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Applies {
    /// Only this kind of pump.
    Kind(PumpKind),
    /// At least so many strings in parallel.
    StringsAtLeast(u32),
    /// Only with this added sensor.
    Has(Channel),
    /// Only when a tank float is fitted, or nobody knows.
    FittedTankFloat,
    /// Only when a dry probe is fitted, or nobody knows.
    FittedDryProbe,
}

/// What the contract fixes about a cause.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseInfo {
    /// The cause.
    pub cause: Cause,
    /// Group: electrical, water, pump, array, record, controller, sensor, none.
    pub group: String,
    /// One sentence.
    pub meaning: String,
    /// Name, unit and range of the severity, if the cause has one.
    pub severity: Option<SeverityInfo>,
    /// All must hold.
    pub applies_to: Vec<Applies>,
    /// Must the pump come out?
    pub pump_out: PumpOut,
    prior: [f64; 3],
}

/// The severity of a cause: what is counted, its unit and the range of its prior.
#[derive(Debug, Clone, PartialEq)]
pub struct SeverityInfo {
    /// What is counted.
    pub name: String,
    /// Unit.
    pub unit: String,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Cause {
    /// The cause with this code.
    pub fn from_code(code: &str) -> Option<Cause> {
        Self::ALL.iter().copied().find(|c| c.code() == code)
    }

    /// Nothing is wrong: as it should be, too little sun, or resting as meant.
    pub fn is_sound(self) -> bool {
        matches!(self, Cause::Healthy | Cause::LowSun | Cause::StandingBy)
    }

    /// A fault of the catalogue: neither sound nor unknown.
    pub fn is_fault(self) -> bool {
        !self.is_sound() && self != Cause::Unknown
    }

    /// What the contract fixes about it.
    pub fn info(self) -> &'static CauseInfo {
        &TABLE[self as usize]
    }

    /// Relative prior weight in a situation (not normalised).
    pub fn prior_weight(self, situation: Situation) -> f64 {
        self.info().prior[situation as usize]
    }

    /// Whether it can occur in this system at all, given the channels that were ever seen.
    pub fn applies(self, system: &System, has: impl Fn(Channel) -> bool) -> bool {
        self.info().applies_to.iter().all(|a| match *a {
            Applies::Kind(kind) => system.pump.kind == kind,
            Applies::StringsAtLeast(n) => system.array.strings.is_none_or(|s| s >= n),
            Applies::Has(channel) => has(channel),
            Applies::FittedTankFloat => system.protection.as_ref().is_none_or(|p| p.tank_float),
            Applies::FittedDryProbe => {
                system.protection.as_ref().is_none_or(|p| p.dry_probe_depth_m.is_some())
            }
        })
    }
}

static TABLE: LazyLock<Vec<CauseInfo>> = LazyLock::new(|| {
    parse_table(include_str!("../contract/causes.csv")).expect("the table compiled into the program is sound")
});

fn parse_table(text: &str) -> Result<Vec<CauseInfo>, String> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().map_err(|e| e.to_string())?.clone();
    let column =
        |name: &str| header.iter().position(|h| h == name).ok_or_else(|| format!("no column {name}"));
    let [code, group, meaning, severity, unit, low, high, applies, out] = [
        column("code")?,
        column("group")?,
        column("meaning")?,
        column("severity")?,
        column("severity_unit")?,
        column("severity_low")?,
        column("severity_high")?,
        column("applies_to")?,
        column("pump_out")?,
    ];
    let priors = [column("prior_first_start")?, column("prior_after_repair")?, column("prior_in_service")?];
    let mut rows = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|e| e.to_string())?;
        let number = |i: usize| row[i].parse::<f64>().map_err(|e| format!("{}: {e}", &row[code]));
        rows.push(CauseInfo {
            cause: Cause::from_code(&row[code]).ok_or_else(|| format!("unknown cause {}", &row[code]))?,
            group: row[group].to_owned(),
            meaning: row[meaning].to_owned(),
            severity: if row[severity].is_empty() {
                None
            } else {
                Some(SeverityInfo {
                    name: row[severity].to_owned(),
                    unit: row[unit].to_owned(),
                    low: number(low)?,
                    high: number(high)?,
                })
            },
            applies_to: row[applies]
                .split(';')
                .filter_map(|t| parse_applies(t.trim()).transpose())
                .collect::<Result<_, _>>()?,
            pump_out: match &row[out] {
                "no" => PumpOut::No,
                "maybe" => PumpOut::Maybe,
                "yes" => PumpOut::Yes,
                other => return Err(format!("pump_out {other}")),
            },
            prior: [number(priors[0])?, number(priors[1])?, number(priors[2])?],
        });
    }
    let in_order = rows.len() == Cause::ALL.len() && rows.iter().zip(Cause::ALL).all(|(r, c)| r.cause == *c);
    if in_order { Ok(rows) } else { Err("the table and the list of causes differ".into()) }
}

fn parse_applies(term: &str) -> Result<Option<Applies>, String> {
    Ok(Some(match term {
        "all" => return Ok(None),
        "centrifugal" => Applies::Kind(PumpKind::Centrifugal),
        "helical_rotor" => Applies::Kind(PumpKind::HelicalRotor),
        "fitted tank_float" => Applies::FittedTankFloat,
        "fitted dry_probe" => Applies::FittedDryProbe,
        _ => {
            if let Some(n) = term.strip_prefix("strings>=") {
                Applies::StringsAtLeast(n.parse().map_err(|_| format!("applies_to {term}"))?)
            } else if let Some(c) = term.strip_prefix("has ").and_then(Channel::from_code) {
                Applies::Has(c)
            } else {
                return Err(format!("applies_to {term}"));
            }
        }
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_and_the_contract_agree() {
        let rows = parse_table(include_str!("../contract/causes.csv")).unwrap();
        assert_eq!(rows.len(), 45);
        assert_eq!(Cause::ReversedRotation.prior_weight(Situation::FirstStart), 14.0);
        assert_eq!(Cause::HighResistanceJoint.info().severity.as_ref().unwrap().high, 12.0);
    }

    #[test]
    fn a_cause_that_the_list_does_not_hold_is_an_error() {
        let text = include_str!("../contract/causes.csv").replace("dry_running", "wet_running");
        assert!(parse_table(&text).unwrap_err().contains("wet_running"));
    }
}
