//! Allergens: what comes in with materials, equipment and rework reaches the label.

use super::Desk;
use super::allergen_lists as lists;
use crate::finding::{Care, Finding, nearest};
use crate::plan::{Name, Outcome, Plan, Product, Said};
use crate::source::Loc;
use std::collections::HashSet;

crate::rules! {
    /// An allergen reaches a product and is not declared on it.
    ///
    /// Of the allergens that are on no list of the regimes in force, none is asked for; nor of the derivatives that the
    /// law takes out, such as `refined-soybean-oil`, where the plan names them so.
    UNDECLARED_ALLERGEN = "A101" "undeclared-allergen" Error ["codex.allergen", "all.matrix", "all.us9", "all.eu14", "all.codex.2024", "all.eu.except", "eu.2021.382.allergen"];
    /// A product declares an allergen that nothing brings in.
    UNEXPLAINED_ALLERGEN = "A102" "unexplained-allergen" Warning;
    /// A product says nothing of allergens, and its materials carry some.
    NO_ALLERGEN_STATEMENT = "A103" "no-allergen-statement" Error ["codex.allergen", "all.matrix", "all.us9", "all.eu14", "all.codex.2024"];
    /// A material does not say which allergens it carries.
    SILENT_MATERIAL = "A104" "silent-material" Error ["codex.allergen", "all.matrix", "all.us9", "all.eu14", "all.codex.2024"];
    /// An allergen that is on no list: a slip of the pen would keep it off the label.
    UNKNOWN_ALLERGEN = "A105" "unknown-allergen" Warning;
    /// Fish, crustacean or tree nut, and not which kind of it.
    UNNAMED_KIND = "A106" "unnamed-kind" Error ["all.us.name"];
    /// A product may contain an allergen, and nothing in the plan shows how it could get in.
    ///
    /// A precaution on the label is for cross-contact that was assessed, never in place of cleaning.
    UNFOUNDED_MAY_CONTAIN = "A107" "unfounded-may-contain" Warning;
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
        may_contain(desk, product);
    }
    words(desk);
}

/// Every place where an allergen is named.
fn named(plan: &Plan) -> impl Iterator<Item = &Name> {
    let products = plan.products.iter().flat_map(|product| {
        product
            .allergens
            .iter()
            .flat_map(|said| &said.value)
            .chain(product.may_contain.iter().flat_map(|(names, _)| names))
    });
    let materials = plan.materials.iter().filter_map(|material| material.allergens.as_ref());
    let equipment = plan.equipment.iter().filter_map(|equipment| equipment.allergens.as_ref());
    products.chain(materials.chain(equipment).flat_map(|said| &said.value))
}

/// Each name is on a list, and names its kind where the label must.
fn words(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    let regimes = plan.regimes();
    let mut seen = HashSet::new();
    for name in named(plan).filter(|name| seen.insert(name.text.as_str())) {
        match lists::find(&name.text) {
            None => {
                let finding = Finding::at(&UNKNOWN_ALLERGEN, name.loc, format!("`{name}` is on no list of allergens"));
                desk.findings.push(match nearest(&name.text, lists::names()) {
                    Some(near) => finding.help(format!("did you mean `{near}`?")).fix(name.loc, near, Care::NeedsALook),
                    None => finding.help(format!(
                        "the lists hold: {}; write a kind after its group, as in `fish-cod`",
                        lists::groups().join(", ")
                    )),
                });
            }
            Some(found) if found.wants_kind && regimes.iter().any(|regime| regime.starts_with("us-")) => {
                desk.findings.push(
                    Finding::at(
                        &UNNAMED_KIND,
                        name.loc,
                        format!("`{name}` does not say which kind, and the label must"),
                    )
                    .help(format!("name the kind, as in `{name}-…` with its own word at the end")),
                );
            }
            Some(_) => {}
        }
    }
}

fn may_contain(desk: &mut Desk<'_>, product: &Product) {
    let plan = desk.plan;
    let carriers = || {
        let equipment = plan.equipment.iter().filter_map(|equipment| equipment.allergens.as_ref());
        let materials = plan.materials.iter().filter_map(|material| material.allergens.as_ref());
        equipment.chain(materials).flat_map(|said| &said.value)
    };
    for name in product.may_contain.iter().flat_map(|(names, _)| names) {
        if !carriers().any(|carried| carried == name) {
            desk.findings.push(
                Finding::at(
                    &UNFOUNDED_MAY_CONTAIN,
                    name.loc,
                    format!("`{}` may contain `{name}`, and no equipment or material of the plan carries it", product.name),
                )
                .help("name it in the `allergens` of the equipment or material through which it may get in, or take it out"),
            );
        }
    }
}

/// The steps through which a product may pass, or from which rework reaches it.
///
/// Rework brings what the products that pass its step have with them: what is only for another product is no part of it,
/// unless rework of that product has gone into them before.
pub(super) fn steps_of(desk: &Desk<'_>, product: &Product) -> Vec<bool> {
    let steps = &desk.plan.steps;
    let products = &desk.plan.products;
    let own: Vec<Vec<bool>> = products
        .iter()
        .map(|one| steps.iter().map(|step| step.only_for.is_empty() || step.only_for.contains(&one.name)).collect())
        .collect();
    let mut passed = own.clone();
    let is = |all: &[Vec<bool>], one: usize, at: usize| all.get(one).and_then(|mine| mine.get(at)) == Some(&true);
    loop {
        let before = passed.clone();
        for (at, step) in steps.iter().enumerate() {
            for gives in step.gives.iter().filter(|gives| gives.outcome == Outcome::Rework) {
                let Some(back) = gives.to.as_ref().and_then(|to| desk.order.index(&to.text)) else { continue };
                for (taker, giver) in
                    (0..products.len()).flat_map(|taker| (0..products.len()).map(move |giver| (taker, giver)))
                {
                    if !is(&passed, taker, back) || !is(&own, giver, at) {
                        continue;
                    }
                    for earlier in (0..steps.len()).filter(|earlier| desk.order.at_or_after(*earlier, at)) {
                        if is(&passed, giver, earlier)
                            && let Some(slot) = passed.get_mut(taker).and_then(|mine| mine.get_mut(earlier))
                        {
                            *slot = true;
                        }
                    }
                }
            }
        }
        if passed == before {
            break;
        }
    }
    let mine = products.iter().position(|one| one.name == product.name);
    mine.and_then(|mine| passed.into_iter().nth(mine)).unwrap_or_default()
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
        if !declared.value.contains(one.allergen) && !assessed && lists::asked(&one.allergen.text, &desk.plan.regimes())
        {
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
