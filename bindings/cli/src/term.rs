//! How text reaches the terminal: width, two inks, and nothing of either when piped.

use std::env;
use std::io::{self, Write as _};
use std::sync::atomic::{AtomicBool, Ordering};

use console::Term;

/// Width when the output is no terminal, columns.
const PIPED_WIDTH: usize = 80;
/// Lines longer than this are hard to read, columns.
const WIDEST: usize = 100;

/// Where text goes and what may be used there.
#[derive(Debug, Clone)]
pub struct Ink {
    /// Colour and weight may be used.
    pub colour: bool,
    /// Block characters may be used.
    pub blocks: bool,
    /// Columns that text is broken at.
    pub width: usize,
    /// Columns that there are.
    pub columns: usize,
}

impl Ink {
    /// For standard output.
    pub fn stdout() -> Ink {
        Ink::of(&Term::stdout())
    }

    /// For standard error.
    pub fn stderr() -> Ink {
        Ink::of(&Term::stderr())
    }

    fn of(term: &Term) -> Ink {
        let is_term = term.is_term();
        let dumb = env::var("TERM").is_ok_and(|t| t == "dumb");
        let no_colour = env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
        let width = if is_term { usize::from(term.size().1) } else { PIPED_WIDTH };
        Ink {
            colour: is_term && !dumb && !no_colour,
            blocks: !plain_locale(),
            width: width.clamp(40, WIDEST),
            columns: width.max(20),
        }
    }

    /// Set in bold.
    pub fn strong(&self, text: &str) -> String {
        self.set("1", text)
    }

    /// Set in rust: it differs.
    pub fn rust(&self, text: &str) -> String {
        self.set("38;5;166", text)
    }

    /// Set in rust and bold.
    pub fn strong_rust(&self, text: &str) -> String {
        self.set("1;38;5;166", text)
    }

    fn set(&self, code: &str, text: &str) -> String {
        if self.colour && !text.is_empty() {
            format!("\u{1b}[{code}m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }
}

/// True when the locale says that only ASCII can be shown.
fn plain_locale() -> bool {
    let first =
        ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(|k| env::var(k).ok().filter(|v| !v.is_empty()));
    matches!(first.as_deref(), Some("C" | "POSIX"))
}

/// Writes to standard output. A reader that has gone away (`| head`) is no fault.
pub fn out(text: &str) {
    let mut stdout = io::stdout().lock();
    let written = stdout.write_all(plain(text).as_bytes()).and_then(|()| stdout.flush());
    if let Err(e) = written
        && e.kind() != io::ErrorKind::BrokenPipe
    {
        eprintln!(
            "wellwright: standard output cannot be written ({e}); free some space or choose another place"
        );
        LOST.store(true, Ordering::Relaxed);
    }
}

/// Set once something that was to be written was lost.
static LOST: AtomicBool = AtomicBool::new(false);

/// True when a part of the answer could not be written.
pub fn is_lost() -> bool {
    LOST.load(Ordering::Relaxed)
}

/// No-break spaces are for pages; a terminal breaks where we break.
pub fn plain(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

/// Text broken into lines of at most `width` columns, each after `indent` columns but for the first.
pub fn wrapped(text: &str, width: usize, indent: usize) -> String {
    let room = width.saturating_sub(indent).max(20);
    let mut out = String::new();
    let mut used = 0;
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let n = console::measure_text_width(word);
        if used > 0 && used + 1 + n > room {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            used = 0;
        } else if used > 0 {
            out.push(' ');
            used += 1;
        }
        out.push_str(word);
        used += n;
    }
    out
}

/// Text in `width` columns, at the leading edge.
pub fn left(text: &str, width: usize) -> String {
    let n = console::measure_text_width(text);
    format!("{text}{}", " ".repeat(width.saturating_sub(n)))
}

/// Text in `width` columns, at the trailing edge.
pub fn right(text: &str, width: usize) -> String {
    let n = console::measure_text_width(text);
    format!("{}{text}", " ".repeat(width.saturating_sub(n)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_text_is_broken_and_a_number_stays_with_its_unit() {
        let said = wrapped("Flow falls to\u{a0}0.7\u{a0}m3/h and the rest follows", 30, 4);
        assert_eq!(said, "Flow falls to\u{a0}0.7\u{a0}m3/h and\n    the rest follows");
    }

    #[test]
    fn without_colour_nothing_is_added() {
        let ink = Ink { colour: false, blocks: true, width: 80, columns: 80 };
        assert_eq!(ink.strong_rust("x"), "x");
        let ink = Ink { colour: true, ..ink };
        assert_eq!(ink.rust("x"), "\u{1b}[38;5;166mx\u{1b}[0m");
        assert_eq!(
            (left(&ink.rust("x"), 3).len(), right("x", 3)),
            (ink.rust("x").len() + 2, "  x".to_owned())
        );
    }
}
