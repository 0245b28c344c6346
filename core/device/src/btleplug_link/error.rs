//! Platforms' errors, mapped once to what the person should do.

use std::error::Error as _;

use btleplug::Error;

use crate::link::{LinkError, Step};

/// Parts of platforms' messages, lower case, and what they mean. BlueZ's names are from its D-Bus
/// interface documents (`org.bluez.Error.*`); the others from memory.
const MEANINGS: [(&str, LinkError); 21] = [
    ("org.bluez.error.notready", LinkError::BluetoothOff),
    ("resource not ready", LinkError::BluetoothOff),
    ("not powered", LinkError::BluetoothOff),
    ("rfkill", LinkError::BluetoothOff),
    ("powered off", LinkError::BluetoothOff),
    ("no bluetooth adapter", LinkError::NoAdapter),
    ("error.serviceunknown", LinkError::NoService),
    ("error.namehasnoowner", LinkError::NoService),
    ("error.noserver", LinkError::NoService),
    ("error.filenotfound", LinkError::NoService),
    ("failed to connect to socket", LinkError::NoService),
    ("error.accessdenied", LinkError::PermissionDenied),
    ("securityexception", LinkError::PermissionDenied),
    ("permission", LinkError::PermissionDenied),
    ("authentication", LinkError::NeedsPairing),
    ("error.notauthorized", LinkError::NeedsPairing),
    ("error.unknownobject", LinkError::NotInReach),
    ("error.doesnotexist", LinkError::NotInReach),
    ("unknownmethod", LinkError::NotInReach),
    ("not connected", LinkError::LinkLost),
    ("notconnected", LinkError::LinkLost),
];

/// What the person should do about an error that came while taking a step.
pub(super) fn link_error(error: &Error, step: Step) -> LinkError {
    match error {
        Error::PermissionDenied => LinkError::PermissionDenied,
        Error::DeviceNotFound => LinkError::NotInReach,
        Error::NotConnected => LinkError::LinkLost,
        Error::NoAdapterAvailable => LinkError::NoAdapter,
        Error::TimedOut(_) => LinkError::TimedOut(step),
        Error::NoSuchCharacteristic => LinkError::NotThisProfile("a characteristic"),
        other => by_text(&text(other), step),
    }
}

/// Older BlueZ says so when a subscription outlived its connection.
pub(super) fn is_already_notifying(error: &Error) -> bool {
    text(error).to_lowercase().contains("already notifying")
}

fn by_text(text: &str, step: Step) -> LinkError {
    let lower = text.to_lowercase();
    if lower.contains("error.noreply") || lower.contains("timed out") || lower.contains("timeout") {
        return LinkError::TimedOut(step);
    }
    let meaning = MEANINGS.iter().find(|(part, _)| lower.contains(part)).map(|(_, meaning)| meaning.clone());
    meaning.unwrap_or_else(|| LinkError::Failed(text.chars().filter(|c| !c.is_control()).take(200).collect()))
}

/// The error with its causes.
fn text(error: &Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        let more = inner.to_string();
        if !text.contains(&more) {
            text = format!("{text}: {more}");
        }
        cause = inner.source();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str) -> LinkError {
        link_error(&Error::Other(text.into()), Step::Read)
    }

    #[test]
    fn platforms_words_become_what_to_do() {
        assert_eq!(
            said("D-Bus error: Resource Not Ready (org.bluez.Error.NotReady)"),
            LinkError::BluetoothOff
        );
        assert_eq!(
            said("D-Bus error: The name is not activatable (org.freedesktop.DBus.Error.ServiceUnknown)"),
            LinkError::NoService
        );
        assert_eq!(
            said("D-Bus error: Rejected send message (org.freedesktop.DBus.Error.AccessDenied)"),
            LinkError::PermissionDenied
        );
        assert_eq!(
            said("Authentication Failed (org.bluez.Error.AuthenticationFailed)"),
            LinkError::NeedsPairing
        );
        assert_eq!(said("Not connected (org.bluez.Error.Failed)"), LinkError::LinkLost);
        assert_eq!(
            said("Did not receive a reply (org.freedesktop.DBus.Error.NoReply)"),
            LinkError::TimedOut(Step::Read)
        );
        assert_eq!(said("le-connection-abort\u{7}"), LinkError::Failed("le-connection-abort".into()));
        assert!(is_already_notifying(&Error::Other("Already notifying (org.bluez.Error.InProgress)".into())));
    }
}
