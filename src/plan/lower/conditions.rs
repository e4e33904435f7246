//! The conditions of limits.

use super::{BARE_FOR, Lower, SENSELESS_LIMIT};
use crate::finding::Finding;
use crate::plan::Name;
use crate::plan::condition::Condition;
use crate::plan::limit::{Amount, EdgeAt, FactTest, Guard, Measured, Over, Range, RangeForm, Wanted};
use crate::quantity::{Quantity, Rational};
use crate::source::Loc;
use crate::syntax::{Node, Rule};

impl Lower<'_> {
    pub(super) fn guard(&mut self, node: &Node) -> Guard {
        let facts: Vec<&Node> = node.all(Rule::fact_test).collect();
        Guard {
            facts: facts.into_iter().filter_map(|fact| self.fact_test(fact)).collect(),
            only: self.slice(node).starts_with("only"),
            loc: self.loc(node),
        }
    }

    fn fact_test(&mut self, node: &Node) -> Option<FactTest> {
        if let Some(is) = node.part(Rule::is_also) {
            let (fact, answer) = self.is(is)?;
            return Some(FactTest { fact, wanted: Wanted::Answer(answer) });
        }
        let fact = self.a_name(node)?;
        let range = self.level(node.part(Rule::level)?)?;
        if matches!(range.form, RangeForm::Beside { .. }) {
            let finding = Finding::at(&SENSELESS_LIMIT, range.loc, "a fact about the lot is compared with a number");
            self.findings.push(finding.help("write a value, as in `when fat >= 10 %`"));
            return None;
        }
        Some(FactTest { fact, wanted: Wanted::Within(Box::new(range)) })
    }

    fn is(&self, node: &Node) -> Option<(Name, Name)> {
        let mut names = self.own_names(node).into_iter();
        Some((names.next()?, names.next()?))
    }

    pub(super) fn condition(&mut self, node: &Node) -> Option<Condition> {
        let inner = node.first()?;
        if inner.rule == Rule::group {
            return self.group(inner);
        }
        let mut names = self.own_names(inner).into_iter();
        let subject = names.next()?;
        match inner.rule {
            Rule::forbidden => {
                Some(Condition::Never { parameter: subject, range: self.level(inner.part(Rule::level)?)? })
            }
            Rule::reduction => {
                let range = self.at_least(inner, "a reduction")?;
                Some(Condition::Reduction { model: subject, parameter: names.next()?, range })
            }
            Rule::growth_by => {
                let range = self.at_most(inner, "growth")?;
                Some(Condition::Growth { model: subject, parameter: names.next()?, range })
            }
            Rule::f_value => {
                let mut values = self.quantities(inner).into_iter();
                let (at, z) = (values.next()?, values.next()?);
                let range = self.at_least(inner, "an equivalent time")?;
                Some(Condition::Equivalent { parameter: subject, at, z, range })
            }
            Rule::degree_hours => {
                let until = match inner.part(Rule::until) {
                    Some(until) => Some((self.a_name(until)?, self.compared(until)?)),
                    None => None,
                };
                let base = self.a_quantity(inner)?;
                let range = self.at_most(inner, "a sum of degrees over time")?;
                Some(Condition::DegreeHours { parameter: subject, base, until, range })
            }
            Rule::between_events => Some(Condition::Events {
                from: subject,
                to: names.next()?,
                least: self.asks_for_least(inner),
                time: self.bounded(inner)?,
            }),
            _ => {
                let parameter = self.operand(inner, subject, names.next());
                self.predicate(inner, parameter)
            }
        }
    }

    /// One parameter, or two with a sign between them, which are paired like a declared formula.
    fn operand(&mut self, node: &Node, left: Name, right: Option<Name>) -> Name {
        let sign = node.part(Rule::arithmetic_sign).and_then(|sign| self.slice(sign).chars().next());
        match (sign, right) {
            (Some(sign), Some(right)) => self.paired(left, sign, right),
            _ => left,
        }
    }

    fn predicate(&mut self, node: &Node, subject: Name) -> Option<Condition> {
        if let Some(answers) = node.part(Rule::is_answers) {
            let answer = self.a_name(answers)?;
            if let Some(sampled) = answers.part(Rule::sampled) {
                return Some(Condition::Sampled { parameter: subject, answer, plan: self.sampled(sampled)? });
            }
            let mut all = vec![(subject, answer)];
            all.extend(answers.all(Rule::is_also).filter_map(|also| self.is(also)));
            return Some(Condition::Answers(all));
        }
        if let Some(passage) = node.part(Rule::passage) {
            let mut values = self.quantities(passage).into_iter();
            let (from, to, mut within) = (values.next()?, values.next()?, values.next()?);
            within.strict = leaves_out(passage);
            return Some(Condition::Passage { parameter: subject, from, to, within });
        }
        if let Some(reaches) = node.part(Rule::reaches) {
            let mut values = self.quantities(reaches).into_iter();
            let at = values.next()?;
            let time = values.next().map(|time| Measured { strict: leaves_out(reaches), ..time });
            return Some(Condition::Reaches { parameter: subject, at, within: time.zip(self.a_name(reaches)) });
        }
        if let Some(falls) = node.part(Rule::falls) {
            let (by, every) = self.pair(falls)?;
            let by = Measured { strict: leaves_out(falls), ..by };
            let rises = self.slice(falls).starts_with("rises");
            return Some(Condition::Falls { parameter: subject, rises, by, every });
        }
        if let Some(lasts) = node.part(Rule::lasts) {
            let least = self.asks_for_least(lasts);
            return Some(Condition::Lasts { stage: subject, least, time: self.bounded(lasts)? });
        }
        if let Some(order) = node.part(Rule::ends_before) {
            return Some(Condition::Order { first: subject, then: self.a_name(order)? });
        }
        if let Some(counted) = node.part(Rule::counted) {
            let least = self.asks_for_least(counted);
            return Some(Condition::Counted { event: subject, least, times: self.count(counted)? });
        }
        if let Some(meets) = node.part(Rule::meets) {
            let table = self.a_name(meets)?;
            let chosen = meets.part(Rule::chosen).and_then(|chosen| self.a_name(chosen));
            let the = self.slice(meets).split_whitespace().nth(1) == Some("the");
            return match chosen {
                Some(fact) if the => Some(Condition::ChosenRow { parameter: subject, table, fact }),
                None if !the => Some(Condition::AnyRow { parameter: subject, table }),
                _ => {
                    let message = "`any row` is met by any of them, `the row` is the one that was chosen";
                    let finding = Finding::at(&SENSELESS_LIMIT, self.loc(meets), message);
                    self.findings
                        .push(finding.help("write `meets any row of T`, or `meets the row of T chosen by FACT`"));
                    None
                }
            };
        }
        if let Some(attributes) = node.part(Rule::attributes) {
            return self.attributes(attributes, subject);
        }
        if let Some(absent) = node.part(Rule::absent) {
            let plan = match absent.part(Rule::sampled) {
                Some(sampled) => Some(self.sampled(sampled)?),
                None => None,
            };
            return Some(Condition::Absent { parameter: subject, mass: self.a_quantity(absent)?, plan });
        }
        if let Some(bands) = node.part(Rule::bands) {
            return self.bands(bands, subject);
        }
        self.level_over(node, subject)
    }

    fn group(&mut self, node: &Node) -> Option<Condition> {
        let mut options = Vec::new();
        let mut parts = Vec::new();
        let mut prose = false;
        for part in &node.parts {
            match part.rule {
                Rule::s_option => {
                    let name = self.a_name(part)?;
                    if self.prose_in(part, Some(&name)) {
                        prose = true;
                        continue;
                    }
                    let condition = match part.part(Rule::option_body) {
                        Some(body) => match self.parts(body) {
                            Some(parts) => Condition::All(parts),
                            None => {
                                prose = true;
                                continue;
                            }
                        },
                        None => self.condition(part.part(Rule::condition)?)?,
                    };
                    options.push((name, condition));
                }
                Rule::s_part if self.prose_in(part, None) => prose = true,
                Rule::s_part => parts.extend(part.first().and_then(|condition| self.condition(condition))),
                _ => {}
            }
        }
        if prose {
            return None;
        }
        let any = self.slice(node).starts_with("one");
        let fault = if any && !parts.is_empty() {
            "`one of` holds options, and this one has a condition without a name"
        } else if !any && !options.is_empty() {
            "`all of` holds conditions; options belong in `one of`"
        } else if options.is_empty() && parts.is_empty() {
            "this group holds nothing"
        } else {
            let fact = node.part(Rule::chosen).and_then(|chosen| self.a_name(chosen));
            return match fact {
                Some(fact) if any => Some(Condition::Chosen { fact, options }),
                Some(fact) => {
                    let finding = Finding::at(&SENSELESS_LIMIT, fact.loc, "all of these must be met: none is chosen");
                    self.findings.push(finding.help("write `one of chosen by FACT { … }`, or take `chosen by` out"));
                    None
                }
                None => Some(if any { Condition::Any(options) } else { Condition::All(parts) }),
            };
        };
        let loc = self.loc(node.part(Rule::open).unwrap_or(node));
        let finding = Finding::at(&SENSELESS_LIMIT, loc, fault);
        self.findings.push(finding.help("write `one of { option a …; option b … }` or `all of { …; … }`"));
        None
    }

    /// A comparison that can only ask for at least so much.
    fn at_least(&mut self, node: &Node, what: &str) -> Option<Range> {
        let range = self.compared_last(node)?;
        if range.upper.is_none() && range.lower.is_some() {
            return Some(range);
        }
        let finding = Finding::at(&SENSELESS_LIMIT, range.loc, format!("{what} is asked for as at least so much"));
        self.findings.push(finding.help("write `>=`, or `>` where the figure itself is not enough"));
        None
    }

    /// A comparison that can only allow at most so much.
    fn at_most(&mut self, node: &Node, what: &str) -> Option<Range> {
        let range = self.compared_last(node)?;
        if range.lower.is_none() && range.upper.is_some() {
            return Some(range);
        }
        let finding = Finding::at(&SENSELESS_LIMIT, range.loc, format!("{what} is allowed as at most so much"));
        self.findings.push(finding.help("write `<=`, or `<` where the figure itself is too much"));
        None
    }

    fn level_over(&mut self, node: &Node, parameter: Name) -> Option<Condition> {
        let range = self.level(node.part(Rule::level)?)?;
        let over = match node.part(Rule::tail) {
            Some(tail) => self.over(tail)?,
            None => Over::Always,
        };
        if matches!(range.form, RangeForm::Above | RangeForm::Below)
            && matches!(over, Over::Always | Over::Throughout(_) | Over::Samples(_))
        {
            let finding = Finding::at(
                &SENSELESS_LIMIT,
                range.loc,
                "`above` and `below` name where time is spent, not what is allowed",
            )
            .help(
                "write `<=` or `>=` for a limit on the value, or add `in total at most …` or `at a stretch at most …`",
            );
            self.findings.push(finding);
            return None;
        }
        Some(Condition::Level { parameter, range, over })
    }

    pub(super) fn level(&mut self, node: &Node) -> Option<Range> {
        let inner = node.first()?;
        let loc = self.loc(node);
        let edge = |at, strict| Some(EdgeAt { at, strict });
        match inner.rule {
            Rule::compared => self.compared(inner),
            Rule::beside => self.beside(inner),
            Rule::within_band => {
                let (low, high) = self.pair(inner)?;
                if let (Some(a), Some(b)) = (low.quantity, high.quantity)
                    && a.dimension() == b.dimension()
                    && a.base() > b.base()
                {
                    let finding = Finding::at(
                        &SENSELESS_LIMIT,
                        loc,
                        "nothing lies in this range: its lower end is above its upper end",
                    )
                    .help("put the smaller value first");
                    self.findings.push(finding);
                }
                Some(Range { lower: edge(low, false), upper: edge(high, false), form: RangeForm::Between, loc })
            }
            Rule::tolerance if inner.part(Rule::of_value).is_some() => {
                let (target, share) = self.pair(inner)?;
                Some(share_of_value(target, share, loc))
            }
            Rule::tolerance => {
                let (target, tolerance) = self.pair(inner)?;
                let end = |add: bool| {
                    let mut at = target.clone();
                    at.quantity = target.quantity.zip(tolerance.quantity).and_then(|(centre, by)| {
                        let by = centre.unit.difference_from_base(by.base_difference()?)?;
                        let value = if add { centre.value.plus(by)? } else { centre.value.minus(by)? };
                        Some(Quantity::new(value, centre.unit))
                    });
                    if at.quantity.is_some() {
                        at.number = at.quantity.map(|quantity| quantity.value);
                    }
                    EdgeAt { at, strict: false }
                };
                Some(Range {
                    lower: Some(end(false)),
                    upper: Some(end(true)),
                    form: RangeForm::Tolerance(target, tolerance),
                    loc,
                })
            }
            Rule::above => {
                Some(Range { lower: edge(self.a_quantity(inner)?, true), upper: None, form: RangeForm::Above, loc })
            }
            _ => Some(Range { lower: None, upper: edge(self.a_quantity(inner)?, true), form: RangeForm::Below, loc }),
        }
    }

    /// The range of the comparison, with the last quantity of the statement.
    fn compared_last(&mut self, node: &Node) -> Option<Range> {
        let at = self.quantities(node).into_iter().next_back()?;
        self.range_of(node, at)
    }

    fn compared(&mut self, node: &Node) -> Option<Range> {
        let at = self.a_quantity(node)?;
        self.range_of(node, at)
    }

    /// `>= core-hold + 3 °C`: what the other stands for is known once the whole plan is read.
    fn beside(&mut self, node: &Node) -> Option<Range> {
        let other = self.a_name(node)?;
        let offset = self.a_quantity(node);
        let minus = node.part(Rule::offset_sign).is_some_and(|sign| self.slice(sign) == "-");
        let open = Measured {
            quantity: None,
            unit: None,
            number: Some(Rational::ZERO),
            compound: false,
            strict: false,
            loc: self.loc(node),
        };
        let mut range = self.range_of(node, open)?;
        let sign = self.slice(node.part(Rule::comparison)?).to_owned();
        range.form = RangeForm::Beside { other, offset, minus, sign };
        Some(range)
    }

    fn range_of(&mut self, node: &Node, at: Measured) -> Option<Range> {
        let sign = self.slice(node.part(Rule::comparison)?).to_owned();
        let edge = |strict| Some(EdgeAt { at: at.clone(), strict });
        let (lower, upper) = match sign.as_str() {
            "<=" | "≤" => (None, edge(false)),
            "<" => (None, edge(true)),
            ">=" | "≥" => (edge(false), None),
            ">" => (edge(true), None),
            _ => (edge(false), edge(false)),
        };
        Some(Range { lower, upper, form: RangeForm::Compared, loc: self.loc(node) })
    }

    pub(super) fn over(&mut self, node: &Node) -> Option<Over> {
        let inner = node.first()?;
        let most = !self.asks_for_least(inner);
        Some(match inner.rule {
            Rule::held => Over::Held(self.bounded(inner)?),
            Rule::throughout => Over::Throughout(self.a_name(inner)?),
            Rule::in_total => {
                let mut amount = self.amount(inner.part(Rule::amount)?)?;
                match &mut amount {
                    Amount::Time(time) => time.strict = leaves_out(inner),
                    Amount::Share { or_longer: Some(_), .. } if most => {
                        let finding = Finding::at(
                            &SENSELESS_LIMIT,
                            self.loc(inner),
                            "the longer of two times is asked for as at least so much",
                        )
                        .help("write two limits, or `one of` them where either is enough");
                        self.findings.push(finding);
                        return None;
                    }
                    Amount::Share { share, or_longer, .. } => {
                        share.strict = leaves_out(inner);
                        or_longer.iter_mut().for_each(|time| time.strict = share.strict);
                    }
                }
                if most { Over::TotalAtMost(amount) } else { Over::TotalAtLeast(amount) }
            }
            Rule::at_a_stretch => {
                let time = self.bounded(inner)?;
                if most { Over::StretchAtMost(time) } else { Over::StretchAtLeast(time) }
            }
            Rule::every_sample => {
                Over::Samples(if inner.part(Rule::number).is_some() { self.count(inner)? } else { 1 })
            }
            _ => {
                let finding = Finding::at(
                    &BARE_FOR,
                    self.loc(inner),
                    "`for` does not say whether the time is without a break or summed",
                )
                .help("write `held for` (without a break), `in total at least` (summed), or `at a stretch at most`");
                self.findings.push(finding);
                return None;
            }
        })
    }

    /// Whether at least so much is asked for; at most, or less than so much, otherwise.
    pub(super) fn asks_for_least(&self, node: &Node) -> bool {
        node.part(Rule::more_than).is_some()
            || node.part(Rule::extent).is_some_and(|extent| self.slice(extent) == "least")
    }

    /// The quantity of a statement that may leave the figure itself out.
    fn bounded(&mut self, node: &Node) -> Option<Measured> {
        let found = self.a_quantity(node)?;
        Some(Measured { strict: leaves_out(node), ..found })
    }

    fn amount(&mut self, node: &Node) -> Option<Amount> {
        let Some(share) = node.part(Rule::share_of) else {
            return Some(Amount::Time(self.a_quantity(node)?));
        };
        Some(Amount::Share {
            share: self.a_quantity(share)?,
            stage: self.a_name(share)?,
            or_longer: node.part(Rule::whichever).and_then(|other| self.a_quantity(other)),
        })
    }
}

/// Whether the figure itself is left out: `less than`, `more than`.
pub(super) fn leaves_out(node: &Node) -> bool {
    node.part(Rule::less_than).is_some() || node.part(Rule::more_than).is_some()
}

/// `= 120 mg/kg ± 5 % of value`: the ends lie a share of the target to either side.
fn share_of_value(target: Measured, share: Measured, loc: Loc) -> Range {
    let end = |add: bool| {
        let value = target.number.zip(share.quantity).and_then(|(centre, share)| {
            let size = if centre.is_negative() { Rational::ZERO.minus(centre)? } else { centre };
            let by = size.times(share.base()?)?;
            if add { centre.plus(by) } else { centre.minus(by) }
        });
        let mut at = target.clone();
        at.number = value.or(target.number);
        at.quantity = value.zip(target.unit).map(|(value, unit)| Quantity::new(value, unit));
        Some(EdgeAt { at, strict: false })
    };
    Range { lower: end(false), upper: end(true), form: RangeForm::ShareOfValue(target, share), loc }
}
