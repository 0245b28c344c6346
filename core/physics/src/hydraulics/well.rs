//! The well as the pump sees it: how far the water has fallen after some time of pumping.

use crate::well::StepDrawdown;
use crate::well::theis::{Aquifer, well_function};

/// Aquifer around the pumped well, where a pumping test has found it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inflow {
    /// Transmissivity and storativity.
    pub aquifer: Aquifer,
    /// Effective radius of the well, m, more than 0 (the drilled hole's).
    pub radius_m: f64,
}

/// Well as the pump sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Well {
    /// Resting level below the wellhead, m.
    pub static_m: f64,
    /// Step drawdown after `at_min` minutes of pumping.
    pub drawdown: StepDrawdown,
    /// Minutes that the coefficients stand for.
    pub at_min: f64,
    /// Intake below the wellhead, m.
    pub intake_m: f64,
    /// Free area of the casing, m2.
    pub casing_m2: f64,
    /// The aquifer, where it is known; then it takes the place of the linear coefficient.
    pub inflow: Option<Inflow>,
}

impl Well {
    /// Share of the linear drawdown that has developed after `minutes` of pumping, 0..about 1.2.
    ///
    /// Equation: casing storage, 1 - exp(-t/tau) with tau = A B, times growth with log time,
    /// 0.6 + 0.4 log10(t) / log10(t_ref).
    /// Limits: a stand-in between step test and Theis; where T and S are known, give [`Well::inflow`].
    /// Source: Cooper & Jacob 1946 (growth with log time); casing storage, Papadopulos & Cooper 1967;
    /// the split 0.6 / 0.4 is engineering judgement.
    pub fn developed(&self, minutes: f64) -> f64 {
        if minutes <= 0.0 {
            return 0.0;
        }
        let growth = 0.6 + 0.4 * minutes.max(1.0).log10() / self.at_min.max(10.0).log10();
        self.casing_emptied(minutes, self.drawdown.b) * growth
    }

    /// Linear drawdown after `minutes` of steady pumping, m per m3/h.
    ///
    /// Equation: with an aquifer W(u)/(4 pi T), u = r^2 S/(4 T t), damped by the water in the casing as in
    /// [`Well::developed`]; without, B times [`Well::developed`].
    /// Limits: steady flow since the start; loss at the well itself (C Q^2) comes on top.
    /// Source: Theis 1935; damping by 1 - exp(-t/tau) is our short form of Papadopulos & Cooper 1967.
    pub fn linear_m_per_m3h(&self, minutes: f64) -> f64 {
        let Some(Inflow { aquifer, radius_m }) = self.inflow else {
            return self.developed(minutes) * self.drawdown.b;
        };
        if minutes <= 0.0 {
            return 0.0;
        }
        let u = aquifer.u(radius_m, minutes / 1440.0);
        // m3/h to m3/d
        let open = 24.0 * well_function(u) / (4.0 * std::f64::consts::PI * aquifer.transmissivity_m2_d);
        open * self.casing_emptied(minutes, open)
    }

    /// Share of the flow that the aquifer, not the water standing in the casing, gives after `minutes`.
    fn casing_emptied(&self, minutes: f64, m_per_m3h: f64) -> f64 {
        let tau_min = (self.casing_m2 * m_per_m3h * 60.0).max(0.05);
        1.0 - (-minutes / tau_min).exp()
    }
}

/// Where the water stands in the well while the pump runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Level {
    /// Follows from the flow after so many minutes of pumping.
    After {
        /// Minutes since the start.
        minutes: f64,
    },
    /// Known, m below the wellhead.
    Known(f64),
}

#[cfg(test)]
mod tests {
    use super::*;

    fn well(inflow: Option<Inflow>) -> Well {
        Well {
            static_m: 20.0,
            drawdown: StepDrawdown { b: 0.9, c: 0.05 },
            at_min: 120.0,
            intake_m: 60.0,
            casing_m2: 0.015,
            inflow,
        }
    }

    /// Theis with T 250 m2/d, S 2e-4, r 0.1 m: 120 m3/d draw 0.46526 m after a minute (mpmath, the doc
    /// test of `theis::drawdown_m`), 5 m3/h at a day the same as `drawdown_m`.
    #[test]
    fn a_known_aquifer_takes_the_place_of_b() {
        let aquifer = Aquifer { transmissivity_m2_d: 250.0, storativity: 2e-4 };
        let w = well(Some(Inflow { aquifer, radius_m: 0.1 }));
        let day = 5.0 * w.linear_m_per_m3h(1440.0);
        assert!((day - crate::well::theis::drawdown_m(120.0, &aquifer, 0.1, 1.0)).abs() < 1e-9);
        // in the first minute the water in the casing gives most of it
        let first = 5.0 * w.linear_m_per_m3h(0.05);
        assert!(
            first > 0.0 && first < 0.7 * crate::well::theis::drawdown_m(120.0, &aquifer, 0.1, 0.05 / 1440.0)
        );
    }

    #[test]
    fn without_one_b_develops() {
        let w = well(None);
        assert_eq!(w.linear_m_per_m3h(0.0), 0.0);
        assert!((w.linear_m_per_m3h(120.0) - 0.9).abs() < 1e-6);
        assert!(w.linear_m_per_m3h(5.0) < w.linear_m_per_m3h(30.0));
    }
}
