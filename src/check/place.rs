//! Where in its block a missing statement belongs.

use crate::plan::Plan;
use crate::source::{Loc, Span};

/// The usual order of the statements of each block, by the word that begins it.
const ORDER: &[(&str, &[&str])] = &[
    (
        "plan",
        &[
            "establishment",
            "registered",
            "address",
            "scope",
            "regimes",
            "concerns",
            "not-concerned",
            "tree",
            "time-zone",
            "revision",
            "in-force",
            "flow-confirmed",
            "reassess",
            "reassessed",
        ],
    ),
    ("team", &["leader", "member", "outside"]),
    ("role", &["trained", "duties", "meets"]),
    (
        "product",
        &[
            "kind",
            "description",
            "use",
            "consumers",
            "packaging",
            "shelf-life",
            "storage",
            "distribution",
            "label",
            "property",
            "allergens",
            "may-contain",
        ],
    ),
    ("material", &["kind", "supplier", "storage", "specification", "allergens", "hazard", "no", "cites"]),
    ("equipment", &["cleaned", "zone", "allergens", "description"]),
    ("instrument", &["measures", "serial", "range", "resolution", "accuracy", "calibrate", "stuck", "responds"]),
    ("parameter", &["unit", "answers", "from", "pairing", "probes", "recorded"]),
    (
        "hazard",
        &[
            "kind",
            "severity",
            "acceptable-level",
            "cites",
            "likelihood",
            "significant",
            "not-significant",
            "decision",
            "control",
        ],
    ),
    (
        "step",
        &["number", "start", "does", "dispatch", "after", "uses", "gives", "only", "zone", "stage", "hazard", "no"],
    ),
    ("programme", &["covers", "procedure", "routine", "verify", "cites", "meets"]),
    ("control", CONTROL),
    ("ccp", CONTROL),
    ("deviation", &["hold", "hold-back", "adjust", "cause", "restore", "prevent", "disposition", "recorded"]),
    ("inactivation", &["D", "z", "range", "cites", "meets"]),
    ("source", &["publisher", "edition", "where", "replaces", "meets"]),
    ("study", &["date", "file", "finding", "cites", "meets"]),
    ("record", &["kept", "meets"]),
];

const CONTROL: &[&str] = &[
    "number",
    "kind",
    "limit",
    "operating-limit",
    "guide",
    "identity",
    "series",
    "monitor",
    "deviation",
    "verify",
    "validated",
    "because",
    "cites",
    "meets",
];

/// The last statement of the block that usually stands before one with this word; nothing if it would come first.
pub(super) fn before(plan: &Plan, head: Loc, word: &str) -> Option<Loc> {
    let layout = plan.layout.iter().find(|layout| layout.head == head)?;
    let (_, order) = ORDER.iter().find(|(block, _)| *block == layout.word)?;
    let rank = |word: &str| order.iter().position(|known| *known == word);
    let own = rank(word)?;
    let (_, loc) = layout
        .statements
        .iter()
        .filter_map(|(word, loc)| Some((rank(word).filter(|rank| *rank <= own)?, *loc)))
        .max_by_key(|(rank, loc)| (*rank, loc.span.start))?;
    let block =
        layout.statements.iter().any(|(word, at)| *at == loc && matches!(word.as_str(), "deviation" | "hazard"));
    // Of a block within the block only the closing brace, where what is missing would follow.
    let start = if block { loc.span.end.saturating_sub(1) } else { loc.span.start };
    Some(Loc { source: loc.source, span: Span::new(start, loc.span.end) })
}
