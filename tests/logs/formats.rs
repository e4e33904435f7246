//! Packed files and workbooks, through a mapping as any other file.

use crate::{iso, one, only, read_file, values, with};
use std::io::Write as _;

const TEXT: &str = "Time,T\n2026-09-14 10:00,3.1\n2026-09-14 10:01,3.2\n";

fn gzip(text: &str) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(text.as_bytes()).unwrap();
    encoder.finish().unwrap()
}

fn zstd(text: &str) -> Vec<u8> {
    ruzstd::encoding::compress_to_vec(text.as_bytes(), ruzstd::encoding::CompressionLevel::Fastest)
}

#[test]
fn packed_text_is_unpacked() {
    for bytes in
        [gzip(TEXT), zstd(TEXT), [gzip("Time,T\n2026-09-14 10:00,3.1\n"), gzip("2026-09-14 10:01,3.2\n")].concat()]
    {
        let records = read_file(&iso(""), bytes.clone());
        assert_eq!(values(&records.channels[0]), [3.1, 3.2]);
        assert!(records.findings.is_empty());
        assert_eq!(records.files[0].bytes, bytes.len() as u64);
    }
    let frames = [zstd("Time,T\n2026-09-14 10:00,3.1\n"), zstd("2026-09-14 10:01,3.2\n")].concat();
    assert_eq!(values(&read_file(&iso(""), frames).channels[0]), [3.1, 3.2]);
}

/// The rows that were cut off could be those that matter: nothing of such a file is used.
#[test]
fn a_packed_file_that_is_cut_off_or_damaged_is_not_used() {
    let long: String =
        (0..900).fold(TEXT.to_owned(), |text, at| text + &format!("2026-09-15 {:02}:{:02},{at}\n", at / 60, at % 60));
    for whole in [gzip(&long), zstd(&long)] {
        for end in [whole.len() - 1, whole.len() - 6, whole.len() / 2, 12] {
            let records = read_file(&iso(""), &whole[..end]);
            assert!(only(&records, "R114").contains("`a.csv` is packed and cannot be unpacked"), "{end}");
            assert!(records.channels.is_empty());
        }
        let mut changed = whole.clone();
        let middle = changed.len() / 2;
        changed[middle] ^= 0x55;
        assert_eq!(with(&read_file(&iso(""), changed), "R114").len(), 1);
    }
}

fn book(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/tests/logs/data/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// Written by another program, openpyxl: dates as serial numbers, a merged heading over two columns, two rows of
/// headings, a title, a formula whose value was never computed, an error value.
#[test]
fn a_workbook_is_a_table_like_any_other() {
    let yaml = one("    preamble: 1\n    heading-rows: 2\n    time: { column: Time, format: \"%Y-%m-%d %H:%M:%S\" }\n")
        .replace("      T: {", "      Core 1 (°C): { parameter: core, probe: one, unit: °C }\n      Core 2 (°C): { parameter: core, probe: two, unit: °C }\n      Air (°C): {");
    let records = read_file(&yaml, book("kiln.xlsx"));
    let shown: Vec<Vec<f64>> = records.channels.iter().map(values).collect();
    assert_eq!(
        shown,
        [vec![80.0, 81.0, 82.0, 83.0, 84.0], vec![68.5, 69.0, 69.5, 70.0, 71.0], vec![67.25, 67.5, 67.75, 68.25, 68.5]]
    );
    let said: Vec<String> = records.findings.iter().map(crate::line).collect();
    assert_eq!(
        said,
        [
            "R301 a.csv:8:Core 1 (°C) `#FORMULA` in column `Core 1 (°C)` is no number",
            "R301 a.csv:9:Air (°C) `#N/A` in column `Air (°C)` is no number",
        ]
    );
    assert_eq!(records.files[0].missing_cells, 1);
    assert_eq!(records.channels[0].rows[0].row, 4);
}

#[test]
fn the_sheet_that_is_meant_must_be_known() {
    let yaml = one("    time: { columns: [Day, Clock], format: \"%Y-%m-%d %H:%M:%S\" }\n");
    let records = read_file(&yaml, book("two-sheets.xlsx"));
    assert_eq!(only(&records, "R115"), "R115 a.csv:0: `a.csv` has several sheets that hold something: `A`, `B`");
    let named = |sheet: &str| yaml.replace("    record: r", &format!("    record: r\n    sheet: {sheet}"));
    assert_eq!(values(&read_file(&named("A"), book("two-sheets.xlsx")).channels[0]), [3.5, 4.5, 5.5]);
    assert_eq!(
        only(&read_file(&named("C"), book("two-sheets.xlsx")), "R115"),
        "R115 a.csv:0: `a.csv` has no sheet `C`"
    );
}

/// Written by another program, odfpy.
#[test]
fn an_open_document_sheet_is_read() {
    let yaml = iso("").replace("%H:%M\"", "%H:%M:%S\"");
    let records = read_file(&yaml, book("log.ods"));
    assert_eq!(values(&records.channels[0]), [3.0, 3.25, 3.5, 3.75]);
    // Decimal commas are written where the mapping declares them.
    let comma = read_file(&iso("    decimal: \",\"\n").replace("%H:%M\"", "%H:%M:%S\""), book("log.ods"));
    assert_eq!(values(&comma.channels[0]), [3.0, 3.25, 3.5, 3.75]);
}

/// A few kilobytes that stand for more than any machine holds.
#[test]
fn a_workbook_that_unpacks_without_bound_is_refused() {
    for name in ["far-cells.xlsx", "repeated-cells.ods"] {
        assert!(only(&read_file(&iso(""), book(name)), "R114").contains("nothing of it is used"), "{name}");
    }
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    archive.start_file("xl/workbook.xml", zip::write::SimpleFileOptions::default()).unwrap();
    archive.write_all(b"<workbook/>").unwrap();
    let odd = archive.finish().unwrap().into_inner();
    assert!(only(&read_file(&iso(""), odd), "R114").contains("begins as a workbook and cannot be read"));
    let cut = book("kiln.xlsx");
    assert!(only(&read_file(&iso(""), &cut[..3000]), "R114").contains("begins as a workbook and cannot be read"));
}
