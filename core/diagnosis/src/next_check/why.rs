//! Why a check is suggested: a text id with the causes that fill its places. The sentence itself is told in the
//! reader's language.

use wellwright_domain::cause::Cause;
use wellwright_domain::finding::Why;

/// It tells the first of `separates` from the others.
pub fn tells(separates: &[Cause], leading: Cause) -> Why {
    match separates {
        [of, from @ ..] if !from.is_empty() => {
            Why { id: "next.tells".into(), of: *of, from: from.iter().copied().take(2).collect() }
        }
        // it moves many a little
        _ => Why { id: "next.weighs".into(), of: leading, from: Vec::new() },
    }
}

/// It would confirm what already stands out.
pub fn confirms(leading: Cause) -> Why {
    Why { id: "next.confirms".into(), of: leading, from: Vec::new() }
}
