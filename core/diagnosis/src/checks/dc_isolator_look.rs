//! Isolator, fuses and connectors looked at, and DC measured at the controller's input.
//!
//! Parts an array that does not arrive from a controller that does nothing with it. Error: a fuse or a connector
//! may be open without showing it, one in four; the voltage hangs on sun and load.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction, yes_no};

/// See the module.
pub struct DcIsolatorLook;

/// A lower voltage than this is no supply, as a share of open circuit.
const SUPPLY: f64 = 0.25;

impl CheckModel for DcIsolatorLook {
    fn check(&self) -> Check {
        Check::DcIsolatorLook
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let sun = p.sun();
        let (cell, _) = p.cell_c(sun.w_m2);
        let voc = p.plant.array.curve(sun.w_m2, cell, &p.plant.condition.array).voc();
        let told = p.channel(Channel::ArrayV).filter(|v| *v > SUPPLY * voc).map(|v| (v, 0.04 * v));
        let running = p.operating_point().map_or((voc, 0.1 * voc), |o| (o.dc.v, 0.07 * o.dc.v));
        let volts = match p.cause() {
            Cause::NoDcSupply => Foreseen::either(0.92, (1.0, 3.0), (0.5 * voc, 0.3 * voc)),
            Cause::ControllerFailed => Foreseen::number(voc, 0.05 * voc),
            _ => p.by_running(told.unwrap_or(running), (voc, 0.05 * voc)),
        };
        let closed = match p.cause() {
            Cause::NoDcSupply => 0.25,
            Cause::OpenString => 0.6,
            Cause::DcSideLoss => 0.85,
            _ => 0.97,
        };
        vec![volts, Foreseen::yes(closed)]
    }

    fn needs_sun(&self) -> bool {
        true
    }

    fn field(&self, feature: usize) -> Option<&'static str> {
        (feature == 1).then_some("all_closed")
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        vec![made.number("input_v"), yes_no(made, "all_closed")]
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("V", false))
    }
}
