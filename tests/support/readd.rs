//! The workings as a person redoes them: the printed lines alone are read, every column is added again, and what comes
//! out is held against the interval that is printed below it.

use std::collections::BTreeMap;

/// How many parts of each kind were added again.
pub type Added = BTreeMap<&'static str, usize>;

/// Adds every part of a printed text again.
pub fn readd(text: &str, added: &mut Added) {
    let mut part: Vec<String> = Vec::new();
    // The verdict of one limit, up to the blank line behind it, is no part of the next limit.
    let mut verdict = false;
    for line in lines(text) {
        verdict = line.starts_with("verdict: ") || verdict && !line.is_empty();
        if verdict {
            continue;
        }
        if line.starts_with("so: ") && !line.starts_with("so: check") {
            for kind in one(&part) {
                *added.entry(kind).or_default() += 1;
            }
            part.clear();
        } else {
            part.push(line);
        }
    }
}

/// Lines as they were before they were wrapped: what was broken off stands two deeper.
fn lines(text: &str) -> Vec<String> {
    let mut whole: Vec<String> = Vec::new();
    for line in text.lines() {
        let told = line.trim_start();
        let indent = line.len() - told.len();
        match whole.last_mut() {
            Some(last) if indent == 6 || indent == 10 => {
                last.push(' ');
                last.push_str(told);
            }
            _ => whole.push(told.to_owned()),
        }
    }
    whole.into_iter().map(|line| line.replace('\u{a0}', " ")).collect()
}

/// Adds one part again; the kinds of arithmetic that it held.
fn one(part: &[String]) -> Vec<&'static str> {
    let told = part.join("\n");
    let mut kinds = Vec::new();
    kinds.extend(times(part));
    kinds.extend(rates(part).then_some("rate"));
    kinds.extend(values(part).then_some("value"));
    kinds.extend(clock(part).then_some("clock"));
    kinds.extend(fall(part).then_some("fall"));
    kinds.extend(moments(part).then_some("moments"));
    kinds.extend(counted(part).then_some("samples"));
    let steps = part.iter().any(|line| line.contains("rows stand in ") || line.starts_with("sum"));
    let nothing = told.contains("no reading that shows anything") || told.contains("contradicts itself");
    // A wait is told by its clock alone: it may not have stopped.
    let open = told.contains("time until then") || told.contains("time between");
    assert!(!steps || nothing || open || !kinds.is_empty(), "nothing to add again in\n{told}");
    kinds
}

/// Nanoseconds of `1 h 20 min`, `-5 min`, `2.5 s`; nothing for a time without end.
fn duration(text: &str) -> Option<i64> {
    if text == "without end" || text == "anything" {
        return None;
    }
    let (sign, text) = text.strip_prefix('-').map_or((1, text), |rest| (-1, rest));
    let words: Vec<&str> = text.split_whitespace().collect();
    assert!(words.len().is_multiple_of(2) && !words.is_empty(), "no length of time: `{text}`");
    let one = |pair: &[&str]| {
        let unit = match pair[1] {
            "h" => 3_600_000_000_000,
            "min" => 60_000_000_000,
            "s" => 1_000_000_000,
            other => panic!("no unit of time: {other}"),
        };
        let (whole, part) = pair[0].split_once('.').unwrap_or((pair[0], ""));
        let part: i64 = format!("{part:0<9}").parse().unwrap();
        whole.parse::<i64>().unwrap() * unit + part * (unit / 1_000_000_000)
    };
    Some(sign * words.chunks(2).map(one).sum::<i64>())
}

/// The interval that a deciding line prints behind these words: least and most, as text.
fn interval(part: &[String], quantity: &str) -> Option<(String, String)> {
    let line = part.iter().find(|line| line.contains("asked for: ") && line.contains(quantity))?;
    let (_, rest) = line.split_once(quantity)?;
    let rest = rest.split("; asked for: ").next()?.split(';').next()?.trim();
    Some(match rest.strip_prefix("at least ") {
        Some(both) => {
            let (least, most) = both.split_once(", at most ")?;
            (least.to_owned(), most.to_owned())
        }
        None => match rest.strip_prefix("not shown at any moment, at most ") {
            Some(most) => ("none".to_owned(), most.to_owned()),
            None => (rest.to_owned(), rest.to_owned()),
        },
    })
}

/// Time in a condition: the two sums and the running stretches.
fn times(part: &[String]) -> Vec<&'static str> {
    let (mut sums, mut endless) = ([0_i64, 0], false);
    let (mut running, mut longest) = ([None::<i64>; 2], [None::<i64>; 2]);
    let mut grown = [0_i64, 0];
    let mut broken = [true, true];
    let mut steps = 0;
    for line in part {
        for (index, word) in ["least + ", "most + "].into_iter().enumerate() {
            let Some((_, figures)) = line.split_once(word) else { continue };
            steps += 1;
            let (more, sum) = figures.split_once(" = ").unwrap();
            match (duration(more), duration(sum)) {
                (Some(more), Some(sum)) => {
                    sums[index] += more;
                    grown[index] += more;
                    assert_eq!(sums[index], sum, "{line}\n{}", part.join("\n"));
                    broken[index] |= more == 0;
                }
                _ => endless = true,
            }
        }
        if line == "breaks the stretch" || line.starts_with("not in it") || line.contains("not joined") {
            broken = [true, true];
        }
        if let Some(figures) = line.strip_prefix("stretch so far: certain ") {
            let (certain, possible) = figures.split_once(", possible ").unwrap();
            for (index, word) in [certain, possible].into_iter().enumerate() {
                let now = if word == "none" { None } else { duration(word) };
                assert!(word != "without end" || endless, "{line}\n{}", part.join("\n"));
                if let Some(now) = now {
                    let kept = running[index].is_some_and(|before| now == before + grown[index]);
                    assert!(
                        kept || (broken[index] || running[index].is_none()) && now <= grown[index],
                        "{line}\n{}",
                        part.join("\n")
                    );
                    longest[index] = longest[index].max(Some(now));
                }
                (running[index], grown[index], broken[index]) = (now, 0, false);
            }
        }
    }
    let Some(total) = part.iter().find_map(|line| line.strip_prefix("sum of time in it: least ")) else {
        assert_eq!(steps, 0, "{}", part.join("\n"));
        return Vec::new();
    };
    let mut kinds = vec!["time"];
    let (least, most) = total.split_once(", most ").unwrap();
    assert_eq!(duration(least), Some(sums[0]), "{}", part.join("\n"));
    assert!(endless || duration(most) == Some(sums[1]), "{}", part.join("\n"));
    if let Some((least, most)) =
        interval(part, "time in it ").filter(|(least, _)| least != "none" && least != "could be")
    {
        // A forbidden band tells its longest stay.
        if !part.iter().any(|line| line.starts_with("compared with: never")) {
            // Where a sum starts anew, the steps are of one stretch: the one with the largest most.
            let anew = part.iter().any(|line| line.starts_with("the steps are of the stretch with the largest most"));
            let told = duration(&least) == Some(sums[0]) || least == "could be anything";
            assert!(anew || told, "{}", part.join("\n"));
            assert!(endless || duration(&most) == Some(sums[1]), "{}", part.join("\n"));
        }
    }
    if let Some(told) = part.iter().find_map(|line| line.strip_prefix("longest stretch: certain ")) {
        let (certain, possible) = told.split_once(", possible ").unwrap();
        let read = |word: &str| if word == "none" { None } else { duration(word) };
        // A lone reading is a stretch of nought, which no step adds to.
        assert_eq!(read(certain).filter(|time| *time > 0), longest[0].filter(|time| *time > 0), "{}", part.join("\n"));
        assert!(
            endless || read(possible).filter(|time| *time > 0) == longest[1].filter(|time| *time > 0),
            "{}",
            part.join("\n")
        );
        for quantity in ["longest stretch at ", "longest stay at "] {
            let whole = quantity.trim_end_matches("at ");
            if part.iter().any(|line| line.contains(quantity) && line.contains("asked for: "))
                && let Some((least, most)) = interval(part, whole)
            {
                assert_eq!(duration(&least), read(certain), "{}", part.join("\n"));
                assert!(endless || duration(&most) == read(possible), "{}", part.join("\n"));
                kinds.push("stretch");
            }
        }
    }
    kinds.extend(share(part, sums).then_some("share"));
    kinds
}

/// The balance of a share, where both ends of the window are certain.
fn share(part: &[String], sums: [i64; 2]) -> bool {
    let of = |prefix: &str| part.iter().find_map(|line| line.strip_prefix(prefix));
    let (Some(asked), Some(balance)) = (
        of("compared with: time in it less "),
        of("less the share of the duration, over the starts and ends that the window may have: least "),
    ) else {
        return false;
    };
    let ends: Vec<&String> = part.iter().filter(|line| line.starts_with("window ")).collect();
    let [start, end] = ends.as_slice() else { return false };
    if !start.contains("taken as written") || !end.contains("taken as written") {
        return false;
    }
    let share: f64 = asked.split(' ').next().unwrap().parse().unwrap();
    let length = instants(end)[0] - instants(start)[0];
    let (least, most) = balance.split_once(", most ").unwrap();
    for (told, sum) in [(least, sums[0]), (most, sums[1])] {
        #[allow(clippy::cast_precision_loss)]
        let wanted = sum as f64 - share * length as f64 * 1e9;
        #[allow(clippy::cast_precision_loss)]
        let told = duration(told).unwrap() as f64;
        assert!((wanted - told).abs() <= 2.0 + wanted.abs() * 1e-12, "{wanted} {told}\n{}", part.join("\n"));
    }
    true
}

/// The instants of a line, in seconds.
fn instants(line: &str) -> Vec<i64> {
    let places = line
        .match_indices(':')
        .filter(|(at, _)| line[at + 1..].len() >= 5 && line.as_bytes().get(at + 3) == Some(&b':'));
    places
        .filter_map(|(at, _)| line.get(at.checked_sub(13)?..at + 6))
        .filter_map(|text| chrono::NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M:%S").ok())
        .map(|at| at.and_utc().timestamp())
        .collect()
}

/// A figure printed to six places, in millionths.
fn millionths(figure: &str) -> i64 {
    let (whole, rest) = figure.split_once('.').unwrap_or_else(|| panic!("six places in {figure}"));
    assert_eq!(rest.len(), 6, "{figure}");
    format!("{whole}{rest}").parse().unwrap()
}

/// Rate times time.
fn rates(part: &[String]) -> bool {
    let mut sums = [0, 0];
    let mut bounded = true;
    for line in part {
        for (index, word) in ["least: ", "most:  "].into_iter().enumerate() {
            let Some(told) = line.strip_prefix(word) else { continue };
            let Some((_, figures)) = told.split_once(": + ") else {
                bounded &= !told.contains("no bound");
                continue;
            };
            let (more, sum) = figures.split_once(" = ").unwrap();
            sums[index] += millionths(more);
            assert_eq!(sums[index], millionths(sum), "{line}\n{}", part.join("\n"));
        }
    }
    let Some(total) = part.iter().find_map(|line| line.strip_prefix("sum: least ")) else { return false };
    let (least, most) = total.split_once(", most ").unwrap();
    assert_eq!(sums[0], millionths(least), "{}", part.join("\n"));
    assert!(most == "unbounded" || sums[1] == millionths(most), "{}", part.join("\n"));
    assert_eq!(bounded, most != "unbounded", "{}", part.join("\n"));
    let words = ["reduction ", "growth ", "equivalent time ", "sum at ", "sum "];
    for word in words {
        let Some((least, most)) = interval(part, word) else { continue };
        let told = |figure: &str, sum: i64| {
            let Some(number) = figure.split(' ').next().and_then(|number| number.parse::<f64>().ok()) else { return };
            #[allow(clippy::cast_precision_loss)]
            let sum = sum as f64 / 1e6;
            let sum = if figure.ends_with("·h") { sum / 3600.0 } else { sum };
            assert!((number - sum).abs() <= 0.005_001, "{figure} beside {sum}\n{}", part.join("\n"));
        };
        told(&least, sums[0]);
        if bounded {
            told(&most, sums[1]);
        }
        break;
    }
    true
}

/// The two numbers of a hull such as `3 to 4.5 °C`, or the one.
fn hull(text: &str) -> Option<(f64, f64)> {
    let text = text.strip_prefix("joined, ").unwrap_or(text);
    let first: f64 = text.split(' ').next()?.parse().ok()?;
    match text.split_once(" to ") {
        Some((_, high)) => Some((first, high.split(' ').next()?.parse().ok()?)),
        None => Some((first, first)),
    }
}

/// Highest and lowest value so far, where nothing could have been anything.
fn values(part: &[String]) -> bool {
    let (mut high, mut low) = (f64::NEG_INFINITY, f64::INFINITY);
    let mut last: Option<(f64, f64)> = None;
    if part.iter().any(|line| line.contains("anything") || line.contains("uncovered")) {
        return part.iter().any(|line| line.contains("highest so far"));
    }
    for line in part {
        if line.starts_with("20")
            && let Some((lo, hi)) = line.rsplit_once(": ").and_then(|(_, told)| hull(told.rsplit(", ").next()?))
        {
            (high, low) = (high.max(hi), low.min(lo));
        }
        if let Some((_, told)) = line.split_once("highest so far ") {
            let (highest, lowest) = told.split_once(", lowest so far ").unwrap();
            let number = |text: &str| text.split(' ').next().and_then(|number| number.parse::<f64>().ok());
            let (Some(highest), Some(lowest)) = (number(highest), number(lowest)) else { continue };
            assert!(highest == high && lowest == low, "{line}: {high} {low}\n{}", part.join("\n"));
            last = Some((high, low));
        }
    }
    let Some((high, low)) = last else { return false };
    for (quantity, value, outer) in [("highest value ", high, true), ("lowest value ", low, false)] {
        if let Some((least, most)) = interval(part, quantity) {
            let told = hull(if outer { &most } else { &least }).unwrap().0;
            let off = accuracy(part);
            assert!((told - value).abs() <= off + 1e-9, "{told} {value}\n{}", part.join("\n"));
        }
    }
    true
}

/// Start and stop of a clock, and the two differences.
fn clock(part: &[String]) -> bool {
    let Some(total) = part.iter().find(|line| line.starts_with("least is ")) else { return false };
    let last = |word: &str| {
        let line = part.iter().rev().find_map(|line| line.strip_prefix(word));
        line.and_then(|told| instants(told).first().copied())
    };
    let told = instants(total);
    let open = total.contains("most has no bound");
    assert_eq!(told.len(), if open { 2 } else { 4 }, "{total}");
    let steps = [
        "clock may have stopped: ",
        "clock has certainly started: ",
        "clock has certainly stopped: ",
        "clock may have started: ",
    ];
    for (word, told) in steps.into_iter().zip(&told) {
        assert_eq!(last(word), Some(*told), "{word}\n{}", part.join("\n"));
    }
    let (least, most) = interval(part, "time between ").unwrap();
    assert_eq!(duration(&least), Some((told[0] - told[1]).max(0) * 1_000_000_000), "{}", part.join("\n"));
    if open {
        assert_eq!(duration(&most), None, "{}", part.join("\n"));
    } else {
        assert_eq!(duration(&most), Some((told[2] - told[3]) * 1_000_000_000), "{}", part.join("\n"));
    }
    true
}

/// By how much a reading may be off, where the limit counts it.
fn accuracy(part: &[String]) -> f64 {
    let told = part.iter().find_map(|line| line.strip_prefix("accuracy counted: each reading may be "));
    told.and_then(|told| told.split(' ').next()?.parse().ok()).unwrap_or(0.0)
}

/// The smallest fall or rise: what the last step says is the interval.
fn fall(part: &[String]) -> bool {
    let Some(told) = part.iter().rev().find_map(|line| line.strip_prefix("smallest so far: ")) else {
        return false;
    };
    if let Some((least, most)) = interval(part, "smallest fall ").or_else(|| interval(part, "smallest rise ")) {
        let (by_least, by_most) = told.strip_prefix("least ").unwrap().split_once(", most ").unwrap();
        // A fall is a difference of two readings, each of which may be off.
        let off = 2.0 * accuracy(part);
        for (told, by, off) in [(&least, by_least, -off), (&most, by_most, off)] {
            let near = || Some((hull(told)?.0 - hull(by)?.0 - off).abs() < 1e-9);
            assert!(told == by || told.contains("anything") || near() == Some(true), "{}", part.join("\n"));
        }
    }
    true
}

/// Two events, as written and wider by what the clocks allow.
fn moments(part: &[String]) -> bool {
    let Some(told) = part.iter().find_map(|line| line.strip_prefix("second less first as written: ")) else {
        return false;
    };
    let written = duration(told).unwrap();
    let ends: Vec<i64> = part.iter().filter(|line| line.contains("(record ")).map(|line| instants(line)[0]).collect();
    assert_eq!(written, (ends[1] - ends[0]) * 1_000_000_000, "{}", part.join("\n"));
    let mut wider = 0;
    for line in part {
        if let Some(by) = line.strip_prefix("on two records: ").and_then(|rest| rest.strip_suffix(" less and more")) {
            wider += duration(by).unwrap();
        }
        if let Some(by) =
            line.strip_prefix("and each time is known to ").and_then(|rest| rest.strip_suffix(" either way"))
        {
            wider += 2 * duration(by).unwrap();
        }
    }
    if part.iter().any(|line| line.contains("known to ")) {
        return true;
    }
    if let Some((least, most)) = interval(part, "time between ") {
        let order = part.iter().any(|line| line.contains("ends before"));
        let floor = if order { i64::MIN } else { 0 };
        assert_eq!(duration(&least), Some((written - wider).max(floor)), "{}", part.join("\n"));
        assert_eq!(duration(&most), Some(written + wider), "{}", part.join("\n"));
    }
    true
}

/// Results over a figure, counted again from the lines of the samples.
fn counted(part: &[String]) -> bool {
    let Some(told) = part.iter().find(|line| line.contains(" samples on record: ") && line.contains(" over ")) else {
        return false;
    };
    let (_, rest) = told.split_once(" samples on record: ").unwrap();
    let (count, rest) = rest.split_once(" over ").unwrap();
    let (figure, rest) = rest.split_once(", ").unwrap();
    let possibly: usize = rest.split(' ').next().unwrap().parse().unwrap();
    let samples: Vec<&String> = part.iter().filter(|line| line.starts_with("sample ")).collect();
    let over = samples.iter().filter(|line| line.contains(&format!(", over {figure}"))).count();
    let may = samples.iter().filter(|line| line.contains(&format!("may be over {figure}"))).count();
    assert_eq!(count.parse::<usize>().unwrap(), over, "{}", part.join("\n"));
    assert_eq!(possibly, over + may, "{}", part.join("\n"));
    true
}
