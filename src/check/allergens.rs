//! Allergens: what comes in with materials, equipment and rework reaches the label.

use super::Desk;
use crate::finding::Finding;
use crate::plan::{Name, Outcome, Product, Said};
use crate::source::Loc;

crate::rules! {
    /// An allergen reaches a product and is not declared on it.
    UNDECLARED_ALLERGEN = "A101" "undeclared-allergen" Error ["codex.allergen", "all.matrix"];
    /// A product declares an allergen that nothing brings in.
    UNEXPLAINED_ALLERGEN = "A102" "unexplained-allergen" Warning;
    /// A product says nothing of allergens, and its materials carry some.
    NO_ALLERGEN_STATEMENT = "A103" "no-allergen-statement" Error ["codex.allergen", "all.matrix"];
    /// A material does not say which allergens it carries.
    SILENT_MATERIAL = "A104" "silent-material" Error ["codex.allergen", "all.matrix"];
}

/// An allergen on its way into a product.
struct Carried<'a> {
    allergen: &'a Name,
    carrier: &'a Name,
    place: Loc,
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for material in &plan.materials {
        if material.allergens.is_none() {
            desk.lacks(
                &SILENT_MATERIAL,
                material.loc,
                "allergens",
                format!("`{}` does not say which allergens it carries", material.name),
                "add `allergens none`, or the list from the supplier's specification",
            );
        }
    }
    for product in &plan.products {
        product_allergens(desk, product);
    }
}

/// The steps through which a product may pass, or from which rework reaches it.
fn steps_of(desk: &Desk<'_>, product: &Product) -> Vec<bool> {
    let steps = &desk.plan.steps;
    let mut mine: Vec<bool> =
        steps.iter().map(|step| step.only_for.is_empty() || step.only_for.contains(&product.name)).collect();
    for (at, step) in steps.iter().enumerate() {
        for gives in step.gives.iter().filter(|gives| gives.outcome == Outcome::Rework) {
            let back = gives.to.as_ref().and_then(|to| desk.order.index(&to.text));
            if back.and_then(|back| mine.get(back)).copied() != Some(true) {
                continue;
            }
            for earlier in 0..steps.len() {
                if desk.order.at_or_after(earlier, at)
                    && let Some(slot) = mine.get_mut(earlier)
                {
                    *slot = true;
                }
            }
        }
    }
    mine
}

fn carried<'a>(desk: &Desk<'a>, product: &Product) -> Vec<Carried<'a>> {
    let plan = desk.plan;
    let mine = steps_of(desk, product);
    let mut found: Vec<Carried<'a>> = Vec::new();
    let mut add = |said: &'a Option<Said<Vec<Name>>>, carrier: &'a Name| {
        for allergen in said.iter().flat_map(|said| &said.value) {
            if !found.iter().any(|known| known.allergen == allergen && known.carrier == carrier) {
                found.push(Carried { allergen, carrier, place: allergen.loc });
            }
        }
    };
    for (step, _) in plan.steps.iter().zip(&mine).filter(|(_, mine)| **mine) {
        for name in &step.uses {
            if let Some(material) = plan.material(&name.text) {
                add(&material.allergens, &material.name);
            }
            if let Some(equipment) = plan.equipment_named(&name.text) {
                add(&equipment.allergens, &equipment.name);
            }
        }
    }
    found
}

fn product_allergens(desk: &mut Desk<'_>, product: &Product) {
    let carried = carried(desk, product);
    let Some(declared) = &product.allergens else {
        let mut names: Vec<String> = carried.iter().map(|carried| format!("`{}`", carried.allergen)).collect();
        names.sort();
        names.dedup();
        if names.is_empty() {
            return;
        }
        let message = format!("`{}` carries {}, and says nothing of allergens", product.name, names.join(", "));
        let mut finding = Finding::at(&NO_ALLERGEN_STATEMENT, product.loc, message);
        for carried in &carried {
            finding = finding.also(carried.place, format!("comes in with `{}`", carried.carrier));
        }
        if let Some(before) = super::place::before(desk.plan, product.loc, "allergens") {
            finding = finding.also(before, "`allergens` would follow here");
        }
        desk.say(finding.help("add `allergens` with the list"));
        return;
    };
    for one in &carried {
        let equipment =
            desk.plan.equipment_named(&one.carrier.text).is_some() && desk.plan.material(&one.carrier.text).is_none();
        let assessed = equipment && product.may_contain.iter().any(|(names, _)| names.contains(one.allergen));
        if !declared.value.contains(one.allergen) && !assessed {
            desk.say(
                Finding::at(
                    &UNDECLARED_ALLERGEN,
                    declared.loc,
                    format!(
                        "`{}` reaches `{}` with `{}`, and is not declared on it",
                        one.allergen, product.name, one.carrier
                    ),
                )
                .also(one.place, "comes in here")
                .help(format!("add `{}` to `allergens`, and to the label", one.allergen)),
            );
        }
    }
    for name in &declared.value {
        if !carried.iter().any(|carried| carried.allergen == name) {
            desk.say(
                Finding::at(&UNEXPLAINED_ALLERGEN, name.loc, format!("`{}` declares `{name}`, and nothing brings it in", product.name))
                    .help("add it to the `allergens` of the material that carries it, or use `may-contain` with an assessment"),
            );
        }
    }
}
