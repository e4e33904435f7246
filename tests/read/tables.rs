//! Sound tables, invented, of the sorts that plants export, and their writing in a dialect.

/// A seeded sequence of numbers, the same on every machine.
pub struct Chance(pub u64);

impl Chance {
    pub fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % most.max(1)
    }
}

/// Headings and rows.
#[derive(Clone)]
pub struct Table {
    pub name: &'static str,
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
    /// Whether each column holds free text.
    pub text: Vec<bool>,
}

fn head(text: &str) -> Vec<String> {
    text.split('|').map(str::to_owned).collect()
}

pub fn tables() -> Vec<Table> {
    vec![logger(), pair(), register(), orders(), checks(), comma()]
}

fn stamp(minute: usize) -> (usize, usize, usize) {
    (1 + minute / 1440, minute / 60 % 24, minute % 60)
}

/// A logger with events, as in files with a record number and a blank column for each event.
fn logger() -> Table {
    let mut chance = Chance(11);
    let rows = (0..90).map(|at| {
        let (day, hour, minute) = stamp(at * 15);
        let half = if hour < 12 { "AM" } else { "PM" };
        let shown = if hour % 12 == 0 { 12 } else { hour % 12 };
        let event = if at == 0 { "Logged" } else { "" };
        vec![
            (at + 1).to_string(),
            format!("10/{day:02}/26 {shown:02}:{minute:02}:00 {half}"),
            format!("{}.{:03}", 31 + chance.below(3), chance.below(1000)),
            format!("{}.{:03}", 70 + chance.below(9), chance.below(1000)),
            event.to_owned(),
            String::new(),
        ]
    });
    Table {
        name: "logger",
        head: head("#|Date Time, GMT+00:00|Temp, °F (S/N: 4711)|RH, % (S/N: 4711)|Started|Stopped"),
        rows: rows.collect(),
        text: vec![false, false, false, false, true, true],
    }
}

fn pair() -> Table {
    let mut chance = Chance(12);
    let rows = (0..60).map(|at| {
        let (day, hour, minute) = stamp(at * 60);
        vec![
            format!("2026-10-{day:02} {hour:02}:{minute:02}:00"),
            format!("{}.{}", 60 + chance.below(20), 10_000_000 + chance.below(80_000_000)),
        ]
    });
    Table { name: "pair", head: head("timestamp|value"), rows: rows.collect(), text: vec![false, false] }
}

/// A register of lots: mostly words.
fn register() -> Table {
    let mut chance = Chance(13);
    let species = ["eel", "herring", "mackerel", "char"];
    let remarks =
        ["", "", "re-hung, second kiln", "door open 5 min", "see \"Kiln 2\" sheet", "first line\nsecond line"];
    let rows = (0..40).map(|at| {
        let (day, hour, minute) = stamp(at * 400);
        vec![
            format!("B{:03}", 100 + at),
            species[chance.below(4)].to_owned(),
            format!("{}", 20 + chance.below(60)),
            format!("2026-10-{day:02} {hour:02}:{minute:02}"),
            ["AB", "CD", "EF"][chance.below(3)].to_owned(),
            remarks[chance.below(6)].to_owned(),
        ]
    });
    Table {
        name: "register",
        head: head("Batch|Food|Packed kg|Kiln on|Initials|Remarks"),
        rows: rows.collect(),
        text: vec![false, true, false, false, true, true],
    }
}

/// Goods out, with prices, addresses and comments.
fn orders() -> Table {
    let mut chance = Chance(14);
    let things = ["Eel, smoked, 200 g", "Goose breast", "Char \"Alpine\" style", "Herring in oil; 1 kg"];
    let rows = (0..84).map(|at| {
        let (day, hour, minute) = stamp(at * 37);
        let thing = chance.below(4);
        vec![
            format!("{:02}/10/2026", 12 + day),
            format!("{hour:02}:{minute:02}:00"),
            (1 + chance.below(40)).to_string(),
            format!("W{}-{}", 1000 + chance.below(9000), chance.below(9)),
            format!("${}.{:02}", 2 + chance.below(90), chance.below(100)),
            ["Fish", "Poultry"][thing % 2].to_owned(),
            things[thing].to_owned(),
            format!("https://shop.example/goods/{}?a=1&b=2", chance.below(900)),
            ["", "call first, then deliver", "it's \"urgent\"", "ring\nthe bell"][chance.below(4)].to_owned(),
        ]
    });
    Table {
        name: "orders",
        head: head("DATE|TIME|Qty|PRODUCT|Price|Kind|Description|Address|Comments"),
        rows: rows.collect(),
        text: vec![false, false, false, false, false, true, true, true, true],
    }
}

fn checks() -> Table {
    let mut chance = Chance(15);
    let rows = (0..30).map(|at| {
        let (day, hour, _) = stamp(at * 60);
        let mut row = vec![format!("{day}/10/2026"), format!("{hour}:00"), "L7".to_owned()];
        row.extend((0..3).map(|_| ["yes", "yes", "no"][chance.below(3)].to_owned()));
        row.push(["AB", "CD"][chance.below(2)].to_owned());
        row
    });
    Table {
        name: "checks",
        head: head("Day|Clock|Lot|Fe|Non-Fe|SS|By"),
        rows: rows.collect(),
        text: vec![false, false, false, true, true, true, true],
    }
}

/// Decimal commas.
fn comma() -> Table {
    let mut chance = Chance(16);
    let rows = (0..70).map(|at| {
        let (day, hour, minute) = stamp(at * 5);
        let mut row = vec![format!("{:02}.10.2026 {hour:02}:{minute:02}:00", 13 + day)];
        row.extend((0..3).map(|_| format!("{},{}", 2 + chance.below(80), chance.below(10))));
        row
    });
    Table {
        name: "comma",
        head: head("Zeit|Kern 1 (°C)|Kern 2 (°C)|Raum (°C)"),
        rows: rows.collect(),
        text: vec![false, false, false, false],
    }
}

/// How a table is written.
#[derive(Clone)]
pub struct Written {
    pub sign: String,
    pub quote: char,
    pub backslash: bool,
    pub all: bool,
    pub end: &'static str,
}

impl Default for Written {
    fn default() -> Self {
        Written { sign: ",".into(), quote: '"', backslash: false, all: false, end: "\n" }
    }
}

impl Written {
    pub fn cell(&self, cell: &str) -> String {
        let first = self.sign.chars().next().unwrap();
        let needs = self.all || cell.contains([first, self.quote, '\n', '\r']) || (first == ' ' && cell.is_empty());
        if !needs {
            return if self.backslash { cell.replace('\\', "\\\\") } else { cell.to_owned() };
        }
        let inner = if self.backslash {
            cell.replace('\\', "\\\\").replace(self.quote, &format!("\\{}", self.quote))
        } else {
            cell.replace(self.quote, &format!("{0}{0}", self.quote))
        };
        format!("{0}{inner}{0}", self.quote)
    }

    pub fn row(&self, cells: &[String]) -> String {
        cells.iter().map(|cell| self.cell(cell)).collect::<Vec<_>>().join(&self.sign)
    }
}
