//! The desk in a browser.

pub mod look;
pub mod phone;
pub mod week;

#[path = "../../desk/served.rs"]
#[allow(dead_code, reason = "other tests need the rest of it")]
pub mod served;

#[cfg(feature = "tls")]
#[path = "../../desk/trust.rs"]
#[allow(dead_code, reason = "other tests need the rest of it")]
pub mod trust;
