//! The published decision trees, read from `trees.csv`: every path with its outcome.
//!
//! codex-2022: the example tree added to CXC 1-1969 in 2022 (questions 3 and 4 from memory). codex-1997: the tree of
//! CXC 1-1969 rev. 3. nacmcf-1: NACMCF 1997, example I (from memory). eu-score: the semi-quantitative way of Commission
//! Notice 2022/C 355/01, annex II (from memory): probability and effect from 1 to 4, level = probability + effect − 1;
//! q1 asks whether the general programme is enough to watch the hazard, q2 whether a measurable critical limit can be set.
//! iso-8524: ISO 22000:2018, 8.5.2.4, which asks for an assessment and sets no outcome; q1 to q3 ask whether a measurable
//! or observable limit, monitoring that finds a failure, and timely correction are feasible.

use crate::plan::{Answer, HazardRow, Name};
use std::ops::RangeInclusive;
use std::sync::LazyLock;

/// What a path of a tree ends in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// This step is a CCP for the hazard.
    Ccp,
    /// A later step must be the CCP.
    Later,
    /// Prerequisite programmes are enough.
    Programme,
    /// An operational prerequisite programme at this step.
    Operational,
    /// A CCP or an operational prerequisite, as the assessment shows.
    Either,
    /// No control is needed here.
    Nothing,
    /// The step, the process or the product must change.
    Change,
}

impl End {
    fn read(word: &str) -> Option<Self> {
        Some(match word {
            "ccp" => End::Ccp,
            "later" => End::Later,
            "programme" => End::Programme,
            "operational" => End::Operational,
            "either" => End::Either,
            "none" => End::Nothing,
            "change" => End::Change,
            _ => return None,
        })
    }
}

/// What a path asks next.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Ask {
    /// Probability + effect − 1 lies in this range.
    Level(RangeInclusive<u32>),
    /// A question, and the answer on this path; none where either goes on.
    Question(String, Option<Answer>),
}

impl Ask {
    fn read(text: &str) -> Option<Self> {
        let (what, answer) = text.trim().split_once(' ')?;
        if what == "level" {
            let (low, high) = answer.split_once('-')?;
            return Some(Ask::Level(low.parse().ok()?..=high.parse().ok()?));
        }
        match answer {
            "any" => Some(Ask::Question(what.to_owned(), None)),
            _ => Some(Ask::Question(what.to_owned(), Some(Answer::read(answer)?))),
        }
    }
}

/// The scores that a tree with a level takes.
const SCORES: [&str; 2] = ["probability", "effect"];

static PATHS: LazyLock<Vec<(String, Vec<Ask>, End)>> = LazyLock::new(|| {
    let mut reader = csv::Reader::from_reader(include_str!("trees.csv").as_bytes());
    reader
        .records()
        .flatten()
        .filter_map(|row| {
            let path = row.get(1)?.split(';').map(Ask::read).collect::<Option<Vec<Ask>>>()?;
            Some((row.get(0)?.to_owned(), path, End::read(row.get(2)?)?))
        })
        .collect()
});

/// The trees a plan may name.
#[must_use]
pub fn names() -> Vec<&'static str> {
    let mut names: Vec<&str> = PATHS.iter().map(|(name, ..)| name.as_str()).collect();
    names.dedup();
    names
}

/// A question of a tree, in our own words.
#[derive(Debug, Clone)]
pub struct Question {
    /// The tree.
    pub tree: String,
    /// Its key, such as `Q1a`.
    pub key: String,
    /// What it asks.
    pub asks: String,
    /// What follows from yes.
    pub yes: String,
    /// What follows from no.
    pub no: String,
}

static QUESTIONS: LazyLock<Vec<Question>> = LazyLock::new(|| {
    let mut reader = csv::Reader::from_reader(include_str!("questions.csv").as_bytes());
    reader
        .records()
        .flatten()
        .filter_map(|row| {
            let cell = |at: usize| row.get(at).map(str::to_owned);
            Some(Question { tree: cell(0)?, key: cell(1)?, asks: cell(2)?, yes: cell(3)?, no: cell(4)? })
        })
        .collect()
});

/// The questions of a tree, in their order; none for a tree that is not known.
pub fn questions(tree: &str) -> impl Iterator<Item = &'static Question> {
    QUESTIONS.iter().filter(move |question| question.tree == tree)
}

impl End {
    /// What the path comes to, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            End::Ccp => "this step is a CCP",
            End::Later => "a later step is the CCP",
            End::Programme => "prerequisite programmes are enough",
            End::Operational => "an operational prerequisite holds the hazard",
            End::Either => "a CCP or an operational prerequisite holds the hazard",
            End::Nothing => "no control is needed here",
            End::Change => "the step, the process or the product must change",
        }
    }
}

/// What is wrong with a list of answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault<'a> {
    /// This question comes next and is not answered.
    Missing(&'static str),
    /// This score is asked for and not given.
    MissingScore(&'static str),
    /// This score is not from 1 to 4.
    BadScore(&'a Name),
    /// This answer lies off the path, which ends so.
    OffPath(&'a Name, End),
    /// This answer or score stands twice.
    Twice(&'a Name),
}

/// Walks a tree by the answers and scores of a row.
///
/// # Errors
/// The first question left open, or the first answer that the path does not ask for.
pub fn walk<'a>(tree: &str, row: &'a HazardRow) -> Result<End, Fault<'a>> {
    let mut paths: Vec<&'static (String, Vec<Ask>, End)> = PATHS.iter().filter(|(name, ..)| name == tree).collect();
    let mut depth = 0;
    while let Some(next) = paths.iter().find_map(|(_, path, _)| path.get(depth)) {
        match next {
            Ask::Level(_) => {
                let level = level(row)?;
                paths.retain(
                    |(_, path, _)| matches!(path.get(depth), Some(Ask::Level(range)) if range.contains(&level)),
                );
            }
            Ask::Question(question, _) => {
                let Some((_, answer)) = row.decision.iter().find(|(name, _)| name.text == *question) else {
                    return Err(Fault::Missing(question));
                };
                paths.retain(|(_, path, _)| {
                    matches!(path.get(depth), Some(Ask::Question(_, wanted)) if wanted.is_none_or(|wanted| wanted == *answer))
                });
            }
        }
        depth += 1;
    }
    let (path, end) = paths.first().map_or((&[][..], End::Nothing), |(_, path, end)| (path.as_slice(), *end));
    off_path(path, end, row)?;
    Ok(end)
}

/// Probability + effect − 1.
fn level(row: &HazardRow) -> Result<u32, Fault<'_>> {
    let mut sum = 0;
    for wanted in SCORES {
        let Some((name, score)) = row.scores.iter().find(|(name, _)| name.text == wanted) else {
            return Err(Fault::MissingScore(wanted));
        };
        if !(1..=4).contains(score) {
            return Err(Fault::BadScore(name));
        }
        sum += score;
    }
    Ok(sum - 1)
}

/// The first answer or score that the path does not ask for, or that stands twice.
fn off_path<'a>(path: &[Ask], end: End, row: &'a HazardRow) -> Result<(), Fault<'a>> {
    let scored = path.iter().any(|ask| matches!(ask, Ask::Level(_)));
    let asks = |name: &Name| {
        path.iter().any(|ask| matches!(ask, Ask::Question(question, _) if *question == name.text))
            || scored && SCORES.contains(&name.text.as_str())
    };
    let mut seen = Vec::new();
    for name in row.decision.iter().map(|(name, _)| name).chain(row.scores.iter().map(|(name, _)| name)) {
        if seen.contains(&name.text.as_str()) {
            return Err(Fault::Twice(name));
        }
        if !asks(name) {
            return Err(Fault::OffPath(name, end));
        }
        seen.push(&name.text);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;
    use crate::plan::Verb;
    use crate::source::Loc;

    fn row(text: &str) -> HazardRow {
        let mut row = HazardRow {
            hazards: Vec::new(),
            verb: Verb::Survives,
            likelihood: None,
            significance: None,
            decision: Vec::new(),
            scores: Vec::new(),
            changed: None,
            controls: Vec::new(),
            loc: Loc::default(),
        };
        for (what, answer) in text.split(';').filter_map(|part| part.trim().split_once(' ')) {
            let name = Name { text: what.to_owned(), loc: Loc::default() };
            match answer.parse() {
                Ok(score) => row.scores.push((name, score)),
                Err(_) => row.decision.push((name, Answer::read(answer).unwrap())),
            }
        }
        row
    }

    /// Each question of each path is told in words, and none is told that no path asks.
    #[test]
    fn every_question_is_told() {
        for tree in names() {
            let mut asked: Vec<String> = Vec::new();
            for (_, path, _) in PATHS.iter().filter(|(name, ..)| name == tree) {
                for ask in path {
                    match ask {
                        Ask::Level(_) => asked.extend(SCORES.map(str::to_owned)),
                        Ask::Question(name, _) => asked.push(name.clone()),
                    }
                }
            }
            asked.sort();
            asked.dedup();
            let mut told: Vec<String> = questions(tree).map(|question| question.key.to_lowercase()).collect();
            told.sort();
            assert_eq!(asked, told, "{tree}");
        }
    }

    /// Every way to answer a path: all scores of its level, both answers where either goes on.
    fn ways(path: &[Ask]) -> Vec<String> {
        let mut ways = vec![String::new()];
        for ask in path {
            let parts: Vec<String> = match ask {
                Ask::Level(range) => (1..=4_u32)
                    .flat_map(|p| (1..=4_u32).map(move |e| (p, e)))
                    .filter(|(p, e)| range.contains(&(p + e - 1)))
                    .map(|(p, e)| format!("probability {p};effect {e};"))
                    .collect(),
                Ask::Question(name, Some(Answer::Yes)) => vec![format!("{name} yes;")],
                Ask::Question(name, Some(Answer::No)) => vec![format!("{name} no;")],
                Ask::Question(name, None) => vec![format!("{name} yes;"), format!("{name} no;")],
            };
            ways = ways.iter().flat_map(|way| parts.iter().map(move |part| format!("{way}{part}"))).collect();
        }
        ways
    }

    #[test]
    fn every_path_walks_to_its_end_and_every_shorter_one_is_open() {
        assert_eq!(PATHS.len(), 22);
        for (tree, path, end) in PATHS.iter() {
            for way in ways(path) {
                assert_eq!(walk(tree, &row(&way)), Ok(*end), "{tree} {way}");
            }
            if let Some(Ask::Question(open, _)) = path.last() {
                for way in ways(path.split_last().unwrap().1) {
                    assert_eq!(walk(tree, &row(&way)), Err(Fault::Missing(open)), "{tree} {way}");
                }
            }
        }
    }

    /// All sixteen pairs of scores lie in one of the three classes of the notice.
    #[test]
    fn every_pair_of_scores_has_an_outcome() {
        for (p, e) in (1..=4_u32).flat_map(|p| (1..=4_u32).map(move |e| (p, e))) {
            let more = match p + e - 1 {
                1 | 2 => "",
                3 | 4 => "q1 no",
                _ => "q2 yes",
            };
            let wanted = match p + e - 1 {
                1 | 2 => End::Programme,
                3 | 4 => End::Operational,
                _ => End::Ccp,
            };
            assert_eq!(walk("eu-score", &row(&format!("probability {p};effect {e};{more}"))), Ok(wanted));
        }
    }

    #[test]
    fn answers_off_the_path_are_named() {
        let off = |tree: &str, text: &str| match walk(tree, &row(text)) {
            Err(Fault::OffPath(name, _) | Fault::Twice(name)) => name.text.clone(),
            other => panic!("{other:?}"),
        };
        assert_eq!(off("codex-2022", "q1 yes; q3 no"), "q3");
        assert_eq!(off("codex-2022", "q1 yes; q1 no"), "q1");
        assert_eq!(off("codex-2022", "q1 yes; effect 2"), "effect");
        assert_eq!(off("eu-score", "probability 1; effect 1; q1 yes"), "q1");
        assert_eq!(walk("eu-score", &row("effect 2")), Err(Fault::MissingScore("probability")));
        assert!(
            matches!(walk("eu-score", &row("probability 5; effect 2")), Err(Fault::BadScore(name)) if name.text == "probability")
        );
    }
}
