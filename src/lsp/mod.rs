//! The plan in an editor: a language server that checks while a plan is typed, and answers in editor terms.
//!
//! Reads no file and no clock: the [`Host`] does. [`Server::take`] answers one message; [`Server::settle`] checks what
//! has changed since. A plan that is half written keeps the names of its last good reading.

mod actions;
mod answer;
mod complete;
mod context;
mod diagnose;
mod fold;
mod greet;
mod hover;
mod inlay;
mod lines;
mod offer;
mod outline;
mod refer;
mod server;
mod skeleton;
mod snapshot;
mod texts;
pub mod wire;

pub use server::Server;
pub use skeleton::{Skeleton, skeletons};

use crate::finding::Finding;
use crate::plan::Plan;
use crate::shelf::Shelf;
use crate::source::Sources;
use chrono::NaiveDate;
use std::path::{Path, PathBuf};

/// What the server asks of the world.
pub trait Host: Shelf {
    /// The day on which plans are checked.
    fn today(&self) -> NaiveDate;

    /// What the sign-off file beside a plan gives to say.
    fn beside(&self, sources: &Sources, plan: &Plan, path: &Path, on: NaiveDate) -> Vec<Finding>;

    /// The plan files in a folder and below it, in order.
    fn plans(&self, folder: &Path) -> Vec<PathBuf>;
}
