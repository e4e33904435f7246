//! User text made fit for a page: nothing in it may steer the reader's machine or hide from the reader.

use std::fmt::Write as _;

/// The text with control characters and direction overrides made visible; line feeds and tabs become spaces.
///
/// Marks of direction could show a limit in another order than it was written, so they are named in brackets
/// (`[U+202E]`). Letters of right-to-left scripts stay as they are.
#[must_use]
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' => out.push(' '),
            c if steers(c) => {
                let _ = write!(out, "[U+{:04X}]", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out
}

/// Whether a character acts on text without being seen.
fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61C}' | '\u{180E}' | '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}')
        || matches!(u32::from(c), 0x2028 | 0x2029 | 0xFFFE | 0xFFFF | 0xE0000..=0xE007F)
}

/// The text as a string of a style sheet, quotes included. All but plain letters, digits and spaces is written
/// as a code point and the space that ends it, so the text can end neither the string nor the style element.
#[must_use]
pub fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in clean(text).chars() {
        if c.is_ascii_alphanumeric() || c == ' ' {
            out.push(c);
        } else {
            let _ = write!(out, "\\{:x} ", u32::from(c));
        }
    }
    out.push('"');
    out
}

/// A name as the end of an anchor: letters, digits, dot and hyphen stay.
#[must_use]
pub fn anchor(kind: &str, name: &str) -> String {
    let name: String = name.chars().map(|c| if c.is_alphanumeric() || c == '.' { c } else { '-' }).collect();
    format!("{kind}-{name}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_is_named() {
        assert_eq!(clean("a\u{202E}b\u{0}c\u{7f}d\u{feff}"), "a[U+202E]b[U+0000]c[U+007F]d[U+FEFF]");
        assert_eq!(clean("two\nlines\tand שלום 🦆"), "two lines and שלום 🦆");
    }

    #[test]
    fn a_string_of_the_style_sheet_cannot_be_left() {
        assert_eq!(css_string("a\"}</style>"), "\"a\\22 \\7d \\3c \\2f style\\3e \"");
    }

    #[test]
    fn anchors_hold_no_space() {
        assert_eq!(anchor("step", "steel-2.5"), "step-steel-2.5");
        assert_eq!(anchor("step", "a b\"<"), "step-a-b--");
    }
}
