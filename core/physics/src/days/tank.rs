//! The tank at the end of the pipe.

/// A tank, and what is drawn from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tank {
    /// Volume, m3, more than 0.
    pub volume_m3: f64,
    /// Share that is full at the beginning, 0 to 1.
    pub full_at_start: f64,
    /// Drawn evenly over day and night, m3/h.
    pub draw_m3_h: f64,
    /// A float stops the pump when full, and lets it start again below this share; `None`: it overflows.
    pub restart_share: Option<f64>,
}

/// How full it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TankState {
    /// Water in it, m3.
    pub held_m3: f64,
    /// The float holds the pump.
    pub holds: bool,
}

/// What a step did to the tank.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Filled {
    /// Share of the step in which the pump could run.
    pub(super) share: f64,
    /// Over the brim, m3.
    pub(super) spilled_m3: f64,
    /// Drawn from it, m3.
    pub(super) drawn_m3: f64,
}

impl Tank {
    pub(super) fn begin(&self) -> TankState {
        let held_m3 = self.volume_m3 * self.full_at_start.clamp(0.0, 1.0);
        TankState { held_m3, holds: self.restart_share.is_some() && held_m3 >= self.volume_m3 }
    }

    /// Lets water in and out for `hours`; `offered_m3_h` is what the pump would give.
    pub(super) fn pass(&self, state: &mut TankState, offered_m3_h: f64, hours: f64) -> Filled {
        if state.holds && self.restart_share.is_none_or(|s| state.held_m3 <= s * self.volume_m3) {
            state.holds = false;
        }
        let mut out = Filled { share: if state.holds { 0.0 } else { 1.0 }, ..Filled::default() };
        let net = out.share * offered_m3_h - self.draw_m3_h;
        let room = self.volume_m3 - state.held_m3;
        if net * hours > room {
            if self.restart_share.is_some() && offered_m3_h > 0.0 {
                // the float stops the pump when full
                out.share = (room / net / hours).clamp(0.0, 1.0);
                state.holds = true;
            } else {
                out.spilled_m3 = net * hours - room;
            }
        }
        let inside = state.held_m3 + out.share * offered_m3_h * hours - out.spilled_m3;
        out.drawn_m3 = (self.draw_m3_h * hours).min(inside);
        state.held_m3 = (inside - out.drawn_m3).clamp(0.0, self.volume_m3);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fills_stops_empties_and_starts_again() {
        let tank = Tank { volume_m3: 10.0, full_at_start: 0.5, draw_m3_h: 1.0, restart_share: Some(0.8) };
        let mut s = tank.begin();
        let one = tank.pass(&mut s, 3.0, 1.0);
        assert_eq!((one.share, s.held_m3, s.holds), (1.0, 7.0, false));
        let two = tank.pass(&mut s, 4.0, 2.0); // net 3 an hour: full after one hour, then 1 m3 is drawn
        assert_eq!((two.share, s.holds), (0.5, true));
        assert!((s.held_m3 - 9.0).abs() < 1e-12);
        let three = tank.pass(&mut s, 4.0, 1.0);
        assert_eq!((three.share, s.held_m3), (0.0, 8.0));
        assert_eq!(tank.pass(&mut s, 4.0, 0.5).share, 1.0);
    }

    #[test]
    fn without_a_float_it_runs_over_and_nothing_is_lost_from_the_books() {
        let tank = Tank { volume_m3: 2.0, full_at_start: 1.0, draw_m3_h: 0.5, restart_share: None };
        let mut s = tank.begin();
        let f = tank.pass(&mut s, 3.0, 2.0);
        assert!((f.spilled_m3 - 5.0).abs() < 1e-12 && (f.drawn_m3 - 1.0).abs() < 1e-12);
        assert!((s.held_m3 - 2.0).abs() < 1e-12);
        let dry = tank.pass(&mut s, 0.0, 10.0);
        assert!((dry.drawn_m3 - 2.0).abs() < 1e-12 && s.held_m3 == 0.0);
    }
}
