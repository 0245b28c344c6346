//! The page of a look, and the file that it is written to.

use std::io::Write as _;
use std::path::Path;

use wellwright_domain::finding::{Finding, Regime, Verdict};
use wellwright_domain::record::System;
use wellwright_domain::sample::Sample;

use crate::error::{AppError, ErrorKind};
use crate::live::{Live, LiveMoment, SunFrom};
use crate::now;
use crate::page::{self, PageView};
use crate::scene::account::AccountView;
use crate::scene::span::SpanState;
use crate::scene::view::{Note, SectionView, Tone};
use crate::text::{Words, time};

/// A moment that stands for a look: the last in which the pump ran, or the last of all where the look is about
/// a standstill. `None` without telemetry.
///
/// # Errors
/// A record that no physics answers.
pub fn moment_of(
    system: &System,
    samples: &[Sample],
    finding: &Finding,
) -> Result<Option<(Live, LiveMoment)>, AppError> {
    let still = finding.regime == Regime::Stopped || finding.verdict == Verdict::StandingBy;
    let last_running = samples.iter().rposition(Sample::runs).filter(|_| !still);
    let end = last_running.map_or(samples.len(), |i| i + 1);
    let mut live = Live::of_recording(system, samples)?;
    for s in &samples[..end] {
        live.push(s);
    }
    Ok(live.moment().map(|m| (live, m)))
}

/// What the page of a look is made from. `note`: a line at the top that says what kind of page it is.
///
/// # Errors
/// As [`moment_of`].
pub fn page_view(
    system: &System,
    samples: &[Sample],
    finding: Finding,
    note: Option<String>,
    words: &Words<'_>,
) -> Result<PageView, AppError> {
    let Some((live, m)) = moment_of(system, samples, &finding)? else {
        let section = SectionView::new(system, Vec::new()).with_record_rows(words);
        return Ok(PageView { note, ..PageView::new(finding, section) });
    };
    let mut section = now::section(&live, &m, words, finding.regime);
    let mut account = now::account(&live, &m);
    if matches!(finding.verdict, Verdict::Healthy | Verdict::StandingBy) {
        calm(&mut section, account.as_mut());
    }
    let mut view = PageView { account, note, ..PageView::new(finding, section) };
    view.why = m.why_standing().map(str::to_owned);
    let row = |id: &str, value: String| (words.texts.text(id).to_owned(), value);
    view.conditions.push(row("page.moment", time::clock(m.at)));
    view.conditions.push(row("page.sun_from", sun_from(m.sun_from, words)));
    Ok(view)
}

/// Where all the evidence together finds nothing wrong, a number outside its own 80 % band is no alarm: one in
/// five is. It stays where it fell, in ink.
fn calm(section: &mut SectionView, account: Option<&mut AccountView>) {
    for row in &mut section.rows {
        if let Some(span) = row.span.as_mut().filter(|s| s.state == SpanState::Outside) {
            span.state = SpanState::Inside;
            row.tone = Tone::Plain;
            row.note = row.note.take().map(|n| Note { differs: false, ..n });
        }
    }
    for segment in account.into_iter().flat_map(|a| &mut a.segments) {
        let is = segment.is_w.unwrap_or(segment.should_w);
        segment.interval_w = [segment.interval_w[0].min(is), segment.interval_w[1].max(is)];
    }
}

fn sun_from(from: SunFrom, words: &Words<'_>) -> String {
    let id = match from {
        SunFrom::Sensor => "page.sun_from.sensor",
        SunFrom::Array => "page.sun_from.array",
        SunFrom::ClearSky => "page.sun_from.clear_sky",
    };
    words.texts.text(id).to_owned()
}

/// Writes a page as one HTML file; what stood there before is replaced only by a whole page.
///
/// # Errors
/// [`ErrorKind::Write`], with what to do.
pub fn write_page(path: &Path, view: &PageView, words: &Words<'_>) -> Result<(), AppError> {
    write_file(path, &page::render(view, words))
}

/// Writes a text file; what stood there before is replaced only by a whole file.
///
/// # Errors
/// [`ErrorKind::Write`], with what to do.
pub fn write_file(path: &Path, text: &str) -> Result<(), AppError> {
    let failed = |e: std::io::Error| {
        let why = match e.kind() {
            std::io::ErrorKind::NotFound => "the folder does not exist".to_owned(),
            std::io::ErrorKind::PermissionDenied => "the folder may not be written to".to_owned(),
            std::io::ErrorKind::ReadOnlyFilesystem => "the drive may only be read".to_owned(),
            std::io::ErrorKind::StorageFull => "the drive is full".to_owned(),
            _ => e.to_string(),
        };
        AppError::new(
            ErrorKind::Write,
            format!("{} cannot be written ({why}): choose another place", path.display()),
        )
    };
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let beside = path.with_file_name(format!(".{name}.{}.part", std::process::id()));
    let write = || {
        let mut file = std::fs::File::create(&beside)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        std::fs::rename(&beside, path)
    };
    write().map_err(|e| {
        // What is left of a page that could not be written is of no use; it may not be there at all.
        let _ = std::fs::remove_file(&beside);
        failed(e)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::account::{Part, Segment};
    use crate::scene::reading::Reading;
    use wellwright_domain::channel::Channel;
    use wellwright_domain::examples::kestrel_hollow;

    #[test]
    fn where_nothing_is_wrong_a_number_beside_its_band_is_no_alarm() {
        let w = Words::english();
        let flow = Reading::channel(Channel::FlowM3H, Some(6.0)).should(5.3, 5.9).row(&w);
        let hot = Reading::channel(Channel::ModuleC, Some(185.0)).should(40.0, 60.0).row(&w);
        let mut section = SectionView::new(&kestrel_hollow(), vec![flow, hot]);
        let segment =
            Segment { part: Part::Motor, should_w: 100.0, interval_w: [90.0, 110.0], is_w: Some(130.0) };
        let mut account = AccountView::new(500.0, vec![segment]);
        assert!(section.rows[0].differs() && account.flagged().is_some());
        calm(&mut section, Some(&mut account));
        assert!(!section.rows[0].differs() && account.flagged().is_none());
        assert_eq!(section.rows[0].span.as_ref().unwrap().measured, Some(6.0));
        assert!(section.rows[1].differs(), "what cannot be true is still said");
    }

    #[test]
    fn a_file_is_replaced_whole_or_not_at_all() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.html");
        write_file(&path, "one").unwrap();
        write_file(&path, "two").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
        let e = write_file(&dir.path().join("none").join("a.html"), "x").unwrap_err();
        assert_eq!(e.kind, ErrorKind::Write);
        assert!(e.detail.contains("the folder does not exist"), "{e}");
    }
}
