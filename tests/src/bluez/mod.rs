//! A Bluetooth daemon played by the tests: as much of BlueZ's D-Bus interface as a client of GATT uses, on
//! a private bus in this process, so that a real Bluetooth stack's client code runs without a radio.
//!
//! What it imitates was read from BlueZ's D-Bus interface documents and seen with BlueZ 5.66: GATT objects
//! stay after a lost link; reading a value also reports it as a change; a read while disconnected says
//! "Not connected".
//!
//! libdbus keeps one bus address for the life of a process, so the client runs in a child process.

#![allow(
    clippy::unused_self,
    clippy::unused_async,
    clippy::unnecessary_literal_bound,
    clippy::used_underscore_binding,
    reason = "D-Bus decides the shape of these methods"
)]

mod adapter;
mod bus;
mod device;
mod error;
mod gatt;

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use wellwright_device::profile::{LIVE, Readable, SERVICE};
use wellwright_device::session::RawCard;
use zbus::Connection;
use zbus::{OwnedVariant, Variant};

pub use self::bus::Bus;

/// Options of a D-Bus call.
type Options = HashMap<String, OwnedVariant>;

const ADAPTER: &str = "/org/bluez/hci0";
const DEVICE_INFORMATION: &str = "0000180a-0000-1000-8000-00805f9b34fb";

/// A peripheral: what it advertises, its characteristics, and how it misbehaves.
#[derive(Debug)]
pub struct Peripheral {
    path: String,
    address: &'static str,
    name: &'static str,
    advertised: Vec<String>,
    rssi: i16,
    characteristics: Vec<Arc<Characteristic>>,
    connected: AtomicBool,
    resolved: AtomicBool,
    hidden: AtomicBool,
    refuse_connects: AtomicU32,
    never_resolve: AtomicBool,
    connects: AtomicU32,
}

/// One characteristic.
#[derive(Debug)]
struct Characteristic {
    path: String,
    service: String,
    service_uuid: String,
    uuid: String,
    flags: Vec<&'static str>,
    value: Mutex<Vec<u8>>,
    notifying: AtomicBool,
}

impl Peripheral {
    /// A pump controller that answers with this card.
    pub fn controller(address: &'static str, name: &'static str, card: &RawCard) -> Peripheral {
        let mut peripheral = Peripheral::stranger(address, name, SERVICE.to_string());
        let own = format!("{}/service000a", peripheral.path);
        let information = format!("{}/service0020", peripheral.path);
        peripheral.add(&own, &SERVICE.to_string(), &LIVE.to_string(), "notify", Vec::new());
        for which in Readable::ALL {
            let Some(value) = card.get(which) else { continue };
            let (path, service) = match which {
                Readable::Nameplate | Readable::Status => (&own, SERVICE.to_string()),
                _ => (&information, DEVICE_INFORMATION.to_owned()),
            };
            peripheral.add(path, &service, &which.uuid().to_string(), "read", value.to_vec());
        }
        peripheral
    }

    /// A peripheral without services that advertises one.
    pub fn stranger(address: &'static str, name: &'static str, advertised: String) -> Peripheral {
        Peripheral {
            path: format!("{ADAPTER}/dev_{}", address.replace(':', "_")),
            address,
            name,
            advertised: vec![advertised],
            rssi: -55,
            characteristics: Vec::new(),
            connected: false.into(),
            resolved: false.into(),
            hidden: false.into(),
            refuse_connects: 0.into(),
            never_resolve: false.into(),
            connects: 0.into(),
        }
    }

    fn add(&mut self, service: &str, service_uuid: &str, uuid: &str, flag: &'static str, value: Vec<u8>) {
        let handle = 0x100 + 0x10 * self.characteristics.len();
        self.characteristics.push(Arc::new(Characteristic {
            path: format!("{service}/char{handle:04x}"),
            service: service.to_owned(),
            service_uuid: service_uuid.to_owned(),
            uuid: uuid.to_owned(),
            flags: vec![flag],
            value: Mutex::new(value),
            notifying: false.into(),
        }));
    }

    fn characteristic(&self, uuid: &str) -> Option<&Arc<Characteristic>> {
        self.characteristics.iter().find(|c| c.uuid == uuid)
    }

    /// Refuses the next `count` connections.
    pub fn refuse_connects(&self, count: u32) {
        self.refuse_connects.store(count, Ordering::SeqCst);
    }

    /// Connects, but never tells its services, while true.
    pub fn set_never_resolve(&self, never: bool) {
        self.never_resolve.store(never, Ordering::SeqCst);
    }

    /// Answers a read with another value from now on.
    ///
    /// # Panics
    /// After a panic in another task of the daemon.
    pub fn set_value(&self, which: Readable, value: &[u8]) {
        if let Some(c) = self.characteristic(&which.uuid().to_string()) {
            *c.value.lock().expect("no panic while locked") = value.to_vec();
        }
    }

    /// How often it was connected.
    pub fn connects(&self) -> u32 {
        self.connects.load(Ordering::SeqCst)
    }

    /// True while a client is connected.
    pub fn is_connected(&self) -> bool {
        self.connected.load(Ordering::SeqCst)
    }

    /// True while a client listens to LIVE.
    pub fn is_notifying(&self) -> bool {
        self.characteristic(&LIVE.to_string()).is_some_and(|c| c.notifying.load(Ordering::SeqCst))
    }
}

/// The daemon.
#[derive(Debug)]
pub struct Bluez {
    connection: Connection,
    powered: AtomicBool,
    blocked: AtomicBool,
    discovering: AtomicBool,
    searches: AtomicU32,
    filter: Mutex<Vec<String>>,
    peripherals: Vec<Arc<Peripheral>>,
    writes: AtomicU32,
}

impl Bluez {
    /// Serves `org.bluez` on a bus with one adapter and these peripherals.
    ///
    /// # Panics
    /// When the bus does not take it.
    pub async fn serve(bus: &Bus, peripherals: Vec<Peripheral>) -> Arc<Bluez> {
        let builder = zbus::connection::Builder::address(bus.address());
        let connection = builder.build().await.expect("a connection to the private bus");
        let bluez = Arc::new(Bluez {
            connection: connection.clone(),
            powered: false.into(),
            blocked: false.into(),
            discovering: false.into(),
            searches: 0.into(),
            filter: Mutex::default(),
            peripherals: peripherals.into_iter().map(Arc::new).collect(),
            writes: 0.into(),
        });
        let server = connection.object_server();
        server.at("/", zbus::fdo::ObjectManager).await.expect("a fresh bus");
        server.at(ADAPTER, adapter::Adapter(bluez.clone())).await.expect("a fresh bus");
        // Last, so that a client that sees the name sees everything.
        connection.request_name("org.bluez").await.expect("nobody else on this bus");
        bluez
    }

    /// The n-th peripheral.
    pub fn peripheral(&self, n: usize) -> &Arc<Peripheral> {
        &self.peripherals[n]
    }

    /// How often anything was written to any peripheral.
    pub fn writes(&self) -> u32 {
        self.writes.load(Ordering::SeqCst)
    }

    /// True while a client searches.
    pub fn is_discovering(&self) -> bool {
        self.discovering.load(Ordering::SeqCst)
    }

    /// Switches the radio off for good (as a hardware switch does), or lets it be switched on again.
    pub async fn block(&self, blocked: bool) {
        self.blocked.store(blocked, Ordering::SeqCst);
        if blocked && self.powered.swap(false, Ordering::SeqCst) {
            for peripheral in &self.peripherals {
                self.lose_link(peripheral).await;
            }
            self.changed(ADAPTER, "org.bluez.Adapter1", [("Powered", false.into())]).await;
        }
    }

    /// Breaks a connection.
    pub async fn lose_link(&self, peripheral: &Peripheral) {
        peripheral.resolved.store(false, Ordering::SeqCst);
        for c in &peripheral.characteristics {
            c.notifying.store(false, Ordering::SeqCst);
        }
        if peripheral.connected.swap(false, Ordering::SeqCst) {
            let changes = [("ServicesResolved", false.into()), ("Connected", false.into())];
            self.changed(&peripheral.path, "org.bluez.Device1", changes).await;
        }
    }

    /// Sends a notification of LIVE; false when no client listens.
    pub async fn notify(&self, peripheral: &Peripheral, bytes: &[u8]) -> bool {
        let Some(live) = peripheral.characteristic(&LIVE.to_string()) else { return false };
        if !peripheral.is_connected() || !live.notifying.load(Ordering::SeqCst) {
            return false;
        }
        self.changed(&live.path, gatt::CHARACTERISTIC, [("Value", Variant::from(bytes.to_vec()))]).await;
        true
    }

    async fn changed<const N: usize>(&self, path: &str, interface: &str, changes: [(&str, Variant<'_>); N]) {
        let body = (interface, HashMap::from(changes), Vec::<&str>::new());
        let signal = self.connection.emit_signal(
            None::<&str>,
            path,
            "org.freedesktop.DBus.Properties",
            "PropertiesChanged",
            &body,
        );
        if let Err(error) = signal.await {
            // The bus is gone when a test is over.
            eprintln!("could not tell a change of {path}: {error}");
        }
    }

    /// Shows what advertises while a client searches, as the filter wants it.
    async fn advertise(self: Arc<Self>, search: u32) {
        while self.is_discovering() && self.searches.load(Ordering::SeqCst) == search {
            let filter = self.filter.lock().expect("no panic while locked").clone();
            for peripheral in &self.peripherals {
                let wanted = filter.is_empty() || filter.iter().any(|f| peripheral.advertised.contains(f));
                if wanted && !peripheral.hidden.load(Ordering::SeqCst) && !peripheral.is_connected() {
                    self.show(peripheral).await;
                }
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }

    async fn show(self: &Arc<Self>, peripheral: &Arc<Peripheral>) {
        let device = device::Device(self.clone(), peripheral.clone());
        let refused = self.connection.object_server().at(peripheral.path.as_str(), device).await;
        // Given back when it is shown already.
        if matches!(refused, Ok(Some(_))) {
            let change = [("RSSI", Variant::from(peripheral.rssi))];
            self.changed(&peripheral.path, "org.bluez.Device1", change).await;
        }
    }
}
