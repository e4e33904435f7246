//! Changeover: what one product leaves on equipment that another one passes, and whether cleaning between them was shown
//! to take it away.

use super::Desk;
use super::allergen_lists as lists;
use super::allergens::steps_of;
use crate::finding::Finding;
use crate::plan::{Equipment, Name, Product, Programme};

crate::rules! {
    /// A product leaves an allergen on equipment that another product passes, and nothing cleans the equipment.
    ///
    /// Of two products that pass one machine, one takes the allergen in at that machine or before it; the other is made
    /// without it, and neither declares it nor says that it may contain it.
    UNCLEANED_CHANGEOVER = "A108" "uncleaned-changeover" Error ["codex.allergen", "all.matrix", "eu.2021.382.allergen"];
    /// A product leaves an allergen on equipment that another product passes, and nothing shows that cleaning takes it away.
    ///
    /// Cleaning between products is trusted where its programme verifies it, or cites a study that did. A look at a clean
    /// machine finds no thin film of protein (common practice, no source).
    UNPROVEN_CHANGEOVER = "A109" "unproven-changeover" Warning;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for product in &plan.products {
        let mine = steps_of(desk, product);
        for equipment in &plan.equipment {
            let place = plan.steps.iter().zip(&mine).filter(|(_, mine)| **mine);
            let place = place.flat_map(|(step, _)| &step.uses).find(|name| **name == equipment.name);
            let Some(place) = place else { continue };
            for other in plan.products.iter().filter(|other| other.name != product.name) {
                for (allergen, material) in left(desk, other, equipment) {
                    // What the equipment is said to carry is asked for on the label by itself.
                    let said = equipment.allergens.as_ref().is_some_and(|said| said.value.contains(allergen));
                    let asked = lists::asked(&allergen.text, &plan.regimes());
                    if asked && !said && !expected(desk, product, &mine, allergen) {
                        desk.findings.extend(finding(desk, product, other, equipment, (allergen, material, place)));
                    }
                }
            }
        }
    }
}

/// The allergens that a product has with it when it passes the equipment, each with the material that brings it.
fn left<'a>(desk: &Desk<'a>, product: &Product, equipment: &Equipment) -> Vec<(&'a Name, &'a Name)> {
    let plan = desk.plan;
    let theirs = steps_of(desk, product);
    let passes: Vec<usize> = plan
        .steps
        .iter()
        .zip(&theirs)
        .enumerate()
        .filter(|(_, (step, theirs))| **theirs && step.uses.contains(&equipment.name))
        .map(|(at, _)| at)
        .collect();
    let mut found: Vec<(&Name, &Name)> = Vec::new();
    for (at, (step, _)) in plan.steps.iter().zip(&theirs).enumerate().filter(|(_, (_, theirs))| **theirs) {
        if !passes.iter().any(|pass| desk.order.at_or_after(at, *pass)) {
            continue;
        }
        for material in step.uses.iter().filter_map(|name| plan.material(&name.text)) {
            for allergen in material.allergens.iter().flat_map(|said| &said.value) {
                if !found.iter().any(|(known, _)| *known == allergen) {
                    found.push((allergen, &material.name));
                }
            }
        }
    }
    found
}

/// Whether a product carries the allergen by its own materials, declares it, or says that it may contain it.
fn expected(desk: &Desk<'_>, product: &Product, mine: &[bool], allergen: &Name) -> bool {
    let plan = desk.plan;
    let own = plan.steps.iter().zip(mine).filter(|(_, mine)| **mine).flat_map(|(step, _)| &step.uses);
    let own = own.filter_map(|name| plan.material(&name.text)?.allergens.as_ref()).flat_map(|said| &said.value);
    let declared = product.allergens.iter().flat_map(|said| &said.value);
    own.chain(declared).chain(product.may_contain.iter().flat_map(|(names, _)| names)).any(|name| name == allergen)
}

fn finding(
    desk: &Desk<'_>,
    product: &Product,
    other: &Product,
    equipment: &Equipment,
    (allergen, material, place): (&Name, &Name, &Name),
) -> Option<Finding> {
    let plan = desk.plan;
    let what = format!("`{allergen}` of `{}` may get into `{}` on `{}`", other.name, product.name, equipment.name);
    let also = |finding: Finding| {
        finding.also(allergen.loc, format!("comes in with `{material}`")).also(equipment.loc, "the equipment")
    };
    if equipment.cleaned_by.is_empty() {
        let message = format!("{what}, which nothing cleans");
        return Some(also(Finding::at(&UNCLEANED_CHANGEOVER, place.loc, message)).help(format!(
            "add `cleaned by PROGRAMME` to `{}`, or `may-contain {allergen}` with its assessment to `{}`",
            equipment.name, product.name
        )));
    }
    let programmes: Vec<&Programme> =
        equipment.cleaned_by.iter().filter_map(|name| plan.programme(&name.text)).collect();
    let shown = |programme: &&Programme| {
        let study = |name: &Name| plan.studies.iter().any(|study| study.name == *name);
        !programme.verify.is_empty() || programme.cites.iter().any(|citation| study(&citation.name))
    };
    // A programme that is not there is a finding of its own.
    let cleaning = programmes.first().filter(|_| programmes.len() == equipment.cleaned_by.len())?;
    (!programmes.iter().any(shown)).then(|| {
        let message = format!("{what}, and nothing shows that `{}` takes it away", cleaning.name);
        also(Finding::at(&UNPROVEN_CHANGEOVER, place.loc, message)).help(format!(
            "add to `{}` a `verify` of the cleaned equipment, or `cites STUDY`; or `may-contain {allergen}` with its assessment to `{}`",
            cleaning.name, product.name
        ))
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use crate::check::tests::of_these;

    /// Two products: all bowls pass the kettle, and celery goes into one of them at a step of its own.
    fn codes(mixing: &str, kettle: &str, plain: &str) -> Vec<&'static str> {
        let product = format!(
            "product plain \"Plain bowl\" {{\n  kind ready-to-eat\n  description \"Barley\"\n  use \"Cold\"\n  \
             consumers \"All\"\n  packaging \"Bowl\"\n  shelf-life 5 d\n  storage \"Cold\"\n  distribution \"Chilled\"\n  \
             label \"Barley\"\n  {plain}\n}}\n\nmaterial barley \"Pearl barley\""
        );
        let mix = "step mix \"Mixing\" { only for bowl; does \"Add celery\"; USES; no other hazard \"Closed\" }\n\n";
        let mix = mix.replace("USES", mixing);
        let (before, after) = if mixing.contains("after") { ("", mix.as_str()) } else { (mix.as_str(), "") };
        let after = after.replace("; after", "");
        let changes = [
            ("material barley \"Pearl barley\"", product.as_str()),
            ("  uses  barley, celery\n", "  uses  barley\n"),
            ("equipment kettle \"Kettle\" { cleaned by cleaning }\n", kettle),
            ("step boil \"Boiling\" {\n", &format!("{before}step boil \"Boiling\" {{\n")),
            ("step chill \"Chilling\" {\n", &format!("{after}step chill \"Chilling\" {{\n")),
        ];
        of_these(&changes, &["A101", "A108", "A109"])
    }

    const CLEANED: &str = "equipment kettle \"Kettle\" { cleaned by cleaning }\n";

    #[test]
    fn what_one_product_leaves_reaches_the_other() {
        let barley = "allergens barley";
        // Celery is in the bowls before they come to the kettle.
        assert_eq!(codes("uses celery", CLEANED, barley), ["A109"]);
        assert_eq!(codes("uses celery", "equipment kettle \"Kettle\" { zone cooked }\n", barley), ["A108"]);
        // Mixed in after the kettle it leaves nothing there.
        assert!(codes("uses celery; after", CLEANED, barley).is_empty());
        assert_eq!(codes("uses celery, kettle; after", CLEANED, barley), ["A109"]);
    }

    #[test]
    fn what_the_other_expects_or_the_label_need_not_name_is_no_finding() {
        assert!(codes("uses celery", CLEANED, "allergens barley, celery").is_empty());
        assert!(codes("uses celery", CLEANED, "allergens barley\n  may-contain celery \"Swabs\"").is_empty());
        // What the kettle is said to carry must be on the label.
        let carries = "equipment kettle \"Kettle\" { cleaned by cleaning; allergens celery }\n";
        assert_eq!(codes("uses celery", carries, "allergens barley"), ["A101"]);
        assert!(codes("uses celery", carries, "allergens barley\n  may-contain celery \"Swabs\"").is_empty());
    }
}
