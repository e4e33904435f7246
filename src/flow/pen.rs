//! Lines of text in SVG.

use std::fmt::Write as _;

use super::text::{escape, number};

/// How a line of text is set.
#[derive(Clone, Copy)]
pub(crate) struct Style {
    pub size: f64,
    pub bold: bool,
    pub italic: bool,
    /// `start`, `middle` or `end`.
    pub anchor: &'static str,
}

impl Style {
    /// Upright text about its middle.
    pub fn plain(size: f64) -> Self {
        Style { size, bold: false, italic: false, anchor: "middle" }
    }
    /// Bold text about its middle.
    pub fn bold(size: f64) -> Self {
        Style { bold: true, ..Style::plain(size) }
    }
    /// The same, beginning at its place.
    pub fn at_start(self) -> Self {
        Style { anchor: "start", ..self }
    }
}

/// Writes one line of text with its base line at `y`.
pub(crate) fn put(out: &mut String, line: &str, x: f64, y: f64, style: Style) {
    let anchor = match style.anchor {
        "start" => "",
        "end" => " text-anchor=\"end\"",
        _ => " text-anchor=\"middle\"",
    };
    let _ = writeln!(
        out,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{}{} fill=\"currentColor\" \
         stroke=\"none\">{}</text>",
        number(x),
        number(y),
        number(style.size),
        if style.bold { " font-weight=\"bold\"" } else { "" },
        if style.italic { " font-style=\"italic\"" } else { "" },
        escape(line)
    );
}
