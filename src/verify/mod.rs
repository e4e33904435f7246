//! Plan, series and registers joined into a verification.

pub mod engine;
