//! The live reading against the expected span: a few lines that stay in place on a terminal, or a line every
//! couple of seconds where standard error is none.

use std::fmt::Write as _;
use std::io::{self, Write as _};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use wellwright_app::now::{Now, NowRow};
use wellwright_app::session::Stage;
use wellwright_app::text::{Catalogue, Words, time};
use wellwright_app::{NowView, Observer};

use crate::show::span;
use crate::term::{Ink, left, plain, right};

/// Columns of a span.
const SPAN: usize = 21;
/// Between two lines where nothing can stay in place.
const BETWEEN_LINES: Duration = Duration::from_secs(2);

/// Where the live reading is shown.
#[derive(Debug)]
pub struct Screen {
    ink: Ink,
    terminal: bool,
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    /// Lines that stand on the terminal.
    lines: usize,
    last_line: Option<Instant>,
    last_said: String,
    closed: bool,
}

impl Screen {
    /// On standard error.
    pub fn new(ink: Ink) -> Screen {
        let term = console::Term::stderr();
        let dumb = std::env::var("TERM").is_ok_and(|t| t == "dumb");
        Screen { ink, terminal: term.is_term() && !dumb, state: Mutex::default() }
    }

    /// Nothing more is shown; what stands there is taken away, so that the answer stands alone.
    pub fn close(&self) {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        state.closed = true;
        if self.terminal && state.lines > 0 {
            write(&format!("\u{1b}[{}A\r\u{1b}[J", state.lines));
            state.lines = 0;
        }
    }
}

impl Observer for Screen {
    fn now(&self, view: NowView) {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        if state.closed {
            return;
        }
        if self.terminal {
            let lines = lines(&view, &self.ink);
            let mut out = String::new();
            if state.lines > 0 {
                let _ = write!(out, "\u{1b}[{}A", state.lines);
            }
            for line in &lines {
                let _ = write!(out, "\r\u{1b}[2K{}\n", console::truncate_str(line, self.ink.columns, ""));
            }
            out.push_str("\u{1b}[J");
            state.lines = lines.len();
            write(&out);
            return;
        }
        let due = state.last_line.is_none_or(|at| at.elapsed() >= BETWEEN_LINES);
        let said = short(&view);
        if due && said != state.last_said {
            write(&(said.clone() + "\n"));
            state.last_line = Some(Instant::now());
            state.last_said = said;
        }
    }
}

/// A terminal that has gone away shows nothing, and the session goes on.
fn write(text: &str) {
    let mut stderr = io::stderr().lock();
    let _ = stderr.write_all(plain(text).as_bytes()).and_then(|()| stderr.flush());
}

/// One line for a log.
fn short(view: &NowView) -> String {
    let Some(now) = view.now.as_ref().filter(|_| view.session.stage == Stage::Following) else {
        return standing(view);
    };
    let mut out = format!("{} {}", time::clock(now.at), now.state);
    for row in now.rows.iter().filter(|r| ["array", "flow", "pump"].contains(&r.id.as_str())) {
        let _ = write!(out, "; {}", said(row));
    }
    let _ = write!(out, "; {}", counts(view));
    out
}

/// "Flow 0.7 m3/h, should 5.3 to 5.9"
fn said(row: &NowRow) -> String {
    let mut out = format!("{} {} {}", row.name, row.value, row.unit).trim_end().to_owned();
    if let Some(should) = &row.should {
        let _ = write!(out, ", {} {should}", Catalogue::english().text("cli.should"));
    }
    out
}

/// Where the session stands, in words.
fn standing(view: &NowView) -> String {
    match &view.session.reason {
        Some(reason) if view.session.stage != Stage::Ended => format!("{}: {reason}", view.stage),
        _ => view.stage.clone(),
    }
}

fn counts(view: &NowView) -> String {
    let words = Words::english();
    let s = &view.session;
    let (n, saved) = (words.count(s.received as usize), words.count(s.saved as usize));
    let mut out = words.fill("cli.readings", &[("n", &n), ("saved", &saved)]);
    if s.lost > 0 {
        let _ = write!(out, ", {}", words.fill("cli.lost", &[("n", &words.count(s.lost as usize))]));
    }
    out
}

/// The lines that stay in place.
fn lines(view: &NowView, ink: &Ink) -> Vec<String> {
    let serial = view.session.serial.as_deref().map(|s| format!(" {s}")).unwrap_or_default();
    let mut out = vec![format!("{}  {}{serial}", ink.strong(&view.system), standing(view))];
    if let Some(now) = &view.now {
        out.push(head(now, ink));
        out.extend(now.rows.iter().map(|r| row(r, ink)));
        out.push(format!("{}  {}", time::clock(now.at), counts(view)));
    }
    if let Some(problem) = &view.session.problem {
        out.push(ink.rust(problem));
    }
    out
}

fn head(now: &Now, ink: &Ink) -> String {
    let title = if now.differs { ink.strong_rust(&now.title) } else { ink.strong(&now.title) };
    format!("{title}  {}", now.state)
}

/// Name, value and unit, span, what should be, how far it is off.
pub fn row(r: &NowRow, ink: &Ink) -> String {
    line(
        &r.name,
        &r.value,
        &r.unit,
        r.row.span.as_ref(),
        r.should.as_deref(),
        note(r).as_deref(),
        r.differs,
        ink,
    )
}

fn note(r: &NowRow) -> Option<String> {
    r.note.clone().filter(|_| r.differs)
}

/// A row of a number against its span.
#[allow(clippy::too_many_arguments, reason = "the columns of one line")]
pub fn line(
    name: &str,
    value: &str,
    unit: &str,
    view: Option<&wellwright_app::scene::span::SpanView>,
    should: Option<&str>,
    note: Option<&str>,
    differs: bool,
    ink: &Ink,
) -> String {
    let number = if differs { ink.strong_rust(value) } else { ink.strong(value) };
    let drawn = view.map_or_else(|| " ".repeat(SPAN), |v| span::draw(v, SPAN, ink));
    let should =
        should.map(|s| format!("{} {s}", Catalogue::english().text("cli.should"))).unwrap_or_default();
    let row = format!("{} {} {} {drawn}  ", left(name, 16), right(&number, 9), left(unit, 5));
    let at = console::measure_text_width(&row);
    let one = format!("{row}{}", left(&should, 21));
    let Some(note) = note else { return one.trim_end().to_owned() };
    let room = ink.columns.saturating_sub(at + 21 + 2);
    if console::measure_text_width(note) <= room {
        return format!("{one}  {}", ink.rust(note));
    }
    // beneath what it should be
    format!("{}\n{}{}", one.trim_end(), " ".repeat(at), ink.rust(note))
}

#[cfg(test)]
mod tests {
    use super::*;
    use wellwright_app::scene::span::SpanView;

    #[test]
    fn a_row_says_what_is_and_what_should_be() {
        let ink = Ink { colour: false, blocks: false, width: 100, columns: 100 };
        let view = SpanView::judge(5.3, 5.9, Some(0.7), true);
        let said =
            line("Flow", "0.7", "m3/h", Some(&view), Some("5.3 to 5.9"), Some("4.9 m3/h less"), true, &ink);
        assert!(said.starts_with("Flow                   0.7 m3/h  --|---"), "{said}");
        assert!(said.ends_with("should 5.3 to 5.9      4.9 m3/h less"), "{said}");
        assert!(console::measure_text_width(&said) <= 100, "{said}");
        let narrow = Ink { width: 80, columns: 80, ..ink };
        let note = Some("4.9 m3/h less");
        let said = line("Flow", "0.7", "m3/h", Some(&view), Some("5.3 to 5.9"), note, true, &narrow);
        assert!(said.lines().all(|l| console::measure_text_width(l) <= 80), "{said}");
        assert!(said.ends_with("      4.9 m3/h less"), "{said}");
    }
}
