//! The Kotlin suite: the built library under the generated bindings, on the Java machine.

use anyhow::Result;

use crate::bindings;
use crate::compile;
use crate::place::Place;
use crate::process;
use crate::suite::Ending;
use crate::tally::Tally;

/// Generates the bindings and runs the Maven project that tries them.
pub fn run(place: &Place) -> Result<Ending> {
    if !compile::product(place)? {
        return Ok(Ending::of(false, Tally::default(), true));
    }
    bindings::kotlin(place)?;
    let mut tally = Tally::default();
    let library = format!("-Dwellwright.library.path={}", place.built());
    let args = ["--batch-mode", "--no-transfer-progress", &library, "test"];
    let well = process::stream(&place.smoke(), "mvn", &args, |line| tally.watch(line))?;
    Ok(Ending::of(well, tally, true))
}
