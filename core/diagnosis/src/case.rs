//! What a look is about: the record, the rows, and what the person knows.

use wellwright_domain::cause::Cause;
use wellwright_domain::check::CheckMade;
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;
use wellwright_domain::situation::{Noticed, Situation, Touched};

/// Everything that one look may use.
#[derive(Debug, Clone)]
pub struct Case<'a> {
    /// The system as recorded.
    pub system: &'a System,
    /// Telemetry in time order; may be empty.
    pub samples: &'a [Sample],
    /// Telemetry from a time when it was known to be good, in time order; empty without one.
    pub baseline: &'a [Sample],
    /// When in the life of the system; `None` was not asked.
    pub situation: Option<Situation>,
    /// What was worked on; `None` was not asked.
    pub touched: Option<&'a [Touched]>,
    /// What was noticed; `None` was not asked.
    pub noticed: Option<&'a [Noticed]>,
    /// Checks made by hand.
    pub checks: &'a [CheckMade],
    /// Tools the person does not have; checks that need one are not suggested.
    pub missing_tools: &'a [String],
    /// Causes left out of the catalogue, to see what is said of a cause that it does not know.
    pub left_out: &'a [Cause],
}

impl<'a> Case<'a> {
    /// A look at a system with nothing known yet.
    pub fn new(system: &'a System) -> Case<'a> {
        Case {
            system,
            samples: &[],
            baseline: &[],
            situation: None,
            touched: None,
            noticed: None,
            checks: &[],
            missing_tools: &[],
            left_out: &[],
        }
    }

    /// Rows to look at.
    #[must_use]
    pub fn with_samples(mut self, samples: &'a [Sample]) -> Case<'a> {
        self.samples = samples;
        self
    }

    /// Rows from a time when it was known to be good.
    #[must_use]
    pub fn with_baseline(mut self, baseline: &'a [Sample]) -> Case<'a> {
        self.baseline = baseline;
        self
    }
}
