//! `bourn forms`: blank record forms of a plan, as one HTML file.

use super::Colour;
use super::render::{Made, Paged, make};
use crate::document::forms;

/// Which plan, and where to.
pub(super) type Args = Paged;

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    make(args, colour, "forms.html", |order| Ok(Made { page: forms::page_of(order), files: Vec::new() }))
}
