//! What an account is made from: segments from the sun to the water, each with what should go there.

use serde::{Deserialize, Serialize};

use super::WIDTH;

/// A stage on the way from sun to water. `Wires` stands for the three cable and controller parts where
/// there is little room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// The array is off its best point.
    NotUsed,
    /// DC cable, controller and drop cable together.
    Wires,
    /// DC cable.
    DcCable,
    /// Controller.
    Controller,
    /// Drop cable.
    DropCable,
    /// Motor.
    Motor,
    /// Pump.
    Pump,
    /// Pipe friction.
    Pipe,
    /// Lifted water: rho g Q times the height from the level now to the outlet.
    Water,
}

impl Part {
    pub(super) const fn id(self) -> &'static str {
        match self {
            Part::NotUsed => "account.part.not_used",
            Part::Wires => "account.part.wires",
            Part::DcCable => "account.part.dc_cable",
            Part::Controller => "account.part.controller",
            Part::DropCable => "account.part.drop_cable",
            Part::Motor => "account.part.motor",
            Part::Pump => "account.part.pump",
            Part::Pipe => "account.part.pipe",
            Part::Water => "account.part.water",
        }
    }
}

/// One segment of the account, W.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Segment {
    /// Which.
    pub part: Part,
    /// What should go there, W.
    pub should_w: f64,
    /// 80 % interval of that, W.
    pub interval_w: [f64; 2],
    /// What goes there, W; `None` when no sensor can tell.
    pub is_w: Option<f64>,
}

/// The account of one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AccountView {
    /// From the sun to the water, in that order.
    pub segments: Vec<Segment>,
    /// Watts that the array could give.
    pub available_w: f64,
    /// A report: "Was" in place of "Now".
    pub past: bool,
    /// Width, dp.
    pub width: f64,
}

impl AccountView {
    /// An account of now, as wide as a phone.
    pub fn new(available_w: f64, segments: Vec<Segment>) -> AccountView {
        AccountView { segments, available_w, past: false, width: WIDTH }
    }

    /// The loss with the largest excess over its own interval, if any is outside it.
    pub fn flagged(&self) -> Option<usize> {
        let excess = |s: &Segment| s.is_w.map_or(0.0, |w| w - s.interval_w[0].max(s.interval_w[1]));
        let losses = self.segments.iter().enumerate().filter(|(_, s)| s.part != Part::Water);
        losses
            .filter(|(_, s)| excess(s) > 0.0)
            .max_by(|a, b| excess(a.1).total_cmp(&excess(b.1)))
            .map(|(i, _)| i)
    }

    /// The segments that no sensor can tell, as one stretch: first and one past the last.
    pub(super) fn unknown(&self) -> Option<(usize, usize)> {
        let first = self.segments.iter().position(|s| s.is_w.is_none())?;
        let last = self.segments.iter().rposition(|s| s.is_w.is_none())?;
        Some((first, last + 1))
    }
}
