//! A damaged database is set aside, never deleted; what can be read of it is in the new one.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use std::path::Path;

use rusqlite::Connection;
use support::{Seeded, Temp, ever, finding, flows, frame, import, later, noon, reading};
use wellwright_store::{
    Batch, NewRecord, NewSession, OpenError, Opened, Options, RawFrame, Reader, SessionId, Store, SystemId,
};

const PAGE: usize = 4096;
const FRAMES: i64 = 3000;
const READINGS: i64 = 3000;

/// A store with something in every table, closed.
fn filled(temp: &Temp) -> (SystemId, SessionId) {
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let record = NewRecord { name: "Demo Hill".into(), toml: "a = 1\n".into(), parent: None, at: noon() };
    store.save_record(system, record).unwrap();
    let new = NewSession { system, source: "ble:DEMO-0001".into(), serial: None, at: noon() };
    let session = store.append_session(new).unwrap();
    let frames = (0..FRAMES).map(expected_frame).collect();
    let readings = (0..READINGS).map(|i| reading(later(i * 1000), i as f64)).collect();
    store.append(Batch::Live { session, frames, readings, gaps: vec![] }).unwrap().wait().unwrap();
    store.save_finding(system, finding(), noon()).unwrap();
    store.close();
    (system, session)
}

fn expected_frame(i: i64) -> RawFrame {
    frame(later(i), format!("frame-{i:06}").as_bytes())
}

/// Pages that belong to a table itself, found by what is written on them.
fn pages_with(path: &Path, text: &str) -> Vec<usize> {
    let bytes = std::fs::read(path).unwrap();
    let holds = |page: &[u8]| page.windows(text.len()).any(|w| w == text.as_bytes());
    bytes.chunks(PAGE).enumerate().filter(|(_, page)| holds(page)).map(|(i, _)| i).collect()
}

fn root_page(path: &Path, table: &str) -> usize {
    let conn = Connection::open(path).unwrap();
    let page: i64 = conn
        .query_row("SELECT rootpage FROM sqlite_schema WHERE name = ?1", [table], |row| row.get(0))
        .unwrap();
    page as usize - 1
}

fn spoil(path: &Path, pages: &[usize]) -> Vec<u8> {
    let mut bytes = std::fs::read(path).unwrap();
    for page in pages {
        bytes[page * PAGE..(page + 1) * PAGE].fill(0xA5);
    }
    std::fs::write(path, &bytes).unwrap();
    bytes
}

fn reopen(path: &Path) -> Opened {
    Store::open(path, &Options::default()).unwrap()
}

fn assert_sound(path: &Path) {
    let conn = Connection::open(path).unwrap();
    let said: String = conn.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(said, "ok");
    let orphans: i64 =
        conn.query_row("SELECT count(*) FROM pragma_foreign_key_check", [], |row| row.get(0)).unwrap();
    assert_eq!(orphans, 0);
}

#[test]
fn spoilt_pages_cost_only_the_rows_on_them() {
    let temp = Temp::new();
    let (system, session) = filled(&temp);
    let pages = pages_with(&temp.path, "frame-0");
    assert!(pages.len() > 20, "{}", pages.len());
    // One in the middle, two neighbours, and the last: each is stepped over alone.
    let chosen = [pages[5], pages[12], pages[13], pages[pages.len() - 1]];
    let spoilt = spoil(&temp.path, &chosen);

    let opened = reopen(&temp.path);
    let aside = opened.set_aside.clone().expect("the damage must be noticed");
    assert_eq!(std::fs::read(&aside.kept_as).unwrap(), spoilt, "the damaged file is kept as it was");
    assert!(aside.kept_as.file_name().unwrap().to_str().unwrap().starts_with("wells.db.damaged-"));
    assert!(!aside.is_complete());
    let said = aside.to_string();
    assert!(said.contains("some could not be read; the damaged file is kept as"), "{said}");

    let frames = opened.store.read(|r| r.frames(session)).unwrap();
    let on_page = FRAMES as usize / pages.len() + 1;
    let lost = FRAMES as usize - frames.len();
    assert!(lost > 0 && lost <= 4 * (on_page + 10), "{lost} frames lost, {on_page} on a page");
    assert!(frames.iter().all(|f| {
        let number = std::str::from_utf8(&f.bytes).unwrap().strip_prefix("frame-").unwrap().parse().unwrap();
        *f == expected_frame(number)
    }));
    assert_eq!(flows(&opened.store, system).len() as i64, READINGS);
    assert_eq!(opened.store.read(|r| r.record_versions(system)).unwrap()[0].toml, "a = 1\n");
    assert_eq!(opened.store.read(|r| r.latest_finding(system)).unwrap().unwrap().finding, finding());
    let salvaged = aside.tables.iter().find(|t| t.table == "readings").unwrap();
    assert_eq!((salvaged.rows as i64, salvaged.unreadable), (READINGS, 0));

    // Life goes on in the new one.
    opened.store.append(import(system, vec![reading(noon(), -1.0)])).unwrap().wait().unwrap();
    opened.store.close();
    assert_sound(&temp.path);
    assert_eq!(reopen(&temp.path).set_aside, None);
}

#[test]
fn the_identity_of_the_device_survives() {
    let temp = Temp::new();
    let (system, _) = filled(&temp);
    let before = temp.open().read(|r| r.record_versions(system)).unwrap()[0].device_uid.clone();
    spoil(&temp.path, &pages_with(&temp.path, "frame-0")[..1]);
    let store = reopen(&temp.path).store;
    let record = NewRecord { name: "Demo Hill".into(), toml: "a = 2\n".into(), parent: None, at: noon() };
    assert_eq!(store.save_record(system, record).unwrap().device_uid, before);
}

#[test]
fn children_outlive_their_parents() {
    let temp = Temp::new();
    let (system, session) = filled(&temp);
    let lost = ["systems", "sessions", "sources"].map(|t| root_page(&temp.path, t));
    spoil(&temp.path, &lost);
    let opened = reopen(&temp.path);
    assert!(opened.set_aside.is_some());
    let systems = opened.store.read(Reader::systems).unwrap();
    assert_eq!(systems.len(), 1);
    assert_eq!((systems[0].id, systems[0].name.as_str()), (system, "Demo Hill"), "the record still names it");
    assert_eq!(flows(&opened.store, system).len() as i64, READINGS);
    assert_eq!(opened.store.read(|r| r.frames(session)).unwrap().len() as i64, FRAMES);
    let sessions = opened.store.read(|r| r.sessions(system)).unwrap();
    assert_eq!((sessions[0].id, sessions[0].started), (session, noon()));
    opened.store.close();
    assert_sound(&temp.path);
}

#[test]
fn a_lost_inner_page_costs_what_hangs_on_it_and_no_more() {
    let temp = Temp::new();
    let store = temp.open();
    let system = store.add_system("Demo Hill", noon()).unwrap();
    let new = NewSession { system, source: "ble:DEMO-0001".into(), serial: None, at: noon() };
    let session = store.append_session(new).unwrap();
    // Long frames, so that the table has three levels and an inner page between root and leaves.
    for block in 0..12 {
        let frames =
            (block * 500..block * 500 + 500).map(|i| frame(later(i), &[block as u8; 3000])).collect();
        store
            .append(Batch::Live { session, frames, readings: vec![], gaps: vec![] })
            .unwrap()
            .wait()
            .unwrap();
    }
    store.close();
    let root = root_page(&temp.path, "frames");
    let bytes = std::fs::read(&temp.path).unwrap();
    let root_page = &bytes[root * PAGE..(root + 1) * PAGE];
    // File format, section 1.6: type 5 is an interior table page; cell pointers follow a 12-byte head;
    // a cell begins with the number of its left child.
    assert_eq!(root_page[0], 5);
    let cells = usize::from(u16::from_be_bytes([root_page[3], root_page[4]]));
    let children: Vec<usize> = (0..cells)
        .map(|i| {
            let cell = usize::from(u16::from_be_bytes([root_page[12 + 2 * i], root_page[13 + 2 * i]]));
            u32::from_be_bytes(root_page[cell..cell + 4].try_into().unwrap()) as usize - 1
        })
        .collect();
    assert!(cells >= 5 && bytes[children[0] * PAGE] == 5, "the table must have three levels");
    spoil(&temp.path, &[children[cells / 2]]);
    let opened = reopen(&temp.path);
    let frames = opened.store.read(|r| r.frames(session)).unwrap();
    let lost = 6000 - frames.len();
    let share = 6000 / cells;
    assert!(lost > 0 && lost <= share + share / 4, "{lost} lost, {share} hang on an inner page");
    assert_eq!(frames.last().unwrap().received, later(5999), "reading goes on after the hole");
}

#[test]
fn rows_in_the_log_are_salvaged_too() {
    let temp = Temp::new();
    let (system, _) = filled(&temp);
    let store = temp.open();
    store.append(import(system, vec![reading(later(-1), 4711.0)])).unwrap().wait().unwrap();
    // What a power cut leaves: the database as it was and the log beside it.
    let cut = Temp::new();
    for suffix in ["", "-wal"] {
        let name = format!("wells.db{suffix}");
        std::fs::copy(temp.folder.path().join(&name), cut.folder.path().join(&name)).unwrap();
    }
    let log = std::fs::read(cut.folder.path().join("wells.db-wal")).unwrap();
    assert!(!log.is_empty());
    spoil(&cut.path, &pages_with(&cut.path, "frame-0")[3..4]);
    let opened = reopen(&cut.path);
    let aside = opened.set_aside.unwrap();
    let flows = flows(&opened.store, system);
    assert_eq!(flows[0], 4711.0);
    assert_eq!(flows.len() as i64, READINGS + 1);
    let mut kept = aside.kept_as.into_os_string();
    kept.push("-wal");
    assert_eq!(std::fs::read(kept).unwrap(), log, "the log is kept with the file it belongs to");
}

#[test]
fn a_file_without_a_readable_start_is_set_aside_where_a_store_was() {
    let temp = Temp::new();
    filled(&temp);
    let rubbish = vec![0x5A; 20_000];
    std::fs::write(&temp.path, &rubbish).unwrap();
    let opened = reopen(&temp.path);
    let aside = opened.set_aside.unwrap();
    assert_eq!(std::fs::read(&aside.kept_as).unwrap(), rubbish);
    assert_eq!((aside.rows(), aside.is_complete()), (0, false));
    assert_eq!(opened.store.read(Reader::systems).unwrap(), []);
    opened.store.add_system("Demo Hill", noon()).unwrap();
}

#[test]
fn a_cut_off_file_gives_what_is_left() {
    let temp = Temp::new();
    let (system, _) = filled(&temp);
    let bytes = std::fs::read(&temp.path).unwrap();
    std::fs::write(&temp.path, &bytes[..bytes.len() / 2 + 100]).unwrap();
    let opened = reopen(&temp.path);
    let aside = opened.set_aside.unwrap();
    assert!(aside.rows() > 500, "{aside}");
    assert!(!opened.store.read(Reader::systems).unwrap().is_empty());
    assert!(flows(&opened.store, system).len() as i64 <= READINGS);
    opened.store.close();
    assert_sound(&temp.path);
}

#[test]
fn a_missing_table_is_damage() {
    let temp = Temp::new();
    let (system, _) = filled(&temp);
    Connection::open(&temp.path).unwrap().execute_batch("DROP TABLE findings").unwrap();
    let opened = reopen(&temp.path);
    let aside = opened.set_aside.unwrap();
    assert_eq!(aside.reason, "table findings is missing");
    assert_eq!(flows(&opened.store, system).len() as i64, READINGS);
    opened.store.save_finding(system, finding(), noon()).unwrap();
}

#[test]
fn setting_aside_twice_keeps_both() {
    let temp = Temp::new();
    filled(&temp);
    let mut kept = Vec::new();
    for _ in 0..2 {
        spoil(&temp.path, &pages_with(&temp.path, "frame-0")[2..3]);
        kept.push(reopen(&temp.path).set_aside.unwrap().kept_as);
    }
    assert_ne!(kept[0], kept[1]);
    assert!(kept.iter().all(|path| path.exists()));
}

#[test]
fn a_kill_between_the_renames_is_made_good() {
    let temp = Temp::new();
    let (system, _) = filled(&temp);
    let folder = temp.folder.path();
    // As a kill leaves it: the damaged file has its new name, its log has not, the copy waits.
    std::fs::rename(&temp.path, folder.join("wells.db-rebuilt")).unwrap();
    std::fs::write(folder.join("wells.db.damaged-1"), b"damaged").unwrap();
    std::fs::write(folder.join("wells.db-wal"), b"old log").unwrap();
    let store = temp.open();
    let (from, to) = ever();
    assert_eq!(store.read(|r| r.readings(system, from, to)).unwrap().len() as i64, READINGS);
    store.close();
    let names = temp.names();
    assert!(!names.contains(&"wells.db-rebuilt".to_owned()), "{names:?}");
    let log = names.iter().find(|n| n.starts_with("wells.db.damaged-") && n.ends_with("-wal")).unwrap();
    assert_eq!(std::fs::read(folder.join(log)).unwrap(), b"old log");
}

#[test]
fn a_copy_that_was_not_finished_is_made_anew() {
    let temp = Temp::new();
    let (system, _) = filled(&temp);
    std::fs::write(temp.folder.path().join("wells.db-rebuilt"), b"half").unwrap();
    spoil(&temp.path, &pages_with(&temp.path, "frame-0")[2..3]);
    let opened = reopen(&temp.path);
    assert!(opened.set_aside.is_some());
    assert_eq!(flows(&opened.store, system).len() as i64, READINGS);
}

/// Whatever is done to the file: it opens, is sound, holds nothing that was never written, and the
/// damaged file is kept byte for byte.
#[test]
fn random_damage_never_stops_the_store() {
    let temp = Temp::new();
    let (system, session) = filled(&temp);
    let sound = std::fs::read(&temp.path).unwrap();
    let mut chance = Seeded(7);
    let (mut set_aside, mut rows) = (0, 0);
    for round in 0..60 {
        let place = Temp::new();
        let mut bytes = sound.clone();
        let whole = bytes.len() as u64;
        for _ in 0..=chance.below(4) {
            // The first 100 bytes are the head: without it the file is somebody's, see opening.rs.
            let from = 100 + chance.below(whole - 100) as usize;
            let length = [1, 16, 512, 9000][chance.below(4) as usize].min(bytes.len() - from);
            for byte in &mut bytes[from..from + length] {
                *byte = chance.below(256) as u8;
            }
        }
        if round % 5 == 0 {
            bytes.truncate(200 + chance.below(whole - 200) as usize);
        }
        std::fs::write(&place.path, &bytes).unwrap();
        let opened = reopen(&place.path);
        if let Some(aside) = &opened.set_aside {
            set_aside += 1;
            assert_eq!(std::fs::read(&aside.kept_as).unwrap(), bytes, "round {round}");
        }
        let (from, to) = ever();
        // A byte inside a number or text is beyond what the file format can notice; a row that cannot be
        // read back is then a typed error. Neither may stop the store.
        rows += opened.store.read(|r| r.readings(system, from, to)).map_or(0, |r| r.len());
        let _ = opened.store.read(|r| r.frames(session));
        let id = opened.store.add_system("New Hill", noon()).unwrap();
        opened.store.append(import(id, vec![reading(noon(), 1.0)])).unwrap().wait().unwrap();
        opened.store.close();
        assert_sound(&place.path);
    }
    assert!(set_aside > 30, "{set_aside}");
    assert!(rows > 60 * READINGS as usize / 2, "{rows}");
}

/// Every byte of the head in turn: salvaged, or refused in words with the file left as it is.
#[test]
fn a_damaged_head_is_salvaged_or_refused() {
    let temp = Temp::new();
    filled(&temp);
    let sound = std::fs::read(&temp.path).unwrap();
    let mut refusals = Vec::new();
    for byte in 0..100 {
        let place = Temp::new();
        place.open().close();
        let mut bytes = sound.clone();
        bytes[byte] ^= 0xFF;
        std::fs::write(&place.path, &bytes).unwrap();
        match Store::open(&place.path, &Options::default()) {
            Ok(opened) => {
                opened.store.add_system("New Hill", noon()).unwrap();
                opened.store.close();
                assert_sound(&place.path);
            }
            Err(refused) => {
                assert_eq!(std::fs::read(&place.path).unwrap(), bytes, "{byte}: {refused}");
                refusals.push((byte, refused));
            }
        }
    }
    // File format, section 1.3: our version (60 to 63, of which the first makes it negative) and our mark
    // (68 to 71).
    for (byte, refused) in &refusals {
        let as_meant = match byte {
            61..=63 => matches!(refused, OpenError::Newer { .. }),
            68..=71 => matches!(refused, OpenError::NotAStore { .. }),
            _ => false,
        };
        assert!(as_meant, "{byte}: {refused}");
    }
    assert_eq!(refusals.len(), 7);
}
