//! Products as the regimes class them: processing category, storage, and how Listeria is held after the lethal step.

use super::Desk;
use crate::finding::{Care, Finding, Rule, narrow, nearest};
use crate::plan::{Class, Head, Name, Product};

crate::rules! {
    /// A product without its processing category.
    NO_CATEGORY = "B122" "no-category" Error ["fsis.417.2.b1"];
    /// A processing category or storage class that is not in the set.
    UNKNOWN_CLASS = "B123" "unknown-class" Error;
    /// A product that does not say whether it is refrigerated, frozen or shelf-stable.
    ///
    /// On it hangs how long the records of the product must be kept; until it is said, the longer term is asked for.
    NO_STORAGE_CLASS = "B124" "no-storage-class" Warning;
    /// The plan does not say for which plant, at which place, it is.
    NO_PLACE = "B125" "no-place" Error ["fish.123.6.b", "juice.120.8.a"];
    /// Ready-to-eat product lies open after its lethal step, and does not say how Listeria is held.
    NO_LISTERIA_ALTERNATIVE = "H122" "no-listeria-alternative" Error ["fsis.430.4.b.alt"];
    /// The alternative chosen against Listeria does not fit what the plan says of itself.
    ALTERNATIVE_DOES_NOT_FIT = "H123" "alternative-does-not-fit" Error ["fsis.430.4.b.alt"];
    /// Food in sealed containers, and an analysis that leaves out more than the canning rules allow.
    ///
    /// 9 CFR 417.2(b)(3) lets a plan for commercially sterile product leave microbes out only where the canning rules
    /// hold; 21 CFR 123.6(e) takes out the toxin of Clostridium botulinum alone.
    BARE_CANNING = "H125" "bare-canning" Error ["fsis.417.2.b3", "fish.123.6.e"];
    /// Ready-to-eat product lies open after its lethal step, and no row looks at Listeria monocytogenes.
    NO_LISTERIA_ROW = "H124" "no-listeria-row" Error ["fsis.430.4.a"];
}

/// The nine processing categories of 9 CFR 417.2(b)(1), in our words.
pub const CATEGORIES: &[&str] = &[
    "slaughter",
    "raw-ground",
    "raw-not-ground",
    "commercially-sterile",
    "not-heat-treated-shelf-stable",
    "heat-treated-shelf-stable",
    "fully-cooked-not-shelf-stable",
    "heat-treated-not-fully-cooked-not-shelf-stable",
    "secondary-inhibitors-not-shelf-stable",
];

/// How a product is kept.
pub const STORAGE_CLASSES: &[&str] = &["refrigerated", "frozen", "shelf-stable"];

const US_BY_STORAGE: &[&str] = &["us-meat-poultry", "us-seafood", "us-juice"];

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let Some(head) = &plan.head else { return };
    canned(desk, head);
    let in_force = |regime: &str| head.answers_to(regime);
    for product in &plan.products {
        let name = &product.name;
        closed(desk, product.category.as_ref(), "processing category", CATEGORIES);
        closed(desk, product.storage_class.as_ref(), "storage class", STORAGE_CLASSES);
        if product.category.is_none() && in_force("us-meat-poultry") {
            lacks(
                desk,
                &NO_CATEGORY,
                product,
                "category",
                format!("the processing category of `{name}` is not said"),
                CATEGORIES,
            );
        }
        if product.storage_class.is_none() && US_BY_STORAGE.iter().any(|regime| in_force(regime)) {
            let what = format!("whether `{name}` is refrigerated, frozen or shelf-stable is not said");
            lacks(desk, &NO_STORAGE_CLASS, product, "storage-class", what, STORAGE_CLASSES);
        }
    }
    if in_force("us-seafood") || in_force("us-juice") {
        for (missing, word) in [(head.establishment.is_none(), "establishment"), (head.address.is_none(), "address")] {
            if missing {
                desk.lacks(
                    &NO_PLACE,
                    head.loc,
                    word,
                    format!("the {word} of the plant is not said, and a plan is for one place"),
                    format!("add `{word}`"),
                );
            }
        }
    }
    if in_force("us-meat-poultry") {
        listeria(desk, head);
    }
}

fn lacks(desk: &mut Desk<'_>, rule: &'static Rule, product: &Product, word: &str, what: String, of: &[&str]) {
    desk.lacks(rule, product.loc, word, what, format!("add `{word}` with one of: {}", of.join(", ")));
}

fn closed(desk: &mut Desk<'_>, said: Option<&Name>, what: &str, of: &[&'static str]) {
    let Some(said) = said.filter(|said| !of.contains(&&*said.text)) else { return };
    let finding = Finding::at(&UNKNOWN_CLASS, said.loc, format!("`{said}` is no {what}"));
    desk.say(match nearest(&said.text, of.iter().copied()) {
        Some(near) => finding.help(format!("did you mean `{near}`?")).fix(said.loc, near, Care::NeedsALook),
        None => finding.help(format!("it is one of: {}", of.join(", "))),
    });
}

/// 9 CFR 430.4: product that lies open after its lethal step.
fn listeria(desk: &mut Desk<'_>, head: &Head) {
    let plan = desk.plan;
    let Some(open) = head.concerned("exposed-after-lethality") else { return };
    let ready = |product: &&Product| product.kind.as_ref().is_some_and(|kind| *kind == *"ready-to-eat");
    for product in plan.products.iter().filter(ready) {
        match &product.listeria_alternative {
            None => desk.lacks(
                &NO_LISTERIA_ALTERNATIVE,
                product.loc,
                "listeria-alternative",
                format!("how Listeria is held in `{}` after its lethal step is not said", product.name),
                "add `listeria-alternative 1`, `2a`, `2b` or `3` with the treatment, the suppressant or the sanitation in quotes",
            ),
            Some(said) => fits(desk, head, &said.value.0, said.loc),
        }
    }
    let looked = plan
        .hazards
        .iter()
        .filter(|hazard| {
            let title = hazard.title.as_deref().unwrap_or_default();
            [hazard.name.text.as_str(), title].iter().any(|words| words.to_lowercase().contains("listeria"))
        })
        .any(|hazard| {
            plan.steps.iter().flat_map(|step| &step.analysis.rows).any(|row| row.hazards.contains(&hazard.name))
        });
    if !looked && plan.broken.is_empty() {
        desk.say(
            Finding::at(&NO_LISTERIA_ROW, open.loc, "product lies open after its lethal step, and no step has a row for Listeria")
                .help("declare the hazard with `Listeria monocytogenes` in its title, and add its row to the step where product lies open"),
        );
    }
}

/// The chosen alternative against what the plan says of treatment and sanitation.
fn fits(desk: &mut Desk<'_>, head: &Head, chosen: &str, loc: crate::source::Loc) {
    let treats = matches!(chosen, "1" | "2a");
    let cleans = matches!(chosen, "2b" | "3");
    for (wanted, topic, words) in [
        (treats, "listeria-treatment", "rests on a treatment after the lethal step"),
        (cleans, "listeria-sanitation", "rests on sanitation with testing"),
    ] {
        let denied = head.not_concerned.iter().find(|(name, _)| *name == *topic);
        if let Some((denied, _)) = denied.filter(|_| wanted) {
            desk.say(
                Finding::at(
                    &ALTERNATIVE_DOES_NOT_FIT,
                    loc,
                    format!("alternative {chosen} {words}, and the plan says that `{topic}` does not concern it"),
                )
                .also(denied.loc, "said not to be so here")
                .help(format!(
                    "put `{topic}` into `concerns` and answer its clauses, or choose the alternative that is so"
                )),
            );
        }
    }
}

/// What the canning rules leave to the plan must be in it.
fn canned(desk: &mut Desk<'_>, head: &Head) {
    let plan = desk.plan;
    let sterile = |product: &&Product| product.category.as_ref().is_some_and(|name| *name == *"commercially-sterile");
    let Some(place) = head
        .concerned("canned")
        .map(|name| name.loc)
        .or_else(|| plan.products.iter().find(sterile).map(|product| product.loc))
        .filter(|_| plan.broken.is_empty())
    else {
        return;
    };
    let rows = super::hazards::rows(desk);
    let kind = |name: &Name| plan.hazards.iter().find(|hazard| hazard.name == *name).and_then(|hazard| hazard.class);
    let microbes = rows.iter().flat_map(|row| &row.hazards).any(|name| kind(name) == Some(Class::Biological));
    let covered = plan.meets.iter().any(|meets| meets.citation.value == "9 CFR 417.2(b)(3)");
    let found = [
        (
            "us-meat-poultry",
            !microbes && !covered,
            "product is sealed and sterile; the plan has no row for a microbe, and does not say that the canning rules hold",
            "add the rows, or `meets \"9 CFR 417.2(b)(3)\"` to the programme that keeps the canning rules",
        ),
        (
            "us-seafood",
            rows.is_empty(),
            "product is sealed, and the plan has no row for any hazard: the canning rules take out the botulinum toxin alone",
            "add rows for the other hazards, such as decomposition, glass or metal",
        ),
    ];
    for (regime, lacking, message, help) in found {
        if lacking && head.answers_to(regime) {
            let mut finding = Finding::at(&BARE_CANNING, place, message).help(help);
            narrow(std::slice::from_mut(&mut finding), &[regime]);
            desk.say(finding);
        }
    }
}
