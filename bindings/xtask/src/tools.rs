//! The tools that the suites need: how to tell that one is here, and how to get one that is not.

use crate::process;

/// A tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tool {
    /// What a person calls it.
    pub name: &'static str,
    /// What it is for.
    pub needed_for: &'static str,
    /// What to do when it is missing.
    pub install: &'static str,
    /// Program and arguments that make it tell its version.
    probe: (&'static str, &'static [&'static str]),
    /// Lowest major version, where that matters.
    least: Option<u32>,
}

/// Compiler of the core.
pub const RUST: Tool = Tool {
    name: "Rust",
    needed_for: "everything",
    install: "install Rust through rustup, version 1.91 or later",
    probe: ("cargo", &["--version"]),
    least: None,
};
/// C compiler, for SQLite and the D-Bus library, which are built from source.
pub const C_COMPILER: Tool = Tool {
    name: "C compiler",
    needed_for: "everything",
    install: "install a C compiler (package gcc and libc headers, or Xcode's command line tools)",
    probe: ("cc", &["--version"]),
    least: None,
};
/// Formatter.
pub const RUSTFMT: Tool = Tool {
    name: "rustfmt",
    needed_for: "suite format",
    install: "run: rustup component add rustfmt",
    probe: ("cargo", &["fmt", "--version"]),
    least: None,
};
/// Lints.
pub const CLIPPY: Tool = Tool {
    name: "clippy",
    needed_for: "suite lint",
    install: "run: rustup component add clippy",
    probe: ("cargo", &["clippy", "--version"]),
    least: None,
};
/// Java compiler and machine.
pub const JDK: Tool = Tool {
    name: "JDK 17",
    needed_for: "suite kotlin",
    install: "install a Java development kit, version 17 or later (package openjdk-17-jdk-headless)",
    probe: ("javac", &["-version"]),
    least: Some(17),
};
/// Fetches the Kotlin compiler and runs the Kotlin tests.
pub const MAVEN: Tool = Tool {
    name: "Maven",
    needed_for: "suite kotlin",
    install: "install Maven, version 3.8 or later (package maven)",
    probe: ("mvn", &["--batch-mode", "--version"]),
    least: None,
};

/// Every tool, in the order in which a newcomer needs them.
pub const ALL: &[Tool] = &[RUST, C_COMPILER, RUSTFMT, CLIPPY, JDK, MAVEN];

impl Tool {
    /// The first line of what it says of itself, or why it will not do.
    pub fn found(&self) -> Result<String, String> {
        let (program, args) = self.probe;
        let said = process::capture(program, args).map_err(|_| "not found".to_owned())?;
        let line = said.lines().next().unwrap_or_default().trim().to_owned();
        match self.least {
            Some(least) if major(&line).is_some_and(|major| major < least) => Err(format!("too old: {line}")),
            _ => Ok(line),
        }
    }
}

/// What is missing of these, each in a sentence that says what to do.
pub fn missing(tools: &[Tool]) -> Vec<String> {
    tools
        .iter()
        .filter_map(|tool| tool.found().err().map(|why| format!("{}: {why}; {}", tool.name, tool.install)))
        .collect()
}

/// The first number in a line.
fn major(line: &str) -> Option<u32> {
    let digits = line.split(|c: char| !c.is_ascii_digit()).find(|part| !part.is_empty())?;
    digits.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOWHERE: Tool = Tool { probe: ("no-such-program-anywhere", &[]), ..MAVEN };

    #[test]
    fn reads_a_major_version() {
        assert_eq!(major("javac 17.0.15"), Some(17));
        assert_eq!(major("javac 21"), Some(21));
        assert_eq!(major("none"), None);
    }

    #[test]
    fn a_missing_tool_says_what_to_do() {
        let said = missing(&[RUST, NOWHERE]);
        assert_eq!(said, ["Maven: not found; install Maven, version 3.8 or later (package maven)"]);
    }

    #[test]
    fn a_tool_that_is_too_old_will_not_do() {
        let future = Tool { least: Some(9000), ..RUST };
        assert!(future.found().unwrap_err().starts_with("too old: cargo "));
    }
}
