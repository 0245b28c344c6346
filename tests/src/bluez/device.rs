//! `org.bluez.Device1`.

use std::sync::Arc;
use std::sync::atomic::Ordering::SeqCst;
use std::time::Duration;

use zbus::interface;
use zbus::{ObjectPath, OwnedObjectPath};

use super::error::Error;
use super::{ADAPTER, Bluez, Peripheral, gatt};

pub(super) struct Device(pub(super) Arc<Bluez>, pub(super) Arc<Peripheral>);

#[interface(name = "org.bluez.Device1")]
impl Device {
    async fn connect(&self) -> Result<(), Error> {
        let (bluez, peripheral) = (self.0.clone(), self.1.clone());
        if peripheral.refuse_connects.load(SeqCst) > 0 {
            peripheral.refuse_connects.fetch_sub(1, SeqCst);
            return Err(Error::Failed("le-connection-abort-by-local".into()));
        }
        peripheral.connected.store(true, SeqCst);
        peripheral.connects.fetch_add(1, SeqCst);
        bluez.changed(&peripheral.path, "org.bluez.Device1", [("Connected", true.into())]).await;
        if !peripheral.never_resolve.load(SeqCst) {
            tokio::spawn(async move {
                tokio::time::sleep(Duration::from_millis(20)).await;
                if peripheral.is_connected() {
                    gatt::show(&bluez, &peripheral).await;
                    peripheral.resolved.store(true, SeqCst);
                    let change = [("ServicesResolved", true.into())];
                    bluez.changed(&peripheral.path, "org.bluez.Device1", change).await;
                }
            });
        }
        Ok(())
    }

    async fn disconnect(&self) -> Result<(), Error> {
        self.0.lose_link(&self.1).await;
        Ok(())
    }

    #[zbus(property)]
    fn address(&self) -> &str {
        self.1.address
    }

    #[zbus(property)]
    fn address_type(&self) -> &str {
        "random"
    }

    #[zbus(property)]
    fn name(&self) -> &str {
        self.1.name
    }

    #[zbus(property)]
    fn alias(&self) -> &str {
        self.1.name
    }

    #[zbus(property)]
    fn paired(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn trusted(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn blocked(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn legacy_pairing(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn connected(&self) -> bool {
        self.1.is_connected()
    }

    #[zbus(property)]
    fn services_resolved(&self) -> bool {
        self.1.resolved.load(SeqCst)
    }

    #[zbus(property, name = "RSSI")]
    fn rssi(&self) -> i16 {
        self.1.rssi
    }

    #[zbus(property, name = "UUIDs")]
    fn uuids(&self) -> Vec<String> {
        self.1.advertised.clone()
    }

    #[zbus(property)]
    fn adapter(&self) -> zbus::fdo::Result<OwnedObjectPath> {
        Ok(ObjectPath::try_from(ADAPTER)?.into())
    }
}
