//! Which lead goes on to which, and what that does to the direction of rotation.
//!
//! A joint joins three leads to three leads. The maps of all joints, composed from the motor up, are a
//! permutation of three; exchanging any two leads of a three-phase motor reverses its rotation, so an
//! odd permutation means that the pump will turn backwards.

/// A permutation of three leads: `to[i]` is where lead `i` (0, 1, 2) goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct LeadMap {
    to: [u8; 3],
}

/// Even keeps the direction, odd reverses it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Parity {
    /// Rotation as meant.
    Even,
    /// Rotation reversed.
    Odd,
}

impl LeadMap {
    /// 1 to 1, 2 to 2, 3 to 3.
    pub const STRAIGHT: LeadMap = LeadMap { to: [0, 1, 2] };

    /// From destinations of leads 0, 1, 2; `None` unless each of 0, 1, 2 occurs once.
    pub fn new(to: [u8; 3]) -> Option<LeadMap> {
        let mut seen = [false; 3];
        for t in to {
            let slot = seen.get_mut(usize::from(t))?;
            if std::mem::replace(slot, true) {
                return None;
            }
        }
        Some(LeadMap { to })
    }

    /// Where lead `i` goes.
    ///
    /// # Panics
    /// If `i` is not 0, 1 or 2.
    pub fn to(self, i: usize) -> u8 {
        self.to[i]
    }

    /// This map followed by the next one up.
    #[must_use]
    pub fn then(self, next: LeadMap) -> LeadMap {
        LeadMap { to: self.to.map(|t| next.to[usize::from(t)]) }
    }

    /// Parity of the permutation.
    pub fn parity(self) -> Parity {
        let fixed = self.to.iter().enumerate().filter(|(i, t)| *i == usize::from(**t)).count();
        // three fixed: identity; none fixed: a rotation of all three; one fixed: one exchange.
        if fixed == 1 { Parity::Odd } else { Parity::Even }
    }
}
