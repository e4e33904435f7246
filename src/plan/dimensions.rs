//! Every number has a unit, and every unit measures what stands beside it.

use super::condition::Condition;
use super::limit::{Amount, Guard, Limit, Measured, Over, Range, RangeForm, Wanted as AskedOf};
use super::{Cadence, Expression, Formula, Name, Plan, PropertyFrom, Rhythm, Term, VerifyWhen};
use crate::finding::Finding;
use crate::quantity::{Dimension, Quantity, Unit};
use crate::source::Loc;
use std::collections::HashMap;

crate::rules! {
    /// A number has a unit that measures something else than what stands here.
    ///
    /// A temperature cannot be compared with a time, nor a share with a concentration.
    WRONG_DIMENSION = "Q201" "wrong-dimension" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
    /// A number without a unit.
    ///
    /// Seventy-one what? Only water activity, pH and plain ratios are written without a unit.
    MISSING_UNIT = "Q202" "missing-unit" Error ["codex.limit", "fsis.417.2.c3", "fish.123.6.c3", "juice.120.8.b", "pc.117.135.c1", "eu.852.5.2c"];
    /// A number that must be greater than nothing is not.
    NOT_POSITIVE = "Q203" "not-positive" Error;
    /// A parameter that says neither what unit it has nor which answers.
    NO_UNIT = "Q204" "parameter-without-unit" Error ["codex.monitor", "fsis.417.2.c4", "fish.123.6.c4", "juice.120.8.b", "pc.117.145.a", "eu.852.5.2d"];
    /// The two ends of a range stand the wrong way round.
    REVERSED_RANGE = "Q205" "reversed-range" Error;
    /// A parameter is computed from itself, directly or by way of others.
    ///
    /// Such a formula has no value.
    CIRCULAR_FORMULA = "Q206" "circular-formula" Error;
}

/// What a parameter measures, and where it says so.
type Known = HashMap<String, (Unit, Loc)>;

pub(super) struct Checker<'a> {
    pub(super) known: Known,
    pub(super) findings: &'a mut Vec<Finding>,
}

/// Checks every number of the plan, and gives bare numbers (water activity, pH, ratios) the unit of their parameter.
pub fn check(plan: &mut Plan, findings: &mut Vec<Finding>) {
    let mut known = Known::new();
    for parameter in &plan.parameters {
        if let Some(unit) = &parameter.unit {
            known.insert(parameter.name.text.clone(), (unit.value, unit.loc));
        } else if parameter.answers.is_empty() {
            findings.push(
                Finding::at(&NO_UNIT, parameter.loc, format!("`{}` has neither a unit nor answers", parameter.name))
                    .help("add `unit °C`, or `answers present, missing` for a check"),
            );
        }
    }
    let mut checker = Checker { known, findings };
    checker.tables(plan);
    for control in &mut plan.controls {
        for limit in &mut control.limits {
            checker.limit(limit);
        }
        for monitor in &mut control.monitors {
            checker.cadence(&mut monitor.often);
        }
        for verify in &mut control.verify {
            match &mut verify.when {
                VerifyWhen::Often(cadence) => checker.cadence(cadence),
                VerifyWhen::Within(term) => checker.term(term),
            }
        }
    }
    for programme in &mut plan.programmes {
        for routine in &mut programme.routines {
            checker.cadence(&mut routine.often);
        }
    }
    for instrument in &mut plan.instruments {
        let Some((unit, loc)) = instrument.measures.iter().find_map(|name| checker.known.get(&name.text).copied())
        else {
            continue;
        };
        let wanted = Some((unit.dimension, Some(loc)));
        if let Some((low, high)) = &mut instrument.range {
            checker.is(low, wanted, Some(unit));
            checker.is(high, wanted, Some(unit));
            checker.ordered(low, high);
        }
        if let Some(calibration) = &mut instrument.calibration {
            checker.term(&mut calibration.every);
        }
        let calibration = instrument.calibration.as_mut().map(|calibration| &mut calibration.within);
        for difference in instrument.resolution.iter_mut().chain(&mut instrument.accuracy).chain(calibration) {
            checker.is(difference, wanted, Some(unit));
            checker.positive(difference);
        }
        if let Some(stuck) = &mut instrument.stuck_after {
            checker.time(stuck);
        }
        if let Some(response) = &mut instrument.response {
            checker.time(response);
            checker.positive(response);
        }
    }
    for parameter in &mut plan.parameters {
        if let Some(pairing) = &mut parameter.pairing {
            checker.time(pairing);
        }
    }
    circles(plan, checker.findings);
    for parameter in &plan.parameters {
        checker.formula(parameter);
        if let Some(Formula::Arithmetic(Expression::Pair { sign: '-' | '+', .. })) = &parameter.formula
            && let Some(unit) = parameter.unit.as_ref().filter(|unit| unit.value.dimension == Dimension::Temperature)
        {
            checker.differences(&plan.controls, parameter, unit.value);
        }
    }
    for product in &mut plan.products {
        for property in &mut product.properties {
            if let PropertyFrom::Stated(_, value) = &mut property.from {
                let unit = checker.known.get(&property.name.text).copied();
                checker.is(value, unit.map(|(unit, loc)| (unit.dimension, Some(loc))), unit.map(|(unit, _)| unit));
            }
        }
        if let Some((term, _)) = &mut product.shelf_life {
            checker.term(term);
        }
    }
    for model in &mut plan.inactivations {
        if let Some((time, at)) = &mut model.d {
            checker.time(time);
            checker.positive(time);
            checker.temperature(at);
        }
        if let Some(z) = &mut model.z {
            checker.temperature(z);
            checker.positive(z);
        }
        if let Some((low, high)) = &mut model.range {
            checker.temperature(low);
            checker.temperature(high);
            checker.ordered(low, high);
        }
    }
    for model in &mut plan.growth_models {
        for value in [&mut model.minimum, &mut model.optimum, &mut model.maximum].into_iter().flatten() {
            checker.temperature(value);
        }
        if let Some(rate) = &mut model.rate {
            checker.is(rate, Some((Dimension::GrowthRate, None)), None);
            checker.positive(rate);
        }
    }
}

impl Checker<'_> {
    /// Checks one number against a dimension and gives a bare one its unit.
    pub(super) fn is(&mut self, value: &mut Measured, wanted: Option<(Dimension, Option<Loc>)>, unit: Option<Unit>) {
        let Some((dimension, declared)) = wanted else { return };
        match value.unit {
            Some(written) if written.dimension != dimension => {
                let mut finding = Finding::at(
                    &WRONG_DIMENSION,
                    value.loc,
                    format!("{} stands where {} must", written.dimension.word(), dimension.word()),
                )
                .label(format!("in {}", written.symbol));
                if let Some(loc) = declared {
                    finding = finding.also(loc, format!("{} is declared here", dimension.word()));
                }
                self.findings.push(finding.help("use a unit of the same kind, or name the parameter that is meant"));
                value.quantity = None;
            }
            Some(_) => {}
            None if dimension.bare() => {
                value.unit = unit;
                value.quantity = value.number.zip(unit).map(|(number, unit)| Quantity::new(number, unit));
            }
            None => {
                let help = unit.map_or_else(
                    || format!("say which unit: {} is wanted", dimension.word()),
                    |unit| format!("add the unit, such as `{}`", unit.symbol),
                );
                self.findings.push(Finding::at(&MISSING_UNIT, value.loc, "this number has no unit").help(help));
            }
        }
    }

    pub(super) fn time(&mut self, value: &mut Measured) {
        self.is(value, Some((Dimension::Time, None)), None);
        if value.quantity.is_some_and(|quantity| quantity.value.is_negative()) {
            self.not_positive(value);
        }
    }

    pub(super) fn temperature(&mut self, value: &mut Measured) {
        self.is(value, Some((Dimension::Temperature, None)), None);
    }

    pub(super) fn positive(&mut self, value: &Measured) {
        if value.number.is_some_and(|number| number.is_negative() || number.is_zero()) {
            self.not_positive(value);
        }
    }

    fn not_positive(&mut self, value: &Measured) {
        self.findings.push(
            Finding::at(&NOT_POSITIVE, value.loc, "this number must be greater than zero")
                .help("check the sign and the digits"),
        );
    }

    fn ordered(&mut self, low: &Measured, high: &Measured) {
        if let (Some(a), Some(b)) = (low.quantity, high.quantity)
            && a.base() >= b.base()
        {
            let loc = Loc { source: low.loc.source, span: low.loc.span.to(high.loc.span) };
            self.findings.push(
                Finding::at(&REVERSED_RANGE, loc, "this range ends below where it begins")
                    .help("put the smaller value first"),
            );
        }
    }

    fn cadence(&mut self, cadence: &mut Cadence) {
        if let Some(late) = &mut cadence.late_after {
            self.time(late);
        }
        match &mut cadence.rhythm {
            Rhythm::Continuously(Some(step)) => {
                self.time(step);
                self.positive(step);
            }
            Rhythm::Made(amount) => self.positive(amount),
            Rhythm::Every(term) => self.term(term),
            _ => {}
        }
    }

    fn term(&mut self, term: &mut Term) {
        if let Term::Clock(value) = term {
            self.time(value);
            self.positive(value);
        }
    }

    /// The rows of each table, beside every parameter that a limit holds against it.
    fn tables(&mut self, plan: &mut Plan) {
        let limits = plan.controls.iter().flat_map(|control| &control.limits);
        let uses: Vec<(Name, Name)> = limits
            .flat_map(|limit| {
                limit.leaves().into_iter().chain(limit.shape.conditions().into_iter().flat_map(Condition::leaves))
            })
            .filter_map(|leaf| Some((leaf.table()?.clone(), (*leaf.own_parameters().first()?).clone())))
            .collect();
        for table in &mut plan.tables {
            for row in &mut table.rows {
                for (_, parameter) in uses.iter().filter(|(name, _)| *name == table.name) {
                    let (wanted, unit) = self.of(parameter);
                    self.range(&mut row.range, wanted, unit);
                }
                self.over(&mut row.over);
                if let Some(guard) = &mut row.guard {
                    self.guard(guard);
                }
            }
        }
    }

    /// The numbers of a guard, each in the kind of unit that its fact has.
    fn guard(&mut self, guard: &mut Guard) {
        for test in &mut guard.facts {
            let (wanted, unit) = self.of(&test.fact);
            if let AskedOf::Within(range) = &mut test.wanted {
                self.range(range, wanted, unit);
            }
        }
    }

    fn limit(&mut self, limit: &mut Limit) {
        if let Some(gap) = &mut limit.credit_gap {
            self.time(gap);
        }
        if let Some(pairing) = &mut limit.pairing {
            self.time(pairing);
        }
        for condition in limit.condition.iter_mut().chain(limit.shape.conditions_mut()) {
            self.condition(condition);
        }
        if let Some(guard) = &mut limit.guard {
            self.guard(guard);
        }
    }

    pub(super) fn range(&mut self, range: &mut Range, wanted: Option<(Dimension, Option<Loc>)>, unit: Option<Unit>) {
        if let RangeForm::Beside { .. } = &range.form
            && range.lower.iter().chain(&range.upper).any(|edge| edge.at.quantity.is_none())
        {
            // What it stands beside could not be found, and that has been said.
            return;
        }
        if let RangeForm::Tolerance(target, tolerance) = &mut range.form {
            let before = self.findings.len();
            self.is(target, wanted, unit);
            if self.findings.len() == before {
                self.is(tolerance, wanted, unit);
            }
            let bare = wanted.is_some_and(|(dimension, _)| dimension.bare());
            if bare && let (Some(centre), Some(by)) = (target.quantity, tolerance.quantity) {
                let ends =
                    [(&mut range.lower, centre.value.minus(by.value)), (&mut range.upper, centre.value.plus(by.value))];
                for (edge, value) in ends {
                    if let (Some(edge), Some(value)) = (edge, value) {
                        edge.at.unit = unit;
                        edge.at.number = Some(value);
                        edge.at.quantity = Some(Quantity::new(value, centre.unit));
                    }
                }
            }
            return;
        }
        if let RangeForm::ShareOfValue(target, share) = &mut range.form {
            self.is(share, Some((Dimension::Share, None)), None);
            self.positive(share);
            if target.dimension() == Some(Dimension::Temperature) {
                self.findings.push(
                    Finding::at(&WRONG_DIMENSION, range.loc, "a share of a temperature depends on its scale")
                        .help("write the tolerance in degrees: `= 72 °C ± 1 °C`"),
                );
            }
            self.is(target, wanted, unit);
            if target.quantity.is_none() {
                return;
            }
            for edge in [&mut range.lower, &mut range.upper].into_iter().flatten() {
                edge.at.unit = target.unit;
                edge.at.quantity = edge.at.number.zip(target.unit).map(|(value, unit)| Quantity::new(value, unit));
            }
            return;
        }
        for edge in [&mut range.lower, &mut range.upper].into_iter().flatten() {
            self.is(&mut edge.at, wanted, unit);
        }
    }

    pub(super) fn over(&mut self, over: &mut Over) {
        match over {
            Over::Held(time) | Over::StretchAtMost(time) | Over::StretchAtLeast(time) => self.time(time),
            Over::TotalAtLeast(amount) | Over::TotalAtMost(amount) => match amount {
                Amount::Time(time) => self.time(time),
                Amount::Share { share, or_longer, .. } => {
                    self.is(share, Some((Dimension::Share, None)), None);
                    self.positive(share);
                    if let Some(time) = or_longer {
                        self.time(time);
                    }
                }
            },
            Over::Always | Over::Throughout(_) | Over::Samples(_) => {}
        }
    }

    fn formula(&mut self, parameter: &super::Parameter) {
        let Some(formula) = &parameter.formula else { return };
        let own = parameter.unit.as_ref().map(|unit| unit.value.dimension);
        let result = match formula {
            Formula::Humidity { .. } => {
                for name in formula.inputs() {
                    if let Some((unit, _)) = self.known.get(&name.text)
                        && unit.dimension != Dimension::Temperature
                    {
                        self.findings.push(
                            Finding::at(
                                &WRONG_DIMENSION,
                                name.loc,
                                format!(
                                    "`{name}` is {}, and humidity is computed from two temperatures",
                                    unit.dimension.word()
                                ),
                            )
                            .help("name the dry bulb first, then the wet bulb"),
                        );
                    }
                }
                Some(Dimension::Share)
            }
            Formula::Arithmetic(expression) => self.expression(expression).map(|(dimension, _)| dimension),
        };
        // A ratio may be shown in %.
        let same = |own, result| own == result || (own, result) == (Dimension::Share, Dimension::Ratio);
        if let (Some(own), Some(result)) = (own, result)
            && !same(own, result)
            && let Some(unit) = &parameter.unit
        {
            self.findings.push(
                Finding::at(
                    &WRONG_DIMENSION,
                    unit.loc,
                    format!("`{}` is computed as {}, not as {}", parameter.name, result.word(), own.word()),
                )
                .help("change the unit, or the formula"),
            );
        }
    }

    /// A difference of temperatures is no point on a scale: its limits are written in its own unit.
    fn differences(&mut self, controls: &[super::Control], parameter: &super::Parameter, unit: Unit) {
        let leaves = controls.iter().flat_map(|control| &control.limits).flat_map(Limit::leaves);
        for leaf in leaves.filter(|leaf| leaf.own_parameters().contains(&&parameter.name)) {
            let range = match leaf {
                Condition::Level { range, .. } | Condition::Never { range, .. } => range,
                _ => continue,
            };
            let other = range.lower.iter().chain(&range.upper).find(|edge| {
                edge.at
                    .quantity
                    .is_some_and(|quantity| quantity.unit != unit && quantity.dimension() == Dimension::Temperature)
            });
            if let Some(edge) = other {
                let message = format!(
                    "`{}` is a difference in {}, and this is a point in another unit",
                    parameter.name, unit.symbol
                );
                self.findings.push(
                    Finding::at(&WRONG_DIMENSION, edge.at.loc, message)
                        .help(format!("write the difference in {}", unit.symbol)),
                );
            }
        }
    }

    /// The dimension of an expression and where it ends; nothing where a parameter is unknown or has no unit.
    fn expression(&mut self, expression: &Expression) -> Option<(Dimension, Loc)> {
        match expression {
            Expression::Value(name) => self.known.get(&name.text).map(|(unit, _)| (unit.dimension, name.loc)),
            Expression::Pair { left, sign, right } => {
                let (first, second) = (self.expression(left), self.expression(right));
                let ((a, _), (b, loc)) = (first?, second?);
                if *sign == '*' {
                    return a.times(b).map(|product| (product, loc)).or_else(|| self.no_product(a, b, loc));
                }
                if a != b {
                    self.findings.push(
                        Finding::at(
                            &WRONG_DIMENSION,
                            loc,
                            format!("{} and {} cannot be taken together", a.word(), b.word()),
                        )
                        .help("both parameters need units of one kind"),
                    );
                    return None;
                }
                Some((if *sign == '/' { Dimension::Ratio } else { a }, loc))
            }
        }
    }

    fn no_product(&mut self, a: Dimension, b: Dimension, loc: Loc) -> Option<(Dimension, Loc)> {
        let message = format!("{} and {} cannot be multiplied", a.word(), b.word());
        let help = "one of the two is a plain `number`, and the other an amount, such as pieces, a mass or a length";
        self.findings.push(Finding::at(&WRONG_DIMENSION, loc, message).help(help));
        None
    }
}

/// Parameters that are computed from themselves, by whatever way.
fn circles(plan: &Plan, findings: &mut Vec<Finding>) {
    for parameter in &plan.parameters {
        let Some(formula) = &parameter.formula else { continue };
        let comes_back = |name: &&Name| {
            let mut seen: Vec<&Name> = Vec::new();
            let mut open = vec![*name];
            while let Some(next) = open.pop() {
                if *next == parameter.name {
                    return true;
                }
                if !seen.contains(&next) {
                    seen.push(next);
                    open.extend(
                        plan.parameter(&next.text)
                            .iter()
                            .filter_map(|one| one.formula.as_ref())
                            .flat_map(Formula::inputs),
                    );
                }
            }
            false
        };
        if let Some(name) = formula.inputs().into_iter().find(comes_back) {
            findings.push(
                Finding::at(&CIRCULAR_FORMULA, name.loc, format!("`{}` is computed from itself", parameter.name))
                    .also(parameter.loc, "its formula stands here")
                    .help("compute it from what is measured"),
            );
        }
    }
}
