//! From broken parts of the tree to findings that say what is wrong with them.

mod slip;

use super::expect::{phrase, stopped};
use super::grammar::{PlanParser, Rule};
use super::tree::Node;
use super::words::{block_words, homes, statement_words};
use super::{fault, scan};
use crate::finding::{Care, Finding, nearest};
use crate::source::{Loc, Source, SourceId, Span};
use pest::Parser;

/// A block's name in the vocabulary and the entry rule for one statement of it.
fn context(rule: Rule) -> Option<(&'static str, Rule)> {
    Some(match rule {
        Rule::plan_block => ("plan", Rule::only_plan),
        Rule::team_block => ("team", Rule::only_team),
        Rule::role_block => ("role", Rule::only_role),
        Rule::product_block => ("product", Rule::only_product),
        Rule::material_block => ("material", Rule::only_material),
        Rule::equipment_block => ("equipment", Rule::only_equipment),
        Rule::instrument_block => ("instrument", Rule::only_instrument),
        Rule::parameter_block => ("parameter", Rule::only_parameter),
        Rule::hazard_block => ("hazard", Rule::only_hazard),
        Rule::s_hazard_row => ("row", Rule::only_row),
        Rule::step_block => ("step", Rule::only_step),
        Rule::programme_block => ("programme", Rule::only_programme),
        Rule::control_block | Rule::ccp_block => ("ccp", Rule::only_control),
        Rule::limit_body => ("limit", Rule::only_limit),
        Rule::group => ("group", Rule::only_group),
        Rule::option_body => ("option", Rule::only_option),
        Rule::bands => ("bands", Rule::only_bands),
        Rule::series_body => ("series", Rule::only_series),
        Rule::s_deviation => ("deviation", Rule::only_deviation),
        Rule::table_block => ("table", Rule::only_table),
        Rule::inactivation_block => ("inactivation", Rule::only_inactivation),
        Rule::growth_block => ("growth", Rule::only_growth),
        Rule::source_block => ("source", Rule::only_source),
        Rule::study_block => ("study", Rule::only_study),
        Rule::record_block => ("record", Rule::only_record),
        _ => return None,
    })
}

/// The findings for every broken part of a tree.
pub(super) fn explain(id: SourceId, source: &Source, tree: &Node) -> Vec<Finding> {
    let mut explainer = Explainer { id, source, findings: Vec::new() };
    for node in &tree.parts {
        match node.rule {
            Rule::bad_block => explainer.bad_block(node),
            Rule::junk => explainer.junk(node),
            _ => explainer.block(node, None),
        }
    }
    explainer.findings
}

struct Explainer<'a> {
    id: SourceId,
    source: &'a Source,
    findings: Vec<Finding>,
}

impl Explainer<'_> {
    fn loc(&self, span: Span) -> Loc {
        Loc { source: self.id, span }
    }

    fn block(&mut self, node: &Node, outer: Option<(&'static str, Rule)>) {
        let here = context(node.rule).or(outer);
        let mut unclosed_inside = false;
        for part in &node.parts {
            match part.rule {
                Rule::bad_statement => {
                    if let Some((block, entry)) = here {
                        self.bad_statement(part, block, entry);
                    }
                }
                _ => {
                    unclosed_inside |= has_unclosed(part);
                    self.block(part, here);
                }
            }
        }
        if !unclosed_inside && let Some(unclosed) = node.part(Rule::unclosed) {
            self.unclosed(node, unclosed.span);
        }
    }

    /// The brace that was left open: the innermost block whose closing brace stands in another column than
    /// the line that opened it, else the block that ran out.
    fn unclosed(&mut self, node: &Node, end: Span) {
        let mut suspect = node;
        let mut inner = node;
        while let Some(next) =
            inner.parts.iter().rev().find(|part| part.part(Rule::open).is_some() && self.indent_differs(part))
        {
            suspect = next;
            inner = next;
        }
        let Some(open) = suspect.part(Rule::open) else { return };
        let mut finding = Finding::at(
            &fault::UNCLOSED,
            self.loc(open.span),
            format!("this brace of `{}` is never closed", self.head(suspect)),
        )
        .label("opened here")
        .help("put a `}` on a line of its own after the last statement of this block");
        if std::ptr::eq(suspect, node) {
            finding = finding.also(self.loc(Span::new(end.start, end.start)), "the block runs out here");
        } else if let Some(close) = suspect.part(Rule::close) {
            finding = finding.also(self.loc(close.span), "this brace stands under another block");
        }
        self.findings.push(finding);
    }

    fn indent_differs(&self, node: &Node) -> bool {
        let column = |at: usize| {
            let line = self.source.line_span(self.source.line_of(at));
            let text = self.source.slice(line);
            (text.len() - text.trim_start().len(), line.start)
        };
        let Some(close) = node.part(Rule::close) else { return false };
        let (indent, start) = column(node.span.start);
        let (close_indent, close_start) = column(close.span.start);
        // A brace on the line of its opener says nothing about columns.
        start != close_start && close.span.start == close_start + close_indent && indent != close_indent
    }

    fn head(&self, node: &Node) -> String {
        let line = self.source.line_span(self.source.line_of(node.span.start));
        let text = self.source.slice(Span::new(node.span.start, line.end));
        text.split(['{', '"']).next().unwrap_or(text).trim().to_owned()
    }

    fn bad_statement(&mut self, node: &Node, block: &'static str, entry: Rule) {
        let text_span = node.part(Rule::bad_text).map_or(node.span, |text| text.span);
        let text = self.source.slice(text_span).trim_end();
        let span = Span::new(text_span.start, text_span.start + text.len());
        // The whole statement with its contents, for the strict rule; the words alone, for the rest.
        let whole = self.source.slice(node.span);
        let finding = self
            .token_fault(span, text)
            .or_else(|| self.word_fault(span, text, block))
            .unwrap_or_else(|| self.strict_fault(node.span, whole, entry));
        self.findings.push(finding);
        for part in &node.parts {
            if let Some(unclosed) = node.part(Rule::unclosed).filter(|_| part.rule == Rule::open) {
                self.findings.push(
                    Finding::at(&fault::UNCLOSED, self.loc(part.span), "this brace is never closed")
                        .also(self.loc(unclosed.span), "the block runs out here")
                        .help("put a `}` on a line of its own after the last statement of this block"),
                );
            }
        }
    }

    /// Faults that show in the characters, whatever the statement.
    fn token_fault(&self, span: Span, text: &str) -> Option<Finding> {
        let bare = match scan::bare(text) {
            Ok(bare) => bare,
            Err(at) => {
                return Some(
                    Finding::at(
                        &fault::OPEN_QUOTE,
                        self.loc(Span::new(span.start + at, span.end)),
                        "this text in quotes is not closed on its line",
                    )
                    .help("close it with `\"`; longer text goes on in new quotes on the next, indented line"),
                );
            }
        };
        if let Some(at) = glued_comment(&bare) {
            return Some(
                Finding::at(
                    &fault::GLUED_COMMENT,
                    self.loc(Span::new(span.start + at, span.start + at + 1)),
                    "this `#` is neither a comment nor part of a text",
                )
                .help("a comment has a blank before and after its `#`"),
            );
        }
        let bytes = bare.as_bytes();
        let byte = |at: usize| bytes.get(at).copied().unwrap_or(b' ');
        let mut token = Token::default();
        for at in 1..bytes.len() {
            let (before, here, after) = (byte(at - 1), byte(at), byte(at + 1));
            if here == b',' && before.is_ascii_digit() && after.is_ascii_digit() {
                let comma = self.loc(Span::new(span.start + at, span.start + at + 1));
                return Some(
                    Finding::at(&fault::DECIMAL_COMMA, comma, "a comma stands inside a number")
                        .help("write the decimal mark as a point")
                        .fix(comma, ".", Care::NeedsALook),
                );
            }
            if let Some(length) = dash(bytes, at)
                && before.is_ascii_digit()
                && byte(at + length).is_ascii_digit()
                && !token.around(&bare, at).is_name_or_date
            {
                return Some(
                    Finding::at(
                        &fault::DASHED_RANGE,
                        self.loc(Span::new(span.start + at, span.start + at + length)),
                        "a dash stands between two numbers",
                    )
                    .help("write a range as `between 3 °C and 5 °C`; a minus sign stands after a blank"),
                );
            }
        }
        None
    }

    /// A first word that does not belong here.
    fn word_fault(&self, span: Span, text: &str, block: &'static str) -> Option<Finding> {
        let word = first_word(text);
        // A group holds conditions, which begin with a name.
        if word.is_empty()
            || matches!(block, "group" | "option" | "bands")
            || statement_words(block).any(|known| known == word)
        {
            return None;
        }
        let at = self.loc(Span::new(span.start, span.start + word.len()));
        let place = if block == "row" { "a hazard row" } else { block };
        let mut finding = Finding::at(
            &fault::UNKNOWN_WORD,
            at,
            format!("`{}` is no statement of {}", shorten(word), with_article(place)),
        );
        let homes = homes(word);
        finding = if let Some(near) = nearest(word, statement_words(block)) {
            finding.help(format!("did you mean `{near}`?")).fix(at, near, Care::NeedsALook)
        } else if block_words().any(|known| known == word) {
            finding.help(format!("`{word}` begins a block of its own: put it in column 1, after this block's `}}`"))
        } else if homes.is_empty() {
            let list: Vec<&str> = statement_words(block).collect();
            finding.help(format!("it may hold: {}", list.join(", ")))
        } else {
            finding
                .help(format!("it belongs in {}; was a `}}` lost or added above?", with_article(&homes.join(" or "))))
        };
        Some(finding)
    }

    /// What the grammar of this statement expected.
    fn strict_fault(&self, span: Span, text: &str, entry: Rule) -> Finding {
        let Err(error) = PlanParser::parse(entry, text) else {
            // The statement itself is whole, so what follows it on its line is too much.
            return Finding::at(
                &fault::BROKEN_STATEMENT,
                self.loc(span),
                "something stands after the end of this statement",
            )
            .help("part two statements on one line with `;`");
        };
        let reason = stopped(&error);
        let at = reason.at.min(text.len());
        let rest = text.get(at..).unwrap_or("");
        let token_len = first_token_len(rest);
        let token = rest.get(..token_len).unwrap_or("");
        let loc = self.loc(Span::new(span.start + at, span.start + at + token_len));
        let after_number =
            text.get(..at).is_some_and(|before| before.trim_end().ends_with(|c: char| c.is_ascii_digit()));
        if reason.unit && after_number && !token.is_empty() && !is_joining(token) {
            return self.unknown_unit(loc, token);
        }
        let statement = first_word(text);
        if statement.is_empty() {
            return Finding::at(&fault::BROKEN_STATEMENT, loc, "no statement begins here").help(
                "a statement begins with its word; quoted texts join only on successive lines, without a line between",
            );
        }
        if token.is_empty() && text.trim_end().ends_with(',') {
            return Finding::at(
                &fault::TRAILING_COMMA,
                self.loc(Span::new(span.start + text.trim_end().len() - 1, span.start + text.trim_end().len())),
                format!("the list of `{statement}` ends in a comma"),
            )
            .help("take the comma out, or write the next item");
        }
        let message = if token.is_empty() {
            format!("`{statement}` breaks off here")
        } else {
            format!("`{}` does not fit here", shorten(token))
        };
        if let Some(finding) = self.slip(span, (text, at, token), entry) {
            return finding;
        }
        let mut finding = Finding::at(&fault::BROKEN_STATEMENT, loc, message).label(format!("in `{statement}`"));
        if !reason.expected.is_empty() {
            finding = finding.help(format!("here stands {}", phrase(&reason.expected)));
        }
        finding
    }

    fn bad_block(&mut self, node: &Node) {
        let slice = self.source.slice(node.span);
        let head_end = node.part(Rule::open).map_or(node.span.end, |open| open.span.end);
        let word = first_word(slice);
        let head = self.source.slice(Span::new(node.span.start, head_end));
        let span = Span::new(node.span.start, node.span.start + head.trim_end().len());
        if let Some(finding) = self.token_fault(span, head.trim_end()) {
            self.findings.push(finding);
            return;
        }
        let reason = PlanParser::parse(Rule::only_block, slice).err().map(|error| stopped(&error));
        let finding = match reason {
            Some(reason) if reason.at <= head.len() => {
                let rest = head.get(reason.at..).unwrap_or("");
                let length = first_token_len(rest);
                let loc = self.loc(Span::new(span.start + reason.at, span.start + reason.at + length));
                let message = match rest.get(..length) {
                    Some(token) if !token.is_empty() => {
                        format!("`{}` does not fit in the first line of this {word}", shorten(token))
                    }
                    _ => format!("the first line of this {word} breaks off"),
                };
                Finding::at(&fault::BROKEN_HEAD, loc, message).help(format!("here stands {}", phrase(&reason.expected)))
            }
            _ => Finding::at(&fault::BROKEN_HEAD, self.loc(span), format!("this {word} cannot be read"))
                .help(format!("a {word} begins `{word} NAME \"Title\" {{`")),
        };
        self.findings.push(finding);
        if let (Some(open), Some(unclosed)) = (node.part(Rule::open), node.part(Rule::unclosed)) {
            self.findings.push(
                Finding::at(&fault::UNCLOSED, self.loc(open.span), format!("this brace of `{word}` is never closed"))
                    .also(self.loc(unclosed.span), "the block runs out here")
                    .help("put a `}` on a line of its own after the last statement of this block"),
            );
        }
    }

    fn junk(&mut self, node: &Node) {
        let slice = self.source.slice(node.span);
        let word = first_word(slice);
        let line = self.source.line_span(self.source.line_of(node.span.start));
        let span = Span::new(node.span.start, node.span.end.min(line.end).max(node.span.start + 1));
        if word.is_empty() {
            let finding = if slice.starts_with('}') {
                Finding::at(&fault::STRAY_BRACE, self.loc(span), "this brace closes nothing")
                    .help("take it out, or look above for a block that was closed too early")
            } else {
                Finding::at(&fault::UNKNOWN_WORD, self.loc(span), "this line belongs to no block")
                    .help("a block begins with its word in column 1, such as `step` or `ccp`")
            };
            self.findings.push(finding);
            return;
        }
        let at = self.loc(Span::new(node.span.start, node.span.start + word.len()));
        let finding = Finding::at(&fault::UNKNOWN_WORD, at, format!("`{}` begins no block", shorten(word)));
        let homes = homes(word);
        self.findings.push(match nearest(word, block_words()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(at, near, Care::NeedsALook),
            None if homes.is_empty() => {
                finding.help(format!("blocks are: {}", block_words().collect::<Vec<_>>().join(", ")))
            }
            None => finding.help(format!(
                "it is a statement of {}; is the block above closed too early?",
                with_article(&homes.join(" or "))
            )),
        });
    }
}

fn has_unclosed(node: &Node) -> bool {
    node.part(Rule::unclosed).is_some() || node.parts.iter().any(has_unclosed)
}

/// A word of the plan with its article, for the middle of a sentence.
pub(super) fn with_article(word: &str) -> String {
    if word.starts_with("a ") {
        word.to_owned()
    } else if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        format!("an {word}")
    } else {
        format!("a {word}")
    }
}

fn first_word(text: &str) -> &str {
    let text = text.trim_start();
    let end = text.find(|c: char| !(c.is_alphanumeric() || c == '-' || c == '_')).unwrap_or(text.len());
    text.get(..end).unwrap_or("")
}

fn first_token_len(rest: &str) -> usize {
    let line = rest.split(['\n', '\r', ';']).next().unwrap_or("");
    if line.starts_with(['{', '}', ',']) {
        return 1;
    }
    line.find(|c: char| c.is_whitespace() || c == ',' || c == '{').unwrap_or(line.len())
}

fn shorten(token: &str) -> String {
    if token.chars().count() > 40 { token.chars().take(39).chain(['…']).collect() } else { token.to_owned() }
}

fn is_joining(token: &str) -> bool {
    PlanParser::parse(Rule::reserved, token).is_ok_and(|pairs| pairs.as_str() == token)
}

fn glued_comment(bare: &str) -> Option<usize> {
    bare.match_indices('#').map(|(at, _)| at).find(|&at| {
        let before = bare.get(..at).and_then(|text| text.chars().next_back());
        let after = bare.get(at + 1..).and_then(|text| text.chars().next());
        !(before.is_none_or(char::is_whitespace) && after.is_none_or(char::is_whitespace))
    })
}

/// The length of the hyphen or dash at a place, as keyboards and word processors write a range.
fn dash(bytes: &[u8], at: usize) -> Option<usize> {
    match bytes.get(at..)? {
        [b'-', ..] => Some(1),
        // U+2010 to U+2015, and the minus sign U+2212.
        [0xE2, 0x80, 0x90..=0x95, ..] | [0xE2, 0x88, 0x92, ..] => Some(3),
        _ => None,
    }
}

/// The run of characters between blanks and commas that was looked at last.
#[derive(Default)]
struct Token {
    start: usize,
    end: usize,
    /// A name (`steel-2.5`) or a date (`2026-09-14`), in which a hyphen is no dash.
    is_name_or_date: bool,
}

impl Token {
    /// The token around a place. Places come in rising order, so that each token is read once.
    fn around(&mut self, text: &str, at: usize) -> &Token {
        if at >= self.end {
            let parts = |c: char| c.is_whitespace() || c == ',';
            let start = text
                .get(self.end..at)
                .and_then(|before| before.rfind(parts))
                .map_or(self.end, |blank| self.end + blank);
            let rest = text.get(start..).unwrap_or("");
            self.start = start + rest.len() - rest.trim_start_matches(parts).len();
            let rest = text.get(self.start..).unwrap_or("");
            self.end = self.start + rest.find(parts).unwrap_or(rest.len());
            let token = text.get(self.start..self.end).unwrap_or("");
            self.is_name_or_date = token.starts_with(|c: char| c.is_alphabetic())
                || PlanParser::parse(Rule::iso_date, token).is_ok_and(|pairs| pairs.as_str() == token);
        }
        self
    }
}
