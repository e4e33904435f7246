//! What is still open, the state of the text, and the cautions.

use crate::check::signing::{ByKey, Over, Signing};
use crate::document::Order;
use crate::document::labels::{Labels, day};
use crate::document::page::{Block, Cell, Fact, Piece, Row, Section, Table};
use crate::plan::Plan;
use crate::source::Loc;

/// Values that the plant has yet to set; none if the plan holds no blank.
pub(super) fn blanks(order: &Order<'_>, labels: &Labels<'_>) -> Option<Section> {
    let rows: Vec<Row> = order
        .plan
        .blanks
        .iter()
        .map(|&loc| {
            let (place, text) = line(order, loc);
            let (owner, pending) = owner(labels, loc);
            Row::new(vec![Cell::styled("code", text), Cell::text(place), owner, Cell::said(pending.as_deref())])
        })
        .collect();
    let columns = [("As written", 40), ("Where in the text", 20), ("Belongs to", 20), ("Who sets it, until when", 20)];
    let table = Table::some("Blanks", &columns, rows)?;
    let text = Block::text("While a value is blank, the plan is a draft and nothing can be judged against that value.");
    Some(Section::new("blanks", "Values still to be set", vec![text, table]))
}

/// File and line of a place, and the words there.
fn line(order: &Order<'_>, loc: Loc) -> (String, String) {
    let Some(source) = order.sources.get(loc.source) else {
        return ("unknown".to_owned(), String::new());
    };
    let at = source.line_of(loc.span.start);
    let file = source.name().rsplit(['/', '\\']).next().unwrap_or_default();
    (format!("{file}, line {}", at + 1), source.slice(source.line_span(at)).trim().to_owned())
}

/// The control that holds a place, and who is to set the value there.
fn owner(labels: &Labels<'_>, loc: Loc) -> (Cell, Option<String>) {
    let holds =
        |outer: Loc| outer.source == loc.source && outer.span.start <= loc.span.start && loc.span.end <= outer.span.end;
    for control in &labels.plan().controls {
        if let Some(limit) = control.limits.iter().find(|limit| holds(limit.loc)) {
            let pending =
                limit.pending.as_ref().map(|(by, until)| format!("{}, before {}", labels.role(by), day(*until)));
            return (Cell::line(vec![labels.control(&control.name)]), pending);
        }
    }
    (Cell::styled("quiet", "the line itself"), None)
}

pub(super) fn revision(order: &Order<'_>, labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let head = plan.head.as_ref();
    let revision = head.and_then(|head| head.revision.as_ref());
    let done = |dated: Option<&crate::plan::Dated>| match dated {
        Some(dated) => Cell::text(match dated.changed {
            Some(true) => format!("{} by {}: the plan was changed", day(dated.date), labels.role(&dated.by)),
            Some(false) => format!("{} by {}: no change was needed", day(dated.date), labels.role(&dated.by)),
            None => format!("{} by {}", day(dated.date), labels.role(&dated.by)),
        })
        .labelled("Remark", dated.note.as_deref()),
        None => Cell::said(None),
    };
    let text = |text: Option<String>| Cell::said(text.as_deref());
    let facts = vec![
        Fact::new(
            "This revision",
            text(revision.map(|revision| format!("{} of {}", revision.number, day(revision.date)))),
        ),
        Fact::new("Reason", text(revision.and_then(|revision| revision.reason.clone()))),
        Fact::new(
            "In force from",
            text(head.and_then(|head| head.in_force.as_ref()).map(|date| date.value.to_string())),
        ),
        Fact::new("Flow confirmed on site", done(head.and_then(|head| head.flow_confirmed.as_ref()))),
        Fact::new("Last reassessed", done(head.and_then(|head| head.reassessed.as_ref()))),
        Fact::new(
            "Reassessed every",
            text(head.and_then(|head| head.reassess.as_ref()).map(|every| every.value.to_string())),
        ),
        Fact::new(
            "Next reassessment due",
            text(
                head.and_then(|head| {
                    let last = head.reassessed.as_ref().and_then(|dated| dated.date);
                    let from = last.or(head.in_force.as_ref().map(|said| said.value))?;
                    head.reassess.as_ref()?.value.after(from, &plan.worked())
                })
                .map(|date| date.to_string()),
            ),
        ),
    ];
    let mut facts = facts;
    if let Some(days) = plan.worked_words() {
        facts.push(Fact::new("Working days are", Cell::text(days)));
    }
    let mut blocks = vec![Block::Facts { facts }];
    let earlier = head.map(crate::plan::Head::earlier).unwrap_or_default();
    let rows = earlier.into_iter().map(|one| {
        Row::new(vec![Cell::text(&one.number), Cell::text(day(one.date)), Cell::said(one.reason.as_deref())])
    });
    let columns = [("Revision", 14), ("Date", 18), ("Reason", 68)];
    blocks.extend(Table::some("Earlier revisions, out of use", &columns, rows.collect()));
    let rows = plan
        .exceptions
        .iter()
        .map(|exception| {
            let at = exception.at.as_ref().map_or_else(|| "the whole plan".to_owned(), |name| name.text.clone());
            Row::new(vec![
                Cell::styled("code", &exception.rule.text),
                Cell::text(at),
                Cell::text(&exception.because),
                Cell::text(labels.role(&exception.by)),
                Cell::text(day(exception.until)),
            ])
        })
        .collect();
    let columns = [("Finding", 20), ("At", 18), ("Reason", 32), ("Accepted by", 16), ("Until", 14)];
    blocks.extend(Table::some("Accepted findings", &columns, rows));
    blocks.extend(order.signing.and_then(|signing| signatures(labels, signing)));
    Section::new("revision", "Revision and reassessment", blocks)
}

/// The signatures in the file beside the plan; none if there is no file, or a broken one.
fn signatures(labels: &Labels<'_>, signing: &Signing) -> Option<Block> {
    let keys = signing.signatures.iter().any(|signature| signature.by_key.is_some());
    let rows = signing
        .signatures
        .iter()
        .map(|signature| {
            let plan = labels.plan();
            let role =
                plan.role(&signature.role).map_or(signature.role.as_str(), |role| Plan::title(&role.name, &role.title));
            let mut cells = vec![
                Cell::text(signature.date.to_string()),
                Cell::text(signature.meaning.word()),
                Cell::text(&signature.name),
                Cell::text(role),
                Cell::said(signature.revision.as_deref()),
                Cell::text(match signature.over {
                    Over::ThisText => "this text",
                    Over::OtherText => "another text",
                    Over::NotTold => "cannot be told",
                }),
            ];
            if keys {
                let by_key = signature.by_key.as_ref();
                let words = |key: &ByKey| format!("{}, {}", key.holder.words(), key.key);
                cells.push(Cell::text(by_key.map_or_else(|| "no key".to_owned(), words)));
            }
            Row::new(cells)
        })
        .collect();
    let mut columns =
        vec![("Day", 14), ("Signed as", 14), ("Name as typed", 26), ("Role", 22), ("Revision", 10), ("Under", 14)];
    if keys {
        columns = vec![
            ("Day", 13),
            ("Signed as", 11),
            ("Name as typed", 16),
            ("Role", 13),
            ("Revision", 11),
            ("Under", 10),
            ("Signed with", 26),
        ];
    }
    Table::some("Signatures kept beside the plan", &columns, rows)
}

/// What every document must say about itself.
const CAUTIONS: [(&str, &str); 6] = [
    (
        "Validation is the plant's duty. ",
        "Each limit and each control must be shown to work in this plant, on its own product, equipment and loads.",
    ),
    (
        "Examples are examples. ",
        "Figures that come with worked plans are for demonstration. None may be taken over without evidence of its own.",
    ),
    (
        "Local law prevails. ",
        "Where this document differs from the law of the place or from what the competent authority asks, they decide.",
    ),
    (
        "Thermal processes need an authority. ",
        "A process for low-acid or shelf-stable food must be set by a recognised process authority; nothing here takes its place.",
    ),
    (
        "People decide. ",
        "The plan supports trained people. What becomes of held product is decided by the person named for it.",
    ),
    ("When in doubt, hold the product. ", "A limit that is not shown to be met is treated as one that is not met."),
];

pub(in crate::document) fn cautions() -> Section {
    let items = CAUTIONS
        .iter()
        .map(|(head, rest)| Cell::line(vec![Piece::styled("strong", head), Piece::plain(rest)]))
        .collect();
    Section::new("cautions", "Cautions", vec![Block::List { ordered: false, items }])
}
