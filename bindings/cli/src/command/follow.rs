//! `follow`: connect, record, show measured against expected, rank when asked.

use std::io::{self, BufRead as _};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};

use wellwright_app::session::Stage;
use wellwright_app::{App, AppError, ErrorKind};

use crate::args::{Common, FollowArgs};
use crate::command::deliver;
use crate::command::interrupt::Interrupt;
use crate::files;
use crate::progress::while_doing;
use crate::show::live::Screen;
use crate::term::Ink;

/// Runs it.
pub fn run(a: &FollowArgs, common: &Common) -> Result<u8, AppError> {
    let inputs = [Some(a.system.as_path()), a.checks.as_deref(), Some(a.store.as_path())];
    files::writable(&[a.report.as_deref()], &inputs)?;
    let text = files::text(&a.system)?;
    let name = a.system.display().to_string();
    let told = files::checks(a.checks.as_deref())?;
    let app = App::open(&a.store, common.words())?;
    if let Some(said) = app.set_aside() {
        eprintln!("wellwright: {said}");
    }
    let system = app.add_system(&text, &name)?;
    let interrupt = Interrupt::listen();
    app.start_bluetooth(system.id, a.serial.as_deref())?;
    app.tell(told)?;
    app.without_tools(a.without.clone());
    eprintln!("{}", common.words().fill("cli.recording", &[("x", &a.store.display().to_string())]));
    let asked = lines();
    let mut screen = Arc::new(Screen::new(Ink::stderr()));
    let mut watching = app.observe(screen.clone())?;
    let began = Instant::now();
    loop {
        let ended = app.wait(Duration::from_millis(100))?;
        let state = app.now()?.session;
        let time_is_up = a.seconds.is_some_and(|s| began.elapsed() >= Duration::from_secs(s));
        let found_none = state.received == 0 && began.elapsed() >= Duration::from_secs(a.wait);
        if ended || time_is_up || found_none || interrupt.pressed() {
            break;
        }
        if asked.try_recv().is_ok() && state.received > 0 && state.stage != Stage::Ended {
            drop(watching);
            screen.close();
            rank(&app, a, common)?;
            screen = Arc::new(Screen::new(Ink::stderr()));
            watching = app.observe(screen.clone())?;
        }
    }
    app.stop();
    drop(watching);
    screen.close();
    let state = app.now()?.session;
    if state.received == 0 {
        return Err(state.failed.unwrap_or_else(|| {
            let why = state.reason.filter(|r| r != "stopped").unwrap_or_else(|| {
                "no controller in reach: go nearer, and see that it has sun on its panels".to_owned()
            });
            AppError::new(ErrorKind::Radio, why)
        }));
    }
    if let Some(e) = &state.failed {
        eprintln!("wellwright: {e}");
    }
    rank(&app, a, common)?;
    Ok(0)
}

fn rank(app: &App, a: &FollowArgs, common: &Common) -> Result<(), AppError> {
    let assessment = while_doing("Ranking the causes", || app.finding())?;
    let view = app.page(&assessment)?;
    deliver::answer(&assessment, &view, a.report.as_deref(), common)
}

/// Tells of every line that is entered.
fn lines() -> Receiver<()> {
    let (tx, rx) = channel();
    thread::spawn(move || {
        for line in io::stdin().lock().lines() {
            if line.is_err() || tx.send(()).is_err() {
                return;
            }
        }
    });
    rx
}
