//! What physics allows, beside what was reached.

use std::fmt::Write as _;

use super::bars::{LEFT, WIDE, scale};
use super::svg::{FIRST, INK, PALE, Picture, THREE, escape};
use crate::evaluate::oracle::{OracleReport, report::Both};
use crate::evaluate::words::percent;

fn row(html: &mut String, name: &str, b: &Both) {
    let _ = write!(
        html,
        "<tr><td>{name}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
        percent(&b.oracle.first),
        percent(&b.oracle.three),
        percent(&b.with_priors.first),
        percent(&b.oracle_there.first),
        percent(&b.ranking.first),
        percent(&b.ranking.three),
        b.ranking.first.of
    );
}

/// First place by cause and sensors: the oracle above, the ranking below.
fn cells(o: &OracleReport) -> String {
    let each = 3.0 * 20.0 + 10.0;
    let causes: Vec<_> = o.cells.chunk_by(|a, b| a.cause == b.cause).collect();
    let height = 44.0 + each * causes.len() as f64;
    let mut p = Picture::new(1040.0, height, "Oracle and ranking by cause and sensors");
    scale(&mut p, height - 4.0);
    for (k, own) in causes.iter().enumerate() {
        let top = 34.0 + each * k as f64;
        p.text([LEFT - 14.0, top + 24.0], "end", INK, own[0].cause.code());
        for (n, cell) in own.iter().enumerate() {
            let y = top + 20.0 * n as f64;
            let x = |v: f64| LEFT + WIDE * v;
            let (oracle, ranking) = (&cell.both.oracle.first, &cell.both.ranking.first);
            for (share, y, colour) in [(oracle, y - 3.5, THREE), (ranking, y + 3.5, FIRST)] {
                if share.of > 0 {
                    p.line([x(share.low), y], [x(share.high), y], colour, 3.0);
                    p.rect([x(share.share) - 2.0, y - 4.0, 4.0, 8.0], INK, &percent(share));
                }
            }
            let mut words = format!("{}: oracle {:.0} %", cell.sensors, 100.0 * oracle.share);
            if ranking.of > 0 {
                let _ = write!(words, ", ranking {:.0} %", 100.0 * ranking.share);
            }
            p.text([LEFT + WIDE + 18.0, y + 4.0], "start", if n == 0 { INK } else { PALE }, &words);
        }
    }
    p.finish()
}

/// The section of the page.
pub fn section(o: &OracleReport) -> String {
    let sites: Vec<String> = o.sites.iter().map(|s| format!("<li>{}</li>", escape(s))).collect();
    let mut html = format!(
        "<h2>What physics allows</h2><p>The oracle has the true plant. At {} sites it makes {} recordings of each cause \
         with fresh tolerances, severities, instruments and weather, learns from them (densities around curves and references, and a forest of trees) and is asked about those that it \
         was not shown, every cause as often. The ranking is asked about {} of those of each cause, in turn with \
         each set of sensors; the column <i>oracle there</i> is the oracle over the same ones. The ranking \
         keeps the contract's priors although every cause comes as often here; a column shows the oracle with the same \
         handicap.</p><ul>{}</ul><p>Its limits: it sees a \
         summary of the rows and some hundreds of references a cause, so it errs where a cause shows itself in more than \
         a few ways; it knows the record, the kind of day and the hour to within an hour and a half. It is a floor \
         under what physics allows, not a ceiling: where the ranking does better, the oracle was short of references or \
         of features. A few sites stand for all systems.</p><table><tr><th></th><th>oracle first</th><th>oracle in \
         three</th><th>with the ranking's priors, first</th><th>oracle there, first</th><th>ranking first</th><th>ranking in three</th><th>asked of both</th></tr>",
        o.sites.len(),
        o.plan.references,
        o.plan.asked,
        sites.concat()
    );
    for (word, both) in &o.by_sensors {
        row(&mut html, word, both);
    }
    row(&mut html, "causes and sensors where the oracle reaches 0.9", &o.told);
    row(&mut html, "elsewhere", &o.untold);
    html.push_str("</table><p>With causes as often as the priors say, the oracle puts the true one first: ");
    let priors: Vec<String> =
        o.by_priors.iter().map(|w| format!("{} {}", w.sensors, percent(&w.oracle))).collect();
    let _ = write!(
        html,
        "{} (intervals by the effective number of recordings).</p><p>Above in each pair the oracle, below the ranking.\
         </p>{}",
        escape(&priors.join(", ")),
        cells(o)
    );
    html
}
