//! `expect`: what a system should do at a moment.

use wellwright_app::AppError;
use wellwright_app::expect::{Ask, expect};

use crate::args::{Common, ExpectArgs};
use crate::command::deliver;
use crate::term::{self, Ink};
use crate::{files, show};

/// Runs it.
pub fn run(a: &ExpectArgs, common: &Common) -> Result<u8, AppError> {
    let (system, _) = files::system(&a.system)?;
    let ask = Ask { at: a.at, irradiance_w_m2: a.irradiance, air_c: a.air, minutes: a.minutes };
    let answer = expect(&system, &ask)?;
    if common.json {
        deliver::json(&answer)?;
    } else {
        term::out(&show::expect::text(&answer, &common.words(), &Ink::stdout()));
    }
    Ok(0)
}
