//! Turns what the deserialiser says into what a person can act on.

use super::bounds::{BOUNDS, Bound};
use super::error::Fault;

/// What each required field is, for the message that it is missing.
const REQUIRED: &[(&str, &str)] = &[
    ("name", "the name that the owner uses, in quotes"),
    ("site", "a table with latitude_deg, longitude_deg, altitude_m and time_zone"),
    ("site.time_zone", "an IANA time zone such as \"Africa/Windhoek\", or \"UTC\""),
    ("well", "a table with at least intake_depth_m"),
    ("pump", "a table with at least kind"),
    ("pump.kind", "\"centrifugal\" or \"helical_rotor\""),
];

/// The fault that a deserialiser's `message` about `path` means; `written` is the text at that place.
///
/// The wording that is taken apart is serde's own (`unknown field`, `missing field`, ...); a wording that
/// is not known is passed on as it is.
pub(super) fn explain(path: &str, message: &str, written: &str) -> Fault {
    if let Some(rest) = message.strip_prefix("unknown field ") {
        unknown_key(path, rest)
    } else if let Some(rest) = message.strip_prefix("missing field ") {
        missing(path, quoted(rest).next().unwrap_or_default())
    } else if let Some(rest) = message.strip_prefix("unknown variant ") {
        unknown_word(path, rest)
    } else if let Some(rest) = message.strip_prefix("invalid length ") {
        let (n, expected) = rest.split_once(", expected ").unwrap_or((rest, ""));
        if expected.starts_with("struct") {
            return Fault::new(path, "a list stands where a table belongs")
                .allowed("write its keys with their names");
        }
        let wanted = expected.rsplit(' ').next().unwrap_or_default();
        Fault::new(path, format!("{n} values")).allowed(format!("exactly {wanted} are allowed"))
    } else if message.starts_with("invalid type: ") || message.starts_with("invalid value: ") {
        let expected = message.rsplit_once("expected ").map_or("", |(_, e)| e);
        wrong_type(path, expected, written)
    } else if message.starts_with("data did not match any variant") {
        Fault::new(path, format!("`{written}` is not a lead map"))
            .allowed("write [\"1-1\", \"2-2\", \"3-3\"] or \"unknown\"")
    } else {
        Fault::new(path, message)
    }
}

/// The words in back quotes.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

fn unknown_key(path: &str, rest: &str) -> Fault {
    // The key may itself hold back quotes, so it is cut off before the list is read.
    let (key, list) = rest.rsplit_once(", expected ").unwrap_or((rest, ""));
    let key = key.trim_matches('`');
    let known: Vec<&str> = quoted(list).collect();
    let fault = Fault::new(path, "unknown key").allowed(format!("allowed here: {}", known.join(", ")));
    let fault = fault.nearest_of(key, known.iter().copied());
    if matches!(fault.nearest, Some((_, true))) {
        return fault;
    }
    // The right key in the wrong table.
    match BOUNDS.iter().find(|b| b.path.rsplit('.').next() == Some(key) && !b.path.contains(['*', '['])) {
        Some(bound) => Fault { nearest: Some((bound.path.to_owned(), true)), ..fault },
        None => fault,
    }
}

fn missing(path: &str, key: &str) -> Fault {
    let field = if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
    let what = REQUIRED
        .iter()
        .find(|(f, _)| *f == field)
        .map(|(_, what)| (*what).to_owned())
        .or_else(|| Bound::of(&field).map(Bound::allowed));
    let fault = Fault::new(field, "missing");
    match what {
        Some(what) => fault.allowed(format!("required: {what}")),
        None => fault.allowed("required"),
    }
}

fn unknown_word(path: &str, rest: &str) -> Fault {
    let (word, list) = rest.rsplit_once(", expected ").unwrap_or((rest, ""));
    let word = word.trim_matches('`');
    let known: Vec<&str> = quoted(list).collect();
    Fault::new(path, format!("`{word}` is not a known word"))
        .allowed(format!("allowed: {}", known.join(", ")))
        .nearest_of(word, known.iter().copied())
}

fn wrong_type(path: &str, expected: &str, written: &str) -> Fault {
    let bound = Bound::of(path);
    let (what, allowed) = match expected {
        "a boolean" => ("yes or no", Some("write true or false, without quotes".to_owned())),
        "u32" => ("a possible whole number", bound.map(Bound::allowed)),
        "f64" => ("a number", bound.map(Bound::allowed)),
        "a string" => ("text", Some("write it in quotes".to_owned())),
        e if e.starts_with("struct") => ("a table", Some(format!("write it under [{path}]"))),
        e if e.starts_with("an array") || e == "a sequence" => ("a list", Some("write it in [ ]".to_owned())),
        other => (other, None),
    };
    Fault { allowed, ..Fault::new(path, format!("`{written}` is not {what}")) }
}
