//! Which causes become rungs.

mod demo;

use wellwright_app::scene::ladder::{LadderView, RungKind};
use wellwright_app::text::Words;
use wellwright_domain::cause::Cause;
use wellwright_domain::finding::{Finding, RankedCause};

fn with(probabilities: &[(Cause, f64)]) -> Finding {
    let mut f = demo::finding_too_little();
    f.causes = probabilities
        .iter()
        .map(|&(code, probability)| RankedCause {
            code,
            probability,
            severity: None,
            evidence: vec![],
            not_seen: vec![],
        })
        .collect();
    f
}

fn names(f: &Finding) -> Vec<String> {
    LadderView::new(f, &Words::english()).rungs.into_iter().map(|r| r.name).collect()
}

#[test]
fn the_first_four_others_unknown_and_the_rest() {
    use Cause::*;
    let f = with(&[
        (Soiling, 0.30),
        (PartialShade, 0.15),
        (OpenString, 0.14),
        (DcSideLoss, 0.13),
        (WornPump, 0.12),
        (RiserLeak, 0.11),
        (ClosedValve, 0.03),
        (Unknown, 0.02),
    ]);
    assert_eq!(
        names(&f),
        [
            "Dust on the array",
            "Shade on the array",
            "A string is open",
            "Loss before the controller",
            "Pump worn",
            "None of these",
            "2 others together"
        ]
    );
    let ladder = LadderView::new(&f, &Words::english());
    let total: f64 = ladder.rungs.iter().map(|r| r.probability).sum();
    assert!((total - 1.0).abs() < 1e-9, "nothing is lost");
    assert_eq!(ladder.rungs.last().unwrap().kind, RungKind::Others);
}

#[test]
fn small_ones_stand_together_and_order_does_not_matter() {
    use Cause::*;
    let f = with(&[(Unknown, 0.01), (WornPump, 0.04), (Soiling, 0.95)]);
    assert_eq!(names(&f), ["Dust on the array", "None of these", "1 other"]);
    assert!(LadderView::new(&with(&[]), &Words::english()).rungs.is_empty());
}

#[test]
fn evidence_is_for_and_against_and_only_under_the_first() {
    let ladder = LadderView::new(&demo::finding_backwards(), &Words::english());
    let open = ladder.rungs[0].open.as_ref().unwrap();
    assert_eq!(open.speaks_for.iter().map(|b| b.ticks).collect::<Vec<_>>(), [5, 4, 3]);
    assert_eq!(open.against.len(), 1);
    assert_eq!(open.unseen, ["Pressure at the wellhead"]);
    assert!(ladder.rungs[1..].iter().all(|r| r.open.is_none()));
    assert!(LadderView::new(&demo::finding_healthy(), &Words::english()).rungs[0].open.is_none());
}
