//! A recorded session as text: what was read, then notifications with their times, one a line.
//!
//! ```text
//! # anything
//! read serial 4b482d30303031
//! read nameplate 01…
//! 0 live 0003…
//! 1000 live 0103…
//! 4200 lost
//! ```
//! The number is the time since the recording began, ms, and never goes back. Words of `read` are those of
//! [`Readable::code`].

use std::fmt::Write as _;

use thiserror::Error;

use crate::profile::Readable;
use crate::session::RawCard;
use crate::wire::{from_hex, to_hex};

/// What happened at one moment of a recording.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaptureEvent {
    /// A notification of LIVE.
    Live(Vec<u8>),
    /// The link was lost.
    Lost,
}

/// A recording.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Capture {
    /// What was read.
    pub card: RawCard,
    /// What came, with the time since the beginning, ms, in order.
    pub events: Vec<(u64, CaptureEvent)>,
}

/// Why a text is no recording.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("line {line} of the recording: {what}")]
pub struct CaptureError {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong and what is allowed.
    pub what: String,
}

impl Capture {
    /// From text.
    ///
    /// # Errors
    /// [`CaptureError`] of the first line that is wrong.
    pub fn parse(text: &str) -> Result<Capture, CaptureError> {
        let mut capture = Capture::default();
        for (at, line) in text.lines().enumerate() {
            let line_text = line.split('#').next().unwrap_or_default().trim();
            if !line_text.is_empty() {
                capture.take(line_text).map_err(|what| CaptureError { line: at + 1, what })?;
            }
        }
        Ok(capture)
    }

    /// As text that [`Capture::parse`] reads.
    pub fn to_text(&self) -> String {
        let mut text = String::new();
        for which in Readable::ALL {
            if let Some(value) = self.card.get(which) {
                // Writing to a String cannot fail.
                let _ = writeln!(text, "read {} {}", which.code(), to_hex(value));
            }
        }
        for (at_ms, event) in &self.events {
            let _ = match event {
                CaptureEvent::Live(bytes) => writeln!(text, "{at_ms} live {}", to_hex(bytes)),
                CaptureEvent::Lost => writeln!(text, "{at_ms} lost"),
            };
        }
        text
    }

    fn take(&mut self, line: &str) -> Result<(), String> {
        let mut words = line.splitn(3, char::is_whitespace);
        let (first, second) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
        let bytes = |words: &str| from_hex(words).ok_or_else(|| format!("{words:?} is not hexadecimal"));
        let rest = words.next().unwrap_or_default();
        if first == "read" {
            let which = Readable::from_code(second).ok_or_else(|| {
                let allowed = Readable::ALL.map(Readable::code).join(", ");
                format!("{second:?} is not one of {allowed}")
            })?;
            self.card.set(which, bytes(rest)?);
            return Ok(());
        }
        let at_ms: u64 =
            first.parse().map_err(|_| format!("{first:?} is neither `read` nor a time in whole ms"))?;
        if let Some((before, _)) = self.events.last()
            && at_ms < *before
        {
            return Err(format!("time {at_ms} ms is before {before} ms of the line above"));
        }
        let event = match second {
            "live" => CaptureEvent::Live(bytes(rest)?),
            "lost" => CaptureEvent::Lost,
            other => return Err(format!("{other:?} is neither `live` nor `lost`")),
        };
        self.events.push((at_ms, event));
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_both_ways() {
        let text = "read serial 4b48\n0 live 0003aa\n10 lost\n";
        let capture = Capture::parse(text).unwrap();
        assert_eq!(capture.events.len(), 2);
        assert_eq!(capture.to_text(), text);
        assert_eq!(Capture::parse("# note\n\n 0 live 00 03 aa # why\n").unwrap().events.len(), 1);
    }

    #[test]
    fn a_wrong_line_is_named() {
        let message = |text: &str| Capture::parse(text).unwrap_err().to_string();
        assert_eq!(
            message("0 live 00\nx live 00"),
            "line 2 of the recording: \"x\" is neither `read` nor a time in whole ms"
        );
        assert_eq!(message("0 live 0"), "line 1 of the recording: \"0\" is not hexadecimal");
        assert_eq!(message("0 write 00"), "line 1 of the recording: \"write\" is neither `live` nor `lost`");
        assert!(message("9 lost\n8 lost").contains("before 9 ms"));
        assert!(message("read colour 00").contains("serial, nameplate, status"));
    }
}
