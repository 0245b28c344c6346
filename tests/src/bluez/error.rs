//! BlueZ's errors, by their D-Bus names.

/// An error as BlueZ answers it.
#[derive(Debug, zbus::DBusError)]
#[zbus(prefix = "org.bluez.Error")]
pub(super) enum Error {
    /// The bus itself failed.
    #[zbus(error)]
    Bus(zbus::Error),
    /// Anything.
    Failed(String),
    /// The radio is off.
    NotReady(String),
    /// Not allowed by the characteristic.
    NotPermitted(String),
    /// Not done by the characteristic.
    NotSupported(String),
    /// Reading behind the end.
    InvalidOffset(String),
}
