//! The published decision trees, read from `trees.csv`: every path with its outcome.
//!
//! codex-2022: the example tree added to CXC 1-1969 in 2022 (questions 3 and 4 from memory). codex-1997: the tree of
//! CXC 1-1969 rev. 3. nacmcf-1: NACMCF 1997, example I (from memory).

use crate::plan::{Answer, Name};
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
    /// No control is needed here.
    Nothing,
    /// The step, the process or the product must change.
    Change,
}

type Path = Vec<(String, Answer)>;

static PATHS: LazyLock<Vec<(String, Path, End)>> = LazyLock::new(|| {
    let mut reader = csv::Reader::from_reader(include_str!("trees.csv").as_bytes());
    reader
        .records()
        .flatten()
        .filter_map(|row| {
            let answers = row.get(1)?.split(';').filter_map(|part| part.trim().split_once(' '));
            let path = answers
                .map(|(question, answer)| Some((question.to_owned(), Answer::read(answer)?)))
                .collect::<Option<Path>>()?;
            let end = match row.get(2)? {
                "ccp" => End::Ccp,
                "later" => End::Later,
                "programme" => End::Programme,
                "change" => End::Change,
                _ => End::Nothing,
            };
            Some((row.get(0)?.to_owned(), path, end))
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

/// What is wrong with a list of answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault<'a> {
    /// This question comes next and is not answered.
    Missing(&'static str),
    /// This answer lies off the path.
    OffPath(&'a Name),
}

/// Walks a tree by the given answers.
///
/// # Errors
/// The first question left open, or the first answer that the path does not ask for.
pub fn walk<'a>(tree: &str, given: &'a [(Name, Answer)]) -> Result<End, Fault<'a>> {
    let mut paths: Vec<&'static (String, Path, End)> = PATHS.iter().filter(|(name, ..)| name == tree).collect();
    let mut depth = 0;
    loop {
        let next = paths.iter().find_map(|(_, path, _)| path.get(depth));
        let Some((question, _)) = next else { break };
        let Some((_, answer)) = given.iter().find(|(name, _)| name.text == *question) else {
            return Err(Fault::Missing(question));
        };
        paths.retain(|(_, path, _)| path.get(depth).is_some_and(|(_, wanted)| wanted == answer));
        depth += 1;
    }
    let asked: Vec<&str> = paths
        .first()
        .map(|(_, path, _)| path.iter().map(|(question, _)| question.as_str()).collect())
        .unwrap_or_default();
    let mut seen = Vec::new();
    for (name, _) in given {
        if !asked.contains(&name.text.as_str()) || seen.contains(&name.text.as_str()) {
            return Err(Fault::OffPath(name));
        }
        seen.push(&name.text);
    }
    paths.first().map_or(Ok(End::Nothing), |(.., end)| Ok(*end))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing)]

    use super::*;

    fn given(text: &str) -> Vec<(Name, Answer)> {
        text.split(';')
            .map(|part| {
                let (question, answer) = part.trim().split_once(' ').unwrap();
                let name = Name { text: question.to_owned(), loc: crate::source::Loc::default() };
                (name, Answer::read(answer).unwrap())
            })
            .collect()
    }

    #[test]
    fn every_path_walks_to_its_end_and_every_shorter_one_is_open() {
        assert_eq!(PATHS.len(), 16);
        for (tree, path, end) in PATHS.iter() {
            let answers: Vec<(Name, Answer)> = path
                .iter()
                .map(|(question, answer)| {
                    (Name { text: question.clone(), loc: crate::source::Loc::default() }, *answer)
                })
                .collect();
            assert_eq!(walk(tree, &answers), Ok(*end), "{tree} {path:?}");
            let open = path.last().map(|(question, _)| question.as_str()).unwrap();
            assert_eq!(walk(tree, &answers[..answers.len() - 1]), Err(Fault::Missing(open)), "{tree} {path:?}");
        }
    }

    #[test]
    fn answers_off_the_path_are_named() {
        let answers = given("q1 yes; q3 no");
        assert_eq!(walk("codex-2022", &answers), Err(Fault::OffPath(&answers[1].0)));
        let twice = given("q1 yes; q1 no");
        assert_eq!(walk("codex-2022", &twice), Err(Fault::OffPath(&twice[1].0)));
    }
}
