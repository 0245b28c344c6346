//! Whether a record can be true: each number within its bound, and no two fields against each other.

mod electrical;
mod pump;
mod site;
mod water;

use toml::Value;

use super::bounds::Bound;
use super::error::Fault;
use crate::record::{SCHEMA, System};

/// Everything that cannot be true. `table` is the same record as a TOML table.
pub(super) fn faults(system: &System, table: &toml::Table) -> Vec<Fault> {
    let mut faults = Vec::new();
    if system.schema != SCHEMA {
        faults.push(
            Fault::new("schema", format!("{} is not the schema of this version", system.schema))
                .allowed(format!("this version writes schema {SCHEMA}")),
        );
    }
    for (key, value) in table {
        numbers(value, key, &mut faults);
    }
    site::check(system, &mut faults);
    water::check(system, &mut faults);
    pump::check(system, &mut faults);
    electrical::check(system, &mut faults);
    faults
}

/// Holds every number below `value` against its bound.
fn numbers(value: &Value, path: &str, faults: &mut Vec<Fault>) {
    let number = match value {
        Value::Table(t) => return t.iter().for_each(|(k, v)| numbers(v, &format!("{path}.{k}"), faults)),
        Value::Array(a) => {
            return a.iter().enumerate().for_each(|(i, v)| numbers(v, &format!("{path}[{i}]"), faults));
        }
        Value::Integer(i) => *i as f64,
        Value::Float(f) => *f,
        _ => return,
    };
    if let Some((bound, problem)) = Bound::of(path).and_then(|b| Some((b, b.problem(number)?))) {
        faults.push(Fault::new(path, problem).allowed(bound.allowed()));
    }
}

/// Text that is shown: something, not endless, no control characters.
fn plain_text(field: &str, text: &str, faults: &mut Vec<Fault>) {
    let problem = if text.trim().is_empty() {
        "empty"
    } else if text.chars().count() > 200 {
        "too long"
    } else if text.contains(char::is_control) {
        "holds a control character"
    } else {
        return;
    };
    faults.push(Fault::new(field, problem).allowed("1 to 200 printable characters"));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A record with every number that a record can hold (both kinds of pump at once, on purpose).
    const ALL_NUMBERS: &str = include_str!("all_numbers.toml");

    fn leaves(value: &Value, path: &str, out: &mut Vec<String>) {
        match value {
            Value::Table(t) => t.iter().for_each(|(k, v)| {
                leaves(v, &if path.is_empty() { k.clone() } else { format!("{path}.{k}") }, out);
            }),
            Value::Array(a) => {
                a.iter().enumerate().for_each(|(i, v)| leaves(v, &format!("{path}[{i}]"), out));
            }
            Value::Integer(_) | Value::Float(_) => out.push(path.to_owned()),
            _ => {}
        }
    }

    #[test]
    fn every_number_has_a_bound_and_every_bound_a_number() {
        let system: System = toml::from_str(ALL_NUMBERS).unwrap();
        let mut paths = Vec::new();
        leaves(&Value::Table(toml::Table::try_from(&system).unwrap()), "", &mut paths);
        let mut used: Vec<&str> = Vec::new();
        for path in paths.iter().filter(|p| *p != "schema") {
            used.push(Bound::of(path).unwrap_or_else(|| panic!("{path} has no bound")).path);
        }
        for bound in super::super::bounds::BOUNDS {
            assert!(used.contains(&bound.path), "no field for the bound of {}", bound.path);
        }
    }
}
