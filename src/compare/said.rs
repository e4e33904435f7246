//! What a plan says, taken apart: things, what is said of each, and each saying as printed and as compared.

use super::kind::Kind;
use crate::plan::limit::Measured;
use crate::plan::names::Kind as Space;
use crate::plan::walk::Visitor;
use crate::plan::{Cadence, Condition, Limit, Name, Range, Rhythm, Term};
use crate::quantity::{Dimension, Quantity, Rational, Unit};
use crate::source::Loc;
use crate::time::{Calendar, CalendarUnit};
use std::cmp::Ordering;

/// The name that stands for each name while two plans are compared.
pub(super) struct Naming<'a>(pub(super) &'a dyn Fn(Space, &str) -> String);

impl Naming<'_> {
    pub(super) fn of(&self, space: Space, name: &Name) -> String {
        (self.0)(space, &name.text)
    }
}

impl Visitor for Naming<'_> {
    fn name(&mut self, space: Space, name: &mut Name) {
        // Two parameters side by side are one computed value, named by both and a sign.
        name.text = name.text.split(' ').map(|word| (self.0)(space, word)).collect::<Vec<_>>().join(" ");
    }

    fn point(&mut self, _: &mut Measured) {}

    fn difference(&mut self, _: &mut Measured) {}

    fn range(&mut self, _: &mut Range) {}
}

/// How great something is, for putting two in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Size {
    at: Rational,
    /// Continuous without a step: more frequent than any rhythm, and not comparable with a step.
    unstepped: bool,
    continuous: bool,
    /// By what is counted, where it is not time: two that are counted by different things have no order.
    by: Option<&'static str>,
    unit: Option<Unit>,
}

impl Size {
    pub(super) fn of(at: Rational) -> Self {
        Size { at, unstepped: false, continuous: false, by: None, unit: None }
    }

    pub(super) fn order(&self, other: &Size) -> Option<Ordering> {
        if self.by != other.by {
            return None;
        }
        match (self.unstepped, other.unstepped) {
            (true, true) => Some(Ordering::Equal),
            (true, false) => (!other.continuous).then_some(Ordering::Less),
            (false, true) => (!self.continuous).then_some(Ordering::Greater),
            (false, false) => Some(self.at.cmp(&other.at)),
        }
    }

    /// By how much the two differ, in the unit of this one.
    pub(super) fn apart(&self, other: &Size) -> Option<String> {
        if self.by != other.by {
            return None;
        }
        apart(self.at, other.at, self.unit?)
    }
}

/// The difference of two values in the base unit, as a length of this unit.
pub(super) fn apart(one: Rational, two: Rational, unit: Unit) -> Option<String> {
    let (high, low) = if one > two { (one, two) } else { (two, one) };
    let by = high.minus(low)?;
    if by.is_zero() {
        return None;
    }
    // Days and weeks stay days and weeks.
    if unit.dimension == Dimension::Time
        && !["d", "week"].contains(&unit.symbol)
        && let Some(time) = by.times(Rational::whole(crate::time::SECOND))?.as_whole()
    {
        return Some(crate::time::show_duration(time));
    }
    Some(Quantity::new(unit.difference_from_base(by)?, unit).to_string())
}

/// One saying: as it is printed, and as it is compared.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Words {
    pub(super) shown: String,
    pub(super) key: String,
    pub(super) size: Option<Size>,
}

impl Words {
    pub(super) fn text(text: impl AsRef<str>) -> Self {
        let shown = text.as_ref().to_owned();
        // Blanks within prose are a matter of layout.
        let key = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        Words { shown, key, size: None }
    }

    pub(super) fn name(naming: &Naming<'_>, space: Space, name: &Name) -> Self {
        Words { shown: name.text.clone(), key: format!("<{}>", naming.of(space, name)), size: None }
    }

    pub(super) fn names<'n>(naming: &Naming<'_>, space: Space, names: impl IntoIterator<Item = &'n Name>) -> Vec<Self> {
        names.into_iter().map(|name| Words::name(naming, space, name)).collect()
    }

    pub(super) fn number(number: &Measured, difference: bool) -> Self {
        let exact = number.exact(difference);
        let value = exact.quantity.map(|quantity| quantity.value);
        let size = value.map(|at| Size { unit: number.unit, ..Size::of(at) });
        let unit = exact.unit.map_or("", |unit| unit.symbol);
        let key = match exact.number {
            Some(number) => format!("{}{} {unit}", if exact.strict { "<" } else { "" }, fraction(number)),
            None => format!("___ {unit}"),
        };
        Words { shown: number.shown(), key, size }
    }

    pub(super) fn range((low, high): &(Measured, Measured)) -> Self {
        Words::number(low, false).then(" to ").and(Words::number(high, false)).without_size()
    }

    pub(super) fn term(term: &Term) -> Self {
        match term {
            Term::Calendar(calendar) => Words {
                shown: calendar.to_string(),
                key: calendar_key(*calendar),
                size: days(*calendar).and_then(|days| days.times(Rational::whole(86_400))).map(Size::of),
            },
            Term::Clock(time) => {
                let mut words = Words::number(time, false);
                // Days and weeks of the clock are those of the calendar.
                words.key = format!("clock {}", words.key);
                words
            }
            Term::Blank => Words::text(crate::plan::BLANK),
        }
    }

    pub(super) fn cadence(naming: &Naming<'_>, cadence: &Cadence) -> Self {
        let mut words = match &cadence.rhythm {
            Rhythm::Continuously(Some(step)) => {
                let mut words = Words::number(step, false);
                words.key = format!("continuously {}", words.key);
                words.size = words.size.map(|size| Size { continuous: true, ..size });
                words
            }
            Rhythm::Continuously(None) => Words {
                key: "continuously".to_owned(),
                size: Some(Size { unstepped: true, continuous: true, ..Size::of(Rational::ZERO) }),
                ..Words::default()
            },
            Rhythm::Every(term) => Words::term(term),
            Rhythm::TimesPer(count, period) => Words {
                key: format!("{count} per {period}"),
                size: period_seconds(period)
                    .and_then(|seconds| seconds.over(Rational::whole(i64::from(*count))))
                    .map(Size::of),
                ..Words::default()
            },
            Rhythm::Made(amount) => {
                let mut words = Words::number(amount, false);
                words.key = format!("made {}", words.key);
                let by = amount.dimension().map(Dimension::word);
                words.size = words.size.map(|size| Size { by, ..size });
                words
            }
            Rhythm::EveryLots(count) => lots(*count),
            Rhythm::Each(what) if what == "lot" => lots(1),
            Rhythm::Each(what) => Words { key: format!("each {what}"), ..Words::default() },
            Rhythm::At(event) => Words { key: format!("at <{}>", naming.of(Space::Event, event)), ..Words::default() },
            Rhythm::After(event) => {
                Words { key: format!("after <{}>", naming.of(Space::Event, event)), ..Words::default() }
            }
        };
        if let Some(late) = &cadence.late_after {
            words.key.push_str(&format!("; late after {}", Words::number(late, false).key));
        }
        words.shown = cadence.to_string();
        words
    }

    /// With no blanks at its ends.
    pub(super) fn trimmed(mut self) -> Self {
        self.shown = self.shown.trim().to_owned();
        self
    }

    /// With this text after it.
    pub(super) fn then(mut self, text: &str) -> Self {
        self.shown.push_str(text);
        self.key.push_str(text);
        self
    }

    /// With this saying after it.
    pub(super) fn and(mut self, other: Words) -> Self {
        self.shown.push_str(&other.shown);
        self.key.push_str(&other.key);
        self
    }

    pub(super) fn without_size(mut self) -> Self {
        self.size = None;
        self
    }

    pub(super) fn sized(mut self, at: i64) -> Self {
        self.size = Some(Size::of(Rational::whole(at)));
        self
    }
}

/// Once in so many lots.
fn lots(count: u32) -> Words {
    let size = Size { by: Some("lots"), ..Size::of(Rational::whole(i64::from(count))) };
    Words { key: format!("every {count} lots"), size: Some(size), ..Words::default() }
}

/// Exactly, so that two thirds and 0.666667 differ.
fn fraction(number: Rational) -> String {
    format!("{number:?}")
}

fn days(calendar: Calendar) -> Option<Rational> {
    let one = match calendar.unit {
        CalendarUnit::Day => Rational::ONE,
        // Five a week.
        CalendarUnit::WorkingDay => Rational::new(7, 5)?,
        CalendarUnit::Week => Rational::whole(7),
        // 365.25 days a year.
        CalendarUnit::Month => Rational::new(487, 16)?,
        CalendarUnit::Year => Rational::new(1461, 4)?,
    };
    one.times(Rational::whole(i64::from(calendar.count)))
}

/// A year is twelve months and a week is seven days; a month is not thirty days.
fn calendar_key(calendar: Calendar) -> String {
    let count = u64::from(calendar.count);
    match calendar.unit {
        CalendarUnit::Day => format!("{count} d"),
        CalendarUnit::WorkingDay => format!("{count} working days"),
        CalendarUnit::Week => format!("{} d", count * 7),
        CalendarUnit::Month => format!("{count} months"),
        CalendarUnit::Year => format!("{} months", count * 12),
    }
}

fn period_seconds(period: &str) -> Option<Rational> {
    let seconds = match period {
        "hour" => 3_600,
        "day" => 86_400,
        "week" => 604_800,
        _ => return None,
    };
    Some(Rational::whole(seconds))
}

/// What is said of a thing in one respect: the word for it, and the kinds of change.
#[derive(Debug, Clone, Copy)]
pub(super) struct Field {
    /// The respect, as in `supplier`.
    pub(super) word: &'static str,
    /// Said where nothing was, or one more of a list.
    pub(super) added: Kind,
    /// No longer said, or one less of a list.
    pub(super) gone: Kind,
    /// A smaller one.
    pub(super) less: Kind,
    /// A greater one.
    pub(super) more: Kind,
    /// Another one.
    pub(super) other: Kind,
}

/// A respect in which there is one kind of change.
pub(super) const fn plain(word: &'static str, kind: Kind) -> Field {
    Field { word, added: kind, gone: kind, less: kind, more: kind, other: kind }
}

/// A respect that can be put in order.
pub(super) const fn sized(word: &'static str, less: Kind, more: Kind, other: Kind) -> Field {
    Field { word, added: other, gone: other, less, more, other }
}

/// A respect in which there is a list.
pub(super) const fn list(word: &'static str, added: Kind, gone: Kind) -> Field {
    Field { word, added, gone, less: gone, more: added, other: added }
}

/// What is said in one respect.
#[derive(Debug, Clone)]
pub(super) enum Value {
    One(Words),
    /// In no order.
    Many(Vec<Words>),
}

/// The key in a list that says in so many words that it is empty.
pub(super) const NONE: &str = "none";

#[derive(Debug, Clone)]
pub(super) struct Aspect {
    pub(super) field: Field,
    pub(super) value: Value,
    pub(super) loc: Loc,
}

/// Something that a plan speaks of.
#[derive(Debug, Clone)]
pub(super) struct Thing<'p> {
    /// The kinds of change when it comes or goes.
    pub(super) added: Kind,
    pub(super) gone: Kind,
    /// By which it is found in the other plan: its sort, what it stands in, and its name.
    pub(super) id: String,
    /// The id of what it stands in.
    pub(super) within: Option<String>,
    /// As it is called: `` limit `core-hold` of ccp `lethality` ``.
    pub(super) label: String,
    /// Its own name, where it has one by which others speak of it.
    pub(super) name: Option<(Space, &'p Name)>,
    /// Whether enough is said of it to know it again under another name.
    pub(super) known_by_more: bool,
    /// What is said of it, in one line, for when it comes or goes.
    pub(super) gist: String,
    pub(super) loc: Loc,
    pub(super) aspects: Vec<Aspect>,
    /// For a limit: itself.
    pub(super) limit: Option<&'p Limit>,
    /// For what stands in a control: the control's name in its own plan.
    pub(super) control: Option<&'p Name>,
}

impl<'p> Thing<'p> {
    pub(super) fn new(kinds: (Kind, Kind), id: String, label: String, loc: Loc) -> Self {
        Thing {
            added: kinds.0,
            gone: kinds.1,
            id,
            within: None,
            label,
            name: None,
            known_by_more: false,
            gist: String::new(),
            loc,
            aspects: Vec::new(),
            limit: None,
            control: None,
        }
    }

    /// A declared thing: its word, name and title.
    pub(super) fn declared(
        naming: &Naming<'_>,
        kinds: (Kind, Kind),
        space: Space,
        word: &str,
        (name, title): (&'p Name, &Option<String>),
        loc: Loc,
    ) -> Self {
        let mut thing =
            Thing::new(kinds, format!("{}:{}", space.word(), naming.of(space, name)), format!("{word} `{name}`"), loc);
        thing.name = Some((space, name));
        thing.known_by_more = title.is_some();
        thing.gist = title.clone().unwrap_or_default();
        thing.say(plain("title", Kind::TitleChanged), title.as_ref().map(Words::text));
        thing
    }

    pub(super) fn say(&mut self, field: Field, words: Option<Words>) {
        self.say_at(field, words, self.loc);
    }

    pub(super) fn say_at(&mut self, field: Field, words: Option<Words>, loc: Loc) {
        if let Some(words) = words {
            self.aspects.push(Aspect { field, value: Value::One(words), loc });
        }
    }

    pub(super) fn say_text(&mut self, field: Field, text: &Option<String>) {
        self.say(field, text.as_ref().map(Words::text));
    }

    pub(super) fn list(&mut self, field: Field, words: Vec<Words>) {
        if !words.is_empty() {
            self.aspects.push(Aspect { field, value: Value::Many(words), loc: self.loc });
        }
    }

    /// What is compared when a thing is looked for under another name: everything but that name.
    pub(super) fn fingerprint(&self) -> String {
        let mut parts: Vec<String> = self
            .aspects
            .iter()
            .map(|aspect| match &aspect.value {
                Value::One(words) => format!("{}={}", aspect.field.word, words.key),
                Value::Many(list) => {
                    let mut keys: Vec<&str> = list.iter().map(|words| words.key.as_str()).collect();
                    keys.sort_unstable();
                    format!("{}=[{}]", aspect.field.word, keys.join("|"))
                }
            })
            .collect();
        parts.sort();
        parts.join("\n")
    }
}

/// The condition with each name replaced by the one that stands for it.
pub(super) fn renamed(naming: &Naming<'_>, condition: &Condition) -> Condition {
    let mut own = condition.clone();
    own.visit(&mut Naming(naming.0));
    own
}

/// The condition as it is printed and as it is compared.
pub(super) fn condition(naming: &Naming<'_>, condition: &Condition) -> Words {
    Words { shown: condition.symbols(), key: format!("{:?}", renamed(naming, condition).exact()), size: None }
}
