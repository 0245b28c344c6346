//! Pictures are scenes: a small display list that every shell paints the same way.
//!
//! A view (what is known) becomes a [`Scene`] (what is drawn) here; the page and the command line turn a
//! scene into SVG, a phone paints it on its canvas. Lengths are density-independent units (dp, pt, CSS
//! px), y grows downwards, texts stand on their baseline. Colours are roles; a theme maps them.
//!
//! | you look for | file |
//! |---|---|
//! | the display list | this file, [`build`] |
//! | colours by role | [`theme`] |
//! | SVG | [`svg`] |
//! | what a picture is made from | [`view`], [`reading`] |
//! | a number against what it should be | [`span`] |
//! | the installation to true depth | [`section`] |
//! | where labels go | [`labels`] |
//! | power from sun to water | [`account`] |
//! | causes with probability and evidence | [`ladder`] |
//! | curves of a design, water by month, their axes | [`curves`], [`months`], [`plot`] |

pub mod account;
pub mod build;
pub mod curves;
pub mod labels;
pub mod ladder;
pub mod lead_map;
pub mod measure;
pub mod months;
pub mod plot;
pub mod reading;
pub mod section;
pub mod span;
pub mod svg;
pub mod theme;
pub mod view;

use serde::{Deserialize, Serialize};

pub use theme::{Role, Theme};

/// A picture: a size, what it shows in one or a few sentences, and what is drawn, back to front.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scene {
    /// Width, dp.
    pub width: f64,
    /// Height, dp.
    pub height: f64,
    /// What a screen reader says for the whole.
    pub description: String,
    /// Back to front.
    pub items: Vec<Item>,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Item {
    /// An upright rectangle.
    Rect {
        /// Leading edge, dp.
        x: f64,
        /// Top edge, dp.
        y: f64,
        /// Width, dp.
        width: f64,
        /// Height, dp.
        height: f64,
        /// Paint.
        paint: Paint,
    },
    /// A circle.
    Circle {
        /// Centre, dp.
        x: f64,
        /// Centre, dp.
        y: f64,
        /// Radius, dp.
        radius: f64,
        /// Paint.
        paint: Paint,
    },
    /// A line or shape.
    Path {
        /// Steps of the pen.
        steps: Vec<Step>,
        /// Paint.
        paint: Paint,
    },
    /// Text on one line.
    Text {
        /// Where the anchor stands, dp.
        x: f64,
        /// Baseline, dp.
        y: f64,
        /// Which point of the line stands at `x`.
        anchor: Anchor,
        /// Stretches of one font and role, one after the other.
        runs: Vec<Run>,
    },
    /// Things that belong together, with what a screen reader says for them.
    Group {
        /// Spoken; empty when the picture's own description says it.
        description: String,
        /// Moved along, dp.
        x: f64,
        /// Moved down, dp.
        y: f64,
        /// Back to front.
        items: Vec<Item>,
    },
}

/// A step of the pen, dp.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "to", rename_all = "snake_case")]
pub enum Step {
    /// Lift and go.
    Move {
        /// x.
        x: f64,
        /// y.
        y: f64,
    },
    /// Straight line.
    Line {
        /// x.
        x: f64,
        /// y.
        y: f64,
    },
    /// Cubic Bézier curve.
    Curve {
        /// First control point.
        x1: f64,
        /// First control point.
        y1: f64,
        /// Second control point.
        x2: f64,
        /// Second control point.
        y2: f64,
        /// End.
        x: f64,
        /// End.
        y: f64,
    },
    /// Back to where this stretch began.
    Close,
}

/// Fill and stroke; either may be missing.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Paint {
    /// Inside.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub fill: Option<Fill>,
    /// Outline.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub stroke: Option<Stroke>,
}

/// What an area is filled with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fill {
    /// One colour.
    Role(Role),
    /// Stripes: not known. 45 degrees, pitch 6, line 1.6 in `line` on paper.
    Unknown,
    /// Rust stripes: the part that differs. 45 degrees, pitch 8, 3.5 of `differ` on `differfill`.
    Differs,
    /// Power that nothing takes: -45 degrees, pitch 8, line 2.5 in `sunfill` on paper.
    Unused,
}

/// An outline.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Stroke {
    /// Colour.
    pub role: Role,
    /// Width, dp.
    pub width: f64,
    /// On and off, dp.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub dash: Option<[f64; 2]>,
}

/// Which point of a text stands at its x. Start and end turn with the direction of writing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Anchor {
    /// Leading edge.
    Start,
    /// Middle.
    Middle,
    /// Trailing edge.
    End,
}

/// A stretch of text.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Run {
    /// What is written.
    pub text: String,
    /// Size and weight.
    pub font: Font,
    /// Colour.
    pub role: Role,
}

/// The type table: size in scalable units (sp) and weight. Figures are always tabular.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Font {
    /// Ruler, names below the account. Nothing is smaller.
    Axis,
    /// Expected watts inside a segment of water.
    AxisStrong,
    /// Names, evidence, notes, units.
    Label,
    /// Rust notes, measured watts, headings of evidence.
    Strong,
    /// Numbers of leads.
    Lead,
    /// Every measured number.
    Value,
    /// A cause after the first.
    Cause,
    /// The first cause.
    FirstCause,
}

impl Font {
    /// Size, sp.
    pub const fn size(self) -> f64 {
        match self {
            Font::Axis | Font::AxisStrong => 14.0,
            Font::Label | Font::Strong => 15.0,
            Font::Lead => 17.0,
            Font::Cause => 19.0,
            Font::Value => 21.0,
            Font::FirstCause => 23.0,
        }
    }

    /// Weight, 400 or 700.
    pub const fn weight(self) -> u16 {
        match self {
            Font::Axis | Font::Label => 400,
            _ => 700,
        }
    }
}
