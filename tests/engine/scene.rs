//! Random plants, and every form of limit that a plan can ask of them.

use crate::asked::{Asked, both, closed, grouped, heights, histories, range, rates, summed, traced, words};
use crate::limit::{Limit, Span};
use crate::pairing::{difference, twelfths};
use crate::plant::{Clocks, Plant, stamp};
use crate::random::Random;
use crate::record::{Entry, HIGH, LAST, LOW, Record};
use crate::single::{Two, attributes, checks, events, every_sample};

/// A word in so many hundredths: `0.84`, `<0.85`, or nothing that can be read.
fn wet(r: &mut Random) -> String {
    match r.within(0, 12) {
        0 => "?".to_owned(),
        1 => format!("<0.{}", r.within(83, 87)),
        _ => format!("0.{}", r.within(78, 86) - r.within(0, 3)),
    }
}

fn plates(r: &mut Random) -> String {
    match r.within(0, 14) {
        0 => "?".to_owned(),
        1 => format!("<{}", r.within(9, 13)),
        _ => r.within(1, 13).to_string(),
    }
}

/// Readings beside those of another trace: mostly at the same ticks, some moved, left out, broken or doubled.
fn beside(r: &mut Random, rows: &[Entry], mut value: i64, low: i64) -> Vec<Entry> {
    let mut list: Vec<Entry> = Vec::new();
    let often = r.within(6, 20) as u64;
    for row in rows.iter().filter(|row| row.value.is_some()) {
        value = (value + r.within(-1, 1)).clamp(low, HIGH);
        let at = if r.one_in(often) { row.at + r.within(-1, 1) } else { row.at };
        if r.one_in(often) || !(0..=LAST).contains(&at) {
            continue;
        }
        list.push(Entry { at, value: (!r.one_in(3 * often)).then_some(value) });
        if r.one_in(3 * often) {
            list.push(Entry { at, value: (!r.one_in(3)).then_some((value + r.within(-1, 1)).clamp(low, HIGH)) });
        }
    }
    list.sort_by_key(|row| row.at);
    list
}

/// A bound with its line included.
#[derive(Debug, Clone, Copy)]
enum Line {
    AtLeast(i64),
    AtMost(i64),
}

impl Plant {
    pub fn random(r: &mut Random) -> Self {
        let shape = [0, 1, 2, 3, 4, 5, 5, 5][r.within(0, 7) as usize];
        let mut core = Record::shaped(r, shape);
        // Of the probe and of the bulb, and counted by every limit that can, or else not declared.
        core.accuracy = i64::from(r.one_in(6));
        core.edge_allowance = core.interval + r.within(1, 2);
        let clocks = [Clocks::One, Clocks::One, Clocks::OneCoarse, Clocks::Two][r.within(0, 3) as usize];
        let doubt = clocks.doubt();
        let start = r.within(doubt, 22);
        let end = (start + r.within(0, 36)).min(LAST - doubt);
        core.start = (start - doubt, start + doubt);
        let known = !r.one_in(20);
        core.end = known.then_some((end - doubt, end + doubt));
        let warm = r.within(4, HIGH);
        let air = beside(r, &core.rows, warm, LOW);
        let moisture = beside(r, &core.rows, warm, LOW);
        let mut protein = beside(r, &core.rows, 6, 1);
        // Divisors of twelve, and now and then nought, by which nothing can be divided.
        for row in &mut protein {
            row.value =
                row.value.map(|n| if r.one_in(30) { 0 } else { [1, 2, 3, 3, 4, 4, 6, 6, 6, 12][(n % 10) as usize] });
        }
        let mut ph = r.within(5, 8);
        let mut acidity: Vec<(i64, i64)> = Vec::new();
        let mut at = r.within(0, 20);
        while at <= LAST {
            acidity.push((at, ph));
            if r.one_in(12) {
                acidity.push((at, ph + r.within(-1, 1)));
            }
            at += r.within(2, 9);
            let rise = i64::from(r.one_in(4));
            ph += r.within(-2, rise);
            ph = ph.max(2);
        }
        let mut rounds: Vec<(i64, &'static str)> = Vec::new();
        let bad = r.within(3, 40) as u64;
        let mut at = r.within(0, 9);
        while at <= LAST {
            rounds.push((
                at,
                if !r.one_in(bad) {
                    "yes"
                } else if r.one_in(4) {
                    "maybe"
                } else {
                    "no"
                },
            ));
            if r.one_in(40) {
                rounds.push((at, "no"));
            }
            at += if r.one_in(9) { r.within(11, 26) } else { r.within(8, 12) };
        }
        let sample = |r: &mut Random, text: fn(&mut Random) -> String| -> Vec<(i64, String)> {
            (0..r.within(2, 6)).map(|i| (if r.one_in(9) { 0 } else { i }, text(r))).collect()
        };
        let water = sample(r, wet);
        let counts = sample(r, plates);
        // The valve answers at most readings, diverted more often than not where the core is low.
        let often = r.within(3, 30) as u64;
        let mut valve: Vec<(i64, &'static str)> = Vec::new();
        for row in &core.rows {
            let low = row.value.is_some_and(|value| value < warm) != r.one_in(often);
            let at = if r.one_in(often) { row.at + 1 } else { row.at };
            if !r.one_in(2 * often) {
                valve.push((
                    at,
                    if r.one_in(5 * often) {
                        "open"
                    } else if low {
                        "div"
                    } else {
                        "fwd"
                    },
                ));
            }
        }
        let late = r.within(start, (end + 4).min(LAST));
        Self {
            limits: Vec::new(),
            blocks: String::new(),
            core,
            air,
            moisture,
            protein,
            acidity,
            checks: rounds,
            water,
            counts,
            valve,
            clocks,
            start: Some(start),
            end: known.then_some(end),
            racks: (!r.one_in(12)).then_some(if r.one_in(4) { late } else { r.within(doubt, end) }),
            packed: (!r.one_in(12)).then_some(late),
            own: r.one_in(2),
            order: r.next(),
        }
    }

    /// The record with the window that counts from the racks.
    fn since_racks(&self) -> Option<Record> {
        let (racks, doubt) = (self.racks?, self.clocks.doubt());
        Some(Record { start: (racks - doubt, racks + doubt), ..self.core.clone() })
    }

    /// The record until the acidity has come to 5: after the last reading that is surely over it, before those that
    /// are surely at or under it.
    fn until_sour(&self) -> Record {
        let from = self.core.start.0;
        let mut instants: Vec<i64> = self.acidity.iter().map(|(at, _)| *at).filter(|at| *at >= from).collect();
        instants.dedup();
        let values = |at: i64| self.acidity.iter().filter(move |(other, _)| *other == at).map(|(_, value)| *value);
        let sour = instants.iter().position(|at| values(*at).all(|value| value <= 5));
        let end = sour.map(|sour| {
            let sweet = instants[..sour].iter().rev().find(|at| values(**at).all(|value| value > 5));
            (sweet.copied().unwrap_or(from), instants[sour])
        });
        Record { end, accuracy: 0, ..self.core.clone() }
    }

    /// The record in which each reading that is excused lies at the line. What excuses a reading is *diverted*, and
    /// nothing else, at its own instant.
    fn where_diverted(&self, line: Line) -> Record {
        let mut record = self.core.clone();
        let off = record.accuracy;
        for row in &mut record.rows {
            let mut answers = self.valve.iter().filter(|(at, _)| *at == row.at).peekable();
            if answers.peek().is_some() && answers.all(|(_, word)| *word == "div") {
                row.value = row.value.map(|value| match line {
                    Line::AtLeast(line) => value.max(line + off),
                    Line::AtMost(line) => value.min(line - off),
                });
            }
        }
        record
    }

    /// What a place said before the stage says nothing of the lot.
    fn for_passage(&self) -> Record {
        let mut record = self.core.clone();
        if !self.own {
            let from = record.start.0;
            record.rows.retain(|row| row.at >= from);
        }
        record
    }
}

/// Adds a limit of every form to the plant; the limits are in the order of what is returned.
pub fn ask(r: &mut Random, plant: &mut Plant) -> Vec<Asked> {
    let mut list = Vec::new();
    // The plan's own credit gap, or the default that comes to the same; held time shortens only the default.
    let stated = r.one_in(2);
    let gap = plant.core.credit_gap;
    let body = move |counted: bool| match (stated, counted) {
        (true, true) => format!(" {{ credit-gap {gap} min; accuracy counted }}"),
        (true, false) => format!(" {{ credit-gap {gap} min }}"),
        (false, true) => " { accuracy counted }".to_owned(),
        (false, false) => String::new(),
    };
    let core = plant.core.clone();
    let off = core.accuracy;
    let held_gap = |time: i64| if stated { gap } else { gap.min(time) };
    let gaps = |options: &[Vec<Limit>]| -> Vec<Record> {
        let held = options.iter().flatten().filter_map(|limit| match limit {
            Limit::Held(_, time) if *time > 0 => Some(held_gap(*time)),
            _ => None,
        });
        std::iter::once(gap).chain(held).map(|credit_gap| Record { credit_gap, ..core.clone() }).collect()
    };
    let mut add = |mut asked: Asked| {
        // Of moisture, protein and acidity nobody says how far off they may be.
        asked.text.push_str(&body(off > 0 && !["ratio, paired", "degree-hours until"].contains(&asked.form)));
        list.push(asked);
    };
    let plain = |r: &mut Random, kind: usize| loop {
        let mut limit = Limit::random(r, kind);
        match &mut limit {
            Limit::Bound(span) | Limit::Never(span) | Limit::Held(span, _) => *span = closed(*span),
            Limit::TotalAtLeast(span, _) | Limit::TotalAtMost(span, _) => *span = closed(*span),
            Limit::StretchAtMost(span, _) | Limit::Share(span, ..) => *span = closed(*span),
            Limit::Reach(span, _) => *span = Span { lower: Some((r.within(3, 11), false)), upper: None },
            Limit::Passage { before, arrived, .. } => {
                for end in [&mut before.lower, &mut before.upper, &mut arrived.lower, &mut arrived.upper] {
                    *end = end.map(|(at, _)| (at, false));
                }
            }
            Limit::Above { top, .. } => *top = false,
            _ => {}
        }
        if let Some(text) = words(&limit) {
            return (limit, text);
        }
    };
    for (kind, form) in [
        (0, "bound, range"),
        (1, "forbidden band"),
        (3, "total at least"),
        (4, "total at most"),
        (5, "at a stretch at most"),
        (11, "degree-hours"),
        (12, "falls"),
    ] {
        let (mut limit, mut text) = plain(r, kind);
        let [falling, rising] = [true, false].map(|down| {
            let values: Vec<i64> = core.rows.iter().filter_map(|row| row.value).collect();
            values.windows(2).all(|pair| if down { pair[1] <= pair[0] } else { pair[1] >= pair[0] })
        });
        if kind == 12 && (falling || rising) {
            limit = Limit::Falls { by: 1, every: r.within(4, 12), rises: rising, strict: false };
            text = words(&limit).unwrap();
        }
        add(traced(form, text, limit, &core, 1.0));
    }
    let line = if r.one_in(4) { Line::AtMost(r.within(5, 11)) } else { Line::AtLeast(r.within(2, 9)) };
    let span = match line {
        Line::AtLeast(line) => Span { lower: Some((line, false)), upper: None },
        Line::AtMost(line) => Span { lower: None, upper: Some((line, false)) },
    };
    let mut diverted = traced(
        "diverted",
        format!("core {}", range(span, "°C", 1)),
        Limit::Bound(span),
        &plant.where_diverted(line),
        1.0,
    );
    let credit = if stated { format!("credit-gap {gap} min; ") } else { String::new() };
    let counted = if off > 0 { "accuracy counted; " } else { "" };
    diverted.text.push_str(&format!(" {{ {credit}{counted}diverted when valve is diverted }}"));
    let (limit, text) = plain(r, 0);
    add(traced("throughout a stage", format!("{text} throughout cooking"), limit, &core, 1.0));
    let (limit, text) = plain(r, 2);
    let Limit::Held(_, time) = limit else { unreachable!("the third form is held") };
    let record = Record { credit_gap: if time > 0 { held_gap(time) } else { gap }, ..core.clone() };
    add(traced("held for", text, limit, &record, 1.0));
    // The limit before is the one that resets a total; the two are joined each by its own gap.
    let Limit::Held(hold, held) = limit else { unreachable!("the third form is held") };
    let (limit, text) = plain(r, 4);
    let Limit::TotalAtMost(span, at_most) = limit else { unreachable!("the fifth form is a total") };
    let anew = Limit::Anew(span, at_most, (hold, held));
    let mut resetting = grouped("total at most, reset", text, vec![vec![anew]], vec![core.clone(), record]);
    resetting.text.push_str(&format!(" {{ {credit}{counted}reset when f8 is met }}"));
    let once = Limit::Held(Span { lower: Some((r.within(3, 12), false)), upper: None }, 0);
    add(traced("reaches", words(&once).unwrap(), once, &core, 1.0));
    let (mut limit, mut text) = plain(r, 7);
    if let Limit::Passage { within, .. } = &mut limit
        && !r.one_in(3)
    {
        *within = r.within(1, 3);
        text = words(&limit).unwrap();
    }
    add(traced("passage", text, limit, &plant.for_passage(), 1.0));
    // A share, and a share or a time.
    let span = closed(Span::random(r));
    let (share, percent) = [(1, 20), (2, 40), (3, 60), (5, 100)][r.within(0, 3) as usize];
    let text = format!("core {} in total at least {percent} % of cooking", range(span, "°C", 1));
    let limit = Limit::Share(span, share, 5);
    add(both("share of a stage", text.clone(), [limit, limit], &core));
    let strict = r.one_in(2);
    let most = Limit::ShareMost(span, share, 5, strict);
    let than = if strict { "less than" } else { "at most" };
    let allowed = format!("core {} in total {than} {percent} % of cooking", range(span, "°C", 1));
    add(both("share allowed", allowed, [most, most], &core));
    let time = r.within(1, 12);
    let longer = [limit, Limit::TotalAtLeast(span, time)];
    add(both("whichever is longer", format!("{text} or {time} min, whichever is longer"), longer, &core));
    if let Some(record) = plant.since_racks() {
        let (limit, text) = plain(r, 8);
        add(traced("reaches within, from an event", text, limit, &record, 1.0));
        let (limit, text) = plain(r, 4);
        add(traced("exposure from an event", format!("{text} from racks"), limit, &record, 1.0));
    }
    let history = histories(&core)(r, true);
    let window = history.as_ref().map_or(&[][..], |history| history.window());
    let near = |r: &mut Random, rate: fn(i64) -> f64| {
        let sum: f64 = window.iter().skip(1).step_by(2).map(|v| rate(*v)).sum();
        (sum * r.within(1, 16) as f64).round().max(1.0) / 8.0 + 0.003
    };
    let line = near(r, rates::bug);
    add(summed(
        ("reduction", format!("reduction by bug from core >= {line:.3} log10")),
        rates::bug,
        (true, line),
        &core,
    ));
    let line = near(r, rates::equivalent);
    let text = format!("F of core at 8 °C z 3 °C >= {line:.3} min");
    add(summed(("F-value", text), rates::equivalent, (true, line), &core));
    let line = near(r, rates::grower);
    let text = format!("growth by grower from core <= {line:.3} log10");
    add(summed(("growth", text), rates::grower, (false, line), &core));
    let base = r.within(2, 10);
    let at_most = 3 * (heights(window, base) * r.within(0, 16) / 24).max(1);
    let text = format!("degree-hours of core above {base} °C until acidity <= 5 <= {:.2} °C·h", at_most as f64 / 60.0);
    let limit = Limit::Above { base, top: false, at_most };
    add(traced("degree-hours until", text, limit, &plant.until_sour(), 1.0));
    // A table, options, parts.
    let rows: Vec<(Span, i64)> = (0..2)
        .map(|i| (Span { lower: Some((r.within(4, 10), false)), upper: None }, r.within(1, 4) * (1 + 3 * i)))
        .collect();
    let table = rows.iter().fold(String::new(), |text, (span, time)| {
        text + &format!("row {} held for {time} min; ", range(*span, "°C", 1))
    });
    plant.blocks = format!("table rows \"Rows\" {{ {table}}}");
    let options: Vec<Vec<Limit>> = rows.iter().map(|(span, time)| vec![Limit::Held(*span, *time)]).collect();
    let records = gaps(&options);
    add(grouped("any row", "core meets any row of rows".to_owned(), options, records));
    let [a, b, c] = [2, 4, 0].map(|kind| plain(r, kind));
    let text = format!("one of {{ option quick {}; option slow {{ {}; {} }} }}", a.1, b.1, c.1);
    let options = vec![vec![a.0], vec![b.0, c.0]];
    let records = gaps(&options);
    add(grouped("one of", text, options, records));
    let [a, b] = [3, 5].map(|kind| plain(r, kind));
    add(grouped("all of", format!("all of {{ {}; {} }}", a.1, b.1), vec![vec![a.0, b.0]], vec![core.clone()]));
    // Two parameters paired; half an interval apart at most.
    let pairing = core.interval / 2;
    // A difference may be off by what both may be.
    let spread = Record { rows: difference(&plant.air, &core.rows, pairing), accuracy: 2 * off, ..core.clone() };
    let offset = r.within(-6, 6);
    let at_least = Limit::Bound(Span { lower: Some((offset, false)), upper: None });
    let sign = if offset < 0 { '-' } else { '+' };
    add(traced("offset, paired", format!("air >= core {sign} {} °C", offset.abs()), at_least, &spread, 1.0));
    let ratio = Record { rows: twelfths(&plant.moisture, &plant.protein, pairing), accuracy: 0, ..core.clone() };
    // Between two twelfths, so that no rounding decides.
    let (text, limit) = if r.one_in(2) {
        let line = r.within(4, 40);
        (
            format!("moisture / protein <= {:.3}", line as f64 / 12.0 + 0.04),
            Limit::Bound(Span { lower: None, upper: Some((line, false)) }),
        )
    } else {
        let line = r.within(2, 30);
        (
            format!("moisture / protein >= {:.3}", line as f64 / 12.0 - 0.04),
            Limit::Bound(Span { lower: Some((line, false)), upper: None }),
        )
    };
    add(traced("ratio, paired", text, limit, &ratio, 1.0 / 12.0));
    list.extend(single(r, plant));
    list.push(resetting);
    list.push(diverted);
    plant.limits = list.iter().map(|asked| asked.text.clone()).collect();
    list
}

/// Forms without a trace.
fn single(r: &mut Random, plant: &Plant) -> Vec<Asked> {
    let stage = Two { first: (plant.start, true), second: (plant.end, true) };
    let apart = Two { first: (plant.start, true), second: (plant.packed, false) };
    let order = Two { first: (plant.end, true), second: (plant.racks, true) };
    let crossed = Two { first: (plant.packed, false), second: (plant.start, true) };
    let line = |r: &mut Random, two: &Two| {
        let known = two.first.0.zip(two.second.0).map_or(9, |(a, b)| b - a);
        (r.one_in(2), (known + r.within(-5, 5)).max(1))
    };
    let say = |(least, time): (bool, i64)| format!("at {} {time} min", if least { "least" } else { "most" });
    let lasts = line(r, &stage);
    let between = line(r, &apart);
    let (wanted, strict, over) = (r.within(1, 3) as usize, r.one_in(3), r.within(82, 87));
    let plan = (r.within(3, 5) as usize, r.within(0, 2) as usize, r.within(8, 12));
    let big_m = (!r.one_in(3)).then_some(plan.2 + r.within(1, 3));
    vec![
        every_sample(plant, over, wanted, strict),
        attributes(plant, plan, big_m),
        checks(plant),
        events(plant, ("stage lasts", format!("cooking lasts {}", say(lasts))), &stage, Some(lasts)),
        events(plant, ("between events", format!("from start-cook to packed {}", say(between))), &apart, Some(between)),
        if r.one_in(2) {
            events(plant, ("order", "cooking ends before packing begins".to_owned()), &order, None)
        } else {
            events(plant, ("order", "packing ends before cooking begins".to_owned()), &crossed, None)
        },
    ]
}

/// What a person needs to redo a case.
pub fn told(plant: &Plant) -> String {
    format!("{}\n{:?}\nlast tick {}", plant.plan_text(), plant, stamp(LAST))
}
