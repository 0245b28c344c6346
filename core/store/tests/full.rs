//! No room left: said clearly, what was there stays, and writing goes on when there is room.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use support::{Temp, finding, flows, import, later, noon, reading};
use wellwright_store::{Batch, Options, Store, StoreError};

const LIMIT: u64 = 400_000;

fn batch(system: wellwright_store::SystemId, number: i64) -> Batch {
    import(system, (0..50).map(|i| reading(later(number * 50 + i), number as f64)).collect())
}

#[test]
fn a_full_store_says_so_keeps_what_it_has_and_goes_on() {
    let temp = Temp::new();
    let options = Options { size_limit: Some(LIMIT), ..Options::default() };
    let store = Store::open(&temp.path, &options).unwrap().store;
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let mut written = 0;
    let refused = loop {
        match store.append(batch(system, written)).unwrap().wait() {
            Ok(_) => written += 1,
            Err(refused) => break refused,
        }
        assert!(written < 1000, "the limit has no effect");
    };
    assert!(written > 10, "{written}");
    assert!(matches!(refused, StoreError::DiskFull), "{refused}");
    assert_eq!(
        refused.to_string(),
        "there is no room left for the store: free some space or raise its size limit; what was stored stays, and writing goes on once there is room"
    );
    // It stays full, and says so each time.
    assert!(matches!(store.append(batch(system, written)).unwrap().wait(), Err(StoreError::DiskFull)));
    assert_eq!(flows(&store, system).len() as i64, written * 50);

    store.set_size_limit(Some(2 * LIMIT)).unwrap();
    assert_eq!(store.append(batch(system, written)).unwrap().wait().unwrap().readings, 50);
    store.save_finding(system, finding(), noon()).unwrap();
    store.close();
    assert!(std::fs::metadata(&temp.path).unwrap().len() <= 2 * LIMIT);
    assert_eq!(flows(&temp.open(), system).len() as i64, (written + 1) * 50);
}

#[test]
fn a_store_over_its_limit_opens_and_reads() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    for number in 0..40 {
        store.append(batch(system, number)).unwrap().wait().unwrap();
    }
    store.close();
    let options = Options { size_limit: Some(10_000), ..Options::default() };
    let opened = Store::open(&temp.path, &options).unwrap();
    assert_eq!(opened.set_aside, None);
    assert_eq!(flows(&opened.store, system).len(), 2000);
    let refused = (40..80).find_map(|n| opened.store.append(batch(system, n)).unwrap().wait().err());
    assert!(matches!(refused, Some(StoreError::DiskFull)));
    opened.store.set_size_limit(None).unwrap();
    opened.store.append(batch(system, 99)).unwrap().wait().unwrap();
}
