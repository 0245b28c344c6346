//! `find`: the controllers in reach.

use std::time::Duration;

use serde_json::json;
use wellwright_app::text::Catalogue;
use wellwright_app::{App, AppError, ErrorKind, Found};

use crate::args::{Common, FindArgs};
use crate::command::deliver;
use crate::progress::while_doing;
use crate::term::{self, left};

/// Runs it.
pub fn run(a: &FindArgs, common: &Common) -> Result<u8, AppError> {
    // The store of a search holds nothing; it is only there because the radio lives beside it.
    let dir = temporary()?;
    let app = App::open(dir.path().join("find.db"), common.words())?;
    let what = format!("Looking for controllers for {} s", a.seconds);
    let found = while_doing(&what, || app.find(Duration::from_secs(a.seconds)))?;
    if common.json {
        let list: Vec<_> = found
            .iter()
            .map(|f| {
                json!({ "id": f.id.0, "name": f.name, "rssi_dbm": f.rssi_dbm, "distance": f.nearness().code() })
            })
            .collect();
        deliver::json(&json!({ "schema": 1, "controllers": list }))?;
    }
    if found.is_empty() {
        return Err(AppError::new(
            ErrorKind::Radio,
            format!(
                "no controller was seen for {} s: go nearer, and see that it has sun on its panels",
                a.seconds
            ),
        ));
    }
    if !common.json {
        for f in &found {
            term::out(&line(f));
        }
    }
    Ok(0)
}

fn line(f: &Found) -> String {
    let id = format!("find.{}", f.nearness().code());
    let name = f.name.as_deref().unwrap_or(Catalogue::english().text("cli.no_name"));
    format!("{}  {}  {}\n", left(name, 24), left(Catalogue::english().text(&id), 10), f.id.0)
        .replace(|c: char| c.is_control() && c != '\n', " ")
}

/// A folder that goes away with the program.
pub fn temporary() -> Result<tempfile::TempDir, AppError> {
    tempfile::Builder::new().prefix("wellwright-").tempdir().map_err(|e| {
        AppError::new(ErrorKind::Write, format!("no temporary folder can be made ({e}): free some space"))
    })
}
