//! Signals for the monitor.
