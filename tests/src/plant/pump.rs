//! Pump ends. Centrifugal: polynomials through the record's points carried to other speeds by the
//! affinity laws, with its own reversed curve from trade ranges. Helical rotor: displacement less a slip
//! that grows with a power of the head, friction that falls from break-away to running.

use super::dice::Dice;
use super::pipe::GRAVITY;
use super::solve::falling;

/// Density of water, kg/m3.
pub const RHO: f64 = 998.0;

/// How a pump behaves at one moment.
#[derive(Debug, Clone, Copy, Default)]
pub struct PumpPoint {
    /// Flow through the pump, m3/s.
    pub q: f64,
    /// Head it makes, m.
    pub head: f64,
    /// Torque it takes, N m.
    pub torque: f64,
}

/// Multistage centrifugal, as built.
#[derive(Debug, Clone)]
pub struct Centrifugal {
    /// Rated speed, rpm.
    pub rpm: f64,
    /// Head polynomial in m3/s at rated speed, constant first.
    pub head: Vec<f64>,
    /// Shaft power polynomial in m3/s at rated speed, W.
    pub power: Vec<f64>,
    /// Flow at the best point, m3/s.
    pub q_best: f64,
    /// Largest flow of the curve, m3/s.
    pub q_max: f64,
    /// Exponent of the loss of efficiency at lower speed.
    pub slow_exponent: f64,
    /// Reversed: head at no flow over head at the best point.
    pub back_head: f64,
    /// Reversed: flow without lift over flow at the best point.
    pub back_flow: f64,
    /// Reversed: torque at no flow over torque at the best point.
    pub back_torque: f64,
    /// In air: torque over torque at the best point.
    pub dry_torque: f64,
}

/// Helical rotor, as built.
#[derive(Debug, Clone)]
pub struct Helical {
    /// Displacement, m3 a revolution.
    pub volume: f64,
    /// Slip at the reference head, m3/s.
    pub slip: f64,
    /// Reference head of the slip, m.
    pub slip_head: f64,
    /// Exponent of slip with head.
    pub slip_exponent: f64,
    /// Friction while running, N m.
    pub friction: f64,
    /// Friction at break-away, N m.
    pub break_away: f64,
    /// Speed over which break-away friction fades, rpm.
    pub fade_rpm: f64,
    /// Reversed: suction head it pulls against the shut check valve, m.
    pub back_suction: f64,
    /// In air: friction over running friction.
    pub dry_friction: f64,
}

/// Either kind.
#[derive(Debug, Clone)]
pub enum Pump {
    /// Multistage centrifugal.
    Centrifugal(Centrifugal),
    /// Helical rotor.
    Helical(Helical),
}

/// Value of a polynomial.
pub fn poly(c: &[f64], x: f64) -> f64 {
    c.iter().rev().fold(0.0, |acc, c| acc * x + c)
}

/// Least-squares polynomial of degree `n` through points.
pub fn fit(points: &[(f64, f64)], n: usize) -> Vec<f64> {
    let scale = points.iter().map(|p| p.0.abs()).fold(1e-12, f64::max);
    let m = n + 1;
    let mut a = vec![vec![0.0; m + 1]; m];
    for (x, y) in points {
        let x = x / scale;
        for (r, row) in a.iter_mut().enumerate() {
            for (c, cell) in row.iter_mut().enumerate().take(m) {
                *cell += x.powf((r + c) as f64);
            }
            row[m] += y * x.powf(r as f64);
        }
    }
    for p in 0..m {
        let best = (p..m).max_by(|i, j| a[*i][p].abs().total_cmp(&a[*j][p].abs())).unwrap_or(p);
        a.swap(p, best);
        for r in 0..m {
            if r != p {
                let f = a[r][p] / a[p][p];
                let pivot = a[p].clone();
                a[r].iter_mut().zip(pivot).for_each(|(x, y)| *x -= f * y);
            }
        }
    }
    (0..m).map(|p| a[p][m] / a[p][p] / scale.powf(p as f64)).collect()
}

impl Centrifugal {
    /// Head at the best point and rated speed, m.
    pub fn best_head(&self) -> f64 {
        poly(&self.head, self.q_best)
    }

    /// Torque at the best point and rated speed, N m.
    pub fn best_torque(&self) -> f64 {
        poly(&self.power, self.q_best) / (self.rpm * std::f64::consts::PI / 30.0)
    }

    /// `thin` is the share of head that gas in the water leaves.
    fn at(&self, n: f64, back: bool, thin: f64, needed: &impl Fn(f64) -> f64) -> PumpPoint {
        let w = (n / self.rpm).max(1e-6);
        let top = self.back_flow * self.q_best;
        let made = |q: f64| {
            if back {
                w * w * self.back_head * self.best_head() * (1.0 - (q / w / top).powf(1.5))
            } else {
                w * w * thin * poly(&self.head, q / w)
            }
        };
        let end = w * if back { top } else { self.q_max * 1.15 };
        let gap = |q: f64| made(q) - needed(q);
        let (first, last) = (gap(0.0), gap(end));
        let q = if first <= 0.0 {
            0.0
        } else if last > 0.0 {
            end
        } else {
            falling(gap, (0.0, first), (end, last), 2e-5 * end)
        };
        let torque = w
            * w
            * if back {
                self.back_torque * self.best_torque() * (1.0 + 0.7 * q / w / top)
            } else {
                self.torque_at(w, q) * (1.0 - 0.8 * (1.0 - thin))
            };
        PumpPoint { q, head: made(q), torque }
    }

    /// Nothing can pass.
    fn shut(&self, n: f64, back: bool, thin: f64) -> PumpPoint {
        self.at(n, back, thin, &|_| f64::INFINITY)
    }

    /// Torque at a flow over the square of the speed ratio `w`, N m.
    fn torque_at(&self, w: f64, q: f64) -> f64 {
        w.min(1.0).powf(-self.slow_exponent) * poly(&self.power, (q / w).min(self.q_max * 1.15))
            / (self.rpm * std::f64::consts::PI / 30.0)
    }
}

impl Helical {
    fn slip_at(&self, head: f64) -> f64 {
        self.slip * (head.max(0.0) / self.slip_head).powf(self.slip_exponent)
    }

    /// Friction of rotor in stator at a speed, N m.
    pub fn friction_at(&self, n: f64) -> f64 {
        self.friction + (self.break_away - self.friction).max(0.0) * (-n / self.fade_rpm).exp()
    }

    fn hydraulic(&self, head: f64) -> f64 {
        self.volume * RHO * GRAVITY * head / (2.0 * std::f64::consts::PI)
    }

    /// Nothing can pass: the pressure rises until all that is swept slips back.
    fn shut(&self, n: f64, back: bool) -> PumpPoint {
        if back {
            return self.at(n, back, &|_| 0.0);
        }
        let swept = self.volume * n / 60.0;
        let head = (self.slip_head * (swept / self.slip).powf(1.0 / self.slip_exponent)).min(2000.0);
        PumpPoint { q: 0.0, head, torque: self.friction_at(n) + self.hydraulic(head) }
    }

    fn at(&self, n: f64, back: bool, needed: &impl Fn(f64) -> f64) -> PumpPoint {
        if back {
            // Turns towards the shut check valve: nothing is lifted, only suction is pulled.
            let torque = self.friction_at(n) + self.hydraulic(self.back_suction);
            return PumpPoint { q: 0.0, head: 0.0, torque };
        }
        let swept = self.volume * n / 60.0;
        let gap = |q: f64| swept - self.slip_at(needed(q).min(2000.0)) - q;
        let (first, last) = (gap(0.0), gap(swept));
        let q = if first <= 0.0 {
            0.0
        } else if last > 0.0 {
            swept
        } else {
            falling(gap, (0.0, first), (swept, last), 2e-5 * swept)
        };
        let head = needed(q).min(2000.0);
        PumpPoint { q, head, torque: self.friction_at(n) + self.hydraulic(head) }
    }
}

impl Pump {
    /// Where pump and system meet at `n` rpm; `needed` is the head the system asks for at a flow and `thin` the
    /// share of head that gas leaves a centrifugal pump.
    pub fn at(&self, n: f64, back: bool, thin: f64, needed: &impl Fn(f64) -> f64) -> PumpPoint {
        match self {
            Pump::Centrifugal(p) => p.at(n, back, thin, needed),
            Pump::Helical(p) => p.at(n, back, needed),
        }
    }

    /// The same against a way that is shut.
    pub fn shut(&self, n: f64, back: bool, thin: f64) -> PumpPoint {
        match self {
            Pump::Centrifugal(p) => p.shut(n, back, thin),
            Pump::Helical(p) => p.shut(n, back),
        }
    }

    /// Torque when a blocked strainer lets only `q` m3/s in; `free` is the point without it, N m.
    pub fn starved_torque(&self, n: f64, q: f64, free: PumpPoint) -> f64 {
        match self {
            Pump::Centrifugal(p) => {
                let w = (n / p.rpm).max(1e-6);
                (w * w * p.torque_at(w, q)).min(free.torque)
            }
            // Chambers that are not full are only pressed by the last stages.
            Pump::Helical(p) => {
                let friction = p.friction_at(n);
                friction + (free.torque - friction) * (0.7 + 0.3 * q / free.q)
            }
        }
    }

    /// Torque with no water in the pump, N m.
    pub fn dry_torque(&self, n: f64) -> f64 {
        match self {
            Pump::Centrifugal(p) => p.dry_torque * p.best_torque() * (n / p.rpm).powi(2),
            Pump::Helical(p) => p.dry_friction * p.friction_at(n),
        }
    }

    /// Torque at the best point or at the usual head, N m: what a controller takes as ordinary.
    pub fn usual_torque(&self, head: f64) -> f64 {
        match self {
            Pump::Centrifugal(p) => p.best_torque(),
            Pump::Helical(p) => p.friction + p.volume * RHO * GRAVITY * head / (2.0 * std::f64::consts::PI),
        }
    }

    /// Draws the parts that no record tells.
    pub fn draw_hidden(dice: &mut Dice) -> ([f64; 4], [f64; 5]) {
        (
            [
                dice.uniform(0.5, 0.7),
                dice.uniform(0.3, 0.42),
                dice.uniform(0.6, 0.85),
                dice.uniform(0.08, 0.22),
            ],
            [
                dice.uniform(0.75, 1.05),
                dice.uniform(60.0, 250.0),
                dice.uniform(0.0, 12.0),
                dice.uniform(1.0, 1.5),
                dice.uniform(0.0, 0.08),
            ],
        )
    }
}
