//! The records.

use bourn::verdict::Verdict::{self, NotMet, NotShown};

pub struct Case {
    /// The number of the hazard, the commonest first.
    pub number: u32,
    /// What happens if the record is read carelessly.
    pub what: &'static str,
    pub limit: &'static str,
    pub instrument: &'static str,
    pub mapping: String,
    pub files: Vec<(&'static str, String)>,
    /// The register, if it is not the usual one: one lot from 10:00 to 10:10.
    pub lots: &'static str,
    /// Whether start and end stand on another record than the readings.
    pub other_clock: bool,
    /// The verdict; none where the mapping is refused.
    pub verdict: Option<Verdict>,
    /// Codes that must be among what is said.
    pub said: Vec<&'static str>,
    /// Files, mapping and register with which the limit is met.
    pub sound: Option<Vec<(&'static str, String)>>,
    pub sound_mapping: Option<String>,
    pub sound_lots: Option<&'static str>,
}

/// Values of ten minutes from 10:00, one a minute.
fn minutes(values: &[&str]) -> String {
    values.iter().enumerate().map(|(at, value)| format!("2026-10-05 10:{at:02},L1,{value}\n")).collect()
}

fn log(values: &[&str]) -> Vec<(&'static str, String)> {
    vec![("a.csv", format!("Time,Lot,Core\n{}", minutes(values)))]
}

/// A mapping of `a.csv`, with further lines of the entry and of the column.
fn mapped(entry: &str, column: &str) -> String {
    format!(
        "readings:\n  - files: [\"a*.csv\"]\n    record: log\n    time: {{ column: Time, format: \"%Y-%m-%d %H:%M\" }}\n    lot: Lot\n{entry}    columns:\n      Core: {{ parameter: core, instrument: probe, unit: °C{column} }}\n"
    )
}

fn case(number: u32, what: &'static str, limit: &'static str, values: &[&str]) -> Case {
    Case {
        number,
        what,
        limit,
        instrument: "",
        mapping: mapped("", ""),
        files: log(values),
        lots: "",
        other_clock: false,
        verdict: Some(NotShown),
        said: Vec::new(),
        sound: None,
        sound_mapping: None,
        sound_lots: None,
    }
}

const COLD: [&str; 11] = ["3"; 11];
const HOT: [&str; 11] = ["75"; 11];

fn with(values: [&'static str; 11], changes: &[(usize, &'static str)]) -> Vec<&'static str> {
    let mut values = values.to_vec();
    for (at, value) in changes {
        values[*at] = value;
    }
    values
}

pub fn cases() -> Vec<Case> {
    let mut cases = readings();
    cases.extend(time());
    cases.extend(others());
    cases
}

/// Values that are none, or not what they seem.
fn readings() -> Vec<Case> {
    vec![
        Case {
            said: vec!["R304"],
            mapping: mapped("", ", range: [-50, 150]"),
            sound: Some(log(&COLD)),
            ..case(1, "-200 is below 4 °C", "x core <= 4 °C", &with(COLD, &[(4, "-200"), (5, "-200"), (6, "-200")]))
        },
        Case {
            sound: Some(log(&COLD)),
            ..case(2, "blanks are skipped and the neighbours joined", "x core <= 4 °C", &with(COLD, &[(4, ""), (5, ""), (6, "")]))
        },
        Case {
            files: vec![("a.csv", "Time,Lot,Core\n2026-10-05 10:00,L1,80\n2026-10-05 10:01,L1,78\n2026-10-05 10:09,L1,3\n2026-10-05 10:10,L1,2\n".into())],
            sound: Some(log(&["80", "50", "40", "30", "20", "10", "4", "4", "3", "3", "2"])),
            ..case(3, "a line over the gap cools within minutes", "x core from 60 °C to 10 °C within 8 min", &[])
        },
        Case {
            verdict: Some(NotShown),
            said: vec!["R302"],
            mapping: mapped("    delimiter: \";\"\n    decimal: \".\"\n", ""),
            files: vec![("a.csv", format!("Time;Lot;Core\n{}", minutes(&["69,5"; 11]).replace(",L1,", ";L1;")))],
            sound: Some(vec![("a.csv", format!("Time;Lot;Core\n{}", minutes(&HOT).replace(",L1,", ";L1;")))]),
            ..case(6, "69,5 is read as 695", "x core >= 70 °C", &[])
        },
        Case {
            mapping: mapped("", "").replace("      Core:", "      \"Core 2\": { parameter: core, probe: two, instrument: probe, unit: °C }\n      Core:").replace("parameter: core, instrument", "parameter: core, probe: one, instrument"),
            files: vec![("a.csv", format!("Time,Lot,Core,Core 2\n{}", minutes(&HOT).replace(",75", ",75,65")))],
            verdict: Some(NotMet),
            sound: Some(vec![("a.csv", format!("Time,Lot,Core,Core 2\n{}", minutes(&HOT).replace(",75", ",75,70")))]),
            ..case(7, "75 and 65 are 70 on average", "x core >= 70 °C held for 5 min", &[])
        },
        Case {
            verdict: Some(NotMet),
            sound: Some(log(&["158"; 11])),
            mapping: mapped("", "").replace("unit: °C", "unit: °F"),
            files: log(&["157.5"; 11]),
            ..case(15, "157.5 is printed as 158", "x core >= 158 °F", &[])
        },
        Case {
            instrument: "stuck after 5 min;",
            sound: Some(log(&["75", "75.1", "75", "75.1", "75", "75.1", "75", "75.1", "75", "75.1", "75"])),
            ..case(23, "a flat line is a perfect hold", "x core >= 70 °C held for 7 min", &HOT)
        },
        Case {
            instrument: "stuck after 5 min;",
            sound: Some(log(&["3.0", "3.1", "3.0", "3.2", "3.0", "3.1", "3.0", "3.1", "3.0", "3.1", "3.0"])),
            ..case(24, "the last good value goes on", "x core <= 4 °C", &["3.0", "3.1", "3.2", "3.2", "3.2", "3.2", "3.2", "3.2", "3.2", "3.2", "3.2"])
        },
    ]
}

/// Units, dates, clocks, rows.
fn time() -> Vec<Case> {
    let day_first = mapped("", "").replace("%Y-%m-%d %H:%M", "%d/%m/%Y %H:%M");
    let stamped = |from: &str, to: &str| log(&HOT)[0].1.replace(from, to);
    let double: String = (0..6).map(|at| format!("2026-10-05 10:{at:02},L1,75\n")).collect();
    vec![
        // 10/05 is the tenth of May where the day stands first: nothing of the lot's own day is there.
        Case {
            mapping: day_first.clone(),
            files: vec![("a.csv", stamped("2026-10-05", "10/05/2026"))],
            said: vec!["R205"],
            sound: Some(vec![("a.csv", stamped("2026-10-05", "05/10/2026"))]),
            ..case(4, "another day's cook is taken for this one", "x core >= 70 °C held for 5 min", &[])
        },
        Case {
            mapping: mapped("", "").replace(", format: \"%Y-%m-%d %H:%M\"", ""),
            files: vec![("a.csv", stamped("2026-10-05", "05/10/2026"))],
            said: vec!["R204"],
            sound: Some(vec![("a.csv", stamped("2026-10-05", "05/10/2026"))]),
            sound_mapping: Some(day_first),
            ..case(4, "a guessed order", "x core >= 70 °C held for 5 min", &[])
        },
        // 150 °F is 66 °C.
        Case {
            mapping: mapped("", "").replace("unit: °C", "unit: °F"),
            verdict: Some(NotMet),
            sound: Some(log(&["170"; 11])),
            ..case(5, "150 °F is above 74", "x core >= 74 °C", &["150"; 11])
        },
        Case {
            mapping: mapped("", "").replace(", unit: °C", ""),
            verdict: None,
            said: vec!["R005"],
            sound: Some(log(&HOT)),
            sound_mapping: Some(mapped("", "")),
            ..case(5, "a unit is guessed", "x core >= 74 °C", &["150"; 11])
        },
        // Five minutes above 70 °C, written twice.
        Case {
            files: vec![("a.csv", format!("Time,Lot,Core\n{double}{}{double}", minutes(&["60"; 11]).lines().skip(6).map(|line| format!("{line}\n")).collect::<String>()))],
            verdict: Some(NotMet),
            said: vec!["R306"],
            sound: Some(log(&HOT)),
            ..case(8, "five minutes twice are ten", "x core >= 70 °C in total at least 8 min", &[])
        },
        Case {
            mapping: mapped("", "").replace("Core: {", "\"Core*\": {").replace("instrument: probe", "serials: { \"4711\": probe }"),
            files: vec![("a.csv", log(&HOT)[0].1.replace("Core", "Core (S/N 9999)"))],
            said: vec!["R117"],
            sound: Some(vec![("a.csv", log(&HOT)[0].1.replace("Core", "Core (S/N 4711)"))]),
            ..case(9, "another probe's file", "x core >= 70 °C held for 5 min", &[])
        },
        // The headings in the middle cost the reading next to them, which is the one that is too warm.
        Case {
            files: vec![("a.csv", format!("Time,Lot,Core\n{}", minutes(&with(COLD, &[(5, "9")])).replace("2026-10-05 10:05", "Time,Lot,Core\n2026-10-05 10:05")))],
            verdict: Some(NotMet),
            said: vec!["R112"],
            sound: Some(log(&COLD)),
            ..case(10, "headings again, and the reading beside them is lost", "x core <= 4 °C", &[])
        },
        Case {
            mapping: mapped("", "").replace("%H:%M", "%I:%M"),
            verdict: None,
            said: vec!["R010"],
            sound: Some(log(&HOT)),
            sound_mapping: Some(mapped("", "")),
            ..case(11, "10:00 at night is taken for the morning", "x core >= 70 °C held for 5 min", &HOT)
        },
        // The clock went back at 02:00: 01:50 to 02:10 on the clock could be an hour longer.
        Case {
            mapping: mapped("", "").replace("%H:%M\" }", "%H:%M\", zone: Europe/London }"),
            files: vec![("a.csv", "Time,Lot,Core\n2026-10-25 00:58,L1,75\n2026-10-25 00:59,L1,75\n2026-10-25 01:30,L1,60\n2026-10-25 01:31,L1,60\n2026-10-25 02:00,L1,75\n2026-10-25 02:01,L1,75\n".into())],
            lots: "Lot,Start,End\nL1,2026-10-24 23:58,2026-10-25 02:01\n",
            said: vec!["R203"],
            ..case(12, "an hour is gained at the clock change", "x core >= 70 °C in total at least 1 h", &[])
        },
        Case {
            mapping: mapped("", "").replace("readings:", "# no-zone\nreadings:"),
            verdict: None,
            said: vec!["R005"],
            ..case(12, "no zone", "x core >= 70 °C held for 5 min", &HOT)
        },
    ]
}

/// Coverage, files, other kinds of record.
fn others() -> Vec<Case> {
    let samples = |column: &str| {
        format!(
            "samples:\n  - files: [a.csv]\n    record: log\n    time: {{ column: Time, format: \"%Y-%m-%d %H:%M\" }}\n    lot: Lot\n    sample: Sample\n    columns:\n      Result: {{ {column} }}\n"
        )
    };
    let result = |text: &str| vec![("a.csv", format!("Time,Lot,Sample,Result\n2026-10-05 10:05,L1,s1,{text}\n"))];
    let checks = "readings:\n  - files: [a.csv]\n    record: log\n    time: { column: Time, format: \"%Y-%m-%d %H:%M\" }\n    lot: Lot\n    spot: true\n    columns:\n      Fe: { parameter: piece, answers: { found: [P, OK, yes], lost: [F] } }\n";
    let check = |words: [&str; 2]| {
        vec![("a.csv", format!("Time,Lot,Fe\n2026-10-05 09:55,L1,{}\n2026-10-05 10:15,L1,{}\n", words[0], words[1]))]
    };
    vec![
        Case {
            files: vec![(
                "a.csv",
                "Time,Lot,Core\n2026-10-05 10:08,L1,3\n2026-10-05 10:09,L1,3\n2026-10-05 10:10,L1,3\n".into(),
            )],
            sound: Some(log(&COLD)),
            ..case(13, "the record begins when all is over", "x core <= 4 °C", &[])
        },
        Case {
            files: vec![("a.csv", "Time,Lot,Core\n2026-10-05 10:00,L1,75\n2026-10-05 10:10,L1,75\n".into())],
            sound: Some(log(&HOT)),
            ..case(14, "two readings far apart show a hold", "x core >= 70 °C held for 8 min", &[])
        },
        // The last minutes are lacking, and they were too warm.
        Case {
            mapping: mapped("    end-mark: END\n", ""),
            files: vec![("a.csv", format!("Time,Lot,Core\n{}", minutes(&COLD[..5])))],
            said: vec!["R116"],
            sound: Some(vec![("a.csv", format!("Time,Lot,Core\n{}END,,\n", minutes(&COLD)))]),
            ..case(16, "half a file", "x core <= 4 °C", &[])
        },
        Case {
            limit: "x germ n 1, c 0, m 5 cfu/g",
            mapping: samples("parameter: germ, unit: cfu/g"),
            files: result("<10"),
            sound: Some(result("<5")),
            ..case(17, "<10 is read as 10, or as nought", "", &[])
        },
        Case {
            limit: "x absence absent in 25 g",
            mapping: samples("parameter: absence, answers: { detected: [pos], not-detected: [n.d.] }"),
            files: result("n.d."),
            sound: Some(result("n.d.")),
            sound_mapping: Some(samples(
                "parameter: absence, answers: { detected: [pos], not-detected: [n.d.] }, mass: 25 g",
            )),
            ..case(17, "not detected, in an unknown mass", "", &[])
        },
        Case {
            limit: "x piece is found",
            mapping: checks.to_owned(),
            files: check(["P", "N/A"]),
            said: vec!["R307"],
            sound: Some(check(["P", "OK"])),
            ..case(18, "N/A is no F, so it is a pass", "", &[])
        },
        // Seven headings and eight values, as some programs write: every value stands under the wrong name.
        Case {
            files: vec![(
                "a.csv",
                log(&HOT)[0].1.replace(",75", ",65,75").replace("Core", "Air,Core").replace("Air,Core\n", "Core\n"),
            )],
            said: vec!["R109"],
            sound: Some(log(&HOT)),
            ..case(19, "each value under its neighbour's name", "x core >= 70 °C held for 5 min", &[])
        },
        // A probe of each of two lots in one oven: the hot one is of the other lot.
        Case {
            files: vec![("a.csv", log(&HOT)[0].1.replace("L1", "L2"))],
            lots: "Lot,Start,End\nL1,2026-10-05 10:00,2026-10-05 10:10\nL2,2026-10-05 10:00,2026-10-05 10:10\n",
            sound: Some(log(&HOT)),
            ..case(20, "two lots overlap, and the time fits both", "x core >= 70 °C held for 5 min", &[])
        },
        // Below 70 °C until 10:01, and the start stands on a record with another clock.
        Case {
            other_clock: true,
            limit: "x core >= 70 °C",
            files: vec![(
                "a.csv",
                format!(
                    "Time,Lot,Core\n2026-10-05 09:55,L1,60\n2026-10-05 09:56,L1,60\n2026-10-05 09:57,L1,60\n2026-10-05 09:58,L1,60\n2026-10-05 09:59,L1,60\n{}2026-10-05 10:11,L1,75\n2026-10-05 10:12,L1,75\n2026-10-05 10:13,L1,75\n",
                    minutes(&HOT)
                ),
            )],
            ..case(21, "two clocks agree to the minute", "", &[])
        },
        // Milk at 65 °C passed while nobody noted which way the valve stood: the flag excuses only what it says.
        Case {
            limit: "x core >= 70 °C { diverted when valve is diverted }",
            mapping: mapped("", "").replace(
                "    columns:\n",
                "    columns:\n      Valve: { parameter: valve, answers: { diverted: [D], forward: [F] } }\n",
            ),
            files: vec![(
                "a.csv",
                log(&with(HOT, &[(5, "65")]))[0]
                    .1
                    .replace("Core\n", "Core,Valve\n")
                    .replace(",75\n", ",75,F\n")
                    .replace(",65\n", ",65,?\n"),
            )],
            verdict: Some(NotMet),
            said: vec!["R307"],
            sound: Some(vec![(
                "a.csv",
                log(&with(HOT, &[(5, "65")]))[0]
                    .1
                    .replace("Core\n", "Core,Valve\n")
                    .replace(",75\n", ",75,F\n")
                    .replace(",65\n", ",65,D\n"),
            )]),
            ..case(22, "an unknown word about the valve excuses", "", &[])
        },
        // The same bytes under two names, and a file saved again: blanks where -200 stood, dates flipped.
        Case {
            files: vec![("a1.csv", log(&COLD[..6])[0].1.clone()), ("a2.csv", log(&COLD[..6])[0].1.clone())],
            said: vec!["R111"],
            sound: Some(log(&COLD)),
            ..case(25, "a copy fills the place of the second half", "x core <= 4 °C", &[])
        },
        Case {
            mapping: mapped("", ", missing: [NaN]"),
            sound: Some(log(&COLD)),
            ..case(
                25,
                "saved again, -200 became NaN and is skipped",
                "x core <= 4 °C",
                &with(COLD, &[(4, "NaN"), (5, "NaN"), (6, "NaN")]),
            )
        },
    ]
}
