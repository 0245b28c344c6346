//! What opening refuses, in which words, and that it leaves the file as it is.

#![allow(clippy::cast_possible_wrap)] // counts of a few thousand

mod support;

use rusqlite::Connection;
use support::{Second, Temp, flows, import, noon, reading, role};
use wellwright_store::{LATEST_VERSION, OpenError, Options, Store};

fn refusal(path: &std::path::Path) -> OpenError {
    Store::open(path, &Options::default()).expect_err("it must refuse")
}

#[test]
fn the_settings_are_as_promised() {
    let temp = Temp::new();
    let store = temp.open();
    store.add_system("Demo Hill", noon()).unwrap();
    let raw = Connection::open(&temp.path).unwrap();
    let text = |sql: &str| raw.query_row(sql, [], |row| row.get::<_, String>(0)).unwrap();
    let number = |sql: &str| raw.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap();
    assert_eq!(text("PRAGMA journal_mode"), "wal");
    assert_eq!(number("PRAGMA user_version"), LATEST_VERSION);
    assert_eq!(number("PRAGMA application_id"), 0x5745_4C57);
}

#[test]
fn a_newer_store_is_left_alone() {
    let temp = Temp::new();
    temp.open().close();
    Connection::open(&temp.path).unwrap().pragma_update(None, "user_version", LATEST_VERSION + 1).unwrap();
    let before = std::fs::read(&temp.path).unwrap();
    let refused = refusal(&temp.path);
    let OpenError::Newer { found, known, .. } = refused else { panic!("{refused}") };
    assert_eq!((found, known), (LATEST_VERSION + 1, LATEST_VERSION));
    assert!(refused.to_string().ends_with(
        "has format version 2, this program knows versions up to 1: update this program; the store was left as it is"
    ));
    assert_eq!(std::fs::read(&temp.path).unwrap(), before);
}

#[test]
fn other_peoples_files_are_left_alone() {
    let temp = Temp::new();
    let raw = Connection::open(&temp.path).unwrap();
    raw.execute_batch("CREATE TABLE songs (title TEXT); INSERT INTO songs VALUES ('x');").unwrap();
    drop(raw);
    let notes = temp.folder.path().join("notes.txt");
    std::fs::write(&notes, "the pump at the lower well is loud\n".repeat(100)).unwrap();
    for path in [&temp.path, &notes] {
        let before = std::fs::read(path).unwrap();
        for _ in 0..2 {
            let refused = refusal(path);
            assert!(matches!(refused, OpenError::NotAStore { .. }), "{refused}");
            assert!(refused.to_string().ends_with(
                "is not a store of this program: choose another file for the store; it was left as it is"
            ));
            assert_eq!(&std::fs::read(path).unwrap(), &before);
        }
    }
}

#[test]
fn a_missing_folder_and_a_folder_in_place_of_a_file() {
    let temp = Temp::new();
    let refused = refusal(&temp.folder.path().join("missing").join("wells.db"));
    assert!(matches!(refused, OpenError::Place { .. }), "{refused}");
    assert!(refused.to_string().contains("check that the folder exists"));
    std::fs::create_dir(&temp.path).unwrap();
    let refused = refusal(&temp.path);
    assert!(matches!(refused, OpenError::Place { .. }), "{refused}");
}

#[test]
fn an_empty_file_becomes_a_store() {
    let temp = Temp::new();
    std::fs::write(&temp.path, b"").unwrap();
    temp.open().add_system("Demo Hill", noon()).unwrap();
}

#[test]
fn a_path_with_odd_characters_is_a_plain_path() {
    let temp = Temp::new();
    let path = temp.folder.path().join("wells?mode=ro#1 %20 ä.db");
    let store = support::open(&path);
    let system = store.add_system("Demo Hill", noon()).unwrap();
    store.append(import(system, vec![reading(noon(), 1.0)])).unwrap().wait().unwrap();
    assert_eq!(flows(&store, system), [1.0]);
    store.close();
    assert!(path.exists());
}

/// Rights do not bind a superuser: then a second program without that power looks.
#[cfg(unix)]
#[test]
fn a_store_that_may_only_be_read() {
    use std::os::unix::fs::PermissionsExt;
    use std::os::unix::process::CommandExt;

    if let Some((kind, path)) = role() {
        let refused = refusal(&path);
        assert!(matches!(refused, OpenError::ReadOnly { .. }), "{kind}: {refused}");
        assert!(
            refused.to_string().ends_with(
                "may only be read: allow this program to write to the file and its folder, or copy the store to a place where it may write"
            )
        );
        eprintln!("refused");
        return;
    }
    let mode = |path: &std::path::Path, bits: u32| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(bits)).unwrap();
    };
    for (kind, file_bits, folder_bits) in [("file", 0o444, 0o777), ("folder", 0o666, 0o555)] {
        let temp = Temp::new();
        temp.open().close();
        mode(&temp.folder.path().join("wells.db-lock"), 0o666);
        if kind == "folder" {
            std::fs::remove_file(temp.folder.path().join("wells.db-lock")).unwrap();
        }
        // The program has to stand where everybody may run it.
        let tools = tempfile::tempdir().unwrap();
        mode(tools.path(), 0o755);
        let program = tools.path().join("program");
        std::fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
        mode(&program, 0o755);
        mode(&temp.path, file_bits);
        let superuser = std::fs::OpenOptions::new().append(true).open(&temp.path).is_ok() && kind == "file"
            || folder_lets_through(temp.folder.path(), folder_bits);
        mode(temp.folder.path(), folder_bits);
        let before = std::fs::read(&temp.path).unwrap();
        let mut command = support::command(&program, "a_store_that_may_only_be_read", kind, &temp.path);
        if superuser {
            // 65534 is the user without rights on common systems.
            command.uid(65534).gid(65534);
        }
        let mut second = Second::run(command);
        assert_eq!(second.line(), "refused");
        second.finish();
        assert_eq!(std::fs::read(&temp.path).unwrap(), before);
        mode(temp.folder.path(), 0o755);
    }
}

/// True when this user may write into a folder that forbids it.
#[cfg(unix)]
fn folder_lets_through(folder: &std::path::Path, bits: u32) -> bool {
    use std::os::unix::fs::PermissionsExt;
    let set = |bits| std::fs::set_permissions(folder, std::fs::Permissions::from_mode(bits)).unwrap();
    set(bits & 0o555);
    let probe = folder.join("probe");
    let through = std::fs::write(&probe, b"").is_ok();
    set(0o755);
    if through {
        std::fs::remove_file(&probe).unwrap();
    }
    through
}
