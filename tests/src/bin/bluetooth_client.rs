//! A client for the Bluetooth tests, in a process of its own: finds or follows through the real radio link
//! and prints each event as a line of JSON. It ends when its standard input does.
//!
//! `bluetooth_client find MS` or `bluetooth_client follow [serial=S] [connect_ms=N] …`

use std::time::Duration;

use serde_json::{Value, json};
use tokio::io::AsyncReadExt as _;
use wellwright_device::btleplug_link::BtleplugLink;
use wellwright_device::driver::{self, Config, SessionEvent};
use wellwright_device::find::find;
use wellwright_device::session::{Phase, Policy, Target};
use wellwright_domain::channel::Channel;

#[tokio::main(flavor = "multi_thread", worker_threads = 2)]
async fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let link = match BtleplugLink::open().await {
        Ok(link) => link,
        Err(error) => return println!("{}", json!({ "failed": error.to_string() })),
    };
    match arguments.split_first().map(|(first, rest)| (first.as_str(), rest)) {
        Some(("find", [ms])) => print_found(&link, ms.parse().expect("a time in ms")).await,
        Some(("follow", settings)) => follow(link, settings).await,
        _ => panic!("say find MS or follow"),
    }
}

async fn print_found(link: &BtleplugLink, ms: u64) {
    let line = match find(link, Duration::from_millis(ms)).await {
        Ok(found) => {
            let rows: Vec<Value> = found
                .iter()
                .map(|f| json!({ "id": f.id.0, "name": f.name, "near": f.nearness().code() }))
                .collect();
            json!({ "found": rows })
        }
        Err(error) => json!({ "failed": error.to_string() }),
    };
    println!("{line}");
}

async fn follow(link: BtleplugLink, settings: &[String]) {
    let mut target = Target::default();
    let mut policy = Policy { first_rest_ms: 50, longest_rest_ms: 500, settle_ms: 200, ..Policy::default() };
    for setting in settings {
        let (name, value) = setting.split_once('=').expect("name=value");
        let number = || value.parse::<u32>().expect("a whole number");
        match name {
            "serial" => target = Target::serial(value.parse().expect("a serial number")),
            "connect_ms" => policy.connect_ms = number().into(),
            "search_ms" => policy.search_ms = number().into(),
            "silence_ms" => policy.silence_ms = number().into(),
            "notifications_per_s" => policy.notifications_per_s = Some(number()),
            "flood_s" => policy.flood_s = number(),
            _ => panic!("no setting {name}"),
        }
    }
    let mut running = driver::start(link, Config::new(target).with_policy(policy));
    let stopper = running.stopper();
    tokio::spawn(async move {
        let mut end = Vec::new();
        // However the input ends, the test is over.
        let _ = tokio::io::stdin().read_to_end(&mut end).await;
        stopper.stop();
    });
    while let Some(event) = running.next().await {
        println!("{}", line(event));
    }
}

fn line(event: SessionEvent) -> Value {
    match event {
        SessionEvent::Phase(Phase::WaitingToTryAgain { reason, .. }) => {
            json!({ "waiting": reason.to_string() })
        }
        SessionEvent::Phase(Phase::Searching) => json!({ "phase": "searching" }),
        SessionEvent::Phase(Phase::Connecting(_)) => json!({ "phase": "connecting" }),
        SessionEvent::Phase(Phase::ReadingNameplate(_)) => json!({ "phase": "reading" }),
        SessionEvent::Phase(Phase::Subscribing(_)) => json!({ "phase": "subscribing" }),
        SessionEvent::Phase(Phase::Following(_)) => json!({ "phase": "following" }),
        SessionEvent::Phase(other) => json!({ "phase": format!("{other:?}") }),
        SessionEvent::Identified(card) => json!({
            "serial": card.identity.serial.as_str(),
            "model": card.identity.model,
            "max_v": card.nameplate.max_v,
            "boot": card.status.boot,
        }),
        SessionEvent::Frame { received_at, frame, .. } => {
            let sample = frame.to_sample(received_at);
            json!({ "frame": frame.seq, "array_v": sample.get(Channel::ArrayV) })
        }
        SessionEvent::Gap { from, to, lost } => json!({ "gap": [from, to, lost] }),
        SessionEvent::Notice(notice) => json!({ "notice": format!("{notice:?}") }),
        SessionEvent::Ended(reason) => json!({ "ended": reason.to_string() }),
    }
}
