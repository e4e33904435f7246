//! One plan as it stands now: its texts, what was read of them and what was found.

use super::Host;
use super::lines::{Lines, Units};
use super::texts::{Desk, Texts, plain, uri_of};
use crate::finding::Finding;
use crate::plan::Plan;
use crate::plan::names::Kind;
use crate::plan::uses::{Thing, Uses};
use crate::source::{Loc, Source, SourceId, Sources, Span};
use crate::syntax::Node;
use lsp_types::{Location, Range, Uri};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// One text of a plan.
#[derive(Debug)]
pub(super) struct File {
    pub(super) id: SourceId,
    pub(super) path: PathBuf,
    pub(super) tree: Node,
    pub(super) lines: Lines,
}

/// One plan with everything that it includes.
#[derive(Debug)]
pub(super) struct Snapshot {
    /// The text it begins with.
    pub(super) root: PathBuf,
    pub(super) sources: Sources,
    pub(super) files: Vec<File>,
    pub(super) plan: Plan,
    pub(super) findings: Vec<Finding>,
    pub(super) uses: Uses,
}

impl Snapshot {
    /// Reads and checks a plan as `bourn check` does, with the texts of the editor in place of their files.
    pub(super) fn take(root: &Path, texts: &Texts, host: &dyn Host, units: Units) -> Self {
        let desk = Desk { texts, host };
        let on = host.today();
        let mut sources = Sources::new();
        let (plan, findings, read) = match crate::shelf::read(&desk, &mut sources, root) {
            Ok(gathered) => {
                let plan = gathered.reading.plan;
                let mut findings = gathered.reading.findings;
                findings.extend(crate::check::check(&plan, on));
                findings.extend(host.beside(&sources, &plan, root, on));
                crate::finding::tidy(&mut findings);
                (plan, findings, gathered.texts)
            }
            Err(finding) => (Plan::default(), vec![finding], Vec::new()),
        };
        let file = |(id, path, tree): (SourceId, PathBuf, Node)| {
            let text = sources.get(id).map_or("", Source::text);
            File { id, path: plain(&path), tree, lines: Lines::new(text, units) }
        };
        let files = read.into_iter().map(file).collect();
        Self { root: root.to_path_buf(), uses: Uses::of(&plan), files, sources, plan, findings }
    }

    /// The text at this path, if it belongs to the plan.
    pub(super) fn file(&self, path: &Path) -> Option<&File> {
        self.files.iter().find(|file| file.path == path)
    }

    fn file_of(&self, id: SourceId) -> Option<&File> {
        self.files.iter().find(|file| file.id == id)
    }

    /// The text of a file.
    pub(super) fn text(&self, file: &File) -> &str {
        self.sources.get(file.id).map_or("", Source::text)
    }

    /// Where a location stands, in the terms of an editor.
    pub(super) fn place(&self, loc: Loc) -> Option<(Uri, Range)> {
        let file = self.file_of(loc.source)?;
        Some((uri_of(&file.path), file.lines.range(self.text(file), loc.span)))
    }

    /// The same as one value.
    pub(super) fn location(&self, loc: Loc) -> Option<Location> {
        self.place(loc).map(|(uri, range)| Location { uri, range })
    }

    /// The range of a span of a file.
    pub(super) fn range(&self, file: &File, span: Span) -> Range {
        file.lines.range(self.text(file), span)
    }

    /// Whether every text could be read without a fault of its words.
    pub(super) fn whole(&self) -> bool {
        !self.files.is_empty() && !self.findings.iter().any(|finding| finding.rule.code.starts_with('S'))
    }
}

/// The names of the last reading that was whole: what a half-written plan still knows.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    names: BTreeSet<(Kind, String)>,
    titles: Vec<(Thing, String)>,
}

impl Known {
    pub(super) fn of(snapshot: &Snapshot) -> Self {
        let names = snapshot.plan.declared().into_iter().map(|(kind, name)| (kind, name.text.clone())).collect();
        let summed = snapshot.uses.all().iter().filter(|at| at.declares);
        let titles = summed.filter_map(|at| Some((at.thing.clone(), super::hover::thing(&snapshot.plan, &at.thing)?)));
        Self { names, titles: titles.collect() }
    }

    /// Names of these kinds, with their kind.
    pub(super) fn of_kinds<'a>(&'a self, kinds: &'a [Kind]) -> impl Iterator<Item = (Kind, &'a str)> {
        self.names.iter().filter(|(kind, _)| kinds.contains(kind)).map(|(kind, name)| (*kind, name.as_str()))
    }

    /// What was known of a thing of this name.
    pub(super) fn about(&self, name: &str) -> Option<&str> {
        self.titles.iter().find(|(thing, _)| thing.name() == name).map(|(_, words)| words.as_str())
    }
}
