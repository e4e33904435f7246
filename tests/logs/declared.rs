//! What a mapping can declare about odd files: signs, widths, headings, ends, lots and instruments.

use crate::{balanced, iso, lines, mapping, one, only, read_file, values, with};
use bourn::log::{Mapping, Memory, read};
use bourn::source::SourceId;

#[test]
fn quotation_mark_and_escape() {
    let yaml = iso("    quote: \"'\"\n    escape: \"\\\\\"\n");
    let records = read_file(&yaml, "Time,T,Note\n2026-09-14 10:00,3.1,'it\\'s, so'\n2026-09-14 10:01,3.2,\"\n");
    assert_eq!(values(&records.channels[0]), [3.1, 3.2]);
    assert!(records.findings.is_empty(), "{:?}", lines(&records.findings));
}

#[test]
fn columns_by_their_place() {
    let text =
        "Time              T    Note\n2026-09-14 10:00  3.1  x\n2026-09-14 10:01  12345678\n\n2026-09-14 10:02  3.3\n";
    let records = read_file(&iso("    widths: [18, 5, 10]\n"), text);
    assert_eq!(values(&records.channels[0]), [3.1, 3.3]);
    // A number that reaches over the border would lose its last digits.
    assert!(only(&records, "R109").starts_with("R109 a.csv:3:"));
    balanced(&records);
    let yaml = one("    delimiter: blanks\n    time: { columns: [Day, Clock], format: \"%Y-%m-%d %H:%M\" }\n");
    let records = read_file(&yaml, "Day Clock  T\n2026-09-14  10:00   3.1\n2026-09-14  10:01\n");
    assert_eq!(values(&records.channels[0]), [3.1]);
    assert!(only(&records, "R109").starts_with("R109 a.csv:3:"));
}

#[test]
fn columns_by_place_and_by_pattern() {
    let yaml =
        iso("    heading-rows: 0\n").replace("column: Time", "column: \"#1\"").replace("      T:", "      \"#2\":");
    let records = read_file(&yaml, "2026-09-14 10:00,3.1\n2026-09-14 10:01,3.2\n");
    assert_eq!(values(&records.channels[0]), [3.1, 3.2]);
    balanced(&records);
    let yaml = iso("").replace("      T:", "      \"Temp*(S/N: *)\":");
    let records = read_file(&yaml, "Time,Temp (S/N: 4711)\n2026-09-14 10:00,3.1\n");
    assert_eq!(values(&records.channels[0]), [3.1]);
    // A pattern that fits two columns says nothing.
    let records = read_file(&yaml, "Time,Temp (S/N: 1),Temp (S/N: 2)\n2026-09-14 10:00,3.1,9\n");
    assert!(only(&records, "R107").contains("stands over columns 2 and 3"));
    assert!(records.channels.is_empty());
}

#[test]
fn footers_and_the_mark_at_the_end() {
    let text = "Time,T\n2026-09-14 10:00,3.1\nMean,3.1\nEnd of file\n";
    let records = read_file(&iso("    footer: Mean\n    end-mark: End of file\n"), text);
    assert_eq!((values(&records.channels[0]), records.files[0].footer_rows), (vec![3.1], 2));
    assert!(records.findings.is_empty(), "{:?}", lines(&records.findings));
    balanced(&records);
    let cut = read_file(&iso("    footer: Mean\n    end-mark: End of file\n"), "Time,T\n2026-09-14 10:00,3.1\n");
    assert_eq!(
        only(&cut, "R116"),
        "R116 a.csv:2: `a.csv` does not end with `End of file`: rows may be missing at its end"
    );
    // A reading below a footer is read: it could be the one that is not met.
    let after = read_file(&iso("    footer: Mean\n"), "Time,T\n2026-09-14 10:00,3.1\nMean,3.1\n2026-09-14 10:01,9\n");
    assert_eq!(values(&after.channels[0]), [3.1, 9.0]);
}

#[test]
fn the_lot_in_the_name_of_the_file() {
    let yaml = iso("    lot-in-name: \"kiln-*.csv\"\n").replace("files: a.csv", "files: \"*.csv\"");
    let files = Memory::default()
        .with("kiln-B7.csv", "Time,T\n2026-09-14 10:00,3.1\n")
        .with("other.csv", "Time,T\n2026-09-14 10:00,9\n");
    let records = read(&mapping(&yaml), &files);
    assert_eq!(records.channels.iter().map(|one| one.lot.as_deref()).collect::<Vec<_>>(), [Some("B7")]);
    assert!(
        only(&records, "R308").contains("the name of `other.csv` does not fit `kiln-*.csv`, so its lot is not known")
    );
}

/// A file of another probe passes for this lot, unless the serial number in its heading is held against those of the plant.
#[test]
fn the_instrument_by_serial_number_or_column() {
    let yaml = iso("").replace(
        "      T: { parameter: core,",
        "      \"T *\": { parameter: core, serials: { \"4711\": probe-a, \"4712\": probe-b },",
    );
    let read = |serial: &str| read_file(&yaml, format!("Time,T (S/N: {serial})\n2026-09-14 10:00,3.1\n"));
    assert_eq!(read("4712").channels[0].instrument.as_deref(), Some("probe-b"));
    let strange = read("9999");
    assert!(only(&strange, "R117").contains("holds none of the serial numbers that the mapping knows"));
    assert!(strange.channels.is_empty());
    let yaml = iso("    instrument-column: Probe\n");
    let records = read_file(
        &yaml,
        "Time,Probe,T\n2026-09-14 10:00,a,3\n2026-09-14 10:00,b,4\n2026-09-14 10:01,a,5\n2026-09-14 10:02,,6\n",
    );
    let shown: Vec<(Option<&str>, Vec<f64>)> =
        records.channels.iter().map(|one| (one.instrument.as_deref(), values(one))).collect();
    assert_eq!(shown, [(None, vec![6.0]), (Some("a"), vec![3.0, 5.0]), (Some("b"), vec![4.0])]);
    assert_eq!(with(&records, "R308").len(), 1);
}

#[test]
fn one_reading_a_row() {
    let yaml =
        one("    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    long: { name: Sensor, value: Reading }\n")
            .replace("      T: {", "      \"Core*\": { parameter: core, unit: °C }\n      Air: {")
            .replace("Air: { parameter: core", "Air: { parameter: air");
    let records = read_file(
        &yaml,
        "Time,Sensor,Reading\n2026-09-14 10:00,Core 1,70\n2026-09-14 10:00,Air,80\n2026-09-14 10:01,Core 1,71\n2026-09-14 10:01,Door,1\n",
    );
    let shown: Vec<(&str, Vec<f64>)> =
        records.channels.iter().map(|one| (one.parameter.as_str(), values(one))).collect();
    assert_eq!(shown, [("air", vec![80.0]), ("core", vec![70.0, 71.0])]);
    assert_eq!(
        only(&records, "R118"),
        "R118 a.csv:5:Sensor `Door` is no reading that the mapping knows; such rows are not used"
    );
    balanced(&records);
    let lacking = read_file(&yaml, "Time,Sensor,Reading\n2026-09-14 10:00,Core 1,70\n");
    assert!(only(&lacking, "R106").contains("no row of `a.csv` is named `Air` in column `Sensor`"));
}

#[test]
fn keys_that_exclude_each_other_and_open_questions() {
    let codes = |yaml: &str| {
        let (mapping, findings) = Mapping::parse(yaml, SourceId(0));
        assert!(mapping.is_none());
        findings.iter().map(|finding| finding.rule.code).collect::<Vec<_>>()
    };
    assert_eq!(codes(&iso("    widths: [3]\n    delimiter: tab\n")), ["R012"]);
    assert_eq!(codes(&iso("    lot: L\n    lot-in-name: \"*.csv\"\n")), ["R012"]);
    assert_eq!(codes(&iso("    lot-in-name: a.csv\n")), ["R006"]);
    assert_eq!(codes(&iso("    quote: ab\n")), ["R006"]);
    assert_eq!(codes(&iso("    quote: \",\"\n")), ["R012"]);
    let (mapping, findings) = Mapping::parse(&iso("").replace("unit: °C", "unit: \"?\""), SourceId(0));
    assert!(mapping.is_none());
    assert_eq!(lines(&findings).len(), 1);
    assert!(lines(&findings)[0].ends_with("`unit` is still a question"), "{:?}", lines(&findings));
}
