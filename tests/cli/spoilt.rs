//! Record files that are spoilt as a whole: packed and cut off, full of nought bytes, workbooks that swell or ask for other
//! files, folders. Nothing is judged by what is left of them.

use crate::{Desk, MAPPING, readings, same};
use std::fmt::Write as _;
use std::io::Write as _;

fn gzip(text: &str) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(text.as_bytes()).unwrap();
    encoder.finish().unwrap()
}

/// A desk whose readings come in a file of another name.
fn desk(name: &str, bytes: impl AsRef<[u8]>) -> Desk {
    let desk = Desk::new();
    desk.drop("cook.csv").put(name, bytes).put("mapping.yaml", MAPPING.replace("cook.csv", name));
    desk
}

/// The parts of a workbook with one sheet.
fn workbook(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let usual = [
        (
            "[Content_Types].xml",
            "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"><Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/><Default Extension=\"xml\" ContentType=\"application/xml\"/><Override PartName=\"/xl/workbook.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml\"/><Override PartName=\"/xl/worksheets/sheet1.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml\"/></Types>",
        ),
        (
            "_rels/.rels",
            "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship Id=\"r1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>",
        ),
        (
            "xl/workbook.xml",
            "<workbook xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\" xmlns:r=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships\"><sheets><sheet name=\"Cook\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>",
        ),
        (
            "xl/_rels/workbook.xml.rels",
            "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship Id=\"r1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>",
        ),
    ];
    for (name, text) in usual.iter().chain(parts) {
        archive.start_file(*name, zip::write::SimpleFileOptions::default()).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

/// The sound readings as a sheet, with a document type before it and `cell` in place of the first value.
fn sheet(doctype: &str, cell: &str) -> String {
    let mut rows = String::new();
    for (at, line) in readings().lines().enumerate() {
        let cells: String = line
            .split(',')
            .enumerate()
            .map(|(column, text)| {
                let text = if (at, column) == (1, 2) && !cell.is_empty() { cell } else { text };
                format!("<c r=\"{}{}\" t=\"inlineStr\"><is><t>{text}</t></is></c>", ["A", "B", "C"][column], at + 1)
            })
            .collect();
        write!(rows, "<row r=\"{}\">{cells}</row>", at + 1).unwrap();
    }
    format!(
        "<?xml version=\"1.0\"?>{doctype}<worksheet xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"><sheetData>{rows}</sheetData></worksheet>"
    )
}

#[test]
fn packed_and_cut_off() {
    let whole = gzip(&readings());
    assert_eq!(desk("cook.csv.gz", &whole).verify().status, 0);
    desk("cook.csv.gz", &whole[..whole.len() - 9]).unusable("spoilt-gzip-cut");
    desk("cook.csv.gz", &whole[..whole.len() / 2]).unusable("spoilt-gzip-cut");
    let mut damaged = whole.clone();
    let middle = damaged.len() / 2;
    damaged[middle] ^= 0x55;
    desk("cook.csv.gz", &damaged).unusable("spoilt-gzip-damaged");
    // Other bytes behind the end are no part of what was packed.
    desk("cook.csv.gz", [whole, b"and more".to_vec()].concat()).unusable("spoilt-gzip-more");
}

/// What a logger leaves that lost its power: the rows, then noughts up to the end of the block. And noughts in a row.
#[test]
fn nought_bytes() {
    let text = readings();
    desk("cook.csv", [text.as_bytes(), &[0; 600]].concat()).unusable("spoilt-noughts-at-the-end");
    desk("cook.csv", text.replace("10:04,L1,75", "10:04,L1,\0\0")).unusable("spoilt-noughts-in-a-row");
    desk("cook.csv", [0; 4096]).unusable("spoilt-noughts-alone");
}

/// The cells are all there, the last one half: only an end mark can tell.
#[test]
fn half_a_number_at_the_end() {
    let text = readings().replace(",75\n", ",75.25\n");
    let end = MAPPING.replace("    lot: Lot\n    columns", "    lot: Lot\n    end-mark: End\n    columns");
    let half = &text[..text.len() - 4];
    let desk = Desk::new();
    desk.put("cook.csv", half).put("mapping.yaml", end).unusable("spoilt-end-mark");
    desk.put("cook.csv", format!("{text}End\n"));
    assert_eq!(desk.verify().status, 0);
}

#[test]
fn a_folder_where_a_file_should_be() {
    let folder = |name: &str, case: &str| {
        let desk = Desk::new();
        desk.drop(name);
        std::fs::create_dir(desk.path().join(name)).unwrap();
        desk.unusable(case);
    };
    folder("cook.csv", "spoilt-folder-records");
    folder("lots.csv", "spoilt-folder-lots");
    folder("mapping.yaml", "spoilt-folder-mapping");
    folder("plan.haccp", "spoilt-folder-plan");
    let desk = Desk::new();
    desk.put("out.json", "the older one");
    let ran =
        desk.run(&["verify", "plan.haccp", "--mapping", "mapping.yaml", "--records", "cook.csv", "--json", "out.json"]);
    same("spoilt-file-for-folder", &ran.err);
    assert_eq!((ran.status, ran.out.as_str(), desk.left().as_str()), (2, "", "the older one"));
}

/// A sheet whose own head says that it unpacks to gigabytes. `tests/trust.py` has one that says nothing of it and does.
#[test]
fn a_workbook_that_would_swell() {
    let whole = workbook(&[("xl/worksheets/sheet1.xml", &sheet("", ""))]);
    assert_eq!(desk("cook.xlsx", &whole).verify().status, 0);
    // The entry in the directory of the archive: 46 bytes before the name, the size at the 24th.
    let name = b"xl/worksheets/sheet1.xml";
    let at = whole.windows(name.len()).rposition(|window| window == name).unwrap() - 46;
    let mut vast = whole;
    vast[at + 24..at + 28].copy_from_slice(&3_000_000_000_u32.to_le_bytes());
    desk("cook.xlsx", vast).unusable("spoilt-workbook-swells");
}

/// Entities that multiply each other, and one that names a file of this machine: neither is followed.
#[test]
fn entities_in_a_workbook() {
    let mut doctype = "<!DOCTYPE worksheet [<!ENTITY e0 \"9999999999\">".to_owned();
    for level in 1..12 {
        write!(doctype, "<!ENTITY e{level} \"{}\">", format!("&e{};", level - 1).repeat(10)).unwrap();
    }
    doctype.push_str("]>");
    let swelling = workbook(&[("xl/worksheets/sheet1.xml", &sheet(&doctype, "&e11;"))]);
    desk("cook.xlsx", swelling).unusable("spoilt-entities");
    let reaching = sheet("<!DOCTYPE worksheet [<!ENTITY far SYSTEM \"lots.csv\">]>", "&far;");
    desk("cook.xlsx", workbook(&[("xl/worksheets/sheet1.xml", &reaching)])).unusable("spoilt-entity-of-a-file");
}
