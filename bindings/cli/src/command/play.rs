//! `try`: the main job on a simulated plant and controller.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use wellwright_app::assess::told_toml;
use wellwright_app::{App, AppError, ErrorKind, Simulated, report};
use wellwright_domain::channel::Channel;
use wellwright_domain::examples::KESTREL_HOLLOW_TOML;
use wellwright_domain::files::telemetry::write_telemetry;
use wellwright_domain::sample::Sample;

use crate::args::{Common, TryArgs};
use crate::command::deliver;
use crate::command::find::temporary;
use crate::command::interrupt::Interrupt;
use crate::files;
use crate::progress::while_doing;
use crate::show::live::Screen;
use crate::term::{self, Ink};

/// Name of the page when none is given.
const PAGE: &str = "wellwright-try.html";
/// As when a program is ended by Ctrl-C.
const INTERRUPTED: u8 = 130;

/// Runs it.
pub fn run(a: &TryArgs, common: &Common) -> Result<u8, AppError> {
    let told = a.csv.as_ref().map(|csv| csv.with_extension("checks.toml"));
    let outputs = [a.report.as_deref(), a.csv.as_deref(), told.as_deref(), a.store.as_deref()];
    files::writable(&outputs, &[a.system.as_deref()])?;
    if let (Some(csv), Some(told)) = (&a.csv, &told)
        && told.exists()
        && !csv.exists()
    {
        let why = format!("{}: it would be replaced; choose another name for --csv", told.display());
        return Err(AppError::new(ErrorKind::BadInput, why));
    }
    let (text, name) = match &a.system {
        Some(path) => (files::text(path)?, path.display().to_string()),
        None => (KESTREL_HOLLOW_TOML.to_owned(), "kestrel-hollow.system.toml".to_owned()),
    };
    let speed = if common.json { 0.0 } else { a.speed };
    let how = Simulated::of_code(&a.cause, a.seed, speed)?;
    let temporary = temporary()?;
    let store = a.store.clone().unwrap_or_else(|| temporary.path().join("try.db"));
    let app = App::open(&store, common.words())?;
    if let Some(said) = app.set_aside() {
        eprintln!("wellwright: {said}");
    }
    let system = app.add_system(&text, &name)?;
    let interrupt = Interrupt::listen();
    if !common.json {
        let ink = Ink::stdout();
        let note = common.words().texts.text("try.note");
        term::out(&format!("{}\n\n", term::wrapped(note, ink.width, 0)));
    }
    while_doing("Preparing the simulated plant", || app.start_simulated(system.id, &how))?;
    let screen = Arc::new(Screen::new(Ink::stderr()));
    let watching = if common.json { None } else { Some(app.observe(screen.clone())?) };
    while !app.wait(Duration::from_millis(100))? {
        if interrupt.pressed() {
            app.stop();
            return Ok(INTERRUPTED);
        }
    }
    if watching.is_some() {
        screen.close();
    }
    drop(watching);
    let ended = app.now()?.session;
    if let Some(e) = ended.failed {
        return Err(e);
    }
    if ended.unsaved > 0 {
        let why = ended.problem.unwrap_or_default();
        return Err(AppError::new(
            ErrorKind::Store,
            format!("{} readings were not saved: {why}", ended.unsaved),
        ));
    }
    let assessment = while_doing("Ranking the causes", || app.finding())?;
    let view = app.page(&assessment)?;
    let page = a.report.clone().or_else(|| (!common.json).then(|| PathBuf::from(PAGE)));
    let delivered = deliver::answer(&assessment, &view, page.as_deref(), common);
    if let (Some(path), Some(told)) = (&a.csv, &told) {
        report::write_file(path, &csv(&app.samples()?))?;
        report::write_file(told, &told_toml(&app.told()?))?;
    }
    match delivered {
        // The page was nobody's wish: say why there is none, and be done.
        Err(e) if a.report.is_none() && e.kind == ErrorKind::Write => {
            eprintln!("wellwright: {e} with --report FILE");
            Ok(0)
        }
        other => other.map(|()| {
            if let Some(kept) = a.store.as_deref() {
                said_kept(kept, common);
            }
            0
        }),
    }
}

fn said_kept(store: &Path, common: &Common) {
    if !common.json {
        let said = common.words().fill("cli.kept", &[("x", &store.display().to_string())]);
        term::out(&(said + "\n"));
    }
}

/// The readings as a telemetry file, with the channels that were ever told.
fn csv(samples: &[Sample]) -> String {
    let columns: Vec<Channel> =
        Channel::ALL.into_iter().filter(|c| samples.iter().any(|s| s.raw(*c).is_some())).collect();
    write_telemetry(samples, &columns)
}
