//! Beside each temperature the same in the other scale.

use super::snapshot::{File, Snapshot};
use crate::quantity::{Dimension, Rational, Unit, UnitDef};
use crate::source::Span;
use crate::syntax::{Node, Rule};
use lsp_types::{InlayHint, Label, Range};

/// The hints of a range.
pub(super) fn hints(snapshot: &Snapshot, file: &File, range: Range) -> Vec<InlayHint> {
    let text = snapshot.text(file);
    let asked = file.lines.bytes(text, range);
    let mut all = Vec::new();
    temperatures(text, &file.tree, &mut |span, words| {
        if span.end >= asked.start && span.start <= asked.end {
            all.push(InlayHint {
                padding_left: Some(true),
                ..InlayHint::new(
                    file.lines.position(text, span.end),
                    Label::String(words),
                    None,
                    None,
                    None,
                    None,
                    None,
                    None,
                )
            });
        }
    });
    all
}

/// What the temperature under the cursor is in the other scale.
pub(super) fn other_scale(text: &str, tree: &Node, at: usize) -> Option<(Span, String)> {
    let mut found = None;
    temperatures(text, tree, &mut |span, words| {
        if span.start <= at && at <= span.end {
            found = Some((span, words));
        }
    });
    found
}

fn temperatures(text: &str, node: &Node, tell: &mut dyn FnMut(Span, String)) {
    let mut place = 0;
    let apart = node.rule == Rule::subject && node.part(Rule::arithmetic_sign).is_some();
    for part in &node.parts {
        if part.rule == Rule::quantity {
            if let Some(words) = converted(text, part, is_difference(node.rule, place)) {
                tell(trimmed(text, part.span), words);
            }
            place += 1;
        } else if apart && matches!(part.rule, Rule::level) {
            differences(text, part, tell);
        } else {
            temperatures(text, part, tell);
        }
    }
}

/// A span without the blanks at its end.
fn trimmed(text: &str, span: Span) -> Span {
    let words = text.get(span.start..span.end).unwrap_or("");
    Span::new(span.start, span.start + words.trim_end().len())
}

/// Below a difference of two parameters every temperature is a difference.
fn differences(text: &str, node: &Node, tell: &mut dyn FnMut(Span, String)) {
    node.walk(&mut |part| {
        if part.rule == Rule::quantity
            && let Some(words) = converted(text, part, true)
        {
            tell(trimmed(text, part.span), words);
        }
    });
}

/// Whether a temperature at this place of this statement is a difference, not a point on the scale.
fn is_difference(rule: Rule, place: usize) -> bool {
    match rule {
        Rule::s_z | Rule::s_accuracy | Rule::s_resolution | Rule::s_calibrate | Rule::beside | Rule::falls => true,
        Rule::tolerance | Rule::f_value => place == 1,
        _ => false,
    }
}

fn converted(text: &str, quantity: &Node, difference: bool) -> Option<String> {
    let part = |rule| quantity.part(rule).and_then(|node| text.get(node.span.start..node.span.end));
    let number = Rational::parse(&part(Rule::number)?.replace('\u{2212}', "-"))?;
    let from: Unit = UnitDef::find(part(Rule::unit)?)?;
    let to: Unit = UnitDef::find(match from.symbol {
        "°C" => "°F",
        "°F" => "°C",
        _ => return None,
    })?;
    debug_assert_eq!(to.dimension, Dimension::Temperature);
    let value = if difference {
        to.difference_from_base(from.difference_to_base(number)?)?
    } else {
        to.point_from_base(from.point_to_base(number)?)?
    };
    let tenths = value.times(Rational::new(10, 1)?)?;
    let rounded = Rational::new(i128::from(tenths.rounded()?), 10)?;
    let sign = if rounded == value { "=" } else { "≈" };
    Some(format!("{sign} {} {}", rounded.decimal()?, to.symbol))
}
