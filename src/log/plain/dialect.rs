//! Which dialect a text is written in, told from the text: the one by which its rows agree in width, its cells look
//! like something, and no quotation mark stands where none belongs. Where two do equally well and differ, neither is taken.

use super::kinds::{Kind, kind};
use super::split::{Dialect, Parting, Rows, split};
use std::collections::BTreeMap;

/// What a person has said about the dialect.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// What parts cells.
    pub parting: Option<Parting>,
    /// The quotation mark; inside, none where the file has none.
    pub quote: Option<Option<char>>,
    /// The escape; inside, none where quotation marks are written twice.
    pub escape: Option<Option<char>>,
}

/// Why no dialect was taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Doubt {
    /// Two ways to part the cells do equally well.
    Parting(String, String),
    /// Two ways to read the quotation marks do equally well.
    Quote(String, String),
    /// The likeliest sign cuts most rows unevenly.
    Uneven(String),
}

/// Signs that part cells, the usual ones first, each with how readily it is believed.
const SIGNS: [(char, f64); 20] = [
    (',', 1.0),
    (';', 1.0),
    ('\t', 1.0),
    ('|', 1.0),
    (' ', 0.9),
    ('^', 0.9),
    ('~', 0.9),
    ('\u{1f}', 0.9),
    ('\u{1e}', 0.9),
    ('\u{1}', 0.9),
    ('§', 0.9),
    ('¦', 0.9),
    ('#', 0.8),
    ('&', 0.8),
    ('!', 0.8),
    ('%', 0.8),
    ('$', 0.8),
    ('@', 0.8),
    ('*', 0.8),
    (':', 0.6),
];

/// How much of the text is looked at to find the sign between cells.
const SAMPLE: usize = 96 << 10;
/// How much of it is looked at to find the quotation mark.
const QUOTES: usize = 1 << 20;

/// A dialect by which the text was cut, with how well it does.
struct Tried {
    dialect: Dialect,
    rows: Rows,
    score: f64,
    /// Rows that are badly written or of another width than most.
    bad: usize,
    /// The doubt that its quotation marks leave.
    doubt: Option<Doubt>,
}

/// The dialect of a text.
///
/// # Errors
/// The doubt that is left, in which case a person must say.
pub fn detect(text: &str, said: &Said) -> Result<Dialect, Doubt> {
    let sample = whole_lines(text, SAMPLE);
    let mut tried: Vec<Tried> = Vec::new();
    for parting in partings(sample, said) {
        let found = quotes(sample, &parting, said);
        tried.push(found);
    }
    tried.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut tried = tried.into_iter();
    let Some(best) = tried.next() else {
        // No sign parts anything: one column.
        let quote = said.quote.unwrap_or(Some('"'));
        return Ok(Dialect { parting: Parting::Sign(",".into()), quote, escape: said.escape.flatten() });
    };
    if best.bad * 2 > best.rows.rows.len() && said.parting.is_none() {
        // Words in one column are parted by blanks as well.
        return match &best.dialect.parting {
            Parting::Sign(sign) if sign == " " || sign == ":" => {
                Ok(Dialect { parting: Parting::Sign(",".into()), quote: Some('"'), escape: None })
            }
            _ => Err(Doubt::Uneven(name(&best.dialect.parting))),
        };
    }
    let usual =
        |one: &Tried| matches!(&one.dialect.parting, Parting::Sign(sign) if sign.starts_with([',', ';', '\t', '|']));
    for other in tried {
        // A blank is between words too; where one of the usual signs does nearly as well, a person must say.
        let near = if usual(&other) && !usual(&best) { 0.6 } else { 0.93 };
        if other.score > best.score * near && !same(&best.rows, &other.rows) {
            return Err(Doubt::Parting(name(&best.dialect.parting), name(&other.dialect.parting)));
        }
    }
    // The quotation marks may stand far down.
    let found = quotes(whole_lines(text, QUOTES), &best.dialect.parting, said);
    found.doubt.map_or(Ok(found.dialect), Err)
}

/// A parting in words.
#[must_use]
pub fn name(parting: &Parting) -> String {
    match parting {
        Parting::Sign(sign) => match sign.as_str() {
            "\t" => "tab".to_owned(),
            " " => "space".to_owned(),
            ", " => "comma and blank".to_owned(),
            other => other.escape_debug().to_string(),
        },
        Parting::Blanks => "blanks".to_owned(),
        Parting::Places(places) => {
            let list: Vec<String> = places.iter().map(|place| (place + 1).to_string()).collect();
            format!("columns from character {}", list.join(", "))
        }
    }
}

fn whole_lines(text: &str, most: usize) -> &str {
    if text.len() <= most {
        return text;
    }
    let end = (0..=most).rev().find(|&at| text.is_char_boundary(at)).unwrap_or(0);
    let part = text.get(..end).unwrap_or_default();
    part.rfind('\n').and_then(|at| part.get(..=at)).unwrap_or(part)
}

fn partings(sample: &str, said: &Said) -> Vec<Parting> {
    if let Some(parting) = &said.parting {
        return vec![parting.clone()];
    }
    let lines: Vec<&str> = sample.split(['\n', '\r']).filter(|line| !line.is_empty()).take(400).collect();
    let mut found = Vec::new();
    for (sign, _) in SIGNS {
        let with = lines.iter().filter(|line| line.contains(sign)).count();
        if with * 2 >= lines.len() && with > 0 {
            found.push(Parting::Sign(sign.to_string()));
            let paired = format!("{sign} ");
            if sign != ' ' && sample.contains(&paired) {
                let both = sample.matches(paired.as_str()).count();
                let alone = sample.matches(sign).count();
                if both * 2 >= alone && sign != ':' {
                    found.push(Parting::Sign(paired));
                }
            }
        }
    }
    let wide = lines.iter().filter(|line| line.contains("  ")).count();
    if wide * 2 >= lines.len() && wide > 0 {
        found.push(Parting::Blanks);
        if let Some(places) = places(&lines) {
            found.push(Parting::Places(places));
        }
    }
    found
}

/// Where columns begin that line up: behind places that are blank in nearly every line.
fn places(lines: &[&str]) -> Option<Vec<usize>> {
    if lines.len() < 3 || lines.iter().any(|line| line.contains('\t')) {
        return None;
    }
    let widest = lines.iter().map(|line| line.chars().count()).max()?.min(4096);
    let mut filled = vec![0_usize; widest];
    for line in lines {
        for (slot, c) in filled.iter_mut().zip(line.chars()) {
            *slot += usize::from(!c.is_whitespace());
        }
    }
    let most = lines.len() / 50;
    let mut starts = Vec::new();
    let mut before = true;
    for (at, count) in filled.iter().enumerate() {
        let blank = *count <= most;
        if !blank && before {
            starts.push(at);
        }
        before = blank;
    }
    (starts.len() > 1).then_some(starts)
}

/// The best reading of the quotation marks for one parting.
fn quotes(sample: &str, parting: &Parting, said: &Said) -> Tried {
    let sign = match parting {
        Parting::Sign(sign) => sign.as_str(),
        Parting::Blanks | Parting::Places(_) => " ",
    };
    let marks: Vec<Option<char>> = match said.quote {
        Some(quote) => vec![quote],
        None if matches!(parting, Parting::Sign(_)) && quoted(sample, sign, '\'') >= 2 => {
            vec![Some('"'), Some('\'')]
        }
        None => vec![Some('"')],
    };
    let mut tried: Vec<Tried> = Vec::new();
    for quote in marks {
        let escapes: Vec<Option<char>> = match (said.escape, quote) {
            (Some(escape), _) => vec![escape],
            (None, Some(quote)) if sample.contains(&format!("\\{quote}")) => vec![None, Some('\\')],
            _ => vec![None],
        };
        for escape in escapes {
            tried.push(attempt(sample, Dialect { parting: parting.clone(), quote, escape }));
        }
    }
    // Marks around whole cells, and many of them, are marks even where one of them is amiss.
    if said.quote.is_none() {
        let (single, double) = (quoted(sample, sign, '\''), quoted(sample, sign, '"'));
        let fits = |one: &&Tried| one.dialect.quote == Some('\'') && one.bad * 20 <= one.rows.rows.len() + 19;
        if single >= 4 && single > double * 4 && tried.iter().any(|one| fits(&one)) {
            tried.retain(|one| fits(&one));
        }
    }
    let least = tried.iter().map(|one| one.bad).min().unwrap_or(0);
    let mut best: Vec<Tried> = tried.into_iter().filter(|one| one.bad == least).collect();
    if best.len() > 1 && said.quote.is_none() {
        // Nothing is broken either way. Marks around whole cells are marks, if enough of them stand there.
        let double = quoted(sample, sign, '"');
        let single = quoted(sample, sign, '\'');
        let mark = if single > double * 4 { '\'' } else { '"' };
        best.retain(|one| one.dialect.quote == Some(mark));
    }
    let mut best = best.into_iter();
    match (best.next(), best.next()) {
        (Some(one), Some(other)) if !same(&one.rows, &other.rows) => {
            let words = |dialect: &Dialect| match dialect.escape {
                Some(escape) => format!("with the escape `{escape}`"),
                None => "with quotation marks written twice".to_owned(),
            };
            let doubt = Some(Doubt::Quote(words(&one.dialect), words(&other.dialect)));
            Tried { doubt, ..one }
        }
        (Some(one), _) => one,
        (None, _) => attempt(sample, Dialect { parting: parting.clone(), quote: Some('"'), escape: None }),
    }
}

/// How many cells this mark opens and closes, as far as can be seen without knowing that it does.
fn quoted(sample: &str, sign: &str, mark: char) -> usize {
    let (mut opened, mut closed) = (0, 0);
    for cell in sample.lines().take(2000).flat_map(|line| line.split(sign)) {
        opened += usize::from(cell.starts_with(mark) && cell.len() > 1);
        closed += usize::from(cell.ends_with(mark) && cell.len() > 1);
    }
    opened.min(closed)
}

fn attempt(sample: &str, dialect: Dialect) -> Tried {
    let rows = split(sample, &dialect, 1, usize::MAX, None);
    let width = usual_width(&rows);
    let others: Vec<char> = SIGNS
        .iter()
        .map(|(sign, _)| *sign)
        .filter(|sign| !matches!(sign, ' ' | ':' | ',' | '%' | '&' | '*' | '$' | '@'))
        .filter(|sign| sample.matches(*sign).count() * 2 >= rows.rows.len())
        .collect();
    let (mut bad, mut cells, mut likeness) = (0_usize, 0_usize, 0.0);
    // Lines before the table speak neither for nor against.
    let before = rows.rows.iter().take_while(|row| row.width() != width).count().min(rows.rows.len() / 2);
    for row in rows.rows.iter().skip(before) {
        if row.fault.is_some() || row.width() != width {
            bad += 1;
            continue;
        }
        for cell in rows.cells(row) {
            cells += 1;
            likeness += like(cell, &dialect.parting, &others);
        }
    }
    let total = (rows.rows.len() - before).max(1);
    let share = 1.0 - bad as f64 / total as f64;
    let likeness: f64 = if cells == 0 { 0.0 } else { likeness / cells as f64 };
    let belief = match &dialect.parting {
        Parting::Sign(sign) => {
            let one = SIGNS.iter().find(|(other, _)| sign.starts_with(*other)).map_or(0.9, |(_, belief)| *belief);
            // A blank after each sign belongs to the sign, if nothing else is said.
            if sign.chars().count() > 1 { one * 1.1 } else { one }
        }
        Parting::Blanks => 0.85,
        Parting::Places(_) => 0.95,
    };
    // Headings that are cut otherwise than the rows speak against a sign, though they may be a title.
    let head = if before == 0 || width < 2 { 1.0 } else { 0.95 };
    let breadth = if width < 2 { 0.0 } else { width as f64 / (width as f64 + 1.0) };
    let score = share * share * likeness * belief * head * breadth;
    Tried { dialect, rows, score, bad, doubt: None }
}

/// How much a cell looks like a cell, where these other signs stand in most lines too.
fn like(cell: &str, parting: &Parting, others: &[char]) -> f64 {
    match kind(cell) {
        Kind::Blank => 0.75,
        Kind::Code => 0.95,
        Kind::Number(_) | Kind::Date | Kind::Clock | Kind::Stamp => 1.0,
        Kind::Text => {
            let own = |c: char| matches!(parting, Parting::Sign(sign) if sign.starts_with(c));
            if cell.len() <= 40 && cell.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-' | '.')) {
                0.95
            } else if cell.contains(|c| others.contains(&c) && !own(c))
                || (cell.contains(',') && !own(',') && cell.len() < 40)
            {
                0.2
            } else if cell.contains(|c: char| c == '\n' || own(c)) {
                // Only quotation marks can hold these, so the marks are understood.
                1.0
            } else {
                0.8
            }
        }
    }
}

/// The width of most rows; of two that are as frequent, the greater.
#[must_use]
pub fn usual_width(rows: &Rows) -> usize {
    let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
    for row in &rows.rows {
        *widths.entry(row.width()).or_default() += 1;
    }
    widths.into_iter().max_by_key(|(width, count)| (*count, *width)).map_or(0, |(width, _)| width)
}

fn same(a: &Rows, b: &Rows) -> bool {
    a.rows.len() == b.rows.len() && a.rows.iter().zip(&b.rows).all(|(x, y)| a.cells(x).eq(b.cells(y)))
}
