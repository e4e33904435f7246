//! The thin binary: exit status only.

use std::process::ExitCode;

fn main() -> ExitCode {
    bourn::cli::run()
}
