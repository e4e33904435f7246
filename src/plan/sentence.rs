//! Limits in symbols and in sentences. One wording for documents, reports and forms.

use super::condition::Condition;
use super::limit::{Guard, Limit, Measured, Over, Wanted};
use super::sampling::Sampled;
use super::says::BLANK;
use super::{Name, Plan};

impl Limit {
    /// The limit in symbols, as it is evaluated: `core ≥ 72 °C held for 2 min`.
    #[must_use]
    pub fn symbols(&self) -> String {
        let body = self.condition.as_ref().map_or_else(|| BLANK.to_owned(), Condition::symbols);
        let during = self.during.as_ref().map_or_else(String::new, |stage| format!(" during {stage}"));
        let since = self.since.as_ref().map_or_else(String::new, |event| format!(" from {event}"));
        let guard = self.guard.as_ref().map_or_else(String::new, Guard::symbols);
        format!("{body}{during}{since}{guard}{}", self.shape.symbols())
    }

    /// The limit as a sentence for an inspector or a new operator.
    #[must_use]
    pub fn sentence(&self, plan: &Plan) -> String {
        let body = self.condition.as_ref().map_or_else(|| BLANK.to_owned(), |condition| condition.sentence(plan));
        let during = self.during.as_ref().map_or_else(String::new, |stage| format!(", during {stage}"));
        let since =
            self.since.as_ref().map_or_else(String::new, |event| format!(", counted from {}", moment(plan, event)));
        let guard = self.guard.as_ref().map_or_else(String::new, |guard| guard.words(plan));
        let (body, reset) = match &self.shape.reset {
            Some(reset) => (
                body.replace("; the clock does not restart", ""),
                format!("; it starts anew only when {} has been met again", reset.limit),
            ),
            None => (body, String::new()),
        };
        let diverted = self.shape.diverted.as_ref().map_or_else(String::new, |one| {
            let what = title(plan, &one.parameter).to_lowercase();
            format!("; a reading that breaks it is excused where {what} is {} at the same instant", one.answer)
        });
        format!("{body}{during}{since}{reset}{guard}{diverted}")
    }
}

impl Guard {
    /// In symbols, as in ` when species is trout and fat ≥ 10 %`.
    #[must_use]
    pub fn symbols(&self) -> String {
        let facts = self.facts.iter().map(|test| match &test.wanted {
            Wanted::Answer(answer) => format!("{} is {answer}", test.fact),
            Wanted::Within(range) => format!("{} {}", test.fact, range.symbols()),
        });
        format!(" {}when {}", if self.only { "only " } else { "" }, facts.collect::<Vec<_>>().join(" and "))
    }

    fn words(&self, plan: &Plan) -> String {
        let facts = self.facts.iter().map(|test| {
            let fact = title(plan, &test.fact).to_lowercase();
            match &test.wanted {
                Wanted::Answer(answer) => format!("{fact} is {answer}"),
                Wanted::Within(range) => format!("{fact} is {}", range.words()),
            }
        });
        let facts = facts.collect::<Vec<_>>().join(" and ");
        let rest = if self.only { "; for other lots no such limit is needed" } else { "" };
        format!(", where {facts}{rest}")
    }
}

/// As in `at most 1 time per lot`.
fn times_per_lot(least: bool, times: u32) -> String {
    let (extent, word) = (if least { "least" } else { "most" }, if times == 1 { "time" } else { "times" });
    format!("at {extent} {times} {word} per lot")
}

fn title(plan: &Plan, name: &Name) -> String {
    plan.parameter(&name.text).and_then(|parameter| parameter.title.clone()).unwrap_or_else(|| name.text.clone())
}

fn table_title(plan: &Plan, name: &Name) -> String {
    plan.table(&name.text).and_then(|table| table.title.clone()).unwrap_or_else(|| name.text.clone())
}

fn moment(plan: &Plan, name: &Name) -> String {
    plan.event(&name.text)
        .and_then(|event| event.title.clone())
        .map_or_else(|| name.text.clone(), |title| title.to_lowercase())
}

fn extent(least: bool, time: &Measured) -> String {
    if least { time.at_least_words() } else { time.at_most_words() }
}

fn no_more(time: &Measured) -> &'static str {
    if time.strict { "less than" } else { "no more than" }
}

impl Condition {
    /// In symbols; what stands here can be typed into a plan.
    #[must_use]
    pub fn symbols(&self) -> String {
        match self {
            Condition::Level { parameter, range, over } => {
                format!("{} {}{}", range.written(&parameter.text), range.symbols(), over.symbols())
            }
            Condition::Passage { parameter, from, to, within } => {
                format!("{parameter} from {} to {} {}", from.shown(), to.shown(), within.within_words())
            }
            Condition::Reduction { model, parameter, range } => {
                format!("reduction by {model} from {parameter} {}", range.symbols())
            }
            Condition::Growth { model, parameter, range } => {
                format!("growth by {model} from {parameter} {}", range.symbols())
            }
            Condition::Answers(answers) => {
                let parts: Vec<String> = answers.iter().map(|(name, answer)| format!("{name} is {answer}")).collect();
                parts.join(" and ")
            }
            Condition::Never { parameter, range } => format!("no {parameter} {}", range.symbols()),
            Condition::Reaches { parameter, at, within: None } => format!("{parameter} reaches {}", at.shown()),
            Condition::Reaches { parameter, at, within: Some((time, event)) } => {
                format!("{parameter} reaches {} {} of {event}", at.shown(), time.within_words())
            }
            Condition::Falls { parameter, rises, by, every } => {
                let way = if *rises { "rises" } else { "falls" };
                format!("{parameter} {way} {} in every {}", by.at_least_words(), every.shown())
            }
            Condition::Lasts { stage, least, time } => format!("{stage} lasts {}", extent(*least, time)),
            Condition::Order { first, then } => format!("{first} ends before {then} begins"),
            Condition::Counted { event, least, times } => format!("{event} {}", times_per_lot(*least, *times)),
            Condition::Events { from, to, least: false, time } => {
                format!("from {from} to {to} {}", time.within_words())
            }
            Condition::Events { from, to, least: true, time } => {
                format!("from {from} to {to} {}", time.at_least_words())
            }
            Condition::Equivalent { parameter, at, z, range } => {
                format!("F of {parameter} at {} z {} {}", at.shown(), z.shown(), range.symbols())
            }
            Condition::DegreeHours { parameter, base, until, range } => {
                let until =
                    until.as_ref().map_or_else(String::new, |(name, end)| format!(" until {name} {}", end.symbols()));
                format!("degree-hours of {parameter} above {}{until} {}", base.shown(), range.symbols())
            }
            Condition::AnyRow { parameter, table } => format!("{parameter} meets any row of {table}"),
            Condition::ChosenRow { parameter, table, fact } => {
                format!("{parameter} meets the row of {table} chosen by {fact}")
            }
            Condition::Attributes { parameter, plan, m, big_m } => {
                let upper = big_m.as_ref().map_or_else(String::new, |figure| format!(", M {}", figure.shown()));
                format!("{parameter} {plan}, m {}{upper}", m.shown())
            }
            Condition::Absent { parameter, mass, plan } => {
                let plan = plan.map_or_else(String::new, |plan| format!(", {plan}"));
                format!("{parameter} absent in {}{plan}", mass.shown())
            }
            Condition::Sampled { parameter, answer, plan } => format!("{parameter} is {answer}, {plan}"),
            Condition::Bands { parameter, bands, at_least } => {
                let list: Vec<String> = bands
                    .iter()
                    .map(|band| format!("{} {} {}", band.name, band.symbols(), band.grade.word()))
                    .collect();
                let many = if *at_least > 1 { format!(", at least {at_least} per lot") } else { String::new() };
                format!("{parameter} bands {{ {} }}{many}", list.join("; "))
            }
            Condition::Any(options) | Condition::Chosen { options, .. } => {
                let chosen = self.choices().first().map_or_else(String::new, |fact| format!(" chosen by {fact}"));
                let chosen = if matches!(self, Condition::Any(_)) { String::new() } else { chosen };
                let parts: Vec<String> = options
                    .iter()
                    .map(|(name, condition)| match condition {
                        Condition::All(parts) => {
                            let inside: Vec<String> = parts.iter().map(Condition::symbols).collect();
                            format!("option {name} {{ {} }}", inside.join("; "))
                        }
                        one => format!("option {name} {}", one.symbols()),
                    })
                    .collect();
                format!("one of{chosen} {{ {} }}", parts.join("; "))
            }
            Condition::All(parts) => {
                let parts: Vec<String> = parts.iter().map(Condition::symbols).collect();
                format!("all of {{ {} }}", parts.join("; "))
            }
        }
    }

    /// As a sentence.
    #[must_use]
    pub fn sentence(&self, plan: &Plan) -> String {
        let title = |name: &Name| title(plan, name);
        match self {
            Condition::Level { parameter, range, over } => {
                let written = Name { text: range.written(&parameter.text).to_owned(), loc: parameter.loc };
                level(&title(&written), &range.words(), over)
            }
            Condition::Passage { parameter, from, to, within } => format!(
                "{}: from {} to {} in {} {}; the clock does not restart",
                title(parameter),
                from.shown(),
                to.shown(),
                no_more(within),
                within.shown()
            ),
            Condition::Reduction { model, parameter, range } => {
                let organism = plan.inactivation(&model.text).and_then(|model| model.title.clone());
                let organism = organism.unwrap_or_else(|| model.text.clone());
                format!("{organism}: {} by heat, summed from {}", range.words(), title(parameter).to_lowercase())
            }
            Condition::Growth { model, parameter, range } => {
                let organism = plan.growth_model(&model.text).and_then(|model| model.title.clone());
                let organism = organism.unwrap_or_else(|| model.text.clone());
                format!("{organism}: growth of {}, summed from {}", range.words(), title(parameter).to_lowercase())
            }
            Condition::Answers(answers) => {
                let parts: Vec<String> =
                    answers.iter().map(|(name, answer)| format!("{} {answer}", title(name))).collect();
                format!("At each check: {}", parts.join("; "))
            }
            Condition::Never { parameter, range } => format!("{}: never {}", title(parameter), range.words()),
            Condition::Reaches { parameter, at, within } => {
                let within = within.as_ref().map_or_else(String::new, |(time, event)| {
                    format!(", {} of {}", time.within_words(), moment(plan, event))
                });
                format!("{}: reaches {} at least once{within}", title(parameter), at.shown())
            }
            Condition::Falls { parameter, rises, by, every } => {
                let way = if *rises { "rises" } else { "falls" };
                format!("{}: {way} by {} in every {}", title(parameter), by.at_least_words(), every.shown())
            }
            Condition::Lasts { stage, least, time } => {
                format!("The stage {stage} lasts {}", extent(*least, time))
            }
            Condition::Order { first, then } => format!("The stage {first} ends before {then} begins"),
            Condition::Counted { event, least, times } => {
                format!("{}: {}", moment(plan, event), times_per_lot(*least, *times))
            }
            Condition::Events { from, to, least, time } => {
                format!("From {} to {}: {}", moment(plan, from), moment(plan, to), extent(*least, time))
            }
            Condition::Equivalent { parameter, at, z, range } => {
                format!("{}: equivalent time at {} (z {}) {}", title(parameter), at.shown(), z.shown(), range.words())
            }
            Condition::DegreeHours { parameter, base, until, range } => {
                let until = until.as_ref().map_or_else(String::new, |(name, end)| {
                    format!(", until {} is {}", title(name).to_lowercase(), end.words())
                });
                format!("{}: degrees above {} times hours{until}, {}", title(parameter), base.shown(), range.words())
            }
            Condition::AnyRow { parameter, table } => {
                format!("{}: any row of the table {} is met", title(parameter), table_title(plan, table))
            }
            Condition::ChosenRow { parameter, table, fact } => format!(
                "{}: the row of the table {} is met that {} names; it is chosen beforehand",
                title(parameter),
                table_title(plan, table),
                title(fact).to_lowercase()
            ),
            Condition::Chosen { fact, options } => {
                let parts: Vec<String> =
                    options.iter().map(|(name, one)| format!("({name}) {}", one.sentence(plan))).collect();
                let fact = title(fact).to_lowercase();
                format!("The one that {fact} names, chosen beforehand: {}", parts.join("; or "))
            }
            Condition::Absent { parameter, mass, plan: None } => {
                format!("{}: not detected in {} of every sample", title(parameter), mass.shown())
            }
            Condition::Absent { parameter, mass, plan: Some(Sampled { n, c }) } => {
                format!("{}: of {n} samples at most {c} with it detected in {}", title(parameter), mass.shown())
            }
            Condition::Sampled { parameter, answer, plan: Sampled { n, c } } => {
                format!("{}: of {n} samples at most {c} other than {answer}", title(parameter))
            }
            Condition::Bands { parameter, bands, at_least } => {
                let list: Vec<String> = bands
                    .iter()
                    .map(|band| format!("{} {} ({})", band.name, band.symbols(), band.grade.words()))
                    .collect();
                let many = if *at_least > 1 { format!(" of at least {at_least}") } else { String::new() };
                format!("{}, by the worst sample{many}: {}", title(parameter), list.join("; "))
            }
            Condition::Attributes { parameter, plan: Sampled { n, c }, m, big_m } => {
                let upper = match big_m {
                    Some(figure) => format!(", and none above {}", figure.shown()),
                    None => String::new(),
                };
                format!("{}: of {n} samples at most {c} above {}{upper}", title(parameter), m.shown())
            }
            Condition::Any(options) => {
                let parts: Vec<String> =
                    options.iter().map(|(name, one)| format!("({name}) {}", one.sentence(plan))).collect();
                format!("One of these, whole: {}", parts.join("; or "))
            }
            Condition::All(parts) => {
                let parts: Vec<String> = parts.iter().map(|one| one.sentence(plan)).collect();
                format!("All of these: {}", parts.join("; and "))
            }
        }
    }
}

fn level(what: &str, words: &str, over: &Over) -> String {
    match over {
        Over::Always => format!("{what}: {words} at every moment"),
        Over::Throughout(stage) => format!("{what}: {words} at every moment of {stage}"),
        Over::Held(time) => format!("{what}: {words}, without a break for {}", time.at_least_words()),
        Over::TotalAtLeast(amount) => format!("{what}: {words} for {}, all times added up", amount.at_least_words()),
        Over::TotalAtMost(amount) => {
            let most = amount.at_most_words().replacen("at most", "no more than", 1);
            format!("{what}: {words} for {most}, all times added up")
        }
        Over::StretchAtMost(time) => format!("{what}: {words} for {} {} at a stretch", no_more(time), time.shown()),
        Over::StretchAtLeast(time) => format!("{what}: {words} for {} at a stretch", time.at_least_words()),
        Over::Samples(1) => format!("{what}: {words} in every sample of the lot"),
        Over::Samples(count) => format!("{what}: {words} in every sample, at least {count} samples a lot"),
    }
}
