//! `bourn calc`: the coordinator's small sums, each with its formula, its source and what to mind.
//!
//! The functions are those by which records are judged. A sum is an aid to trained people: it validates nothing.

mod air;
mod food;
mod heat;
mod read;
mod sampling;
mod sheet;

use super::{Colour, UNUSABLE, complain, print};
use crate::finding::Finding;
use crate::source::Sources;
use clap::Subcommand;
use sheet::Sheet;

use crate::registry::sums::{NO_SUCH_MODEL, OPTIONS, OUT_OF_RANGE, UNKNOWN_NAME, UNREADABLE_QUANTITY, WRONG_UNIT};

/// Which sum.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(subcommand)]
    sum: Sum,
    /// JSON on standard output.
    #[arg(long, global = true)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum Sum {
    /// Time at a temperature for a reduction.
    LethalityTime(heat::Time),
    /// Equivalent times at a row of temperatures.
    LethalityTable(heat::Table),
    /// Relative humidity from dry and wet bulb.
    Humidity(air::Humidity),
    /// Boiling point of water at an altitude or pressure.
    BoilingPoint(air::Boiling),
    /// Reference point of a saturated salt for a water-activity meter.
    AwStandard(air::Standard),
    /// Ingoing nitrite by method, on the green weight.
    #[command(subcommand)]
    Nitrite(food::Nitrite),
    /// Water-phase salt.
    Salt(food::Salt),
    /// Moisture to protein.
    MoistureProtein(food::MoistureProtein),
    /// What a sampling plan of a lot can detect.
    Sampling(sampling::Args),
}

/// What a sum gives: its sheet, or what was wrong, with the texts it points into.
type Worked = Result<Sheet, (Sources, Vec<Finding>)>;

/// A finding that points into no text.
fn alone(finding: Finding) -> (Sources, Vec<Finding>) {
    (Sources::new(), vec![finding])
}

pub(super) fn run(args: &Args, colour: Colour) -> u8 {
    let worked = match &args.sum {
        Sum::LethalityTime(args) => args.work(),
        Sum::LethalityTable(args) => args.work(),
        Sum::Humidity(args) => args.work().map_err(alone),
        Sum::BoilingPoint(args) => args.work().map_err(alone),
        Sum::AwStandard(args) => args.work().map_err(alone),
        Sum::Nitrite(args) => args.work().map_err(alone),
        Sum::Salt(args) => args.work().map_err(alone),
        Sum::MoistureProtein(args) => args.work().map_err(alone),
        Sum::Sampling(args) => args.work().map_err(alone),
    };
    match worked {
        Ok(sheet) => {
            print(&if args.json { sheet.json() } else { sheet.text() });
            0
        }
        Err((sources, findings)) => {
            complain(&sources, &findings, colour);
            UNUSABLE
        }
    }
}
