//! Families of systems that exist in the trade, by kind, voltage, power and head (common practice, no
//! single source; no product stands behind any of them).

use wellwright_domain::record::{Drive, PipeMaterial, PumpKind};

/// Ranges of one family.
#[derive(Debug, Clone, Copy)]
pub struct Family {
    /// Short name.
    pub name: &'static str,
    /// Kind of pump.
    pub kind: PumpKind,
    /// Manner of the drive.
    pub drive: Drive,
    /// Best-point voltage of the array, V.
    pub array_v: (f64, f64),
    /// Rated power of the array, W.
    pub array_w: (f64, f64),
    /// Head at the design point, m.
    pub head: (f64, f64),
    /// Rated speed, rpm.
    pub rpm: (f64, f64),
    /// Riser.
    pub pipe: PipeMaterial,
}

const fn f(
    name: &'static str,
    kind: PumpKind,
    drive: Drive,
    ranges: [(f64, f64); 4],
    pipe: PipeMaterial,
) -> Family {
    let [array_v, array_w, head, rpm] = ranges;
    Family { name, kind, drive, array_v, array_w, head, rpm, pipe }
}

use Drive::{FieldOriented as Foc, SixStep as Block};
use PipeMaterial::{Galvanised, Pe, Pvc, Steel};
use PumpKind::{Centrifugal as Cen, HelicalRotor as Hel};

/// All families.
pub const FAMILIES: [Family; 16] = [
    f("small rotor", Hel, Block, [(60., 75.), (300., 620.), (20., 70.), (1400., 2400.)], Pe),
    f("small rotor, sine", Hel, Foc, [(60., 80.), (350., 800.), (25., 90.), (1500., 2600.)], Pe),
    f("small impeller", Cen, Block, [(60., 80.), (400., 900.), (8., 25.), (2400., 3400.)], Pe),
    f("house rotor", Hel, Foc, [(95., 130.), (600., 1300.), (40., 130.), (1500., 2500.)], Pe),
    f("house impeller", Cen, Foc, [(90., 130.), (700., 1600.), (15., 45.), (2600., 3400.)], Pvc),
    f("deep rotor", Hel, Foc, [(150., 220.), (1000., 2000.), (90., 200.), (1600., 2600.)], Galvanised),
    f("deep rotor, block", Hel, Block, [(120., 190.), (900., 1800.), (70., 150.), (1500., 2400.)], Pe),
    f("cattle impeller", Cen, Foc, [(180., 260.), (1200., 2400.), (25., 70.), (2700., 3500.)], Pe),
    f("old steel", Cen, Block, [(160., 260.), (1200., 2600.), (20., 60.), (2700., 3200.)], Galvanised),
    f("village impeller", Cen, Foc, [(300., 380.), (2000., 4000.), (30., 100.), (2800., 3500.)], Pvc),
    f("deep impeller", Cen, Foc, [(300., 400.), (2500., 5000.), (80., 160.), (2800., 3500.)], Pe),
    f("field impeller", Cen, Foc, [(340., 440.), (4000., 7000.), (20., 60.), (2800., 3400.)], Pvc),
    f("very deep rotor", Hel, Foc, [(280., 380.), (1500., 2800.), (140., 250.), (1700., 2700.)], Galvanised),
    f("shallow, much water", Cen, Foc, [(110., 200.), (1500., 3500.), (6., 18.), (2400., 3200.)], Pvc),
    f("many strings", Cen, Foc, [(90., 150.), (2000., 3600.), (20., 50.), (2700., 3400.)], Pe),
    f("steel, high", Cen, Foc, [(380., 445.), (3000., 6500.), (60., 120.), (2850., 3450.)], Steel),
];
