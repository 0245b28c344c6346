//! Voltage at the array and at the controller under load: what is lost on the way, as ohm.
//!
//! Parts a loss before the controller from everything that lowers the array's own voltage. 7.92 V lost at 8 A
//! are 0.99 ohm: 100 m of 4 mm2 out and back (derived from the standard's conductor table). Nothing at the
//! controller although the array has voltage: the way is open. Error: one meter at two ends, a moment apart,
//! 0.4 % of the voltage; cable and connectors of the record 15 %.

use wellwright_domain::cause::Cause;
use wellwright_domain::channel::Channel;
use wellwright_domain::check::{Check, CheckMade};

use super::{CheckModel, Foreseen, Prediction};

/// See the module.
pub struct ArrayTerminalVoltage;

/// Two readings with one meter differ by this share of the voltage although nothing is lost, 1 sigma.
const READINGS: f64 = 0.004;

/// A controller has voltage from this share of the array's on.
const ARRIVES: f64 = 0.3;

/// Below this no current tells a resistance, A.
const LEAST_A: f64 = 0.3;

/// Voltage and current at the controller's input while it runs.
fn dc(p: &Prediction) -> Option<(f64, f64)> {
    let told = p.channel(Channel::ArrayV).zip(p.channel(Channel::ArrayA)).filter(|(_, a)| *a > LEAST_A);
    told.or_else(|| p.operating_point().filter(|o| o.load.is_some()).map(|o| (o.dc.v, o.dc.i)))
}

impl CheckModel for ArrayTerminalVoltage {
    fn check(&self) -> Check {
        Check::ArrayTerminalVoltage
    }

    fn foresee(&self, p: &Prediction) -> Vec<Foreseen> {
        let ohm = p.plant.array.dc_ohm + p.plant.condition.array.dc_ohm;
        let (volts, amps) = dc(p).unwrap_or((300.0, 3.0));
        let amps = p.made.and_then(|m| m.number("array_a")).filter(|a| *a > LEAST_A).unwrap_or(amps);
        let read = READINGS * volts / amps.max(LEAST_A);
        let cable = 0.15 * p.plant.array.dc_ohm;
        let of_cause = 0.1 * p.plant.condition.array.dc_ohm;
        let sigma = cable.hypot(read).hypot(of_cause);
        // the same as a share of the voltage, for who has no clamp
        let share = ohm * amps / volts.max(1.0);
        let arrives = match p.cause() {
            Cause::NoDcSupply => 0.05,
            Cause::Unknown => 0.9,
            _ => 0.99,
        };
        vec![
            Foreseen::number(ohm, sigma),
            Foreseen::number(share, (sigma / ohm.max(1e-3) * share).max(READINGS)),
            Foreseen::yes(arrives),
        ]
    }

    fn needs_sun(&self) -> bool {
        true
    }

    fn read(&self, made: &CheckMade) -> Vec<Option<f64>> {
        let volts = made.number("array_v").zip(made.number("controller_v"));
        let Some((array, controller)) = volts.filter(|(a, _)| *a > 5.0) else { return vec![None; 3] };
        let arrives = controller > ARRIVES * array;
        let amps = made.number("array_a").filter(|a| *a > LEAST_A);
        let lost = Some(array - controller).filter(|_| arrives);
        vec![
            lost.zip(amps).map(|(v, a)| v / a),
            // known to carry nothing, it loses nothing, whatever its resistance
            lost.filter(|_| made.number("array_a").is_none()).map(|v| v / array),
            Some(f64::from(u8::from(arrives))),
        ]
    }

    fn while_running(&self) -> bool {
        true
    }

    fn unit(&self, feature: usize) -> Option<(&'static str, bool)> {
        (feature == 0).then_some(("ohm", false))
    }
}
