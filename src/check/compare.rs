//! How strict one demand is beside another: one comparison for operating limits and for legal values.
//!
//! Values are compared exactly, across units. A demand is as strict as another if whatever keeps the one keeps the
//! other; where that cannot be read off the two, the answer is [`Strictness::Unknown`] and never a guess.

use crate::plan::limit::{EdgeAt, FactTest, Measured, Wanted};
use crate::plan::sampling::{Grade, GradedBand, Sampled};
use crate::plan::{Amount, Condition, Name, Over, Plan, Range};
use crate::quantity::Rational;
use std::cmp::Ordering;

/// How strict one demand is beside another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Strictness {
    /// Stricter in something, weaker in nothing.
    Stricter,
    /// The same.
    Same,
    /// Weaker in something: in what.
    Weaker(&'static str),
    /// They cannot be compared.
    Unknown,
}

use Strictness::{Same, Stricter, Unknown, Weaker};

/// One thing in which two demands differ; `Greater` is stricter.
type Parts = Vec<(&'static str, Ordering)>;

/// The plan that each of two conditions belongs to: its tables and models are its own.
#[derive(Clone, Copy)]
struct Plans<'a> {
    own: &'a Plan,
    base: &'a Plan,
}

impl Plans<'_> {
    fn one(self) -> bool {
        std::ptr::eq(self.own, self.base)
    }

    /// Whether a model of this name is the same in both.
    fn same_model(self, name: &str) -> bool {
        let heat = |plan: &Plan| {
            let model = plan.inactivation(name)?;
            let d = model.d.as_ref().map(|(d, at)| (d.exact(false), at.exact(false)));
            let range = model.range.as_ref().map(|(low, high)| (low.exact(false), high.exact(false)));
            Some((d, model.z.as_ref().map(|z| z.exact(true)), range))
        };
        let growth = |plan: &Plan| {
            let model = plan.growth_model(name)?;
            let exact = |number: &Option<Measured>| number.as_ref().map(|number| number.exact(false));
            Some([exact(&model.minimum), exact(&model.optimum), exact(&model.maximum), exact(&model.rate)])
        };
        self.one() || (heat(self.own) == heat(self.base) && growth(self.own) == growth(self.base))
    }

    /// Whether both conditions ask for the same table, and it has the same rows in both.
    fn same_table(self, own: &Condition, base: &Condition) -> bool {
        let (Condition::AnyRow { parameter, table }, Condition::AnyRow { table: other, .. }) = (own, base) else {
            return false;
        };
        let rows = |plan: &Plan| -> Vec<(Condition, Vec<FactTest>)> {
            rows(plan, parameter, table).into_iter().map(|(row, facts)| (row.exact(), facts)).collect()
        };
        table == other && (self.one() || rows(self.own) == rows(self.base))
    }
}

/// Compares two conditions of one plan. `facts` are the answers on which the first one hangs.
pub(super) fn compare(plan: &Plan, own: &Condition, base: &Condition, facts: &[FactTest]) -> Strictness {
    between(Plans { own: plan, base: plan }, own, base, facts)
}

/// Compares two conditions of two plans, each with the tables and models of its own.
pub(crate) fn across(own: (&Plan, &Condition), base: (&Plan, &Condition)) -> Strictness {
    between(Plans { own: own.0, base: base.0 }, own.1, base.1, &[])
}

fn between(plans: Plans<'_>, own: &Condition, base: &Condition, facts: &[FactTest]) -> Strictness {
    match (own, base) {
        (Condition::Any(options) | Condition::Chosen { options, .. }, _) => {
            every(options.iter().map(|(_, option)| between(plans, option, base, facts)).collect())
        }
        (Condition::AnyRow { parameter, table }, _) if !plans.same_table(own, base) => {
            let rows = rows(plans.own, parameter, table);
            every(
                rows.iter()
                    .map(|(row, guard)| between(plans, row, base, &[facts, guard.as_slice()].concat()))
                    .collect(),
            )
        }
        (_, Condition::All(parts)) => every(parts.iter().map(|part| between(plans, own, part, facts)).collect()),
        (Condition::Level { .. }, Condition::Level { .. }) | (Condition::AnyRow { .. }, Condition::AnyRow { .. }) => {
            leaf(plans, own, base)
        }
        (Condition::All(parts), Condition::Level { .. }) => match halves(base) {
            Some(halves) => every(halves.iter().map(|half| between(plans, own, half, facts)).collect()),
            None => some_part(parts.iter().map(|part| between(plans, part, base, facts)).collect()),
        },
        (_, Condition::Any(options)) => {
            some_way(options.iter().map(|(_, option)| between(plans, own, option, facts)).collect())
        }
        (_, Condition::AnyRow { parameter, table }) => {
            let rows = rows(plans.base, parameter, table);
            let answers = rows.iter().map(|(row, guard)| {
                // A row for some lots alone serves only a limit that is for those lots alone.
                let serves = guard.iter().all(|fact| facts.contains(fact));
                if serves { between(plans, own, row, facts) } else { Unknown }
            });
            some_way(answers.collect())
        }
        (Condition::All(parts), _) => some_part(parts.iter().map(|part| between(plans, part, base, facts)).collect()),
        _ => leaf(plans, own, base),
    }
}

/// The rows of a table as conditions on a parameter, each with the facts on which it hangs.
pub(super) fn rows(plan: &Plan, parameter: &Name, table: &Name) -> Vec<(Condition, Vec<FactTest>)> {
    let rows = plan.table(&table.text).map_or(&[][..], |table| &table.rows);
    rows.iter()
        .map(|row| {
            let condition =
                Condition::Level { parameter: parameter.clone(), range: row.range.clone(), over: row.over.clone() };
            let mut facts = row.guard.as_ref().map_or_else(Vec::new, |guard| guard.facts.clone());
            if row.otherwise {
                // For lots of its own: those that no other row is for.
                let rest = Name { text: "otherwise".to_owned(), loc: row.loc };
                facts.push(FactTest { fact: rest.clone(), wanted: Wanted::Answer(rest) });
            }
            (condition, facts)
        })
        .collect()
}

/// A range over every moment or sample as its two bounds, where it has both.
fn halves(condition: &Condition) -> Option<[Condition; 2]> {
    let Condition::Level { parameter, range, over: over @ (Over::Always | Over::Throughout(_) | Over::Samples(_)) } =
        condition
    else {
        return None;
    };
    (range.lower.is_some() && range.upper.is_some()).then(|| {
        [(range.lower.clone(), None), (None, range.upper.clone())].map(|(lower, upper)| Condition::Level {
            parameter: parameter.clone(),
            range: Range { lower, upper, form: range.form.clone(), loc: range.loc },
            over: over.clone(),
        })
    })
}

fn weaker(answers: &[Strictness]) -> Option<Strictness> {
    answers.iter().copied().find(|answer| matches!(answer, Weaker(_)))
}

/// All must be as strict.
fn every(answers: Vec<Strictness>) -> Strictness {
    if let Some(weaker) = weaker(&answers) {
        return weaker;
    }
    if answers.is_empty() || answers.contains(&Unknown) {
        Unknown
    } else if answers.contains(&Stricter) {
        Stricter
    } else {
        Same
    }
}

/// One of several parts that all hold is as strict; a weaker one on the same thing settles it where none is.
fn some_part(answers: Vec<Strictness>) -> Strictness {
    [Stricter, Same].into_iter().find(|wanted| answers.contains(wanted)).or(weaker(&answers)).unwrap_or(Unknown)
}

/// It is as strict as one of several ways; where one of them cannot be compared, nothing says that it is weaker.
fn some_way(answers: Vec<Strictness>) -> Strictness {
    [Stricter, Same, Unknown]
        .into_iter()
        .find(|wanted| answers.contains(wanted))
        .or(weaker(&answers))
        .unwrap_or(Unknown)
}

fn leaf(plans: Plans<'_>, own: &Condition, base: &Condition) -> Strictness {
    let Some(parts) = parts(plans, own, base) else { return Unknown };
    if let Some((what, _)) = parts.iter().find(|(_, order)| *order == Ordering::Less) {
        return Weaker(what);
    }
    if parts.iter().any(|(_, order)| *order == Ordering::Greater) { Stricter } else { Same }
}

fn value(measured: &Measured) -> Option<Rational> {
    measured.quantity?.base()
}

/// The greater, the stricter; leaving out the figure itself is stricter than taking it in.
fn more(what: &'static str, own: &Measured, base: &Measured) -> Option<(&'static str, Ordering)> {
    Some((what, value(own)?.cmp(&value(base)?).then(own.strict.cmp(&base.strict))))
}

/// The smaller, the stricter.
fn less(what: &'static str, own: &Measured, base: &Measured) -> Option<(&'static str, Ordering)> {
    Some((what, value(base)?.cmp(&value(own)?).then(own.strict.cmp(&base.strict))))
}

fn equal(own: &Measured, base: &Measured) -> Option<()> {
    (value(own)? == value(base)?).then_some(())
}

/// In what two conditions without parts differ; `None` where they are of different kinds or about different things.
fn parts(plans: Plans<'_>, own: &Condition, base: &Condition) -> Option<Parts> {
    if own.own_parameters() != base.own_parameters() || own.own_events() != base.own_events() {
        return None;
    }
    match (own, base) {
        (Condition::Level { range, over, .. }, Condition::Level { range: other, over: other_over, .. }) => {
            let mut parts = if matches!(over, Over::TotalAtMost(_) | Over::StretchAtMost(_)) {
                // Here the range is where time must not be spent: the wider it is, the stricter.
                ranges(other, range)?
            } else {
                ranges(range, other)?
            };
            parts.push(overs(over, other_over)?);
            Some(parts)
        }
        (Condition::Never { range, .. }, Condition::Never { range: other, .. }) => ranges(other, range),
        (
            Condition::Passage { from, to, within, .. },
            Condition::Passage { from: other_from, to: other_to, within: other, .. },
        ) => {
            equal(from, other_from)?;
            equal(to, other_to)?;
            Some(vec![less("time", within, other)?])
        }
        (Condition::Reduction { model, range, .. }, Condition::Reduction { model: other_model, range: other, .. })
        | (Condition::Growth { model, range, .. }, Condition::Growth { model: other_model, range: other, .. })
            if model == other_model && plans.same_model(&model.text) =>
        {
            ranges(range, other)
        }
        (
            Condition::Equivalent { at, z, range, .. },
            Condition::Equivalent { at: other_at, z: other_z, range: other, .. },
        ) => {
            equal(at, other_at)?;
            (z.quantity?.base_difference()? == other_z.quantity?.base_difference()?).then_some(())?;
            ranges(range, other)
        }
        (Condition::Reaches { at, within, .. }, Condition::Reaches { at: other_at, within: other, .. }) => {
            let mut parts = vec![more("level", at, other_at)?];
            match (within, other) {
                (Some((time, _)), Some((other, _))) => parts.push(less("time", time, other)?),
                (None, None) => {}
                _ => return None,
            }
            Some(parts)
        }
        (
            Condition::Falls { rises, by, every, .. },
            Condition::Falls { rises: other_rises, by: other, every: other_every, .. },
        ) if rises == other_rises => {
            equal(every, other_every)?;
            Some(vec![(
                "fall",
                by.quantity?
                    .base_difference()?
                    .cmp(&other.quantity?.base_difference()?)
                    .then(by.strict.cmp(&other.strict)),
            )])
        }
        (
            Condition::Lasts { stage, least, time },
            Condition::Lasts { stage: other_stage, least: other_least, time: other },
        ) if stage == other_stage && least == other_least => {
            Some(vec![if *least { more("time", time, other)? } else { less("time", time, other)? }])
        }
        (
            Condition::Counted { event, least, times },
            Condition::Counted { event: other_event, least: other_least, times: other },
        ) if event == other_event && least == other_least => {
            Some(vec![("count", if *least { times.cmp(other) } else { other.cmp(times) })])
        }
        (Condition::Events { least, time, .. }, Condition::Events { least: other_least, time: other, .. })
            if least == other_least =>
        {
            Some(vec![if *least { more("time", time, other)? } else { less("time", time, other)? }])
        }
        (
            Condition::DegreeHours { base, until, range, .. },
            Condition::DegreeHours { base: other_base, until: other_until, range: other, .. },
        ) => {
            equal(base, other_base)?;
            match (until, other_until) {
                (None, None) => {}
                (Some((_, end)), Some((_, other_end))) => {
                    let same = ranges(end, other_end)?.iter().all(|(_, order)| order.is_eq());
                    same.then_some(())?;
                }
                _ => return None,
            }
            ranges(range, other)
        }
        (
            Condition::Attributes { plan, m, big_m, .. },
            Condition::Attributes { plan: other, m: other_m, big_m: other_big, .. },
        ) => {
            let mut parts = sampled(*plan, *other);
            parts.push(less("m", m, other_m)?);
            match (big_m.as_ref(), other_big.as_ref()) {
                (Some(own), Some(other)) => parts.push(less("M", own, other)?),
                // With c 0, no sample may lie over m itself.
                (None, Some(other)) => {
                    parts.push(if plan.c == 0 { less("M", m, other)? } else { ("M", Ordering::Less) })
                }
                (Some(_), None) if other.c > 0 => parts.push(("M", Ordering::Greater)),
                _ => {}
            }
            Some(parts)
        }
        (Condition::Absent { mass, plan, .. }, Condition::Absent { mass: other_mass, plan: other, .. }) => {
            // Without a plan every sample counts, and there must be one.
            let every = Sampled { n: 1, c: 0 };
            let mut parts = sampled(plan.unwrap_or(every), other.unwrap_or(every));
            parts.push(more("mass", mass, other_mass)?);
            Some(parts)
        }
        (Condition::Sampled { answer, plan, .. }, Condition::Sampled { answer: other_answer, plan: other, .. })
            if answer == other_answer =>
        {
            Some(sampled(*plan, *other))
        }
        (
            Condition::Bands { bands, at_least, .. },
            Condition::Bands { bands: other_bands, at_least: other_least, .. },
        ) => {
            // What counts is where the last band that is kept ends.
            let kept = |bands: &[GradedBand]| bands.iter().rfind(|band| band.grade != Grade::NotMet).cloned();
            let (own, base) = (kept(bands)?, kept(other_bands)?);
            (own.below() == base.below()).then_some(())?;
            let (a, b) = (value(&own.edge)?, value(&base.edge)?);
            let order = if own.below() { b.cmp(&a) } else { a.cmp(&b) };
            let level = order.then(own.strict().cmp(&base.strict()));
            Some(vec![("level", level), ("number of samples", at_least.cmp(other_least))])
        }
        (Condition::Answers(answers), Condition::Answers(other)) => {
            let kept = other.iter().all(|answer| answers.contains(answer));
            kept.then(|| vec![("answers", answers.len().cmp(&other.len()))])
        }
        (Condition::Order { .. }, Condition::Order { .. }) | (Condition::AnyRow { .. }, Condition::AnyRow { .. })
            if own == base =>
        {
            Some(Vec::new())
        }
        _ => None,
    }
}

/// More samples and fewer that may be against it are stricter.
fn sampled(own: Sampled, base: Sampled) -> Parts {
    vec![("number of samples", own.n.cmp(&base.n)), ("number over m", base.c.cmp(&own.c))]
}

/// How much narrower one range is than another.
fn ranges(own: &Range, base: &Range) -> Option<Parts> {
    let mut parts = Vec::new();
    for (own, base, upwards) in [(&own.lower, &base.lower, true), (&own.upper, &base.upper, false)] {
        match (own, base) {
            (Some(own), Some(base)) => parts.push(("level", edges(own, base, upwards)?)),
            (Some(_), None) => parts.push(("level", Ordering::Greater)),
            (None, Some(_)) => return None,
            (None, None) => {}
        }
    }
    Some(parts)
}

fn edges(own: &EdgeAt, base: &EdgeAt, upwards: bool) -> Option<Ordering> {
    let (a, b) = (value(&own.at)?, value(&base.at)?);
    let order = if upwards { a.cmp(&b) } else { b.cmp(&a) };
    Some(order.then(own.strict.cmp(&base.strict)))
}

fn overs(own: &Over, base: &Over) -> Option<(&'static str, Ordering)> {
    Some(match (own, base) {
        (Over::Held(own) | Over::StretchAtLeast(own), Over::Held(base) | Over::StretchAtLeast(base)) => {
            more("time", own, base)?
        }
        (Over::TotalAtLeast(own), Over::TotalAtLeast(base)) => amounts(own, base)?,
        (Over::TotalAtMost(Amount::Time(own)), Over::TotalAtMost(Amount::Time(base)))
        | (Over::StretchAtMost(own), Over::StretchAtMost(base)) => less("time", own, base)?,
        (
            Over::TotalAtMost(Amount::Share { share, stage, .. }),
            Over::TotalAtMost(Amount::Share { share: other, stage: other_stage, .. }),
        ) if stage == other_stage => less("time", share, other)?,
        (Over::Samples(own), Over::Samples(base)) => (SAMPLES, own.cmp(base)),
        (Over::Always, Over::Always) => ("time", Ordering::Equal),
        (Over::Throughout(own), Over::Throughout(base)) if own == base => ("time", Ordering::Equal),
        _ => return None,
    })
}

/// The word for how many samples there must be.
pub(super) const SAMPLES: &str = "number of samples";

/// At least so long, or such a share of a stage.
fn amounts(own: &Amount, base: &Amount) -> Option<(&'static str, Ordering)> {
    match (own, base) {
        (Amount::Time(own), Amount::Time(base)) => more("time", own, base),
        (
            Amount::Share { share, stage, or_longer },
            Amount::Share { share: other, stage: other_stage, or_longer: other_longer },
        ) if stage == other_stage => {
            let by_share = more("time", share, other)?.1;
            let by_time = match (or_longer, other_longer) {
                (Some(own), Some(base)) => more("time", own, base)?.1,
                (Some(_), None) => Ordering::Greater,
                (None, Some(_)) => Ordering::Less,
                (None, None) => Ordering::Equal,
            };
            let worst = if by_share.is_lt() || by_time.is_lt() { Ordering::Less } else { by_share.max(by_time) };
            Some(("time", worst))
        }
        _ => None,
    }
}
