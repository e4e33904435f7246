//! `bourn explain`: what a finding means, why it matters, and the clause it rests on.

use super::{Colour, UNUSABLE, complain, print};
use crate::finding::{Finding, nearest};
use crate::registry::{self, disk::UNKNOWN_RULE};
use crate::source::{Place, Sources};
use include_dir::{Dir, include_dir};

/// The pages of docs/findings, which a test keeps in step with the declarations.
static PAGES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/docs/findings");

/// Which finding.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Code or name, such as `S001` or `unclosed-brace`; all of them if none is given.
    #[arg(value_name = "CODE")]
    code: Option<String>,
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let Some(key) = &args.code else {
        for rule in registry::rules() {
            print(&format!("{}  {:8} {}\n", rule.code, rule.severity.word(), rule.name));
        }
        return 0;
    };
    let Some(rule) = registry::rule(key) else {
        let all = registry::rules();
        let near = nearest(key, all.iter().flat_map(|rule| [rule.code, rule.name]));
        let finding =
            Finding::new(&UNKNOWN_RULE, Place::Named("explain".to_owned()), format!("no finding is called `{key}`"));
        let help =
            near.map_or_else(|| "`bourn explain` lists them all".to_owned(), |near| format!("did you mean `{near}`?"));
        complain(&Sources::new(), &[finding.help(help)], colour);
        return UNUSABLE;
    };
    let page = PAGES.get_file(format!("{}-{}.md", rule.code, rule.name)).and_then(|file| file.contents_utf8());
    print(page.unwrap_or(rule.doc));
    0
}
