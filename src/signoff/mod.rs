//! Sign-off: people sign what a plan says, and it is seen whether the text in hand is the text that was signed.
//!
//! [`digest`] is taken over the meaning of the plan, [`file`] is kept beside the plan, [`state()`] says what the
//! signatures come to on a day. Files are opened by the command line alone. `docs/sign-off.md` describes all of it.

pub mod digest;
pub mod file;
pub mod rules;
pub mod sign;
mod state;

pub use rules::RULES;
pub use state::state;
