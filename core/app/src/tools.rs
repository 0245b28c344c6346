//! The tools that checks need, by name, so that a person can say which are not at hand.

use wellwright_domain::check::Check;

/// Every tool of the table of checks, each once, in its order.
pub fn known() -> Vec<&'static str> {
    let mut out: Vec<&str> = Vec::new();
    for check in Check::ALL {
        let tool = check.info().tool.as_str();
        if tool != "none" && !out.contains(&tool) {
            out.push(tool);
        }
    }
    out
}

/// The tool of this name; case does not matter, and hyphens stand for spaces.
///
/// # Errors
/// One line that names the known tools.
pub fn named(text: &str) -> Result<String, String> {
    let plain = |t: &str| t.trim().to_lowercase().replace('-', " ");
    let wanted = plain(text);
    let found = known().into_iter().find(|t| plain(t) == wanted);
    found.map(str::to_owned).ok_or_else(|| format!("no check needs it; known tools: {}", known().join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tool_is_known_by_its_name_in_any_case() {
        assert_eq!(named("DC meter").unwrap(), "DC meter");
        assert_eq!(named("dc-meter").unwrap(), "DC meter");
        assert_eq!(named(" Sounder ").unwrap(), "sounder");
        assert!(named("hammer").unwrap_err().contains("sounder"));
        let all = known();
        assert!(all.contains(&"crew and hoist") && !all.contains(&"none"));
        assert!(all.iter().enumerate().all(|(k, t)| !all[k + 1..].contains(t)));
    }
}
