//! Writing: what was said, as it was said.

use std::fmt::Write;

use chrono::SecondsFormat;

use super::{Telemetry, cells::quote};
use crate::channel::Channel;
use crate::flags::{Flags, PumpState};
use crate::sample::Sample;

/// Writes samples as a telemetry file with these channels, in this order.
///
/// `state` and `flags` become columns when any sample holds them. Times keep their fraction and offset.
/// Numbers are written with as many digits as they need to be read back the same; one that is not finite
/// becomes an empty cell ("not known"). An empty `flags` cell means "none raised", so flags that are not
/// known beside samples where they are cannot be told apart from none.
pub fn write_telemetry(samples: &[Sample], columns: &[Channel]) -> String {
    let state = samples.iter().any(|s| s.state.is_some());
    let flags = samples.iter().any(|s| s.flags.is_some());
    Columns { state, flags, channels: columns }.write(samples, &[])
}

impl Telemetry {
    /// Writes the good rows, with every column that the file had, the unknown ones last.
    pub fn to_csv(&self) -> String {
        let columns = Columns { state: self.has_state, flags: self.has_flags, channels: &self.columns };
        columns.write(&self.samples, &self.extra)
    }
}

struct Columns<'a> {
    state: bool,
    flags: bool,
    channels: &'a [Channel],
}

impl Columns<'_> {
    fn write(&self, samples: &[Sample], extra: &[super::ExtraColumn]) -> String {
        let mut text = String::from("time");
        for name in [(self.state, ",state"), (self.flags, ",flags")].iter().filter(|c| c.0).map(|c| c.1) {
            text.push_str(name);
        }
        for channel in self.channels {
            text.push(',');
            text.push_str(channel.code());
        }
        for column in extra {
            text.push(',');
            text.push_str(&quote(&column.name));
        }
        text.push('\n');
        for (i, sample) in samples.iter().enumerate() {
            self.row(&mut text, sample);
            for column in extra {
                text.push(',');
                text.push_str(&quote(column.cells.get(i).map_or("", String::as_str)));
            }
            text.push('\n');
        }
        text
    }

    fn row(&self, text: &mut String, sample: &Sample) {
        text.push_str(&sample.at.to_rfc3339_opts(SecondsFormat::AutoSi, true));
        if self.state {
            text.push(',');
            text.push_str(sample.state.map_or("", PumpState::code));
        }
        if self.flags {
            text.push(',');
            text.push_str(&sample.flags.map(Flags::to_tokens).unwrap_or_default());
        }
        for channel in self.channels {
            text.push(',');
            if let Some(value) = sample.raw(*channel).filter(|v| v.is_finite()) {
                // Writing into a string cannot fail.
                let _ = write!(text, "{value}");
            }
        }
    }
}
