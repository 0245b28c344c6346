//! The whole installation as built, and what it takes to turn at a speed.

use super::drive::Drive;
use super::motor::{Motor, MotorPoint};
use super::panel::Panels;
use super::pipe::{GRAVITY, Pipe};
use super::pump::{Pump, PumpPoint, RHO};
use super::sun::Plane;
use super::well::Well;

/// Coefficient of a valve that lets nothing pass, m per (m3/s)^2.
pub const SHUT: f64 = 1e12;

/// Everything as it really stands, faults included.
#[derive(Debug, Clone)]
pub struct Plant {
    /// How the array looks at the sky.
    pub plane: Plane,
    /// Panels and DC cable.
    pub panels: Panels,
    /// K of the cell over the air per W/m2.
    pub cell_k: f64,
    /// The well.
    pub well: Well,
    /// Pipe in the well.
    pub riser: Pipe,
    /// Pipe from wellhead to outlet.
    pub surface: Pipe,
    /// Outlet above the wellhead, m.
    pub outlet: f64,
    /// Valve after gauge and meter, m per (m3/s)^2; 0 is open.
    pub valve: f64,
    /// The column stays when the pump stops.
    pub check_valve: bool,
    /// Pump end.
    pub pump: Pump,
    /// It turns backwards.
    pub back: bool,
    /// Motor and leads.
    pub motor: Motor,
    /// Controller.
    pub drive: Drive,
    /// Water temperature, degC.
    pub water_c: f64,
    /// Depth of the dry probe, m.
    pub probe: Option<f64>,
    /// A float stops the pump when the tank is full.
    pub float: bool,
    /// Tank, m3.
    pub tank: f64,
    /// Mean use of water, m3/s.
    pub demand: f64,
}

/// What the pump meets just now.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// Depth of the water, m; `None` is the level after two hours at that flow.
    pub depth: Option<f64>,
    /// Volume of pipe that is still empty, m3.
    pub empty: f64,
    /// Share of the pump's appetite that is water (the rest is air).
    pub wet: f64,
    /// Winding temperature, degC.
    pub winding_c: f64,
}

/// What it takes to turn at a speed.
#[derive(Debug, Clone, Copy, Default)]
pub struct Load {
    /// Pump.
    pub pump: PumpPoint,
    /// Flow past the wellhead, m3/s.
    pub out: f64,
    /// Head at the wellhead gauge, m.
    pub gauge: f64,
    /// Motor.
    pub motor: MotorPoint,
    /// Power at the controller's input, W.
    pub dc: f64,
    /// Power in the water that arrives, W.
    pub hydraulic: f64,
}

impl Plant {
    /// Volume of pipe above the resting water, m3: what is empty after the column has drained.
    pub fn drained(&self) -> f64 {
        self.riser.area() * self.well.rest.clamp(0.0, self.riser.length) + self.surface.volume()
    }

    /// Height the water must be lifted with part of the pipe empty, m.
    fn lift(&self, depth: f64, empty: f64) -> f64 {
        let in_surface = empty.min(self.surface.volume());
        let in_riser = empty - in_surface;
        let top = self.outlet * (1.0 - in_surface / self.surface.volume().max(1e-9));
        (depth + top - in_riser / self.riser.area()).max(0.0)
    }

    /// What it takes to turn at `n` rpm.
    pub fn load(&self, n: f64, view: &View) -> Load {
        let depth = |q: f64| view.depth.unwrap_or_else(|| self.well.rest + self.well.settled(q));
        let needed = |q: f64| {
            let filled = 1.0 - (view.empty / self.surface.volume().max(1e-9)).min(1.0);
            let in_riser = view.empty > self.surface.volume();
            let valve = if in_riser { 0.0 } else { self.valve * q * q };
            let after = filled * self.surface.loss(q) + valve;
            self.lift(depth(q), view.empty) + self.riser.loss(q) + after
        };
        let mut pump = self.pump.at(n, self.back, &needed);
        if view.wet < 1.0 {
            let dry = self.pump.dry_torque(n);
            pump.torque = dry + view.wet * (pump.torque - dry).max(0.0);
            pump.q *= if view.wet < 0.15 { 0.0 } else { view.wet };
            pump.head = if view.wet < 0.15 { 0.0 } else { pump.head };
        }
        let motor = self.motor.at(n, pump.torque, view.winding_c);
        let in_riser = view.empty > self.surface.volume();
        let still = self.outlet * (1.0 - (view.empty / self.surface.volume().max(1e-9)).min(1.0));
        let lifts = pump.q > 0.0 || self.valve > 0.0;
        let gauge = if in_riser {
            0.0
        } else if lifts {
            (pump.head - depth(pump.q) - self.riser.loss(pump.q)).max(still)
        } else {
            still
        };
        let out = if in_riser || self.valve >= SHUT { 0.0 } else { pump.q };
        Load {
            pump,
            out,
            gauge,
            motor,
            dc: self.drive.input(motor.power_out),
            hydraulic: RHO * GRAVITY * pump.q * pump.head,
        }
    }
}
