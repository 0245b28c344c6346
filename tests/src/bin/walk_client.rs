//! The program's core on the real radio link, in a process of its own: opens a store, follows a controller over
//! Bluetooth, and ranks when told to. `walk_client STORE`; on standard input `rank` ranks and ends it.
//!
//! Prints lines of JSON: `{"stage", "received"}` as they change, then `{"leading", "verdict"}`.

use std::io::BufRead as _;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use serde_json::json;
use wellwright_app::facade::App;
use wellwright_app::text::Words;
use wellwright_domain::examples::KESTREL_HOLLOW_TOML;
use wellwright_domain::files::checks::ChecksFile;
use wellwright_domain::situation::{Noticed, Situation};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let store = std::env::args().nth(1).ok_or("usage: walk_client STORE")?;
    let app = App::open(store, Words::english())?;
    let system = app.add_system(KESTREL_HOLLOW_TOML, "kestrel-hollow.system.toml")?;
    app.start_bluetooth(system.id, None)?;
    let rank = Arc::new(AtomicBool::new(false));
    let told = rank.clone();
    std::thread::spawn(move || {
        for line in std::io::stdin().lock().lines().map_while(Result::ok) {
            told.store(line.trim() == "rank", Ordering::Relaxed);
        }
        told.store(true, Ordering::Relaxed);
    });
    let mut last = (String::new(), u64::MAX);
    while !rank.load(Ordering::Relaxed) {
        let view = app.now()?;
        let seen = (view.stage, view.session.saved);
        if seen != last {
            println!("{}", json!({ "stage": seen.0, "saved": seen.1, "received": view.session.received }));
            last = seen;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    app.tell(ChecksFile {
        situation: Some(Situation::FirstStart),
        touched: Some(Vec::new()),
        noticed: Some(vec![Noticed::NoWater]),
        checks: Vec::new(),
    })?;
    let finding = app.finding()?.finding;
    let leading = finding.leading().map(|c| c.code.code());
    println!("{}", json!({ "leading": leading, "verdict": finding.verdict }));
    app.stop();
    Ok(())
}
