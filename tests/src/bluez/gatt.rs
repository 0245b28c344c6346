//! `org.bluez.GattService1` and `org.bluez.GattCharacteristic1`.

use std::sync::Arc;
use std::sync::atomic::Ordering::SeqCst;

use zbus::interface;
use zbus::{ObjectPath, OwnedObjectPath, Variant};

use super::error::Error;
use super::{Bluez, Characteristic, Options, Peripheral};

pub(super) const CHARACTERISTIC: &str = "org.bluez.GattCharacteristic1";

/// Shows the services of a peripheral; what is shown already stays.
pub(super) async fn show(bluez: &Arc<Bluez>, peripheral: &Arc<Peripheral>) {
    let server = bluez.connection.object_server();
    for c in &peripheral.characteristics {
        let service = Service { uuid: c.service_uuid.clone(), device: peripheral.path.clone() };
        let shown = Shown(bluez.clone(), peripheral.clone(), c.clone());
        let done = async {
            server.at(c.service.as_str(), service).await?;
            server.at(c.path.as_str(), shown).await.map(|_| ())
        };
        if let Err(error) = done.await {
            // The bus is gone when a test is over.
            eprintln!("could not show {}: {error}", c.path);
        }
    }
}

fn path(text: &str) -> zbus::fdo::Result<OwnedObjectPath> {
    Ok(ObjectPath::try_from(text)?.into())
}

struct Service {
    uuid: String,
    device: String,
}

#[interface(name = "org.bluez.GattService1")]
impl Service {
    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> &str {
        &self.uuid
    }

    #[zbus(property)]
    fn primary(&self) -> bool {
        true
    }

    #[zbus(property)]
    fn device(&self) -> zbus::fdo::Result<OwnedObjectPath> {
        path(&self.device)
    }
}

struct Shown(Arc<Bluez>, Arc<Peripheral>, Arc<Characteristic>);

impl Shown {
    fn connected(&self) -> Result<(), Error> {
        if self.1.is_connected() { Ok(()) } else { Err(Error::Failed("Not connected".into())) }
    }
}

#[interface(name = "org.bluez.GattCharacteristic1")]
impl Shown {
    async fn read_value(&self, options: Options) -> Result<Vec<u8>, Error> {
        self.connected()?;
        if !self.2.flags.contains(&"read") {
            return Err(Error::NotPermitted("Read not permitted".into()));
        }
        let offset = options.get("offset").and_then(|v| u16::try_from(v.try_clone().ok()?).ok());
        let value = self.2.value.lock().expect("no panic while locked").clone();
        let rest = value.get(usize::from(offset.unwrap_or(0))..).map(<[u8]>::to_vec);
        let rest = rest.ok_or_else(|| Error::InvalidOffset("Invalid offset".into()))?;
        self.0.changed(&self.2.path, CHARACTERISTIC, [("Value", Variant::from(value))]).await;
        Ok(rest)
    }

    async fn write_value(&self, _value: Vec<u8>, _options: Options) -> Result<(), Error> {
        self.0.writes.fetch_add(1, SeqCst);
        Err(Error::NotPermitted("Write not permitted".into()))
    }

    async fn start_notify(&self) -> Result<(), Error> {
        self.connected()?;
        if !self.2.flags.contains(&"notify") {
            return Err(Error::NotSupported("Operation is not supported".into()));
        }
        self.2.notifying.store(true, SeqCst);
        self.0.changed(&self.2.path, CHARACTERISTIC, [("Notifying", true.into())]).await;
        Ok(())
    }

    async fn stop_notify(&self) -> Result<(), Error> {
        if !self.2.notifying.swap(false, SeqCst) {
            return Err(Error::Failed("No notify session started".into()));
        }
        Ok(())
    }

    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> &str {
        &self.2.uuid
    }

    #[zbus(property)]
    fn service(&self) -> zbus::fdo::Result<OwnedObjectPath> {
        path(&self.2.service)
    }

    #[zbus(property)]
    fn flags(&self) -> Vec<&str> {
        self.2.flags.clone()
    }

    #[zbus(property)]
    fn notifying(&self) -> bool {
        self.2.notifying.load(SeqCst)
    }

    #[zbus(property)]
    fn value(&self) -> Vec<u8> {
        self.2.value.lock().expect("no panic while locked").clone()
    }

    #[zbus(property, name = "MTU")]
    fn mtu(&self) -> u16 {
        23
    }
}
