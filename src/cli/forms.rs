//! `bourn forms`: blank record forms of a plan, as one HTML file.

use super::{Colour, render};
use crate::document::forms;

/// Which plan, and where to.
pub(super) type Args = render::Args;

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    render::make(args, colour, "forms.html", forms::forms)
}
