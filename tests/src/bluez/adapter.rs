//! `org.bluez.Adapter1`. Every property that a client requires is here: with one missing, clients drop the
//! adapter without a word.

use std::sync::Arc;
use std::sync::atomic::Ordering::SeqCst;

use zbus::OwnedObjectPath;
use zbus::interface;

use super::error::Error;
use super::{ADAPTER, Bluez, Options};

pub(super) struct Adapter(pub(super) Arc<Bluez>);

#[interface(name = "org.bluez.Adapter1")]
impl Adapter {
    async fn start_discovery(&self) -> Result<(), Error> {
        let bluez = self.0.clone();
        if !bluez.powered.load(SeqCst) {
            return Err(Error::NotReady("Resource Not Ready".into()));
        }
        bluez.discovering.store(true, SeqCst);
        let search = bluez.searches.fetch_add(1, SeqCst) + 1;
        bluez.changed(ADAPTER, "org.bluez.Adapter1", [("Discovering", true.into())]).await;
        tokio::spawn(bluez.advertise(search));
        Ok(())
    }

    async fn stop_discovery(&self) -> Result<(), Error> {
        if !self.0.discovering.swap(false, SeqCst) {
            return Err(Error::Failed("No discovery started".into()));
        }
        self.0.changed(ADAPTER, "org.bluez.Adapter1", [("Discovering", false.into())]).await;
        Ok(())
    }

    async fn set_discovery_filter(&self, properties: Options) -> Result<(), Error> {
        let uuids = properties.get("UUIDs").and_then(|v| Vec::<String>::try_from(v.try_clone().ok()?).ok());
        *self.0.filter.lock().expect("no panic while locked") = uuids.unwrap_or_default();
        Ok(())
    }

    async fn remove_device(&self, _device: OwnedObjectPath) -> Result<(), Error> {
        Ok(())
    }

    #[zbus(property)]
    fn address(&self) -> &str {
        "02:00:00:00:00:01"
    }

    #[zbus(property)]
    fn address_type(&self) -> &str {
        "public"
    }

    #[zbus(property)]
    fn name(&self) -> &str {
        "played"
    }

    #[zbus(property)]
    fn alias(&self) -> &str {
        "played"
    }

    #[zbus(property)]
    fn modalias(&self) -> &str {
        "usb:v1D6Bp0246d0542"
    }

    #[zbus(property)]
    fn discovering(&self) -> bool {
        self.0.discovering.load(SeqCst)
    }

    #[zbus(property)]
    fn powered(&self) -> bool {
        self.0.powered.load(SeqCst)
    }

    #[zbus(property)]
    fn set_powered(&mut self, on: bool) -> zbus::fdo::Result<()> {
        if on && self.0.blocked.load(SeqCst) {
            return Err(zbus::fdo::Error::Failed("Blocked through rfkill".into()));
        }
        self.0.powered.store(on, SeqCst);
        Ok(())
    }
}
