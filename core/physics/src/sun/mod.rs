//! What the sun should give: where it stands, what a clear sky lets through, what reaches the array.
//!
//! Where to start: [`plane_clear_sky`] answers it all in one call. The parts:
//! [`position`] and [`rise_set`] (the sky's clockwork), [`extraterrestrial`] and [`clear_sky`] (light above
//! and below the air), [`plane`] (tilt), [`horizon`] (hills), [`incidence`] (glass at a slant).
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | z | `zenith_deg`, `apparent_zenith_deg` | degrees from straight up, without and with refraction |
//! | gamma_s | `azimuth_deg` of the sun | degrees clockwise from true north |
//! | beta, gamma | `tilt_deg`, `azimuth_deg` of the plane | degrees |
//! | AOI | `aoi_deg` | degrees |
//! | GHI, DNI, DHI | `ghi_w_m2`, `dni_w_m2`, `dhi_w_m2` | W/m2 |
//! | Ea | `extraterrestrial_w_m2` | W/m2 |
//! | TL | `linke_turbidity` | air masses |

pub mod clear_sky;
pub mod effective;
pub mod ephemeris;
pub mod extraterrestrial;
pub mod horizon;
pub mod incidence;
mod perez;
pub mod plane;
mod plane_sky;
pub mod position;
pub mod rise_set;

pub use effective::GlassLoss;
pub use extraterrestrial::extraterrestrial_w_m2;
pub use horizon::Horizon;
pub use plane::Plane;
pub use plane_sky::{Place, PlaneSky, plane_clear_sky};
pub use position::{SunPosition, sun_position};
pub use rise_set::{Daylight, RiseSet, sun_rise_set};
