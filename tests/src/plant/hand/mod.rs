//! What a person measures by hand at the plant of a case.
