//! Scope, team, product, materials and flow: steps 1 to 5.

use crate::document::clean::anchor;
use crate::document::flow_graph::graph;
use crate::document::labels::{Labels, capital, day, spaced};
use crate::document::page::{Block, Cell, Fact, Piece, Row, Section, Table};
use crate::flow::{DrawOptions, diagram, parts, text_alternative};
use crate::plan::{Class, LimitKind, Name, Plan, Product, PropertyFrom, Said, Step};

pub(super) fn scope_and_team(labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let head = plan.head.as_ref();
    let mut facts = vec![
        Fact::new("Scope", Cell::said(head.and_then(|head| head.scope.as_deref()))),
        Fact::new(
            "Time zone of all times",
            Cell::said(head.and_then(|head| head.zone.as_ref()).map(|zone| zone.value.to_string()).as_deref()),
        ),
    ];
    if let Some(shifts) = head.and_then(|head| head.shifts.as_ref()) {
        let times: Vec<String> = shifts.iter().map(|time| time.format("%H:%M").to_string()).collect();
        facts.push(Fact::new("Shifts begin at", Cell::text(times.join(", "))));
    }
    let mut blocks = vec![Block::Facts { facts }];
    let mut team: Vec<Row> = plan
        .team
        .members
        .iter()
        .map(|member| {
            let place = if member.leads { "leader" } else { "member" };
            Row::new(vec![Cell::text(labels.role(&member.role)), Cell::text(place), Cell::text(&member.discipline)])
        })
        .collect();
    team.extend(
        plan.team
            .outside
            .iter()
            .map(|(who, what)| Row::new(vec![Cell::text(who), Cell::text("outside expertise"), Cell::text(what)])),
    );
    blocks.extend(
        Table::some("HACCP team", &[("Who", 30), ("Place in the team", 25), ("Discipline", 45)], team)
            .or_else(|| Some(Block::text("No team is named."))),
    );
    let roles = plan
        .roles
        .iter()
        .map(|role| {
            let course = |words: String, date| vec![Piece::plain(words), Piece::styled("whole", day(date))];
            let trained = role.trained.iter().map(|(name, date)| course(format!("{name}, "), *date));
            let qualified = role.qualified.iter().map(|said| {
                let name = spaced(&said.name.text).replace("haccp", "HACCP").replace("pcqi", "PCQI");
                course(format!("qualified, {name}: {}, ", said.how), said.date)
            });
            Row::at(
                anchor("role", &role.name.text),
                vec![
                    Cell::text(Plan::title(&role.name, &role.title)),
                    Cell::lines(trained.chain(qualified)).or("not stated"),
                    Cell::said(role.duties.as_deref()),
                ],
            )
        })
        .collect();
    blocks.extend(Table::some("Roles, training and duties", &[("Role", 25), ("Trained", 30), ("Duties", 45)], roles));
    Section::new("scope", "Scope and team", blocks).aside("Codex step 1")
}

pub(super) fn products(labels: &Labels<'_>) -> Section {
    let parts: Vec<Section> = labels.plan().products.iter().map(|product| product_part(labels, product)).collect();
    let blocks = if parts.is_empty() { vec![Block::text("No product is described.")] } else { Vec::new() };
    Section::new("products", "Product description and intended use", blocks).aside("Codex steps 2 and 3").with(parts)
}

fn product_part(labels: &Labels<'_>, product: &Product) -> Section {
    let said = |name: &str, text: &Option<String>| Fact::new(name, Cell::said(text.as_deref()));
    let shelf_life = product.shelf_life.as_ref().map(|(term, how)| match how {
        Some(how) => format!("{term} ({how})"),
        None => term.to_string(),
    });
    let properties = product.properties.iter().map(|property| {
        let title = labels.parameter(&property.name);
        match &property.from {
            PropertyFrom::Control(control, parameter) => {
                let limits: Vec<String> = labels
                    .plan()
                    .control(&control.text)
                    .map(|control| {
                        control
                            .limits
                            .iter()
                            .filter(|limit| binding(limit.kind) && limit.parameters().contains(&parameter))
                            .map(|limit| limit.symbols())
                            .collect()
                    })
                    .unwrap_or_default();
                vec![
                    Piece::plain(format!("{title}: {} (", limits.join("; "))),
                    labels.control(control),
                    Piece::plain(")"),
                ]
            }
            PropertyFrom::Stated(sign, value) => vec![Piece::plain(format!("{title} {sign} {}", value.shown()))],
        }
    });
    let may: Vec<String> = product.may_contain.iter().map(|(names, why)| format!("{}: {why}", listed(names))).collect();
    let mut facts = vec![
        Fact::new("Kind", Cell::said(product.kind.as_ref().map(|kind| spaced(&kind.text)).as_deref())),
        said("What it is", &product.description),
        Fact::new("Values that matter for safety", Cell::lines(properties).or("none stated")),
        said("Packaging", &product.packaging),
        Fact::new("Shelf life", Cell::said(shelf_life.as_deref())),
        said("Storage", &product.storage),
        said("Distribution", &product.distribution),
        said("Intended use", &product.intended_use),
        said("Consumers", &product.consumers),
        said("Label", &product.label),
        Fact::new("Allergens it carries", allergens(product.allergens.as_ref())),
        Fact::new("Allergens that may get in", Cell::texts(may).or("none stated")),
    ];
    // What only some regimes ask for is shown where it is said.
    for (name, said) in [("Processing category", &product.category), ("Stored and sold", &product.storage_class)] {
        facts.extend(said.as_ref().map(|said| Fact::new(name, Cell::text(spaced(&said.text)))));
    }
    facts.extend(product.listeria_alternative.as_ref().map(|said| {
        let (chosen, how) = &said.value;
        Fact::new("Listeria after the lethal step", Cell::text(format!("Alternative {chosen}: {how}")))
    }));
    Section::new(
        anchor("product", &product.name.text),
        Plan::title(&product.name, &product.title),
        vec![Block::Facts { facts }],
    )
}

/// Whether a limit says what the product is, rather than what the plant aims at.
fn binding(kind: LimitKind) -> bool {
    matches!(kind, LimitKind::Critical | LimitKind::Identity)
}

fn listed(names: &[Name]) -> String {
    names.iter().map(|name| name.text.as_str()).collect::<Vec<_>>().join(", ")
}

fn allergens(said: Option<&Said<Vec<Name>>>) -> Cell {
    match said {
        None => Cell::styled("quiet", "not stated"),
        Some(said) if said.value.is_empty() => Cell::text("none"),
        Some(said) => Cell::styled("strong", listed(&said.value)),
    }
}

pub(super) fn materials(labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let rows = plan
        .materials
        .iter()
        .map(|material| {
            Row::at(
                anchor("material", &material.name.text),
                vec![
                    Cell::text(Plan::title(&material.name, &material.title)),
                    Cell::said(material.kind.map(|kind| spaced(kind.word())).as_deref()),
                    Cell::said(material.supplier.as_deref()),
                    Cell::default()
                        .labelled("Storage", material.storage.as_deref())
                        .labelled("Specification", material.specification.as_deref())
                        .or("not stated"),
                    allergens(material.allergens.as_ref()),
                    uses(labels, &material.name),
                ],
            )
        })
        .collect();
    let columns = [
        ("Material", 22),
        ("Kind", 12),
        ("Supplier", 18),
        ("Storage and specification", 20),
        ("Allergens", 12),
        ("Enters at", 16),
    ];
    let mut blocks: Vec<Block> =
        Table::some("Materials and the allergens they carry", &columns, rows).into_iter().collect();
    if blocks.is_empty() {
        blocks.push(Block::text("No material is described."));
    }
    let equipment = plan
        .equipment
        .iter()
        .map(|thing| {
            let cleaned = Cell::pieces(thing.cleaned_by.iter().map(|name| labels.programme(name)));
            let carried = thing.allergens.as_ref().map_or_else(Cell::empty, |said| allergens(Some(said)));
            Row::new(vec![
                Cell::text(Plan::title(&thing.name, &thing.title)).labelled("What", thing.description.as_deref()),
                uses(labels, &thing.name),
                cleaned.or("not stated"),
                Cell::said(thing.zone.as_ref().map(|zone| zone.text.as_str())),
                carried.or("not stated"),
            ])
        })
        .collect();
    let columns = [
        ("Equipment", 26),
        ("Used at", 22),
        ("Kept clean by", 22),
        ("Hygiene zone", 14),
        ("Allergens carried over", 16),
    ];
    blocks.extend(Table::some("Equipment", &columns, equipment));
    let mentioned = plan.hazards.iter().any(|hazard| hazard.class == Some(Class::Allergen));
    if mentioned {
        blocks.push(Block::text("How allergens are kept to the label is part of the hazard analysis below."));
    }
    Section::new("materials", "Materials, allergens and equipment", blocks).aside("Codex step 2")
}

fn uses(labels: &Labels<'_>, name: &Name) -> Cell {
    let steps = labels.plan().steps.iter().filter(|step| step.uses.contains(name));
    Cell::pieces(steps.map(|step| labels.step(&step.name))).or("no step")
}

pub(super) fn flow(labels: &Labels<'_>) -> Section {
    let plan = labels.plan();
    let confirmed = plan.head.as_ref().and_then(|head| head.flow_confirmed.as_ref());
    let confirmed = match confirmed {
        Some(dated) => Cell::text(format!("{} by {}", day(dated.date), labels.role(&dated.by)))
            .labelled("Remark", dated.note.as_deref()),
        None => Cell::styled("quiet", "not stated"),
    };
    let mut blocks = vec![Block::Facts { facts: vec![Fact::new("Confirmed on site", confirmed)] }];
    if plan.steps.is_empty() {
        blocks.push(Block::text("No step is described."));
        return Section::new("flow", "Flow diagram", blocks).aside("Codex steps 4 and 5");
    }
    let graph = graph(labels);
    let caption = "Flow diagram. A double border marks a step with a critical control point.";
    let options = DrawOptions { title: "Flow diagram".to_owned(), ..DrawOptions::default() };
    let pieces = parts(&graph, &DrawOptions { id_prefix: "paper".to_owned(), ..options.clone() });
    if let [whole] = pieces.as_slice() {
        blocks.push(Block::Figure {
            id: "figure-flow".to_owned(),
            shown: "both",
            svg: inline(&whole.svg),
            caption: caption.to_owned(),
        });
    } else {
        let svg = inline(&diagram(&graph, &options));
        blocks.push(Block::Figure { id: "figure-flow".to_owned(), shown: "screen", svg, caption: caption.to_owned() });
        blocks.extend(pieces.into_iter().map(|part| Block::Figure {
            id: format!("figure-flow-{}", part.number),
            shown: "paper",
            svg: inline(&part.svg),
            caption: format!("{caption} Part {} of {}.", part.number, part.of),
        }));
    }
    blocks.push(Block::heading("The same flow in words"));
    blocks.push(Block::List { ordered: false, items: text_alternative(&graph).iter().map(Cell::text).collect() });
    let steps = plan.steps.iter().map(|step| step_row(labels, step)).collect();
    let columns = [("Step", 24), ("What happens", 42), ("Equipment", 17), ("Stages timed here", 17)];
    blocks.extend(Table::some("Steps", &columns, steps));
    Section::new("flow", "Flow diagram", blocks).aside("Codex steps 4 and 5").own_page()
}

fn step_row(labels: &Labels<'_>, step: &Step) -> Row {
    let equipment = step
        .uses
        .iter()
        .filter(|name| labels.plan().equipment_named(&name.text).is_some())
        .map(|name| labels.used(name));
    let stages = step.stages.iter().map(|stage| capital(&spaced(&stage.name.text)));
    let only: Vec<&str> = step.only_for.iter().map(|name| name.text.as_str()).collect();
    let only = (!only.is_empty()).then(|| only.join(", "));
    Row::new(vec![
        Cell::line(vec![labels.step(&step.name)]),
        Cell::said(step.does.as_deref()).labelled("Only for", only.as_deref()),
        Cell::texts(equipment).or("none"),
        Cell::texts(stages).or("none"),
    ])
}

/// An `svg` element as it stands inside HTML, where its name space goes without saying.
pub(in crate::document) fn inline(svg: &str) -> String {
    svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1)
}
