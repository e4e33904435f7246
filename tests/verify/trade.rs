//! Figures of the trade for dried and smoked strips, each written as a limit, an operating limit, a sum over the load or
//! a property of the product, and held against invented records that keep it and that do not.
//!
//! Every figure here is common practice, no source. None of them is a safety limit by itself, and no plant should take
//! one over without its own proof. All records are invented.

use bourn::check;
use bourn::log::{Mapping, Memory, read};
use bourn::plan;
use bourn::source::{Source, Sources};
use bourn::verdict::Verdict::{self, Met, NotMet, NotShown};
use bourn::verify::{Period, verify};

const PLAN: &str = r#"plan strips "Dried strips" { time-zone UTC }
role worker "Worker" { duties "All" }

product strips "Dried strips" {
  shelf-life  15 months "Common practice, no source"
}

parameter slice           "Thickness of a slice"        { unit mm }
parameter strip-thickness "Thickness of a dried strip"  { unit mm }
parameter strip-length    "Length of a dried strip"     { unit cm }
parameter house           "Air of the smokehouse"       { unit °C }
parameter strips-per-rod  "Strips on a rod"             { unit pieces }
parameter rods            "Rods on a rack"              { unit number }
parameter oxygen          "Oxygen left in the pouch"    { unit % }
parameter absorber        "Absorber of oxygen in the pouch" { answers present, missing }

parameter hung "Strips on a rack" {
  unit     pieces
  from     strips-per-rod * rods
  pairing  within 1 h
}

step cut  "Slicing"      { start }
step drum "Tumbling"     { stage tumbling from drum-on to drum-off }
step soak "Soaking"      { stage soaking from soak-in to soak-out }
step hang "Hanging"      { does "On rods, on racks" }
step smoke "Smoking"     { stage smoking from house-on to house-off }
step pack "Packing"      { stage packing from pack-start to pack-end; dispatch }

control size "Sizes" at cut {
  kind process
  operating-limit thin     slice <= 5 mm in every sample, at least 3 per lot
  operating-limit dry-thin strip-thickness between 3 mm and 4 mm in every sample, at least 3 per lot
  operating-limit length   strip-length = 7 cm ± 0.5 cm in every sample, at least 3 per lot
  monitor slice, strip-thickness, strip-length each lot by worker on sheet
}

control marinade "Marinade" at drum, soak {
  kind process
  limit drummed  tumbling lasts at least 1 h
  limit soaked   soaking lasts at least 30 min
}

control hanging "Load" at hang {
  kind process
  operating-limit rod-full   strips-per-rod <= 30 pieces in every sample, at least 2 per lot
  operating-limit rack-full  rods <= 100 in every sample, at least 2 per lot
  limit load                 hung <= 3000 pieces in every sample, at least 2 per lot
  monitor strips-per-rod, rods each lot by worker on sheet
}

ccp smokehouse "Smokehouse" at smoke {
  limit not-too-hot  house <= 82 °C during smoking
  limit long-enough  smoking lasts at least 5 h
  limit not-too-long smoking lasts at most 6 h
  monitor house continuously step 30 min by worker on sheet
}

ccp pouch "Pouch" at pack {
  limit low-oxygen  oxygen <= 1 % in every sample, at least 2 per lot
  limit absorbed    absorber is present during packing
  limit dated       from pack-end to best-before within 457 d
  monitor oxygen    each lot by worker on sheet
  monitor absorber  every 1 h late after 10 min by worker on sheet
}

record sheet "Sheet" { kept for 2 years }
event drum-on     on sheet
event drum-off    on sheet
event soak-in     on sheet
event soak-out    on sheet
event house-on    on sheet
event house-off   on sheet
event pack-start  on sheet
event pack-end    on sheet
event best-before on sheet
"#;

const MAPPING: &str = r#"zone: UTC
lots:
  - files: [lots.csv]
    record: sheet
    time: { format: "%Y-%m-%d %H:%M" }
    lot: Lot
    events:
      drum-on: Drum on
      drum-off: Drum off
      soak-in: Soak in
      soak-out: Soak out
      house-on: House on
      house-off: House off
      pack-start: First pouch
      pack-end: Last pouch
      best-before: Best before
readings:
  - files: [house.csv]
    record: sheet
    lot: Lot
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns: { House: { parameter: house, unit: °C } }
  - files: [absorber.csv]
    record: sheet
    lot: Lot
    spot: true
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns: { Absorber: { parameter: absorber, answers: { present: [in], missing: [out] } } }
samples:
  - files: [cut.csv]
    record: sheet
    lot: Lot
    sample: No
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns: { Slice: { parameter: slice, unit: mm } }
  - files: [strip.csv]
    record: sheet
    lot: Lot
    sample: No
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns:
      Thickness: { parameter: strip-thickness, unit: mm }
      Length: { parameter: strip-length, unit: cm }
  - files: [racks.csv]
    record: sheet
    lot: Lot
    sample: Rack
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns:
      Strips: { parameter: strips-per-rod, unit: pieces }
      Rods: { parameter: rods, unit: number }
  - files: [pouches.csv]
    record: sheet
    lot: Lot
    sample: Pouch
    time: { column: Time, format: "%Y-%m-%d %H:%M" }
    columns: { Oxygen: { parameter: oxygen, unit: "%" } }
"#;

/// What is on record about the one lot. As made it keeps every figure.
struct Lot {
    /// The nine events, in the order of the register.
    events: [&'static str; 9],
    slices: Vec<&'static str>,
    /// Thickness and length.
    strips: Vec<(&'static str, &'static str)>,
    /// Strips on a rod, rods on the rack.
    racks: Vec<(&'static str, &'static str)>,
    /// Every half hour from 06:30.
    house: Vec<&'static str>,
    oxygen: Vec<&'static str>,
    /// Time and answer.
    absorber: Vec<(&'static str, &'static str)>,
}

impl Lot {
    fn good() -> Lot {
        Lot {
            events: [
                "2026-10-05 04:00",
                "2026-10-05 05:02",
                "2026-10-05 05:10",
                "2026-10-05 05:42",
                "2026-10-05 07:00",
                "2026-10-05 12:30",
                "2026-10-06 08:00",
                "2026-10-06 09:30",
                "2028-01-06 00:00",
            ],
            slices: vec!["4.2", "4.8", "5.0"],
            strips: vec![("3.0", "6.6"), ("3.5", "7.0"), ("4.0", "7.5")],
            racks: vec![("30", "100"), ("28", "96")],
            house: vec!["60", "70", "78", "81", "82", "82", "81.5", "82", "81", "80", "79", "70", "60"],
            oxygen: vec!["0.3", "0.6"],
            absorber: vec![("07:55", "in"), ("08:55", "in"), ("09:35", "in")],
        }
    }

    fn verdict(&self, limit: &str) -> Verdict {
        let (all, findings) = self.judged();
        assert!(findings.is_empty(), "{findings:?}");
        all.iter().find(|(name, _)| name == limit).unwrap_or_else(|| panic!("no limit {limit}: {all:?}")).1
    }

    fn judged(&self) -> (Vec<(String, Verdict)>, Vec<String>) {
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", PLAN));
        let reading = plan::read(&sources, &[id]);
        assert!(reading.findings.is_empty(), "{:#?}", reading.findings);
        let sampled = |head: &str, rows: &[String]| {
            let rows: String =
                rows.iter().enumerate().map(|(at, row)| format!("L1,2026-10-05 06:00,{},{row}\n", at + 1)).collect();
            format!("Lot,Time,{head}\n{rows}")
        };
        let single = |rows: &[&str]| -> Vec<String> { rows.iter().map(|row| (*row).to_owned()).collect() };
        let double = |rows: &[(&str, &str)]| -> Vec<String> { rows.iter().map(|(a, b)| format!("{a},{b}")).collect() };
        let house: String = self
            .house
            .iter()
            .enumerate()
            .map(|(at, value)| format!("L1,2026-10-05 {:02}:{:02},{value}\n", (13 + at) / 2, (13 + at) % 2 * 30))
            .collect();
        let absorber: String =
            self.absorber.iter().map(|(time, answer)| format!("L1,2026-10-06 {time},{answer}\n")).collect();
        let register = "Lot,Drum on,Drum off,Soak in,Soak out,House on,House off,First pouch,Last pouch,Best before";
        let memory = Memory::default()
            .with("lots.csv", format!("{register}\nL1,{}\n", self.events.join(",")))
            .with("house.csv", format!("Lot,Time,House\n{house}"))
            .with("absorber.csv", format!("Lot,Time,Absorber\n{absorber}"))
            .with("cut.csv", sampled("No,Slice", &single(&self.slices)))
            .with("strip.csv", sampled("No,Thickness,Length", &double(&self.strips)))
            .with("racks.csv", sampled("Rack,Strips,Rods", &double(&self.racks)))
            .with("pouches.csv", sampled("Pouch,Oxygen", &single(&self.oxygen)));
        let id = sources.add(Source::new("mapping", MAPPING));
        let (parsed, findings) = Mapping::parse(MAPPING, id);
        let records = read(&parsed.unwrap_or_else(|| panic!("{findings:#?}")), &memory);
        let whole = verify(&reading.plan, &records, Period::default());
        let found = records.findings.iter().map(|finding| finding.message.clone()).collect();
        let limits = &whole.lots[0].limits;
        (limits.iter().map(|limit| (limit.limit.clone(), limit.verdict)).collect(), found)
    }
}

/// The verdict on one limit after one change of the records.
fn after(limit: &str, change: impl FnOnce(&mut Lot)) -> Verdict {
    let mut lot = Lot::good();
    change(&mut lot);
    lot.verdict(limit)
}

/// Common practice, no source: all figures at once, on a lot that keeps them.
#[test]
fn a_lot_that_keeps_every_figure() {
    let (verdicts, findings) = Lot::good().judged();
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(verdicts.len(), 14, "{verdicts:?}");
    assert!(verdicts.iter().all(|(_, verdict)| *verdict == Met), "{verdicts:?}");
}

/// Common practice, no source: slices no thicker than 5 mm.
#[test]
fn slices_no_thicker_than_5_mm() {
    assert_eq!(after("thin", |lot| lot.slices[1] = "5.1"), NotMet, "one thick slice, whatever the mean");
    assert_eq!(after("thin", |lot| lot.slices.truncate(2)), NotShown, "two measured, three asked for");
    assert_eq!(after("thin", |lot| lot.slices[0] = "<6"), NotShown, "a gauge that reads no finer");
}

/// Common practice, no source: finished strips 3 to 4 mm thick and about 7 cm long, here 7 cm ± 0.5 cm.
#[test]
fn finished_strips_3_to_4_mm_thick_and_about_7_cm_long() {
    assert_eq!(after("dry-thin", |lot| lot.strips[0].0 = "2.9"), NotMet);
    assert_eq!(after("dry-thin", |lot| lot.strips[2].0 = "4.1"), NotMet);
    assert_eq!(after("dry-thin", |lot| lot.strips.truncate(1)), NotShown);
    assert_eq!(after("length", |lot| lot.strips[0].1 = "6.4"), NotMet);
    assert_eq!(after("length", |lot| lot.strips[1].1 = "7.6"), NotMet);
    assert_eq!(after("length", |lot| lot.strips[1].1 = ""), NotShown);
}

/// Common practice, no source: at least 1 h in the drum, and a soak of 30 min.
#[test]
fn an_hour_in_the_drum_and_a_soak_of_half_an_hour() {
    assert_eq!(after("drummed", |lot| lot.events[1] = "2026-10-05 04:57"), NotMet);
    let sharp = |lot: &mut Lot| lot.events[1] = "2026-10-05 05:00";
    assert_eq!(after("drummed", sharp), NotShown, "typed to the minute, 1 h may be 59 min and a half");
    assert_eq!(after("drummed", |lot| lot.events[1] = ""), NotShown, "nobody wrote when it ended");
    assert_eq!(after("soaked", |lot| lot.events[3] = "2026-10-05 05:37"), NotMet);
    assert_eq!(after("soaked", |lot| lot.events[3] = "2026-10-05 04:10"), NotShown, "an end before the start");
}

/// Common practice, no source: a smokehouse no hotter than 82 °C, for 5 to 6 h.
#[test]
fn a_smokehouse_no_hotter_than_82_degrees_for_5_to_6_h() {
    assert_eq!(after("not-too-hot", |lot| lot.house[6] = "82.1"), NotMet);
    assert_eq!(after("not-too-hot", |lot| lot.house[6] = ""), Met, "one reading missed, joined by its neighbours");
    let silent = |lot: &mut Lot| lot.house[4..9].fill("");
    assert_eq!(after("not-too-hot", silent), NotShown, "nothing shows the air for three hours");
    assert_eq!(after("long-enough", |lot| lot.events[5] = "2026-10-05 11:57"), NotMet);
    assert_eq!(after("not-too-long", |lot| lot.events[5] = "2026-10-05 13:03"), NotMet);
    assert_eq!(after("not-too-long", |lot| lot.events[5] = ""), NotShown);
}

/// Common practice, no source: 30 strips a rod and 100 rods a rack, so 3,000 strips a rack.
#[test]
fn thirty_strips_a_rod_and_a_hundred_rods_a_rack() {
    assert_eq!(after("rod-full", |lot| lot.racks[0].0 = "31"), NotMet);
    assert_eq!(after("rack-full", |lot| lot.racks[1].1 = "101"), NotMet);
    // Fuller rods on fewer rods: the sum over the rack is what the heat sees.
    assert_eq!(after("load", |lot| lot.racks[0] = ("31", "96")), Met, "2976 strips");
    assert_eq!(after("load", |lot| lot.racks[0] = ("31", "97")), NotMet, "3007 strips");
    assert_eq!(after("load", |lot| lot.racks[0] = ("30", "")), NotShown, "rods not counted");
    assert_eq!(after("load", |lot| lot.racks.truncate(1)), NotShown, "one rack of two");
}

/// Common practice, no source: oxygen displaced by nitrogen, an absorber in the pouch, the gas checked.
#[test]
fn oxygen_displaced_by_nitrogen_with_an_absorber() {
    assert_eq!(after("low-oxygen", |lot| lot.oxygen[1] = "1.2"), NotMet);
    assert_eq!(after("low-oxygen", |lot| lot.oxygen[1] = ""), NotShown, "one pouch of two");
    assert_eq!(after("low-oxygen", |lot| lot.oxygen[0] = "<1"), Met, "below what the meter shows");
    assert_eq!(after("absorbed", |lot| lot.absorber[1].1 = "out"), NotMet);
    assert_eq!(after("absorbed", |lot| lot.absorber.truncate(1)), NotShown);
}

/// Common practice, no source: a shelf life of about 15 months. The product says it in months of the calendar, and a record
/// that is kept for less is found; a limit counts a day as 24 h, and 15 months are no more than 457 of them.
#[test]
fn a_shelf_life_of_15_months() {
    let found = |text: String| -> Vec<String> {
        let mut sources = Sources::new();
        let id = sources.add(Source::new("plan", text));
        let reading = plan::read(&sources, &[id]);
        let on = chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
        let all = check::check(&reading.plan, on);
        all.iter().filter(|finding| finding.rule.name == "short-retention").map(|one| one.message.clone()).collect()
    };
    assert_eq!(found(PLAN.to_owned()), Vec::<String>::new());
    let short = found(PLAN.replace("kept for 2 years", "kept for 15 months"));
    assert_eq!(short.len(), 1, "{short:?}");
    assert_eq!(after("dated", |lot| lot.events[8] = "2028-01-07 00:00"), NotMet, "a date too far on");
    assert_eq!(after("dated", |lot| lot.events[8] = ""), NotShown, "no date printed");
}
