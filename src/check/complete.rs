//! Is everything there that a reader of the plan must find: head, products, materials, programmes, records, blanks.

use super::Desk;
use super::people::days;
use crate::clause::REGIMES;
use crate::finding::{Care, Finding, nearest};
use crate::plan::{Head, MaterialKind, Product};
use crate::source::Loc;

/// Kinds of product, by what is still done with it before it is eaten.
pub const PRODUCT_KINDS: &[&str] = &["ready-to-eat", "ready-to-heat", "ready-to-cook", "raw", "intermediate"];

crate::rules! {
    /// No plan block.
    NO_PLAN = "B101" "no-plan" Error ["codex.scope", "eu.852.5.1"];
    /// The plan does not say what it covers.
    NO_SCOPE = "B102" "no-scope" Error ["codex.scope", "eu.852.5.1"];
    /// A part of the plan block is missing.
    INCOMPLETE_HEAD = "B103" "incomplete-head" Warning;
    /// The plan does not say from which day it is in force: it is a draft.
    DRAFT = "B104" "draft" Note;
    /// A regime that is not known.
    UNKNOWN_REGIME = "B105" "unknown-regime" Error;
    /// A value is left blank in a plan that claims to be in force.
    ///
    /// For meat and poultry the plan of a new product is complete before the product is made to be sold.
    BLANK_IN_FORCE = "B106" "blank-in-force" Error ["fsis.304.3.new"];
    /// A part of a product's description is missing.
    INCOMPLETE_PRODUCT = "B107" "incomplete-product" Error ["codex.product"];
    /// A product without its intended use or its consumers.
    NO_USE = "B108" "no-intended-use" Error ["codex.use", "fsis.417.2.a2.use"];
    /// A product without its kind or its label statements.
    UNLABELLED_PRODUCT = "B109" "unlabelled-product" Warning;
    /// The plan has no product.
    NO_PRODUCT = "B110" "no-product" Error ["codex.product"];
    /// A record that nobody keeps.
    NO_RETENTION = "B111" "no-retention" Error ["codex.retain", "fsis.417.5.e1", "fish.123.9.b1", "juice.120.12.d1", "pc.117.315.a", "eu.852.5.4c"];
    /// A value is still blank after the day by which it was to be set.
    BLANK_OVERDUE = "B112" "blank-overdue" Error;
    /// A record is kept for less than the shelf life of a product.
    SHORT_RETENTION = "B113" "short-retention" Error ["codex.retain", "fsis.417.5.e1", "fish.123.9.b1", "juice.120.12.d1", "pc.117.315.a", "eu.852.5.4c"];
    /// A part of a material's description is missing.
    INCOMPLETE_MATERIAL = "B114" "incomplete-material" Warning;
    /// A kind of product that is not in the set.
    UNKNOWN_PRODUCT_KIND = "B115" "unknown-product-kind" Warning;
    /// Equipment that no programme keeps clean.
    UNCLEANED_EQUIPMENT = "B116" "uncleaned-equipment" Warning;
    /// A programme that does not say what it covers.
    SILENT_PROGRAMME = "B117" "silent-programme" Warning;
    /// Some CCPs bear a number and some do not.
    NUMBERED_IN_PART = "B118" "numbered-in-part" Note;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    match &desk.plan.head {
        Some(head) => self::head(desk, head),
        None => no_head(desk),
    }
    blanks(desk);
    let plan = desk.plan;
    for product in &plan.products {
        self::product(desk, product);
    }
    materials(desk);
    things(desk);
    records(desk);
}

/// A place for what is missing from the text as a whole: its first block.
fn somewhere(desk: &Desk<'_>) -> Option<Loc> {
    desk.plan
        .layout
        .iter()
        .map(|layout| layout.head)
        .chain(desk.plan.declared().into_iter().map(|(_, name)| name.loc))
        .min()
}

fn no_head(desk: &mut Desk<'_>) {
    if !desk.plan.broken.is_empty() {
        return;
    }
    if let Some(loc) = somewhere(desk) {
        desk.say(
            Finding::at(&NO_PLAN, loc, "there is no `plan` block")
                .help("begin with `plan NAME \"title\" { … }`: establishment, scope, regimes, revision"),
        );
    }
}

fn head(desk: &mut Desk<'_>, head: &Head) {
    if head.scope.is_none() {
        desk.lacks(&NO_SCOPE, head.loc, "scope", "the plan does not say what it covers", "add `scope \"from … to …\"`");
    }
    for (missing, word, what, line) in [
        (head.establishment.is_none(), "establishment", "for which plant it is", "establishment \"…\""),
        (head.address.is_none(), "address", "where the plant stands", "address \"…\""),
        (head.regimes.is_empty(), "regimes", "which rules it answers to", "regimes codex"),
        (head.tree.is_none(), "tree", "which decision tree it follows", "tree codex-2022"),
        (head.zone.is_none(), "time-zone", "by which clock its times are meant", "time-zone Europe/London"),
        (head.revision.is_none(), "revision", "which revision it is", "revision 1 on 2026-01-31 \"…\""),
    ] {
        if missing {
            desk.lacks(
                &INCOMPLETE_HEAD,
                head.loc,
                word,
                format!("the plan does not say {what}"),
                format!("add a line such as `{line}`"),
            );
        }
    }
    for name in &head.regimes {
        if REGIMES.contains(&name.text.as_str()) {
            continue;
        }
        let finding = Finding::at(&UNKNOWN_REGIME, name.loc, format!("no regime is called `{name}`"));
        desk.say(match nearest(&name.text, REGIMES.iter().copied()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(name.loc, near, Care::NeedsALook),
            None => finding.help(format!("the regimes are: {}", REGIMES.join(", "))),
        });
    }
    if head.in_force.is_none() {
        desk.lacks(
            &DRAFT,
            head.loc,
            "in-force",
            "the plan is a draft: no day is set from which it is in force",
            "when it is signed off, add `in-force from DATE`",
        );
    }
    if desk.plan.products.is_empty() && desk.plan.broken.is_empty() {
        desk.say(
            Finding::at(&NO_PRODUCT, head.loc, format!("`{}` has no product", head.name)).help("add a `product` block"),
        );
    }
}

fn blanks(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    if let Some((head, from)) = plan.head.as_ref().and_then(|head| Some((head, head.in_force.as_ref()?))) {
        let new = head.concerned("new-establishment").is_some() && head.answers_to("us-meat-poultry");
        for loc in &plan.blanks {
            let mut finding = Finding::at(
                &BLANK_IN_FORCE,
                *loc,
                format!("this value is blank, and the plan claims to be in force from {}", from.value),
            )
            .also(from.loc, "in force from this day")
            .help("fill it in, or take `in-force` out until it is known");
            if !new {
                finding.clauses.clear();
            }
            desk.say(finding);
        }
    }
    for (limit, (by, day)) in plan
        .controls
        .iter()
        .flat_map(|control| &control.limits)
        .filter_map(|limit| Some((limit, limit.pending.as_ref()?)))
    {
        if let Some(day) = day.filter(|day| *day < desk.on)
            && limit.is_blank()
        {
            desk.say(
                Finding::at(
                    &BLANK_OVERDUE,
                    limit.condition_loc,
                    format!("`{}` was to be set by `{by}` before {day}, and is still blank", limit.name),
                )
                .help("fill the value in, or agree on a later day"),
            );
        }
    }
}

fn product(desk: &mut Desk<'_>, product: &Product) {
    let name = &product.name;
    let shelf_life = product.shelf_life.is_none();
    for (missing, word) in [
        (product.description.is_none(), "description"),
        (product.packaging.is_none(), "packaging"),
        (shelf_life, "shelf-life"),
        (product.storage.is_none(), "storage"),
        (product.distribution.is_none(), "distribution"),
    ] {
        if missing {
            desk.lacks(
                &INCOMPLETE_PRODUCT,
                product.loc,
                word,
                format!("the {} of `{name}` is not said", word.replace('-', " ")),
                format!("add `{word}`"),
            );
        }
    }
    for (missing, word, what) in [
        (product.intended_use.is_none(), "use", "how it is used"),
        (product.consumers.is_none(), "consumers", "who eats it"),
    ] {
        if missing {
            desk.lacks(
                &NO_USE,
                product.loc,
                word,
                format!("`{name}` does not say {what}"),
                format!("add `{word} \"…\"`; name vulnerable people if they are among them"),
            );
        }
    }
    for (missing, word) in [(product.kind.is_none(), "kind"), (product.label.is_none(), "label")] {
        if missing {
            desk.lacks(
                &UNLABELLED_PRODUCT,
                product.loc,
                word,
                format!("the {word} of `{name}` is not said"),
                format!("add `{word}`"),
            );
        }
    }
    if let Some(kind) = product.kind.as_ref().filter(|kind| !PRODUCT_KINDS.contains(&kind.text.as_str())) {
        let finding = Finding::at(&UNKNOWN_PRODUCT_KIND, kind.loc, format!("`{kind}` is no kind of product"));
        desk.say(match nearest(&kind.text, PRODUCT_KINDS.iter().copied()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(kind.loc, near, Care::NeedsALook),
            None => finding.help(format!("the kinds are: {}", PRODUCT_KINDS.join(", "))),
        });
    }
}

fn materials(desk: &mut Desk<'_>) {
    for material in &desk.plan.materials {
        let raw = material.kind == Some(MaterialKind::Raw);
        for (missing, word) in [
            (material.kind.is_none(), "kind"),
            (material.supplier.is_none(), "supplier"),
            (raw && material.storage.is_none(), "storage"),
        ] {
            if missing {
                desk.lacks(
                    &INCOMPLETE_MATERIAL,
                    material.loc,
                    word,
                    format!("the {word} of `{}` is not said", material.name),
                    format!("add `{word}`"),
                );
            }
        }
    }
}

fn things(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for equipment in &plan.equipment {
        if equipment.cleaned_by.is_empty() {
            desk.lacks(
                &UNCLEANED_EQUIPMENT,
                equipment.loc,
                "cleaned",
                format!("no programme keeps `{}` clean", equipment.name),
                "add `cleaned by PROGRAMME`",
            );
        }
    }
    for programme in &plan.programmes {
        if programme.covers.is_none() {
            desk.lacks(
                &SILENT_PROGRAMME,
                programme.loc,
                "covers",
                format!("what `{}` covers is not said", programme.name),
                "add `covers \"…\"`",
            );
        }
    }
    if plan.ccps().any(|ccp| ccp.number.is_some()) {
        for ccp in plan.ccps().filter(|ccp| ccp.number.is_none()) {
            desk.lacks(
                &NUMBERED_IN_PART,
                ccp.loc,
                "number",
                format!("`{}` bears no number, and other CCPs do", ccp.name),
                "add `number \"…\"`, or number none of them",
            );
        }
    }
}

fn records(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let longest = plan
        .products
        .iter()
        .filter_map(|product| Some((product, days(&product.shelf_life.as_ref()?.0)?)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    for record in &plan.records {
        let Some((term, _)) = &record.kept else {
            desk.lacks(
                &NO_RETENTION,
                record.loc,
                "kept",
                format!("how long `{}` is kept is not said", record.name),
                "add `kept for 2 years`",
            );
            continue;
        };
        if let (Some(kept), Some((product, life))) = (days(term), longest)
            && kept <= life
        {
            desk.say(
                Finding::at(
                    &SHORT_RETENTION,
                    record.loc,
                    format!("`{}` is kept for {term}, no longer than `{}` lasts", record.name, product.name),
                )
                .also(product.loc, "its shelf life is set here")
                .help("keep records longer than the product lasts, or as the authority sets"),
            );
        }
    }
}
