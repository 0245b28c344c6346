//! The program's core on the real radio link, in a process of its own: opens a store, adds the example system,
//! follows its controller over Bluetooth, and ranks the causes when told to.
//!
//! `walk_client STORE SERIAL TOLD`, where TOLD is a checks file with what the person says. `rank` on standard
//! input ranks and ends it; so does the end of standard input. Prints lines of JSON: the state of the session
//! whenever it changes, then the finding.

use std::io::BufRead as _;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use serde_json::{Value, json};
use wellwright_app::facade::App;
use wellwright_app::text::Words;
use wellwright_domain::examples::KESTREL_HOLLOW_TOML;
use wellwright_domain::files::checks::read_checks;

/// How often it looks for a change.
const LOOK_EVERY: Duration = Duration::from_millis(20);

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [store, serial, told] = arguments.as_slice() else { return Err("say STORE SERIAL TOLD".into()) };
    let told = read_checks(&std::fs::read_to_string(told)?, told)?;
    let app = App::open(store, Words::english())?;
    let system = app.add_system(KESTREL_HOLLOW_TOML, "kestrel-hollow.system.toml")?;
    app.start_bluetooth(system.id, Some(serial))?;
    app.tell(told)?;

    let (tx, rank) = channel();
    std::thread::spawn(move || {
        let asked = std::io::stdin().lock().lines().map_while(Result::ok).find(|line| line == "rank");
        // When nobody takes it, the program is over.
        let _ = tx.send(asked);
    });
    let mut shown = Value::Null;
    while rank.recv_timeout(LOOK_EVERY) == Err(RecvTimeoutError::Timeout) {
        let state = app.now()?.session;
        let now = json!({
            "stage": state.stage.code(),
            "reason": state.reason,
            "received": state.received,
            "saved": state.saved,
            "lost": state.lost,
            "problem": state.problem,
        });
        if now != shown {
            println!("{now}");
            shown = now;
        }
    }
    println!("{}", json!({ "finding": app.finding()?.finding }));
    app.stop();
    Ok(())
}
