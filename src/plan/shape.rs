//! What the block of a limit says beside its condition: the legal value, what it stands for, an allowed excursion,
//! how many probes are enough.

use super::condition::Condition;
use super::limit::{EdgeAt, Limit, Measured, Over, Range, RangeForm};
use super::{Citation, Control, Name, Plan};
use crate::source::Loc;

/// Everything that the block of a limit says about its shape.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Shape {
    /// Legal values that the limit must keep to, each with its source.
    pub required: Vec<Required>,
    /// The value of the laboratory for which the limit stands.
    pub stands_for: Option<StandsFor>,
    /// Brief excursions that are allowed. The condition of the limit already holds what they mean.
    pub allow: Vec<Allowance>,
    /// What it is judged over; the lot if nothing is said.
    pub judged: Option<Judged>,
    /// How many probes are enough; every one if nothing is said.
    pub probes: Option<Probes>,
    /// Where it says that each reading is first widened by the accuracy of its instrument; not counted if nothing is said.
    pub accuracy: Option<Loc>,
    /// What starts its sum or clock anew; nothing does if nothing is said.
    pub reset: Option<Reset>,
    /// What says that product was diverted, which excuses a reading that breaks the limit.
    pub diverted: Option<Diverted>,
}

/// A reading that breaks the limit is excused while this answer is recorded at the same instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diverted {
    /// What is answered.
    pub parameter: Name,
    /// The answer that excuses.
    pub answer: Name,
    /// The statement.
    pub loc: Loc,
}

/// A legal value: the limit may be as strict or stricter, never weaker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Required {
    /// What the rule asks for.
    pub condition: Condition,
    /// The stage to which the rule confines it.
    pub during: Option<Name>,
    /// The event from which the rule counts time.
    pub since: Option<Name>,
    /// Where the rule stands.
    pub cites: Vec<Citation>,
    /// The statement.
    pub loc: Loc,
}

/// A value of the laboratory for which a limit of the shop floor stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandsFor {
    /// The value.
    pub condition: Condition,
    /// The study that shows that the one may stand for the other.
    pub study: Option<Name>,
    /// The statement.
    pub loc: Loc,
}

/// A brief excursion beyond a bound.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Allowance {
    /// Above the bound; else below it.
    pub up: bool,
    /// As far as this.
    pub to: Measured,
    /// No longer than this at a stretch.
    pub time: Measured,
    /// The statement.
    pub loc: Loc,
}

/// What a limit is judged over. The verdict of a lot is the worst over those that belong to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Over what.
    pub per: Per,
    /// The statement.
    pub loc: Loc,
}

/// What a limit may be judged over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Per {
    /// The whole lot.
    Lot,
    /// Each load that the register of lots names.
    Load,
    /// Each day, in the zone of the plan.
    Day,
    /// Each shift, in the zone of the plan.
    Shift,
    /// Each run of a stage.
    Stage(Name),
}

impl Per {
    /// As it is typed.
    #[must_use]
    pub fn word(&self) -> &str {
        match self {
            Per::Lot => "lot",
            Per::Load => "load",
            Per::Day => "day",
            Per::Shift => "shift",
            Per::Stage(stage) => &stage.text,
        }
    }
}

impl Judged {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match &self.per {
            Per::Lot => "each lot as a whole".to_owned(),
            Per::Load => "each load of the lot by itself; the worst one decides".to_owned(),
            Per::Day => "each day by itself; the worst one decides".to_owned(),
            Per::Shift => "each shift by itself; the worst one decides".to_owned(),
            Per::Stage(stage) => format!("each run of {stage} by itself; the worst one decides"),
        }
    }
}

/// How many of the declared probes are enough.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Probes {
    /// So many of so many; `None` for every one, said in so many words.
    pub enough: Option<(u32, u32)>,
    /// The statement.
    pub loc: Loc,
}

/// A sum or clock starts anew when another limit of the control has been met again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reset {
    /// The limit that must be met again.
    pub limit: Name,
    /// The statement.
    pub loc: Loc,
}

/// Why a condition cannot have an allowance.
pub(super) const NO_BOUND: &str = "an excursion is allowed beside a bound that holds at every moment, and on its side";

/// The condition with an allowance: `X <= a`, up to b, is `X <= b` and `X above a at a stretch at most D`.
///
/// `None` where the condition is no bound on that side over every moment.
pub(super) fn allowed(condition: &Condition, allowance: &Allowance) -> Option<Condition> {
    let mut parts = match condition {
        Condition::All(parts) => parts.clone(),
        one => vec![one.clone()],
    };
    let Some(Condition::Level { parameter, range, over: Over::Always | Over::Throughout(_) }) = parts.first_mut()
    else {
        return None;
    };
    if matches!(range.form, RangeForm::Beside { .. }) {
        return None;
    }
    let slot = if allowance.up { &mut range.upper } else { &mut range.lower };
    let bound = slot.take()?;
    *slot = Some(EdgeAt { at: allowance.to.clone(), strict: false });
    let beyond = EdgeAt { at: bound.at.clone(), strict: !bound.strict };
    let form = match (bound.strict, allowance.up) {
        (true, _) => RangeForm::Compared,
        (false, true) => RangeForm::Above,
        (false, false) => RangeForm::Below,
    };
    let (lower, upper) = if allowance.up { (Some(beyond), None) } else { (None, Some(beyond)) };
    let excursion = Condition::Level {
        parameter: parameter.clone(),
        range: Range { lower, upper, form, loc: range.loc },
        over: Over::StretchAtMost(allowance.time.clone()),
    };
    range.form = if range.lower.is_some() && range.upper.is_some() { RangeForm::Between } else { RangeForm::Compared };
    parts.push(excursion);
    Some(Condition::All(parts))
}

impl Shape {
    /// The conditions that stand beside the limit's own: legal values and the value it stands for.
    #[must_use]
    pub fn conditions(&self) -> Vec<&Condition> {
        let stands_for = self.stands_for.iter().map(|one| &one.condition);
        self.required.iter().map(|one| &one.condition).chain(stands_for).collect()
    }

    /// The same, to be settled.
    pub(super) fn conditions_mut(&mut self) -> impl Iterator<Item = &mut Condition> {
        let stands_for = self.stands_for.iter_mut().map(|one| &mut one.condition);
        self.required.iter_mut().map(|one| &mut one.condition).chain(stands_for)
    }

    /// The stage of which each run is judged by itself.
    #[must_use]
    pub fn run_of(&self) -> Option<&Name> {
        match self.judged.as_ref()?.per {
            Per::Stage(ref stage) => Some(stage),
            _ => None,
        }
    }

    /// What of it changes the verdict, as it is typed: ` { probes 2 of 3 }`.
    #[must_use]
    pub fn symbols(&self) -> String {
        let judged = self.judged.as_ref().filter(|judged| judged.per != Per::Lot);
        let judged = judged.map(|judged| format!("judged per {}", judged.per.word()));
        let probes = self.probes.as_ref().and_then(|probes| probes.enough);
        let probes = probes.map(|(enough, of)| format!("probes {enough} of {of}"));
        let accuracy = self.accuracy.map(|_| "accuracy counted".to_owned());
        let reset = self.reset.as_ref().map(|reset| format!("reset when {} is met", reset.limit));
        let diverted = self.diverted.as_ref();
        let diverted = diverted.map(|one| format!("diverted when {} is {}", one.parameter, one.answer));
        let said: Vec<String> = judged.into_iter().chain(probes).chain(accuracy).chain(reset).chain(diverted).collect();
        if said.is_empty() { String::new() } else { format!(" {{ {} }}", said.join("; ")) }
    }
}

impl Condition {
    /// Whether it is judged over one trace a probe, so that a number of probes may be enough.
    fn by_probe(&self) -> bool {
        match self {
            Condition::Level { over, .. } => !matches!(over, Over::Samples(_)),
            Condition::Passage { .. }
            | Condition::Reduction { .. }
            | Condition::Never { .. }
            | Condition::Reaches { .. }
            | Condition::Falls { .. }
            | Condition::Equivalent { .. }
            | Condition::Growth { .. } => true,
            Condition::All(parts) => parts.iter().all(Condition::by_probe),
            _ => false,
        }
    }
}

impl Limit {
    /// Whether every condition in it is judged over a stretch of time, so that the stretch can be cut into days.
    #[must_use]
    pub fn over_time(&self) -> bool {
        self.leaves().iter().all(|leaf| match leaf {
            Condition::Level { over, .. } => !matches!(over, Over::Samples(_)),
            Condition::Answers(_)
            | Condition::Attributes { .. }
            | Condition::Lasts { .. }
            | Condition::Order { .. }
            | Condition::Counted { .. }
            | Condition::Events { .. } => false,
            _ => true,
        })
    }

    /// Whether some condition in it is judged on samples, which no register ties to a load.
    #[must_use]
    pub fn on_samples(&self) -> bool {
        self.leaves()
            .iter()
            .any(|leaf| matches!(leaf, Condition::Attributes { .. } | Condition::Level { over: Over::Samples(_), .. }))
    }

    /// Whether every condition in it binds every moment, so that a diverted reading can be excused.
    #[must_use]
    pub fn binds_every_moment(&self) -> bool {
        !self.leaves().is_empty()
            && self
                .leaves()
                .iter()
                .all(|leaf| matches!(leaf, Condition::Level { over: Over::Always | Over::Throughout(_), .. }))
    }

    /// The event from which the limit counts time, where it names one.
    #[must_use]
    pub fn counts_from(&self) -> Option<&Name> {
        let within = self.leaves().into_iter().find_map(|leaf| match leaf {
            Condition::Reaches { within: Some((_, event)), .. } => Some(event),
            _ => None,
        });
        within.or(self.since.as_ref())
    }

    /// The parameter whose probes may be counted: the only one of a limit over time.
    #[must_use]
    pub fn probed(&self) -> Option<&Name> {
        match self.parameters().as_slice() {
            [one] if self.condition.as_ref().is_some_and(Condition::by_probe) => Some(one),
            _ => None,
        }
    }

    /// How many probes are enough, where the plan says so and the count fits the parameter.
    ///
    /// # Errors
    /// What does not fit.
    pub fn enough(&self, plan: &Plan) -> Result<Option<u32>, String> {
        let Some((enough, of)) = self.shape.probes.as_ref().and_then(|probes| probes.enough) else { return Ok(None) };
        let Some(name) = self.probed() else {
            return Err("probes are counted for a limit over time on one parameter".to_owned());
        };
        let count = plan.parameter(&name.text).map_or(0, |parameter| parameter.probes.len());
        if usize::try_from(of) == Ok(count) {
            Ok(Some(enough))
        } else {
            Err(format!("`{name}` declares {count} probes, and this limit speaks of {of}"))
        }
    }
}

impl Probes {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        self.enough.map_or_else(
            || "every probe must meet it; the worst one decides".to_owned(),
            |(enough, of)| format!("{enough} of the {of} probes are enough; never their mean"),
        )
    }
}

impl Diverted {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "a reading that breaks the limit is excused where {} is recorded as {} at the same instant",
            self.parameter, self.answer
        )
    }
}

impl Reset {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "starts anew each time {} has been met again; never because the value went back over a line",
            self.limit
        )
    }
}

impl Required {
    /// The legal value in symbols.
    #[must_use]
    pub fn symbols(&self) -> String {
        let during = self.during.as_ref().map_or_else(String::new, |stage| format!(" during {stage}"));
        let since = self.since.as_ref().map_or_else(String::new, |event| format!(" from {event}"));
        format!("{}{during}{since}", self.condition.symbols())
    }
}

impl Allowance {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        let way = if self.up { "up" } else { "down" };
        format!(
            "{way} to {} for {} at a stretch; judged as the two limits shown, each by itself",
            self.to.shown(),
            self.time.at_most_words()
        )
    }
}

impl Limit {
    /// What stands beside the limit, line by line: what it is and its words. One wording for documents and reports.
    #[must_use]
    pub fn beside(&self, plan: &Plan, control: &Control) -> Vec<(&'static str, String)> {
        let mut lines = Vec::new();
        for required in &self.shape.required {
            let sources: Vec<String> = required.cites.iter().map(|cited| cited.words(plan)).collect();
            let from = if sources.is_empty() { String::new() } else { format!(" ({})", sources.join("; ")) };
            lines.push(("Required by rule", format!("{}{from}", required.symbols())));
        }
        if let Some(proxy) = &self.shape.stands_for {
            let study = proxy.study.as_ref().map_or_else(
                || "no study".to_owned(),
                |study| {
                    plan.citable(&study.text).and_then(|one| one.title.clone()).unwrap_or_else(|| study.text.clone())
                },
            );
            lines.push(("Stands for", format!("{}, shown by {study}", proxy.condition.symbols())));
        }
        lines.extend(self.shape.allow.iter().map(|allowance| ("Excursion allowed", allowance.words())));
        lines.extend(self.shape.judged.iter().map(|judged| ("Judged over", judged.words())));
        lines.extend(self.shape.probes.iter().map(|probes| ("Probes", probes.words())));
        lines.extend(self.accuracy_words(plan, control).map(|words| ("Accuracy", words)));
        lines.extend(self.shape.reset.iter().map(|reset| ("Reset", reset.words())));
        lines.extend(self.shape.diverted.iter().map(|diverted| ("Diverted", diverted.words())));
        lines
    }
}
