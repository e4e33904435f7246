//! Text in SVG without a font at hand: estimated widths, wrapping, escaping.

/// Estimated width of one character in parts of the font size, for a plain
/// sans-serif face. The figures are rounded up so that a slightly wider
/// substitute face still fits.
fn advance(c: char) -> f64 {
    match c {
        ' ' | '\u{A0}' | '\u{202F}' | 'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | 'I' => 0.32,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '-' | '/' | '"' | '`' => 0.40,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '—' | '…' => 0.98,
        'A'..='Z' => 0.75,
        '0'..='9' | 'a'..='z' => 0.62,
        c if (c as u32) < 0x2E80 => 0.70,
        _ => 1.05,
    }
}

/// Estimated width of `text` in user units at font size `size`.
pub fn width(text: &str, size: f64) -> f64 {
    text.chars().map(advance).sum::<f64>() * size
}

/// Breaks `text` into lines no wider than `room` at font size `size`. White
/// space parts words, save for no-break spaces; a word wider than the room is
/// broken inside.
/// Always gives at least one line.
pub fn wrap(text: &str, room: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(parts_words).filter(|w| !w.is_empty()) {
        for piece in break_word(word, room, size) {
            let joined = if line.is_empty() { piece.clone() } else { format!("{line} {piece}") };
            if line.is_empty() || width(&joined, size) <= room {
                line = joined;
            } else {
                lines.push(std::mem::replace(&mut line, piece));
            }
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// White space at which a line may end.
fn parts_words(c: char) -> bool {
    c.is_whitespace() && !matches!(c, '\u{A0}' | '\u{202F}')
}

/// Cuts a word that is wider than the room; all pieces but the last end in a
/// hyphen.
fn break_word(word: &str, room: f64, size: f64) -> Vec<String> {
    if width(word, size) <= room {
        return vec![word.to_owned()];
    }
    let mut pieces = Vec::new();
    let mut piece = String::new();
    for c in word.chars() {
        let grown = width(&piece, size) + (advance(c) + advance('-')) * size;
        if !piece.is_empty() && grown > room {
            if !piece.ends_with(['-', '/']) {
                piece.push('-');
            }
            pieces.push(std::mem::take(&mut piece));
        }
        piece.push(c);
    }
    pieces.push(piece);
    pieces
}

/// `text` on one line, cut with an ellipsis where it would be wider than
/// `room` at font size `size`.
pub fn fit(text: &str, room: f64, size: f64) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if width(&text, size) <= room {
        return text;
    }
    let mut cut = String::new();
    for c in text.chars() {
        if width(&cut, size) + (advance(c) + advance('…')) * size > room {
            break;
        }
        cut.push(c);
    }
    format!("{}…", cut.trim_end())
}

/// `text` made safe for XML text and attribute values. Characters that XML 1.0
/// does not allow become the replacement character.
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\t' | '\n' | '\r' => safe.push(' '),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => safe.push('\u{FFFD}'),
            c => safe.push(c),
        }
    }
    safe
}

/// `prefix` made safe as the beginning of an XML id: letters, digits, hyphen
/// and underscore stay, a letter goes first.
pub fn id_prefix(prefix: &str) -> String {
    let mut id: String = prefix.chars().map(|c| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' }).collect();
    if !id.starts_with(|c: char| c.is_ascii_alphabetic()) {
        id.insert(0, 's');
    }
    id
}

/// A coordinate as SVG text: one decimal at most, no trailing zero.
pub fn number(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    if !rounded.is_finite() || rounded == 0.0 {
        return "0".to_owned();
    }
    format!("{rounded}")
}
