//! The report page: one self-contained file, light, readable without a network, drawn by our own code.
//!
//! Its picture is the span: every number is a horizontal line of where it may lie, with a mark where it was
//! measured, and words beside it. The confusion picture is a span too: each cause is a bar of what came first
//! instead, with the words written into it.

mod bars;
mod confusion;
mod oracle;
mod reliability;
mod svg;
mod tables;

use std::fmt::Write as _;

use super::oracle::OracleReport;
use super::summary::{Mixed, Summary};
use svg::escape;

const STYLE: &str = "
body{font:16px/1.5 'Noto Sans','DejaVu Sans',system-ui,sans-serif;color:#1c2630;background:#fbfaf6;max-width:1080px;
margin:0 auto;padding:1.5rem}
h1{font-size:1.7rem;margin:.2rem 0}h2{margin:2.4rem 0 .4rem;border-bottom:2px solid #c9c2ae;padding-bottom:.2rem}
h3{margin:1.6rem 0 .3rem}p{max-width:46rem}table{border-collapse:collapse;font-size:.92rem;margin:.6rem 0}
th,td{padding:.25rem .7rem;text-align:right;border-bottom:1px solid #e2dccb}th{font-weight:600;background:#f1ecdd}
td:first-child,th:first-child{text-align:left}svg{max-width:100%;height:auto;display:block;margin:.4rem 0}
.met{color:#0a5c36;font-weight:600}.not{color:#8f2d0a;font-weight:600}.small{color:#4d5965;font-size:.9rem}
svg text{font:13px 'Noto Sans','DejaVu Sans',system-ui,sans-serif;fill:#1c2630}";

fn mixed(html: &mut String, title: &str, intro: &str, m: &Mixed) {
    let _ = writeln!(html, "<h2>{}</h2><p>{}</p>", escape(title), escape(intro));
    let _ = writeln!(html, "<h3>By sensors, telemetry and situation alone</h3>{}", bars::by_sensors(m));
    if m.walked.is_some() {
        let _ = writeln!(
            html,
            "<h3>After at most four suggested checks, the pump not lifted</h3>{}",
            bars::after_few(m)
        );
        html.push_str(&tables::orders(m));
    }
    if let Some(c) = &m.calibration {
        let _ = writeln!(
            html,
            "<h3>Does 80 % mean 80 %?</h3><p>Each row is a tenth of the cases, by the probability of the first \
             cause. The open mark is what was said, the filled one what came true, the line its 95 % interval. \
             Expected calibration error {:.3} ({:.3} to {:.3} by resampling).</p>{}",
            c.error,
            c.low,
            c.high,
            reliability::diagram(c)
        );
    }
    let _ = writeln!(html, "<h3>By cause</h3>{}", bars::by_cause(m));
    let _ = writeln!(
        html,
        "<h3>What is taken for what</h3><p>Each bar holds all cases of one cause, parted by what came first. The \
         dark part is right.</p>{}",
        confusion::spans(m)
    );
    let _ = writeln!(
        html,
        "<p>The same as a field: rows are the truth, columns what came first, darker is more often.</p>{}",
        confusion::field(m)
    );
    let _ = writeln!(html, "<h3>Verdicts</h3>{}", tables::verdicts(m));
}

/// The whole page.
pub fn page(s: &Summary, oracle: Option<&OracleReport>, commit: &str) -> String {
    let mut html = String::from("<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">");
    let _ = write!(
        html,
        "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><title>How well causes are found\
         </title><style>{STYLE}</style></head><body>"
    );
    let y = &s.systems;
    let seeds: Vec<String> = s.seeds.iter().map(|(set, seed)| format!("{set:?} {seed}")).collect();
    let _ = writeln!(
        html,
        "<h1>How well causes are found</h1><p>{} cases of an independent plant, each with a system drawn anew from {} \
         families, {:.0} to {:.0} V and {:.2} to {:.2} kW, {} of them with a helical rotor. All systems are invented. \
         Split: {:?}. Measured at {}. Intervals are 95 %, of Wilson's score for shares.</p><p class=\"small\">Seeds: \
         {}. One look takes {:.0} ms on average, {:.0} ms at most; all took {:.0} s.</p>",
        y.count,
        y.families,
        y.volts[0],
        y.volts[1],
        y.watts[0] / 1000.0,
        y.watts[1] / 1000.0,
        y.helical,
        s.plan.split,
        escape(commit),
        escape(&seeds.join(", ")),
        s.explain_ms[0],
        s.explain_ms[2],
        s.took_s
    );
    let _ = writeln!(html, "<h2>Asked and measured</h2>{}", tables::targets(&s.targets()));
    if let Some(m) = &s.priors {
        mixed(&mut html, "As often as in the field", "Causes drawn by the priors of the table of causes.", m);
    }
    if let Some(m) = &s.uniform {
        mixed(&mut html, "Every cause as often", "The rare ones count as much as the usual ones.", m);
    }
    let _ = writeln!(
        html,
        "<h2>Nothing wrong</h2><p>A false alarm is the verdict <i>fault</i>, or a fault that stands first.</p>{}",
        bars::alarms(&s.alarms)
    );
    if s.outside.owned.of > 0 {
        let _ = writeln!(
            html,
            "<h2>What no cause explains</h2><p>Mechanisms that the catalogue never held. It should say <i>unknown</i> \
             or that the evidence is too little.</p>{}",
            tables::strangers(&s.outside)
        );
    }
    if s.left_out.owned.of > 0 {
        let _ = writeln!(
            html,
            "<h2>Causes that the catalogue does not hold</h2><p>Each cause is left out of the catalogue in turn. It \
             should then say <i>unknown</i> or that the evidence is too little, and accuse nothing else. Faults too \
             small to be seen are called healthy; they are counted apart.</p>{}",
            tables::strangers(&s.left_out)
        );
    }
    if let Some(o) = oracle {
        html.push_str(&oracle::section(o));
    }
    html.push_str("</body></html>\n");
    html
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evaluate::judge::Judged;
    use crate::evaluate::plan::{Plan, Set, Split};
    use wellwright_domain::cause::Cause;
    use wellwright_domain::finding::Verdict;
    use wellwright_domain::record::PumpKind;

    #[test]
    fn it_stands_alone_and_says_the_numbers() {
        let cases: Vec<Judged> = (0..40)
            .map(|i| Judged {
                name: format!("case-{i}"),
                set: Set::Uniform,
                cause: if i % 2 == 0 { Cause::ClosedValve } else { Cause::Healthy },
                outside: None,
                severity: None,
                sensors: ["full", "middling", "lean"][i % 3],
                kind: PumpKind::Centrifugal,
                family: "a <family>",
                array_v: 100.0,
                array_w: 1000.0,
                verdict: Verdict::Fault,
                ranked: vec![(Cause::ClosedValve, 0.8)],
                place: 1 + i % 2,
                probability: 0.5,
                explain_ms: 10.0,
                left_out: None,
                walks: None,
            })
            .collect();
        let summary = Summary::of(&Plan::usual(Split::Development), &cases, 1.0);
        let html = page(&summary, None, "abc");
        assert!(html.contains("50.0 %") && html.contains("closed_valve"));
        for outside in ["http:", "https:", "src=", "@import", "<script"] {
            let found = html.replace("http://www.w3.org/2000/svg", "").contains(outside);
            assert!(!found, "{outside} reaches outside");
        }
        assert_eq!(html.matches("<svg").count(), html.matches("</svg>").count());
    }
}
