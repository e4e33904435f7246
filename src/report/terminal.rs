//! Findings on a terminal.
//!
//! Drawn by miette. Text that comes from a user is cleaned of control characters first, so that a plan or a log
//! cannot repaint the terminal of the person who reads about it.

use crate::clause::clause;
use crate::finding::{Finding, Severity};
use crate::source::{Loc, Place, Source, SourceId, Sources, Span};
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteSpanContents, SourceCode, SourceSpan,
    SpanContents, ThemeCharacters, ThemeStyles,
};
use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt;

/// How to draw.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// Colours.
    pub colour: bool,
    /// Columns.
    pub width: usize,
}

/// Draws every finding, each followed by an empty line.
#[must_use]
pub fn findings(sources: &Sources, findings: &[Finding], look: Look) -> String {
    let theme = GraphicalTheme {
        characters: ThemeCharacters::unicode(),
        styles: if look.colour { ThemeStyles::ansi() } else { ThemeStyles::none() },
    };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_links(false)
        .with_width(look.width)
        .with_context_lines(1)
        .without_cause_chain();
    let shown: HashMap<SourceId, Cow<'_, str>> =
        sources.iter().map(|(id, source)| (id, clean_in_place(source.text()))).collect();
    let mut out = String::new();
    for finding in findings {
        let drawn = Drawn::new(sources, &shown, finding);
        if handler.render_report(&mut out, &drawn).is_err() {
            out.push_str(&clean(&finding.message));
        }
        out.push('\n');
    }
    out
}

/// `2 errors, 1 warning` and the like; `no findings` for none.
#[must_use]
pub fn count(findings: &[Finding]) -> String {
    let parts: Vec<String> = [Severity::Error, Severity::Warning, Severity::Note]
        .into_iter()
        .filter_map(|severity| {
            let count = findings.iter().filter(|finding| finding.rule.severity == severity).count();
            (count > 0).then(|| format!("{count} {}{}", severity.word(), if count == 1 { "" } else { "s" }))
        })
        .collect();
    if parts.is_empty() { "no findings".to_owned() } else { parts.join(", ") }
}

/// Text from a user with control characters, and marks that turn the direction of text, replaced by a visible stand-in.
#[must_use]
pub fn clean(text: &str) -> String {
    text.chars().map(|c| if harmful(c) { '\u{FFFD}' } else { c }).collect()
}

/// Whether a character could repaint a terminal, or show text in another order than it stands.
pub(super) fn harmful(c: char) -> bool {
    let turns = matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}' | '\u{61C}');
    turns || (c.is_control() && !matches!(c, '\n' | '\t'))
}

/// The same with as many bytes, so that offsets into it stay true; a lone carriage return ends a line.
fn clean_in_place(text: &str) -> Cow<'_, str> {
    if !text.chars().any(|c| c == '\r' || harmful(c)) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        out.push(match (c, c.len_utf8()) {
            ('\r', _) if chars.peek() == Some(&'\n') => c,
            ('\r', _) => '\n',
            _ if !harmful(c) => c,
            (_, 1) => '?',
            (_, 2) => '\u{B7}',
            _ => '\u{FFFD}',
        });
    }
    Cow::Owned(out)
}

/// Where a finding points, in one line.
#[must_use]
pub fn place(sources: &Sources, place: &Place) -> String {
    match place {
        Place::Text(loc) => sources.get(loc.source).map_or_else(String::new, |source| {
            let at = source.line_col(loc.span.start);
            format!("{}:{}:{}", clean(source.name()), at.line, at.column)
        }),
        Place::Cell(cell) => {
            let mut text = cell.file.clone();
            if cell.row > 0 {
                text.push_str(&format!(", row {}", cell.row));
            }
            if let Some(column) = &cell.column {
                text.push_str(&format!(", column `{column}`"));
            }
            clean(&text)
        }
        Place::Named(text) => clean(text),
    }
}

struct Drawn<'a> {
    finding: &'a Finding,
    message: String,
    help: Option<String>,
    labels: Vec<LabeledSpan>,
    code: Option<Lines<'a>>,
}

impl<'a> Drawn<'a> {
    fn new(sources: &'a Sources, shown: &'a HashMap<SourceId, Cow<'_, str>>, finding: &'a Finding) -> Self {
        let lines = |id: SourceId| Some(Lines { source: sources.get(id)?, shown: shown.get(&id)? });
        let (mut labels, mut code) = (Vec::new(), None);
        let mut message = finding.message.clone();
        let mut home = None;
        match &finding.place {
            Place::Text(loc) => {
                home = Some(loc.source);
                code = lines(loc.source);
                labels.push(LabeledSpan::new_primary_with_span(some(&finding.label), span(loc.span)));
            }
            other => {
                let at = place(sources, other);
                if !at.is_empty() {
                    message = format!("{at}: {message}");
                }
            }
        }
        let mut notes = Vec::new();
        for (related, label) in &finding.related {
            match related {
                Place::Text(Loc { source, span: at }) if home.is_none_or(|home: SourceId| home == *source) => {
                    if home.is_none() {
                        home = Some(*source);
                        code = lines(*source);
                    }
                    labels.push(LabeledSpan::new_with_span(some(label), span(*at)));
                }
                other => notes.push(format!("{}: {label}", place(sources, other))),
            }
        }
        let mut help: Vec<String> = finding.help.iter().cloned().collect();
        help.extend(notes);
        help.extend(
            finding.clauses.iter().filter_map(|id| clause(id)).map(|clause| format!("rests on {}", clause.note())),
        );
        Drawn {
            finding,
            message: clean(&message),
            help: (!help.is_empty()).then(|| clean(&help.join("\n"))),
            labels,
            code,
        }
    }
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| clean(text))
}

fn span(span: Span) -> SourceSpan {
    (span.start, span.end - span.start).into()
}

impl fmt::Debug for Drawn<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl fmt::Display for Drawn<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Drawn<'_> {}

impl Diagnostic for Drawn<'_> {
    fn code<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        Some(Box::new(format!("{} {}", self.finding.rule.code, self.finding.rule.name)))
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.finding.rule.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Note => miette::Severity::Advice,
        })
    }

    fn help<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        self.help.as_ref().map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        (!self.labels.is_empty())
            .then(|| Box::new(self.labels.iter().cloned()) as Box<dyn Iterator<Item = LabeledSpan>>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.code.as_ref().map(|code| code as &dyn SourceCode)
    }
}

/// A source with its table of lines, so that drawing does not search the text from its start each time.
struct Lines<'a> {
    source: &'a Source,
    /// Its text, cleaned.
    shown: &'a str,
}

impl SourceCode for Lines<'_> {
    fn read_span<'b>(
        &'b self,
        wanted: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'b> + 'b>, miette::MietteError> {
        let source = self.source;
        let (start, end) = (wanted.offset(), wanted.offset() + wanted.len());
        if end > source.text().len() {
            return Err(miette::MietteError::OutOfBounds);
        }
        let first = source.line_of(start).saturating_sub(before);
        let last = (source.line_of(end.max(start + 1) - 1) + after).min(source.line_count().saturating_sub(1));
        let text = Span::new(source.line_span(first).start, source.line_span(last).end.max(end));
        Ok(Box::new(MietteSpanContents::new_named(
            clean(source.name()),
            self.shown.get(text.start..text.end).unwrap_or("").as_bytes(),
            span(text),
            first,
            // The heading over a drawing names line and column of the span itself.
            if before == 0 { source.line_col(start).column - 1 } else { 0 },
            last + 1 - first,
        )))
    }
}
