//! The command line: the only place that opens files and reads the clock.

pub mod files;
