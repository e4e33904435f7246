//! Sign-off: people sign what a plan says, and it is seen whether the text in hand is the text that was signed.
//!
//! [`digest`] is taken over the meaning of the plan, [`file`] is kept beside the plan, [`state()`] says what the
//! signatures come to on a day. [`key`] is a signature under a line by an SSH key, [`signers`] says whose key that is. Files are opened by the command line alone. `docs/sign-off.md` describes all of it.

pub mod digest;
pub mod file;
pub mod key;
pub mod rules;
pub mod sign;
pub mod signers;
mod state;

pub use rules::RULES;
pub use state::{holder, state};
