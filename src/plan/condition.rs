//! What a limit asks for: one variant a form.

use super::Name;
use super::limit::{Measured, Over, Range};
use super::sampling::{GradedBand, Sampled};

/// What a limit asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Condition {
    /// A parameter in a range of values.
    Level {
        /// Of what.
        parameter: Name,
        /// Which values.
        range: Range,
        /// Over what.
        over: Over,
    },
    /// A way from one value to another within a time.
    Passage {
        /// Of what.
        parameter: Name,
        /// From this value,
        from: Measured,
        /// to this one,
        to: Measured,
        /// in no more than this.
        within: Measured,
    },
    /// Decimal reductions of an organism.
    Reduction {
        /// By which inactivation.
        model: Name,
        /// From the readings of which parameter.
        parameter: Name,
        /// At least (or more than) how many.
        range: Range,
    },
    /// Checks answered as the limit demands, all of them.
    Answers(Vec<(Name, Name)>),
    /// A band of values that must never be entered.
    Never {
        /// Of what.
        parameter: Name,
        /// Which values.
        range: Range,
    },
    /// A value reached at least once, perhaps within a time of an event.
    Reaches {
        /// Of what.
        parameter: Name,
        /// This value, or above it.
        at: Measured,
        /// Within this long of that event.
        within: Option<(Measured, Name)>,
    },
    /// A fall, or a rise, of at least (or more than) so much in every span.
    Falls {
        /// Of what.
        parameter: Name,
        /// Whether it rises.
        rises: bool,
        /// By how much, a difference.
        by: Measured,
        /// In every span of this length.
        every: Measured,
    },
    /// How long a stage lasts.
    Lasts {
        /// Which stage.
        stage: Name,
        /// At least; else at most.
        least: bool,
        /// This long.
        time: Measured,
    },
    /// One stage ends before another begins.
    Order {
        /// The stage that ends.
        first: Name,
        /// The stage that begins.
        then: Name,
    },
    /// How many times an event is recorded for a lot.
    Counted {
        /// Which event.
        event: Name,
        /// At least; else at most.
        least: bool,
        /// So many times.
        times: u32,
    },
    /// Time from one event to another.
    Events {
        /// From this event
        from: Name,
        /// to this one,
        to: Name,
        /// at least; else at most
        least: bool,
        /// this long.
        time: Measured,
    },
    /// Equivalent time at a temperature (F-value).
    Equivalent {
        /// From the readings of which parameter.
        parameter: Name,
        /// At which temperature.
        at: Measured,
        /// With which z.
        z: Measured,
        /// At least how long.
        range: Range,
    },
    /// Growth of an organism.
    Growth {
        /// By which model.
        model: Name,
        /// From the readings of which parameter.
        parameter: Name,
        /// At most how much.
        range: Range,
    },
    /// Degrees above a base summed over time, perhaps until an end point.
    DegreeHours {
        /// Of what.
        parameter: Name,
        /// Above this value.
        base: Measured,
        /// Until this parameter is in this range.
        until: Option<(Name, Range)>,
        /// At most how much.
        range: Range,
    },
    /// Any row of a table.
    AnyRow {
        /// Of what.
        parameter: Name,
        /// Of which table.
        table: Name,
    },
    /// The row of a table that was chosen beforehand and recorded for the lot.
    ChosenRow {
        /// Of what.
        parameter: Name,
        /// Of which table.
        table: Name,
        /// The fact that names the row.
        fact: Name,
    },
    /// An attributes plan: `n` samples, at most `c` of them over `m`, none over `M`.
    Attributes {
        /// Of what.
        parameter: Name,
        /// How many samples, and how many of them may lie over `m`.
        plan: Sampled,
        /// The lower figure.
        m: Measured,
        /// The upper figure; without one, a sample over `m` is as bad as it gets.
        big_m: Option<Measured>,
    },
    /// Not detected in a mass of each sample.
    Absent {
        /// What.
        parameter: Name,
        /// In this mass.
        mass: Measured,
        /// How many samples, and in how many of them it may be found; without one, every sample counts.
        plan: Option<Sampled>,
    },
    /// So many samples with this answer.
    Sampled {
        /// What is answered.
        parameter: Name,
        /// The answer that is asked for.
        answer: Name,
        /// How many samples, and how many of them may have another answer.
        plan: Sampled,
    },
    /// Graded bands of a result; the worst sample decides.
    Bands {
        /// Of what.
        parameter: Name,
        /// From the best to the worst.
        bands: Vec<GradedBand>,
        /// How many samples there must be.
        at_least: u32,
    },
    /// Any of these options, each judged whole.
    Any(Vec<(Name, Condition)>),
    /// The one of these options that was chosen beforehand and recorded for the lot.
    Chosen {
        /// The fact that names the option.
        fact: Name,
        /// The options.
        options: Vec<(Name, Condition)>,
    },
    /// All of these.
    All(Vec<Condition>),
}

impl Condition {
    /// The conditions without parts: this one, or those inside a group.
    #[must_use]
    pub fn leaves(&self) -> Vec<&Condition> {
        match self {
            Condition::Any(options) | Condition::Chosen { options, .. } => {
                options.iter().flat_map(|(_, one)| one.leaves()).collect()
            }
            Condition::All(parts) => parts.iter().flat_map(Condition::leaves).collect(),
            leaf => vec![leaf],
        }
    }

    /// The parameters of a condition without parts.
    #[must_use]
    pub fn own_parameters(&self) -> Vec<&Name> {
        match self {
            Condition::Level { parameter, .. }
            | Condition::Passage { parameter, .. }
            | Condition::Reduction { parameter, .. }
            | Condition::Never { parameter, .. }
            | Condition::Reaches { parameter, .. }
            | Condition::Falls { parameter, .. }
            | Condition::Equivalent { parameter, .. }
            | Condition::Growth { parameter, .. }
            | Condition::AnyRow { parameter, .. }
            | Condition::ChosenRow { parameter, .. }
            | Condition::Attributes { parameter, .. }
            | Condition::Absent { parameter, .. }
            | Condition::Sampled { parameter, .. }
            | Condition::Bands { parameter, .. } => vec![parameter],
            Condition::DegreeHours { parameter, until, .. } => {
                std::iter::once(parameter).chain(until.iter().map(|(name, _)| name)).collect()
            }
            Condition::Answers(answers) => answers.iter().map(|(parameter, _)| parameter).collect(),
            Condition::Lasts { .. }
            | Condition::Order { .. }
            | Condition::Counted { .. }
            | Condition::Events { .. } => Vec::new(),
            Condition::Any(_) | Condition::Chosen { .. } | Condition::All(_) => Vec::new(),
        }
    }

    /// The numbers of a condition without parts.
    #[must_use]
    pub fn own_values(&self) -> Vec<&Measured> {
        match self {
            Condition::Level { range, over, .. } => range.values().into_iter().chain(over.values()).collect(),
            Condition::Passage { from, to, within, .. } => vec![from, to, within],
            Condition::Reduction { range, .. } | Condition::Never { range, .. } | Condition::Growth { range, .. } => {
                range.values()
            }
            Condition::Reaches { at, within, .. } => {
                std::iter::once(at).chain(within.iter().map(|(time, _)| time)).collect()
            }
            Condition::Falls { by, every, .. } => vec![by, every],
            Condition::Lasts { time, .. } | Condition::Events { time, .. } => vec![time],
            Condition::Equivalent { at, z, range, .. } => [at, z].into_iter().chain(range.values()).collect(),
            Condition::DegreeHours { base, until, range, .. } => std::iter::once(base)
                .chain(until.iter().flat_map(|(_, end)| end.values()))
                .chain(range.values())
                .collect(),
            Condition::Attributes { m, big_m, .. } => std::iter::once(m).chain(big_m).collect(),
            Condition::Absent { mass, .. } => vec![mass],
            Condition::Bands { bands, .. } => bands.iter().map(|band| &band.edge).collect(),
            Condition::Answers(_)
            | Condition::Sampled { .. }
            | Condition::Order { .. }
            | Condition::Counted { .. }
            | Condition::AnyRow { .. }
            | Condition::ChosenRow { .. }
            | Condition::Any(_)
            | Condition::Chosen { .. }
            | Condition::All(_) => Vec::new(),
        }
    }

    /// The table whose rows a condition without parts asks for.
    #[must_use]
    pub fn table(&self) -> Option<&Name> {
        match self {
            Condition::AnyRow { table, .. } | Condition::ChosenRow { table, .. } => Some(table),
            _ => None,
        }
    }

    /// The facts that name a choice, in this condition and its parts.
    #[must_use]
    pub fn choices(&self) -> Vec<&Name> {
        match self {
            Condition::Chosen { fact, options } => {
                std::iter::once(fact).chain(options.iter().flat_map(|(_, one)| one.choices())).collect()
            }
            Condition::ChosenRow { fact, .. } => vec![fact],
            Condition::Any(options) => options.iter().flat_map(|(_, one)| one.choices()).collect(),
            Condition::All(parts) => parts.iter().flat_map(Condition::choices).collect(),
            _ => Vec::new(),
        }
    }

    /// The stages that a condition without parts names.
    #[must_use]
    pub fn own_stages(&self) -> Vec<&Name> {
        match self {
            Condition::Level { over, .. } => over.stage().into_iter().collect(),
            Condition::Lasts { stage, .. } => vec![stage],
            Condition::Order { first, then } => vec![first, then],
            _ => Vec::new(),
        }
    }

    /// The events that a condition without parts names.
    #[must_use]
    pub fn own_events(&self) -> Vec<&Name> {
        match self {
            Condition::Reaches { within: Some((_, event)), .. } => vec![event],
            Condition::Events { from, to, .. } => vec![from, to],
            Condition::Counted { event, .. } => vec![event],
            _ => Vec::new(),
        }
    }
}
