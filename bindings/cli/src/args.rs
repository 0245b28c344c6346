//! What can be typed.

use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use wellwright_app::text::{Catalogue, Units, Words};

/// A field companion for solar-powered borehole pumps: it reads the controller, says what this system should
/// be doing now, which causes fit and how sure it is, and which check would settle it soonest. It only reads:
/// it never starts, stops or sets a controller.
#[derive(Debug, Parser)]
#[command(name = "wellwright", version, max_term_width = 100)]
#[command(after_help = "Start with `wellwright try`: a simulated pump whose leads are swapped.\n\
    Exit status: 0 done, 1 something is wrong (explain --status only), 2 bad input, 3 no controller or radio.")]
pub struct Args {
    #[command(flatten)]
    pub common: Common,
    #[command(subcommand)]
    pub command: Command,
}

/// Understood by every command.
#[derive(Debug, ClapArgs)]
pub struct Common {
    /// Print the machine-readable form on standard output
    #[arg(long, global = true)]
    pub json: bool,
    /// Units at display
    #[arg(long, global = true, value_enum, default_value_t = UnitChoice::Metric)]
    pub units: UnitChoice,
}

impl Common {
    /// What texts are written with.
    pub fn words(&self) -> Words<'static> {
        let units = match self.units {
            UnitChoice::Metric => Units::METRIC,
            UnitChoice::Us => Units::US,
        };
        Words { texts: Catalogue::english(), units }
    }
}

/// Units at display.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitChoice {
    /// Metres, m3/h, kPa
    Metric,
    /// Feet, gallons a minute, psi
    Us,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// See the whole at work on a simulated plant and controller
    Try(TryArgs),
    /// List the controllers in Bluetooth reach
    Find(FindArgs),
    /// Connect to a controller, record it, show measured against expected, rank the causes when asked
    Follow(FollowArgs),
    /// Rank the causes for recorded data, checks made by hand, or both
    Explain(ExplainArgs),
    /// What a system should do at a moment
    Expect(ExpectArgs),
    /// Check a record before it is built: each line a value, a limit, whose limit, and pass, look or fail
    Design(DesignArgs),
}

/// `try`
#[derive(Debug, ClapArgs)]
pub struct TryArgs {
    /// What is wrong with the simulated system, by its code; one that cannot be simulated lists those that can
    #[arg(value_name = "CAUSE", default_value = "reversed_rotation")]
    pub cause: String,
    /// Record of the system (*.system.toml); without it Kestrel Hollow, an invented one
    #[arg(long, value_name = "FILE")]
    pub system: Option<PathBuf>,
    /// Decides the weather, the tolerances and how bad it is
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Simulated seconds in a second
    #[arg(long, value_name = "TIMES", default_value_t = 400.0, value_parser = speed)]
    pub speed: f64,
    /// Where to leave the page; without it wellwright-try.html here, or none with --json
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Also write the readings as a telemetry file, and beside it (.checks.toml) what a person there would say
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Keep the recording in this store; without it in a temporary one
    #[arg(long, value_name = "FILE")]
    pub store: Option<PathBuf>,
}

/// `find`
#[derive(Debug, ClapArgs)]
pub struct FindArgs {
    /// How long to look
    #[arg(long, value_name = "SECONDS", default_value_t = 8, value_parser = clap::value_parser!(u64).range(1..=600))]
    pub seconds: u64,
}

/// `follow`
#[derive(Debug, ClapArgs)]
pub struct FollowArgs {
    /// Record of the system (*.system.toml)
    #[arg(long, value_name = "FILE")]
    pub system: PathBuf,
    /// Serial number of the controller; without it the record's, else the first in reach
    #[arg(long)]
    pub serial: Option<String>,
    /// Where to record
    #[arg(long, value_name = "FILE", default_value = "wellwright.db")]
    pub store: PathBuf,
    /// Situation and checks made by hand (*.checks.toml)
    #[arg(long, value_name = "FILE")]
    pub checks: Option<PathBuf>,
    /// Stop after this long and rank the causes
    #[arg(long, value_name = "SECONDS")]
    pub seconds: Option<u64>,
    /// A tool that is not at hand, such as sounder or dc-meter; may be given more than once. Known: bucket and
    /// watch, crew and hoist, DC clamp, DC meter, drum and short pipe, gauge, glass, hand tools, insulation tester,
    /// irradiance meter, jumper, low-ohm meter, sounder, true-rms clamp, water and cloth
    #[arg(long, value_name = "TOOL", value_parser = wellwright_app::tools::named)]
    pub without: Vec<String>,
    /// Give up when no controller was found for this long
    #[arg(long, value_name = "SECONDS", default_value_t = 60)]
    pub wait: u64,
    /// Leave a page at the end
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
}

/// `explain`
#[derive(Debug, ClapArgs)]
#[command(group = clap::ArgGroup::new("told").required(true).multiple(true).args(["telemetry", "checks"]))]
pub struct ExplainArgs {
    /// Record of the system (*.system.toml)
    #[arg(long, value_name = "FILE")]
    pub system: PathBuf,
    /// What the controller and the sensors said (*.csv)
    #[arg(long, value_name = "FILE")]
    pub telemetry: Option<PathBuf>,
    /// Situation and checks made by hand (*.checks.toml)
    #[arg(long, value_name = "FILE")]
    pub checks: Option<PathBuf>,
    /// A tool that is not at hand, such as sounder or dc-meter; may be given more than once. Known: bucket and
    /// watch, crew and hoist, DC clamp, DC meter, drum and short pipe, gauge, glass, hand tools, insulation tester,
    /// irradiance meter, jumper, low-ohm meter, sounder, true-rms clamp, water and cloth
    #[arg(long, value_name = "TOOL", value_parser = wellwright_app::tools::named)]
    pub without: Vec<String>,
    /// Telemetry from when it was known to be good; without it the record's
    #[arg(long, value_name = "FILE")]
    pub baseline: Option<PathBuf>,
    /// Leave a page
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Exit with 1 when the verdict is that something is wrong
    #[arg(long)]
    pub status: bool,
}

/// `expect`
#[derive(Debug, ClapArgs)]
pub struct ExpectArgs {
    /// Record of the system (*.system.toml)
    #[arg(long, value_name = "FILE")]
    pub system: PathBuf,
    /// The moment, such as 2026-03-14T10:00:00Z
    #[arg(long, value_name = "TIME", value_parser = instant)]
    pub at: DateTime<FixedOffset>,
    /// Irradiance in the plane of the array, W/m2; without it a clear sky
    #[arg(long, value_name = "W", allow_negative_numbers = true)]
    pub irradiance: Option<f64>,
    /// Air temperature in the shade, degC; without it the site's climate
    #[arg(long, value_name = "C", allow_negative_numbers = true)]
    pub air: Option<f64>,
    /// Minutes of pumping before; without it 120
    #[arg(long, value_name = "M", allow_negative_numbers = true)]
    pub minutes: Option<f64>,
}

/// `design`
#[derive(Debug, ClapArgs)]
pub struct DesignArgs {
    /// Record of the system (*.system.toml)
    #[arg(long, value_name = "FILE")]
    pub system: PathBuf,
    /// Leave a page with the curves
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
}

fn instant(text: &str) -> Result<DateTime<FixedOffset>, String> {
    DateTime::parse_from_rfc3339(text)
        .map_err(|_| "write a time with its offset, such as 2026-03-14T10:00:00Z".to_owned())
}

fn speed(text: &str) -> Result<f64, String> {
    let allowed = "write a number from 1 to 100000";
    text.parse::<f64>().ok().filter(|v| (1.0..=1e5).contains(v)).ok_or_else(|| allowed.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    #[test]
    fn the_commands_are_sound() {
        Args::command().debug_assert();
    }

    #[test]
    fn the_help_names_every_tool_that_may_be_missing() {
        for command in ["explain", "follow"] {
            let mut args = Args::command();
            let help = args.find_subcommand_mut(command).unwrap().render_long_help().to_string();
            let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
            for tool in wellwright_app::tools::known() {
                assert!(help.contains(tool), "{command} --help does not name {tool}: {help}");
            }
        }
    }
}
