//! The whole installation as built, and what it takes to turn at a speed.

use wellwright_domain::flags::Flags;

use super::drive::Drive;
use super::motor::{Motor, MotorPoint};
use super::panel::Panels;
use super::path::{Leak, Path};
use super::pipe::{GRAVITY, Pipe};
use super::pump::{Pump, PumpPoint, RHO};
use super::sun::Plane;
use super::well::Well;

/// Coefficient of a valve that lets nothing pass, m per (m3/s)^2.
pub const SHUT: f64 = 1e12;

/// What the DC side brings when nothing arrives from the array.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoSupply {
    /// Rows near zero, with these flags.
    Zero(Flags),
    /// The controller is dark and answers nothing; the logger says so.
    CommsLost,
    /// Rows near zero until the logger's own store of power is used up, then none.
    RowsEnd,
}

/// What the plant may have that no cause of the catalogue explains. All off in every other case.
#[derive(Debug, Clone, Copy, Default)]
pub struct Odd {
    /// A neighbour's pump on the same water: m that it takes from the level at 1000 W/m2, and its lag, s.
    pub neighbour: Option<(f64, f64)>,
    /// The leak is a branch to a second user with a timer: period s, share of it open, shift s.
    pub timer: Option<(f64, f64, f64)>,
    /// Radio stops the controller without a flag: mean time between, s, and length, s.
    pub radio: Option<(f64, f64)>,
    /// A soft riser breathes: most resistance, m per (m3/s)^2, and period, s.
    pub hose: Option<(f64, f64)>,
}

/// Everything as it really stands, faults included. Its parts and faults are independent, so they stay separate.
#[derive(Debug, Clone)]
#[allow(clippy::struct_excessive_bools)]
pub struct Plant {
    /// How the array looks at the sky.
    pub plane: Plane,
    /// Panels and DC cable. Faults: `dull` (soiling), `dc_ohm` (DC side), `strings` (shade, open strings, missing
    /// substrings, another count or module).
    pub panels: Panels,
    /// K of the cell over the air per W/m2.
    pub cell_k: f64,
    /// The well. Faults: `rest` (level fallen), `b`, `c`, `decade` (clogged screen), `most` (yield).
    pub well: Well,
    /// Pipe in the well. Faults: `c`, `k` (narrowed).
    pub riser: Pipe,
    /// Pipe from wellhead to outlet. Faults: `c`, `k` (narrowed).
    pub surface: Pipe,
    /// Outlet above the wellhead, m.
    pub outlet: f64,
    /// Valve after gauge and meter, m per (m3/s)^2; 0 is open (fault: closed valve).
    pub valve: f64,
    /// Blockage between pump and wellhead gauge, m per (m3/s)^2; 0 is none (fault: blocked riser).
    pub block: f64,
    /// Loss in impellers that are partly blocked, m per (m3/s)^2; 0 is none (fault: blocked intake).
    pub intake_k: f64,
    /// Most that passes a blocked strainer before the water boils off, m3/s (fault: blocked intake).
    pub intake_most: Option<f64>,
    /// Hole in riser or surface pipe (fault: riser leak), or an open branch.
    pub leak: Option<Leak>,
    /// The column stays when the pump stops: a check valve is fitted.
    pub check_valve: bool,
    /// Minutes in which the whole column drains back through a check valve that leaks; `None` is tight.
    pub drain_min: Option<f64>,
    /// Pump end. Faults: worn (`head`, `power`; `slip`), another size.
    pub pump: Pump,
    /// It turns backwards (fault: reversed rotation).
    pub back: bool,
    /// The rotor is locked (fault: seized pump).
    pub locked: bool,
    /// The motor turns freely, the pump does not (fault: broken shaft).
    pub broken_shaft: bool,
    /// Share of head lost to gas in the water, centrifugal (fault: gas in water).
    pub gas: f64,
    /// Speed of the rotor over the speed that the controller shows: 1 unless the motor has another number of poles
    /// than the record says (fault: equipment mismatch).
    pub speed_ratio: f64,
    /// Motor and leads. Faults: `extra`, `open`, `lead`, `ke`, `drag`, `shorted`, `earth_ohm`.
    pub motor: Motor,
    /// Controller. Faults: `max_*` (limit set low), `stuck_v`, `hot_k`, `failed`.
    pub drive: Drive,
    /// Water temperature, degC.
    pub water_c: f64,
    /// Depth of the dry probe, m.
    pub probe: Option<f64>,
    /// The dry input is on whatever the level (fault: false dry signal).
    pub probe_stuck: bool,
    /// A float stops the pump when the tank is full.
    pub float: bool,
    /// The tank-full input is on whatever the level (fault: stuck float).
    pub float_stuck: bool,
    /// Nothing arrives from the array (fault: no DC supply).
    pub no_supply: Option<NoSupply>,
    /// Tank, m3.
    pub tank: f64,
    /// Mean use of water, m3/s.
    pub demand: f64,
    /// Outside the catalogue.
    pub odd: Odd,
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
    /// Flow past the wellhead gauge and meter, m3/s.
    pub out: f64,
    /// Flow that arrives at the outlet, m3/s: less than `out` with a leak in the surface pipe.
    pub arrives: f64,
    /// Flow that escapes from the pipe, m3/s.
    pub leak: f64,
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

    /// What it takes to show `n` rpm.
    pub fn load(&self, n: f64, view: &View) -> Load {
        self.load_on(&Path::new(self, view), n, view)
    }

    /// The same along a path that is worked out already.
    pub fn load_on(&self, path: &Path, n: f64, view: &View) -> Load {
        let n = n * self.speed_ratio;
        let mut pump = if self.broken_shaft {
            PumpPoint::default()
        } else if path.shut() {
            self.pump.shut(n, self.back, 1.0 - self.gas)
        } else {
            self.pump.at(n, self.back, 1.0 - self.gas, &|q| path.needed(q))
        };
        if let Some(most) = self.intake_most
            && pump.q > most
        {
            // Vapour fills what the strainer does not let in.
            pump = PumpPoint {
                q: most,
                head: path.needed(most),
                torque: self.pump.starved_torque(n, most, pump),
            };
        }
        if view.wet < 1.0 && !self.broken_shaft {
            let dry = self.pump.dry_torque(n);
            pump.torque = dry + view.wet * (pump.torque - dry).max(0.0);
            pump.q *= if view.wet < 0.15 { 0.0 } else { view.wet };
            pump.head = if view.wet < 0.15 { 0.0 } else { pump.head };
        }
        let motor = self.motor.at(n, pump.torque, view.winding_c);
        let (out, arrives, leak) = path.shares(pump.q);
        Load {
            pump,
            out,
            arrives,
            leak,
            gauge: path.gauge(pump.q, pump.head),
            motor,
            dc: self.drive.input(motor.power_out),
            hydraulic: RHO * GRAVITY * pump.q * pump.head,
        }
    }
}
