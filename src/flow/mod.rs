//! The flow diagram: a plain graph of steps and materials, laid out in rows
//! and written as SVG, with the same facts as sentences beside it.
//!
//! This module knows nothing of plans. A caller fills a [`Graph`] and asks for
//! [`diagram`] (one picture) or [`parts`] (several pictures for paper), and for
//! [`text_alternative`] (the sentences). The same graph gives the same bytes.
//!
//! The picture needs no colour: every line is drawn in the colour of the
//! surrounding text, kinds differ by outline and line style, and a control
//! point carries a double border and its name in words.

mod align;
mod boxes;
mod graph;
mod layout;
mod lines;
mod parts;
pub(crate) mod pen;
mod route;
mod rows;
mod sentences;
mod svg;
#[cfg(test)]
mod tests;
pub mod text;

pub use graph::{Edge, EdgeKind, Graph, Node, NodeKind};
pub use parts::{DrawOptions, Part, diagram, parts};
pub use sentences::text_alternative;
