//! `bourn forms`: blank record forms of a plan, as one HTML file.

use super::Colour;
use super::render::{Made, Paged, fault, make};
use crate::document::forms::forms;

/// Which plan, and where to.
pub(super) type Args = Paged;

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    make(args, colour, "forms.html", |order| Ok(Made { html: forms(order).map_err(fault)?, files: Vec::new() }))
}
