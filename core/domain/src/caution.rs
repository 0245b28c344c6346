//! Cautions: stable ids of the warnings that stand where the step is. Texts are in the catalogue.

use serde::{Deserialize, Serialize};

macro_rules! cautions {
    ($($variant:ident = $code:literal),* $(,)?) => {
        /// A caution. It cannot be switched off.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[allow(missing_docs)]
        pub enum Caution {
            $(#[serde(rename = $code)] $variant,)*
        }

        impl Caution {
            /// Every caution.
            pub const ALL: &'static [Caution] = &[$(Caution::$variant,)*];

            /// Stable id.
            pub const fn code(self) -> &'static str {
                match self { $(Caution::$variant => $code,)* }
            }

            /// The caution with this id.
            pub fn from_code(code: &str) -> Option<Caution> {
                Self::ALL.iter().copied().find(|c| c.code() == code)
            }
        }
    };
}

cautions! {
    IsolateDc = "isolate_dc",
    SecondsOnly = "seconds_only",
    NeverDry = "never_dry",
    Height = "height",
    Pressure = "pressure",
    Sanitise = "sanitise",
    Live = "live",
    MeterRating = "meter_rating",
    NoLoadBreak = "no_load_break",
    WaitDischarge = "wait_discharge",
    Generates = "generates",
    Hoist = "hoist",
    StopNow = "stop_now",
}
