//! The real radio link (btleplug on BlueZ's D-Bus interface) against a Bluetooth daemon played by the tests.
#![cfg(target_os = "linux")]

use std::sync::Arc;
use std::time::Duration;

use serde_json::Value;
use wellwright_device::frame::LiveFrame;
use wellwright_device::identity::Identity;
use wellwright_device::nameplate::Nameplate;
use wellwright_device::profile::Readable;
use wellwright_device::session::{Card, RawCard};
use wellwright_device::status::Status;
use wellwright_domain::channel::Channel;
use wellwright_tests::bluez::{Bluez, Bus, Peripheral};

mod bluetooth_client;
use bluetooth_client::Client;

const ADDRESS: &str = "C0:00:00:00:00:01";
const SECOND: &str = "C0:00:00:00:00:02";
const HEART_RATE: &str = "0000180d-0000-1000-8000-00805f9b34fb";

fn card(serial: &str) -> RawCard {
    Card {
        identity: Identity {
            serial: serial.parse().unwrap(),
            maker: None,
            model: Some("Invented 2".into()),
            firmware: Some("1.4".into()),
            hardware: None,
        },
        nameplate: Nameplate { max_v: Some(450.0), period_ms: Some(1000), ..Nameplate::default() },
        status: Status { boot: 3, ..Status::default() },
    }
    .encode()
}

fn controller(serial: &str) -> Peripheral {
    Peripheral::controller(ADDRESS, "Kestrel Hollow", &card(serial))
}

fn frame(seq: u32) -> LiveFrame {
    let mut frame = LiveFrame::new(seq, u64::from(seq) * 1000).with_boot(3);
    frame.set(Channel::ArrayV, Some(300.0 + f64::from(seq)));
    frame.set(Channel::MotorRpm, Some(2890.0));
    frame
}

/// Sends a frame in parts for the smallest MTU; false when nobody listens.
async fn send(bluez: &Bluez, seq: u32) -> bool {
    let mut heard = true;
    for part in frame(seq).to_parts(23) {
        heard &= bluez.notify(bluez.peripheral(0), &part).await;
    }
    heard
}

async fn world(peripherals: Vec<Peripheral>) -> (Bus, Arc<Bluez>) {
    let bus = Bus::start();
    let bluez = Bluez::serve(&bus, peripherals).await;
    (bus, bluez)
}

fn is_following(event: &Value) -> bool {
    event["phase"] == "following"
}

fn waits_for(text: &'static str) -> impl Fn(&Value) -> bool {
    move |event| event["waiting"].as_str().is_some_and(|w| w.contains(text))
}

fn frames(events: &[Value]) -> Vec<u64> {
    events.iter().filter_map(|e| e["frame"].as_u64()).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn only_what_advertises_our_service_is_found() {
    let heart = Peripheral::stranger(SECOND, "Watch", HEART_RATE.into());
    let (bus, bluez) = world(vec![controller("KH-0001"), heart]).await;
    let mut client = Client::start(&bus, &["find", "3000"]);
    let found = client.next().await;
    assert_eq!(found["found"].as_array().map(Vec::len), Some(1), "{found}");
    assert_eq!(found["found"][0]["name"], "Kestrel Hollow");
    assert_eq!(found["found"][0]["near"], "near");
    assert!(!bluez.is_discovering(), "the search was stopped");
}

/// The whole way: find by service, connect, discover, read nameplate and serial, subscribe, receive, lose
/// the link, come back, notice the gap, stop.
#[tokio::test(flavor = "multi_thread")]
async fn followed_lost_and_found_again_with_the_gap_told() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    let mut client = Client::start(&bus, &["follow", "serial=KH-0001"]);
    let events = client.until(is_following).await;
    let phases: Vec<&str> = events.iter().filter_map(|e| e["phase"].as_str()).collect();
    assert_eq!(phases, ["searching", "connecting", "reading", "subscribing", "following"]);
    let who = events.iter().find(|e| e["serial"].is_string()).unwrap();
    assert_eq!(
        (&who["serial"], &who["model"], &who["max_v"], &who["boot"]),
        (&"KH-0001".into(), &"Invented 2".into(), &450.0.into(), &3.into())
    );
    assert!(!bluez.is_discovering());

    for seq in 10..30 {
        assert!(send(&bluez, seq).await);
    }
    let events = client.until(|e| e["frame"] == 29).await;
    assert_eq!(frames(&events), (10..30).collect::<Vec<_>>());
    assert_eq!(events[0]["array_v"], 310.0);

    bluez.lose_link(bluez.peripheral(0)).await;
    assert!(!send(&bluez, 30).await, "nobody hears it");
    let events = client.until(is_following).await;
    assert!(events.iter().any(waits_for("link to the controller was lost")), "{events:?}");
    assert!(bluez.peripheral(0).is_notifying(), "subscribed anew");
    for seq in 34..40 {
        assert!(send(&bluez, seq).await);
    }
    let events = client.until(|e| e["frame"] == 39).await;
    assert_eq!(events[0]["gap"], serde_json::json!([30, 33, 4]));
    assert_eq!(frames(&events), (34..40).collect::<Vec<_>>());
    assert_eq!(bluez.peripheral(0).connects(), 2);

    let events = client.stop().await;
    assert_eq!(events.last().unwrap()["ended"], "stopped");
    assert!(!bluez.peripheral(0).is_connected(), "it let go of the controller");
    assert_eq!(bluez.writes(), 0, "it only reads");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_first_connection_that_fails_is_tried_again() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    bluez.peripheral(0).refuse_connects(1);
    let mut client = Client::start(&bus, &["follow"]);
    let events = client.until(is_following).await;
    assert!(events.iter().any(waits_for("le-connection-abort-by-local")), "{events:?}");
    assert!(send(&bluez, 1).await);
    client.until(|e| e["frame"] == 1).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_controller_that_never_tells_its_services_times_out() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    bluez.peripheral(0).set_never_resolve(true);
    let mut client = Client::start(&bus, &["follow", "connect_ms=2000"]);
    client.until(waits_for("did not answer while being connected")).await;
    bluez.peripheral(0).set_never_resolve(false);
    client.until(is_following).await;
    assert!(send(&bluez, 1).await);
    client.until(|e| e["frame"] == 1).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_silent_link_is_given_up_and_taken_up_again() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    let mut client = Client::start(&bus, &["follow", "silence_ms=500"]);
    client.until(is_following).await;
    client.until(waits_for("fell silent")).await;
    client.until(is_following).await;
    assert!(bluez.peripheral(0).connects() >= 2);
}

#[tokio::test(flavor = "multi_thread")]
async fn another_serial_than_the_one_asked_for_is_left_alone() {
    let right = Peripheral::controller(SECOND, "Dovecote Bend", &card("DB-0002"));
    let (bus, bluez) = world(vec![controller("KH-0666"), right]).await;
    let mut client = Client::start(&bus, &["follow", "serial=DB-0002"]);
    let events = client.until(is_following).await;
    assert!(events.iter().all(|e| e["serial"].is_null() || e["serial"] == "DB-0002"), "{events:?}");
    assert!(!bluez.peripheral(0).is_connected() && bluez.peripheral(1).is_connected());
    assert!(!bluez.peripheral(0).is_notifying());

    let (bus, _bluez) = world(vec![controller("KH-0666")]).await;
    let mut client = Client::start(&bus, &["follow", "serial=DB-0002", "search_ms=1500"]);
    let events = client.until(waits_for("controller DB-0002 is not in reach; 1 other(s) are")).await;
    assert!(events.iter().any(|e| e["notice"].as_str().is_some_and(|n| n.contains("KH-0666"))));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_serial_that_changes_is_refused() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    let mut client = Client::start(&bus, &["follow"]);
    client.until(is_following).await;
    bluez.peripheral(0).set_value(Readable::Serial, b"KH-0666");
    bluez.lose_link(bluez.peripheral(0)).await;
    let events = client.until(|e| e["ended"].is_string()).await;
    let ended = events.last().unwrap()["ended"].as_str().unwrap();
    assert!(ended.contains("gave serial number KH-0001 and now KH-0666: refused"), "{ended}");
    assert!(!bluez.peripheral(0).is_connected());
}

#[tokio::test(flavor = "multi_thread")]
async fn noise_between_frames_costs_nothing_but_itself() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    let mut client = Client::start(&bus, &["follow"]);
    client.until(is_following).await;
    for seq in 0..20_u32 {
        let noise: Vec<u8> = (0..seq * 13 % 250).map(|n| (n * 31 + seq * 7) as u8).collect();
        bluez.notify(bluez.peripheral(0), &noise).await;
        assert!(send(&bluez, seq).await);
    }
    let events = client.until(|e| e["frame"] == 19).await;
    assert_eq!(frames(&events), (0..20).collect::<Vec<_>>());
    let rest = client.stop().await;
    let told = events.iter().chain(&rest).any(|e| e["notice"].as_str().is_some_and(|n| n.contains("Faults")));
    assert!(told, "the noise is told");
}

/// Far more than the profile allows: it costs the connection, not memory and not the session.
#[tokio::test(flavor = "multi_thread")]
async fn a_flood_costs_the_connection_and_no_memory() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    let mut client = Client::start(&bus, &["follow", "flood_s=2", "notifications_per_s=100"]);
    client.until(is_following).await;
    let before = client.resident_kib();
    let flooding = tokio::spawn({
        let bluez = bluez.clone();
        async move {
            let mut sent = 0_u32;
            while !bluez.peripheral(0).is_notifying() {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
            while bluez.notify(bluez.peripheral(0), &[sent as u8; 20]).await {
                sent += 1;
                if sent.is_multiple_of(30) {
                    tokio::time::sleep(Duration::from_millis(10)).await;
                }
            }
            sent
        }
    });
    client.until(waits_for("sends far too much")).await;
    let sent = flooding.await.unwrap();
    assert!(sent > 200, "{sent} sent");
    let grown = client.resident_kib().saturating_sub(before);
    assert!(grown < 32 * 1024, "{grown} KiB more after {sent} notifications");
    client.until(is_following).await;
    assert!(send(&bluez, 1).await);
    client.until(|e| e["frame"] == 1).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_radio_that_is_switched_off_says_so_and_comes_back() {
    let (bus, bluez) = world(vec![controller("KH-0001")]).await;
    let mut client = Client::start(&bus, &["follow"]);
    client.until(is_following).await;
    bluez.block(true).await;
    client.until(waits_for("Bluetooth is off: switch it on")).await;
    bluez.block(false).await;
    client.until(is_following).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn no_bluetooth_service_is_told_with_what_to_do() {
    let bus = Bus::start();
    let nowhere = "unix:path=/nonexistent/bus";
    for address in [bus.address(), nowhere] {
        let failed = Client::start_at(address, &["find", "100"]).next().await;
        let text = failed["failed"].as_str().unwrap_or_default();
        assert!(text.starts_with("the Bluetooth service does not run: start it"), "{failed}");
    }
}
