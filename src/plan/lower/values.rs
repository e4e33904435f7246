//! Words, numbers, dates and lengths of time.

use super::{BAD_COMPOUND, BAD_DATE, BAD_NUMBER, Lower, UNKNOWN_VALUE, UNKNOWN_ZONE};
use crate::finding::{Care, Finding, nearest};
use crate::plan::limit::Measured;
use crate::plan::{Cadence, Citation, Name, Rhythm, Said, Term};
use crate::quantity::{Dimension, Quantity, Rational, Unit, UnitDef};
use crate::syntax::{Node, Rule};
use crate::time::{Calendar, CalendarUnit, WEEK, Zone};
use chrono::{NaiveDate, Weekday};

impl Lower<'_> {
    pub(super) fn slice(&self, node: &Node) -> &str {
        self.source.slice(node.span)
    }

    pub(super) fn name(&self, node: &Node) -> Name {
        Name { text: self.slice(node).to_owned(), loc: self.loc(node) }
    }

    /// The first name among the parts.
    pub(super) fn a_name(&self, node: &Node) -> Option<Name> {
        node.part(Rule::name).map(|name| self.name(name))
    }

    /// The names directly among the parts.
    pub(super) fn own_names(&self, node: &Node) -> Vec<Name> {
        node.all(Rule::name).map(|name| self.name(name)).collect()
    }

    /// The names of the first list among the parts.
    pub(super) fn names(&self, node: &Node) -> Vec<Name> {
        node.part(Rule::names).map_or_else(Vec::new, |list| self.own_names(list))
    }

    /// Quoted text: joined lines with one blank between them, doubled marks made single; a blank as a line to write on.
    pub(super) fn text(&self, node: &Node) -> String {
        if node.part(Rule::blank_value).is_some() {
            return crate::plan::BLANK.to_owned();
        }
        node.all(Rule::quoted)
            .map(|quoted| {
                let raw = self.slice(quoted);
                let mut inside = raw.chars();
                inside.next();
                inside.next_back();
                inside.as_str().replace("\"\"", "\"").trim().to_owned()
            })
            .collect::<Vec<_>>()
            .join(" ")
    }

    pub(super) fn said(&self, node: &Node) -> Said<String> {
        Said { value: self.text(node), loc: self.loc(node) }
    }

    /// The text of the first quoted part.
    pub(super) fn a_text(&self, node: &Node) -> Option<String> {
        node.part(Rule::text).map(|text| self.text(text))
    }

    /// One of a closed set of words.
    pub(super) fn one_of<T>(&mut self, name: &Name, words: &[&str], read: impl Fn(&str) -> Option<T>) -> Option<T> {
        let found = read(&name.text);
        if found.is_none() {
            self.unknown_value(name, words);
        }
        found
    }

    pub(super) fn unknown_value(&mut self, name: &Name, words: &[&str]) {
        let mut finding =
            Finding::at(&UNKNOWN_VALUE, name.loc, format!("`{name}` is not one of the words that stand here"));
        finding = match nearest(&name.text, words.iter().copied()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(name.loc, near, Care::NeedsALook),
            None => finding.help(format!("write one of: {}", words.join(", "))),
        };
        self.findings.push(finding);
    }

    /// Every date among the parts; a blank one is left out.
    pub(super) fn dates(&mut self, node: &Node) -> Vec<NaiveDate> {
        node.all(Rule::date).filter_map(|date| self.a_date(date)).collect()
    }

    /// Days of the week by their names, or from the first to the last of them.
    pub(super) fn weekdays(&mut self, node: &Node) -> Vec<Weekday> {
        let words = WEEK.map(|(_, word)| word);
        let read = |word: &str| words.iter().position(|known| *known == word);
        let day = |at: usize| WEEK.get(at % 7).map(|(day, _)| *day);
        if let Some(span) = node.part(Rule::first_to_last) {
            let ends: Vec<Name> = self.own_names(span);
            let found: Vec<usize> = ends.iter().filter_map(|name| self.one_of(name, &words, read)).collect();
            let (Some(first), Some(last)) = (found.first(), found.get(1)) else { return Vec::new() };
            let length = (last + 7 - first) % 7;
            return (*first..=first + length).filter_map(day).collect();
        }
        let names = self.names(node);
        names.iter().filter_map(|name| self.one_of(name, &words, read)).filter_map(day).collect()
    }

    pub(super) fn date(&mut self, node: &Node) -> Option<NaiveDate> {
        self.a_date(node.part(Rule::date)?)
    }

    fn a_date(&mut self, date: &Node) -> Option<NaiveDate> {
        if date.part(Rule::blank_value).is_some() {
            return None;
        }
        let text = self.slice(date).to_owned();
        let found = NaiveDate::parse_from_str(&text, "%Y-%m-%d").ok();
        if found.is_none() {
            let finding = Finding::at(&BAD_DATE, self.loc(date), format!("`{text}` is no day of the calendar"))
                .help("dates are written year, month, day: 2026-09-14");
            self.findings.push(finding);
        }
        found
    }

    pub(super) fn zone(&mut self, node: &Node) -> Option<Said<Zone>> {
        let part = node.part(Rule::zone)?;
        let (text, loc) = (self.slice(part).to_owned(), self.loc(part));
        let found = Zone::parse(&text).map(|value| Said { value, loc });
        if found.is_none() {
            let mut finding = Finding::at(&UNKNOWN_ZONE, loc, format!("`{text}` is no time zone"));
            finding = match nearest(&text, chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name())) {
                Some(near) => finding.help(format!("did you mean `{near}`?")).fix(loc, near, Care::NeedsALook),
                None => finding.help("name the zone by its region and city, such as Europe/London"),
            };
            self.findings.push(finding);
        }
        found
    }

    /// The quantities directly among the parts.
    pub(super) fn quantities(&mut self, node: &Node) -> Vec<Measured> {
        let parts: Vec<&Node> = node.all(Rule::quantity).collect();
        parts.into_iter().map(|part| self.quantity(part)).collect()
    }

    /// The first quantity among the parts.
    pub(super) fn a_quantity(&mut self, node: &Node) -> Option<Measured> {
        node.part(Rule::quantity).map(|part| self.quantity(part))
    }

    /// Two quantities, as in `range … to …`.
    pub(super) fn pair(&mut self, node: &Node) -> Option<(Measured, Measured)> {
        let mut found = self.quantities(node).into_iter();
        Some((found.next()?, found.next()?))
    }

    pub(super) fn quantity(&mut self, node: &Node) -> Measured {
        let loc = self.loc(node);
        let mut parts = node.parts.iter();
        let first = parts.next();
        let number = first.filter(|part| part.rule == Rule::number).and_then(|part| Rational::parse(self.slice(part)));
        let unit_of = |part: Option<&Node>, lower: &Self| part.and_then(|part| UnitDef::find(lower.slice(part)));
        let unit = unit_of(parts.next(), self);
        let quantity = number.zip(unit).map(|(value, unit)| Quantity::new(value, unit));
        let mut rest = Vec::new();
        while let (Some(number), Some(unit)) = (parts.next(), parts.next()) {
            rest.push((number, unit_of(Some(unit), self)));
        }
        if rest.is_empty() {
            return Measured { quantity, unit, number, compound: false, strict: false, loc };
        }
        self.compound(quantity, &rest, loc)
    }

    /// Adds up `1 h 30 min` in the unit of its last part.
    fn compound(
        &mut self,
        first: Option<Quantity>,
        rest: &[(&Node, Option<Unit>)],
        loc: crate::source::Loc,
    ) -> Measured {
        let sum = first.filter(|first| first.dimension() == Dimension::Time).and_then(|first| {
            let mut total = first;
            for (number, unit) in rest {
                let part = Quantity::new(Rational::parse(self.slice(number))?, (*unit)?);
                let falls =
                    part.unit.difference_to_base(Rational::ONE)? < total.unit.difference_to_base(Rational::ONE)?;
                if part.dimension() != Dimension::Time || !falls || part.value.is_negative() {
                    return None;
                }
                total = Quantity::new(total.in_unit(part.unit)?.plus(part.value)?, part.unit);
            }
            Some(total)
        });
        if sum.is_none() {
            let finding = Finding::at(&BAD_COMPOUND, loc, "only times are written in parts, the larger unit first")
                .help("write `1 h 30 min`");
            self.findings.push(finding);
        }
        Measured {
            quantity: sum,
            unit: sum.map(|sum| sum.unit),
            number: sum.map(|sum| sum.value),
            compound: true,
            strict: false,
            loc,
        }
    }

    pub(super) fn count(&mut self, node: &Node) -> Option<u32> {
        let part = node.part(Rule::number)?;
        let found =
            Rational::parse(self.slice(part)).and_then(Rational::as_whole).and_then(|count| u32::try_from(count).ok());
        if found.is_none_or(|count| count == 0) {
            let finding = Finding::at(&BAD_NUMBER, self.loc(part), format!("`{}` is no count", self.slice(part)))
                .help("write a whole number from 1");
            self.findings.push(finding);
            return None;
        }
        found
    }

    pub(super) fn term(&mut self, node: &Node) -> Term {
        let Some(term) = node.part(Rule::term) else { return Term::Blank };
        if let Some(calendar) = term.part(Rule::calendar) {
            return self.calendar(calendar).map_or(Term::Blank, Term::Calendar);
        }
        match self.a_quantity(term) {
            Some(time) if !time.is_blank() => Term::Clock(time),
            _ => Term::Blank,
        }
    }

    fn calendar(&mut self, node: &Node) -> Option<Calendar> {
        if node.part(Rule::blank_value).is_some() {
            return None;
        }
        let count = self.count(node)?;
        if node.part(Rule::working).is_some() {
            return Some(Calendar { count, unit: CalendarUnit::WorkingDay });
        }
        let unit = match self.slice(node.part(Rule::calendar_unit)?).trim_end_matches('s') {
            "week" => CalendarUnit::Week,
            "month" => CalendarUnit::Month,
            "year" => CalendarUnit::Year,
            _ => CalendarUnit::Day,
        };
        Some(Calendar { count, unit })
    }

    pub(super) fn cadence(&mut self, node: &Node) -> Option<Cadence> {
        let part = node.part(Rule::cadence)?;
        let inner = part.first()?;
        let rhythm = match inner.rule {
            Rule::continuously => Rhythm::Continuously(self.a_quantity(inner)),
            Rule::every => match self.term(inner) {
                Term::Clock(amount) if amount.dimension().is_some_and(made) => Rhythm::Made(amount),
                term => Rhythm::Every(term),
            },
            Rule::every_lots if inner.part(Rule::blank_value).is_some() => Rhythm::Every(Term::Blank),
            Rule::every_lots => Rhythm::EveryLots(self.count(inner)?),
            Rule::times_per => Rhythm::TimesPer(self.count(inner)?, self.slice(inner.part(Rule::per_word)?).to_owned()),
            Rule::each => Rhythm::Each(self.slice(inner.part(Rule::each_word)?).to_owned()),
            Rule::at_event => Rhythm::At(self.a_name(inner)?),
            _ => Rhythm::After(self.a_name(inner)?),
        };
        let late_after = part.part(Rule::late).and_then(|late| self.a_quantity(late));
        Some(Cadence { rhythm, late_after, loc: self.loc(part) })
    }

    pub(super) fn citations(&self, node: &Node) -> Vec<Citation> {
        node.all(Rule::citation)
            .filter_map(|citation| Some(Citation { name: self.a_name(citation)?, at: self.a_text(citation) }))
            .collect()
    }

    /// `allergens none` is an empty list, said so.
    pub(super) fn allergens(&self, node: &Node) -> Option<Said<Vec<Name>>> {
        Some(Said { value: self.names(node), loc: self.loc(node) })
    }
}

/// Whether something that is made is told in this dimension.
fn made(dimension: Dimension) -> bool {
    matches!(dimension, Dimension::Volume | Dimension::Mass | Dimension::Pieces)
}
