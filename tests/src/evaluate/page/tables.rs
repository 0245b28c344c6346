//! What is told best in rows of numbers.

use std::fmt::Write as _;

use super::svg::escape;
use crate::evaluate::summary::{Bound, Mixed, Open, Order, Target};
use crate::evaluate::words::percent;

/// Asked and measured.
pub fn targets(targets: &[Target]) -> String {
    let mut html = String::from(
        "<table><tr><th>what</th><th>asked</th><th>measured</th><th>95 % interval</th><th>cases</th><th></th></tr>",
    );
    for t in targets {
        let sign = if t.bound == Bound::AtLeast { "at least" } else { "at most" };
        let (class, word) = if t.met() { ("met", "met") } else { ("not", "not met") };
        let _ = write!(
            html,
            "<tr><td>{}</td><td>{sign} {:.2}</td><td>{:.3}</td><td>{:.3} to {:.3}</td><td>{}</td><td class=\"{class}\">\
             {word}</td></tr>",
            escape(&t.what),
            t.asked,
            t.measured,
            t.low,
            t.high,
            t.of
        );
    }
    html + "</table>"
}

/// Orders of checks.
pub fn orders(m: &Mixed) -> String {
    let Some(w) = &m.walked else { return String::new() };
    let mut html = format!(
        "<h3>What checks cost</h3><p>{} cases; each order stops when the first cause has 0.9. Minutes are those of one \
         person, tools and crew included; an order that ends at a wrong cause costs a lift (720 min) more. The same \
         checks give the same answers in each order.</p><table><tr><th>order</th><th>minutes to the right answer</th>\
         <th>checks</th><th>right at its end</th><th>needless lifts</th><th>missed lifts</th></tr>",
        w.cases
    );
    let mut row = |name: &str, o: &Order| {
        let _ = write!(
            html,
            "<tr><td>{name}</td><td>{:.0} ± {:.0}</td><td>{:.1}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            o.minutes[0],
            1.96 * o.minutes[1],
            o.checks,
            percent(&o.right),
            percent(&o.needless_lifts),
            percent(&o.missed_lifts)
        );
    };
    row("as suggested", &w.suggested);
    row("textbook", &w.textbook);
    row("random", &w.random);
    html + "</table>"
}

/// Verdicts by truth, and how too_little was used.
pub fn verdicts(m: &Mixed) -> String {
    let mut html = String::from(
        "<table><tr><th>truth</th><th>healthy</th><th>fault</th><th>standing_by</th><th>too_little</th></tr>",
    );
    for v in &m.verdicts {
        let _ = write!(html, "<tr><td>{}</td>", v.truth);
        for n in v.given {
            let _ = write!(html, "<td>{n}</td>");
        }
        html.push_str("</tr>");
    }
    let t = &m.too_little;
    let _ = write!(
        html,
        "</table><p><i>too_little</i> was given in {}. Of those the true cause stood first in {} and within the first \
         three in {}. Of the cases with a wrong first cause it caught {}.</p>",
        percent(&t.given),
        percent(&t.first),
        percent(&t.three),
        percent(&t.caught)
    );
    html
}

/// Faults outside the catalogue.
pub fn strangers(o: &Open) -> String {
    let mut html = format!(
        "<p><i>unknown</i> or <i>too_little</i>: {}. A wrong cause at 0.8 or more: {}; a wrong fault: {}.</p><table><tr>\
         <th>fault</th><th>unknown or too little</th><th>wrong cause at 0.8 or more</th><th>of those, called healthy\
         </th><th>cases</th></tr>",
        percent(&o.owned),
        percent(&o.misled),
        percent(&o.accused)
    );
    for s in &o.each {
        let _ = write!(
            html,
            "<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            escape(&s.name),
            percent(&s.owned),
            percent(&s.misled),
            percent(&s.called_healthy),
            s.owned.of
        );
    }
    html + "</table>"
}
