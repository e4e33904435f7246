//! Files that cannot be used, each with a clear error and its place.

use crate::{balanced, iso, lines, mapping, only, read_file, values, with};
use bourn::log::{Files, Memory, read};

const GOOD: &str = "Time,T\n2026-09-14 10:00,3.1\n";

#[test]
fn empty_and_headings_only() {
    assert_eq!(only(&read_file(&iso(""), ""), "R103"), "R103 a.csv:0: `a.csv` is empty");
    assert_eq!(
        only(&read_file(&iso(""), "\u{feff}\n\n"), "R103"),
        "R103 a.csv:1: `a.csv` ends before its heading line"
    );
    assert_eq!(
        only(&read_file(&iso("    preamble: 9\n"), GOOD), "R103"),
        "R103 a.csv:10: `a.csv` ends before its heading line"
    );
    assert_eq!(only(&read_file(&iso(""), "Time,T\n"), "R110"), "R110 a.csv:1: `a.csv` has headings and no rows");
}

#[test]
fn binary() {
    let records = read_file(&iso(""), b"PK\x03\x04\x00\x00\xff\xfe".to_vec());
    assert_eq!(only(&records, "R104"), "R104 a.csv:0: `a.csv` holds NUL bytes and is no text");
    let records = read_file(&iso(""), b"Time,T\n2026-09-14 10:00,\x003.1\n".to_vec());
    assert_eq!(only(&records, "R104"), "R104 a.csv:2: `a.csv` holds a NUL byte and is no text");
    assert!(records.channels.is_empty());
}

#[test]
fn encodings_are_declared_never_guessed() {
    let latin = b"Time,T,Grad \xb0C\n2026-09-14 10:00,3.1,x\n".to_vec();
    assert_eq!(
        only(&read_file(&iso(""), latin.clone()), "R105"),
        "R105 a.csv:1: `a.csv` is not utf-8: byte 13 is 0xB0"
    );
    assert_eq!(values(&read_file(&iso("    encoding: windows-1252\n"), latin).channels[0]), [3.1]);
    let mut wide = vec![0xff, 0xfe];
    wide.extend(GOOD.encode_utf16().flat_map(u16::to_le_bytes));
    assert!(only(&read_file(&iso(""), wide.clone()), "R105").contains("begins with the byte-order mark of utf-16"));
    assert_eq!(values(&read_file(&iso("    encoding: utf-16\n"), wide.clone()).channels[0]), [3.1]);
    wide.extend([0x00, 0xd8]);
    assert!(only(&read_file(&iso("    encoding: utf-16\n"), wide), "R105").contains("not sound utf-16"));
    assert!(only(&read_file(&iso("    encoding: utf-16\n"), GOOD), "R105").contains("no byte-order mark"));
}

#[test]
fn byte_order_mark_and_line_ends() {
    for text in
        [format!("\u{feff}{GOOD}"), GOOD.replace('\n', "\r\n"), GOOD.replace('\n', "\r"), GOOD.trim_end().to_owned()]
    {
        let records = read_file(&iso(""), text.clone());
        assert_eq!(values(&records.channels[0]), [3.1], "{text:?}");
        assert_eq!(records.channels[0].rows[0].row, 2, "{text:?}");
        assert!(records.findings.is_empty(), "{:?}", lines(&records.findings));
    }
}

#[test]
fn row_numbers_are_lines_of_the_file() {
    let text = "title\n\nTime,T\n\n2026-09-14 10:00,3.1\r\n\r\n\n2026-09-14 10:01,\"3.2\"\n\n";
    let records = read_file(&iso("    preamble: 2\n"), text);
    let rows: Vec<u32> = records.channels[0].rows.iter().map(|entry| entry.row).collect();
    assert_eq!(rows, [5, 8]);
    balanced(&records);
}

#[test]
fn a_column_that_is_not_there() {
    let records = read_file(&iso(""), "Time,T2\n2026-09-14 10:00,3.1\n");
    assert_eq!(only(&records, "R106"), "R106 a.csv:1:T `a.csv` has no column `T`");
    assert_eq!(with(&records, "R106")[0].help.as_deref(), Some("the headings in row 1 are `Time`, `T2`"));
    assert!(matches!(with(&records, "R106")[0].related[0].0, bourn::source::Place::Text(_)));
    let records = read_file(&iso(""), "Tme,T\n2026-09-14 10:00,3.1\n");
    assert!(with(&records, "R106")[0].help.as_deref().unwrap().starts_with("did you mean `Tme`?"));
    assert_eq!(
        only(&read_file(&iso(""), "Time,T,T\n2026-09-14 10:00,1,2\n"), "R107"),
        "R107 a.csv:1:T heading `T` stands over columns 2 and 3 of `a.csv`"
    );
    // A lot column that is lost holds back the whole file.
    let records = read_file(&iso("    lot: Lot\n"), GOOD);
    assert!(only(&records, "R106").contains("`Lot`") && records.channels.is_empty());
}

#[test]
fn an_open_quotation_mark_never_swallows_rows_unseen() {
    let row = |minute: u32| format!("2026-09-14 10:{minute:02},{minute}\n");
    let many: String = (1..40).map(row).collect();
    let open = read_file(&iso(""), format!("Time,T\n{}2026-09-14 11:00,\"5\n{many}", row(0)));
    assert_eq!(
        only(&open, "R108"),
        "R108 a.csv:3: a quotation mark opens in row 3 and swallows the rows up to 42; none of them is used"
    );
    assert_eq!(values(&open.channels[0]), [0.0]);
    balanced(&open);
    // Closed again forty rows later, with the right number of cells.
    let closed = read_file(&iso(""), format!("Time,T\n2026-09-14 11:00,\"5\n{many}2026-09-14 11:01,7\"\n{}", row(50)));
    assert!(
        only(&closed, "R108")
            .starts_with("R108 a.csv:2: a quotation mark opens in row 2 and swallows the rows up to 42")
    );
    assert_eq!(values(&closed.channels[0]), [50.0]);
    // In the last row, and in the headings.
    let last = read_file(&iso(""), "Time,T\n2026-09-14 10:00,3\n2026-09-14 10:01,\"4");
    assert!(only(&last, "R108").starts_with("R108 a.csv:3:"));
    assert_eq!(values(&last.channels[0]), [3.0]);
    assert!(only(&read_file(&iso(""), format!("\"Time,T\n{many}")), "R108").starts_with("R108 a.csv:1:"));
    // A comment over two lines is a cell like any other.
    let comment = read_file(&iso(""), "Time,T,Note\n2026-09-14 10:00,3,\"door\nopen\"\n2026-09-14 10:01,4,x\n");
    assert_eq!(values(&comment.channels[0]), [3.0, 4.0]);
    assert_eq!(comment.channels[0].rows[1].row, 4);
    assert!(comment.findings.is_empty());
}

#[test]
fn no_file_and_no_access() {
    let records = read(&mapping(&iso("")), &Memory::default());
    assert!(only(&records, "R101").contains("no file fits `a.csv`, so the record `r` has nothing from it"));
    struct Locked;
    impl Files for Locked {
        fn matching(&self, _: &str) -> Result<Vec<String>, String> {
            Ok(vec!["a.csv".to_owned()])
        }
        fn bytes(&self, _: &str) -> Result<Vec<u8>, String> {
            Err("no permission to read it".to_owned())
        }
    }
    let records = read(&mapping(&iso("")), &Locked);
    assert_eq!(only(&records, "R102"), "R102 a.csv:0: `a.csv` cannot be read: no permission to read it");
}

/// A file that grows or is written anew between the first byte and the last is neither the old one nor the new one.
#[test]
fn a_file_that_changes_while_it_is_read_is_refused() {
    struct Growing(std::cell::Cell<u64>);
    impl Files for Growing {
        fn matching(&self, _: &str) -> Result<Vec<String>, String> {
            Ok(vec!["a.csv".to_owned()])
        }
        fn bytes(&self, _: &str) -> Result<Vec<u8>, String> {
            Ok(b"Time,T\n2026-09-14 10:00,3\n".to_vec())
        }
        fn stamp(&self, _: &str) -> Option<(u64, i128)> {
            self.0.set(self.0.get() + 26);
            Some((self.0.get(), 0))
        }
    }
    let records = read(&mapping(&iso("")), &Growing(std::cell::Cell::new(0)));
    assert_eq!(only(&records, "R119"), "R119 a.csv:0: `a.csv` changed while it was read");
}

/// A line without an end and a heading of countless cells are refused before they are taken in.
#[test]
fn lines_and_headings_beyond_every_record_are_refused() {
    let long = vec![b'a'; (16 << 20) + 1];
    let found = read_file(&iso(""), long);
    assert!(only(&found, "R506").starts_with("R506 a.csv:1: a line of `a.csv` is more than 16777216 bytes long"));
    let mut later = b"Time,T\n2026-09-14 10:00,3\n".to_vec();
    later.resize(64 << 20, b'a');
    let found = read_file(&iso(""), later);
    assert!(only(&found, "R506").starts_with("R506 a.csv:3: a line of `a.csv` is more than"));
    let wide = format!("Time,T{}\n2026-09-14 10:00,3\n", ",x".repeat(1_000_000));
    let found = read_file(&iso(""), wide);
    assert_eq!(only(&found, "R506"), "R506 a.csv:1: a row of `a.csv` has 1000002 cells; 20000 are read at most");
}

#[test]
fn a_truncated_file_shows_in_its_last_row() {
    let records = read_file(&iso(""), "Time,X,T\n2026-09-14 10:00,1,3\n2026-09-14 10:0");
    assert!(only(&records, "R109").starts_with("R109 a.csv:3:"));
    assert_eq!(values(&records.channels[0]), [3.0]);
}

#[test]
fn a_time_that_is_none() {
    let records =
        read_file(&iso(""), "Time,T\nyesterday,3\n,4\nEnd of file,\n2026-02-30 10:00,5\n2026-02-28 10:00,6\n");
    assert!(
        only(&records, "R201").ends_with(
            "`yesterday` in column `Time` is no time of the form `%Y-%m-%d %H:%M`; 3 times, the last in row 5"
        )
    );
    assert_eq!(values(&records.channels[0]), [6.0]);
    assert_eq!((records.files[0].unplaced_rows, records.files[0].event_rows), (3, 1));
    balanced(&records);
}

#[test]
fn any_bytes_never_panic() {
    let mut state = 7_u64;
    let mut pieces = Vec::new();
    let parts: [&[u8]; 12] =
        [b"Time", b",", b"T", b"\n", b"\"", b"2026-10-25 01:30", b"3.1", b"\r", b"\xff", b";", b"\xc2\xa0", b"-200"];
    for _ in 0..400 {
        pieces.clear();
        for _ in 0..40 {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            pieces.extend_from_slice(parts[usize::try_from(state >> 33).unwrap() % parts.len()]);
        }
        let text = [&b"Time,T\n"[..], &pieces].concat();
        let records = read_file(&iso("    encoding: windows-1252\n"), text);
        balanced(&records);
    }
}
