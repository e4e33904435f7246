//! The small months: one for each worked plan beside the demo's own.

use crate::frame::Month;

#[path = "acidified-vegetables/month.rs"]
mod acidified_vegetables;
#[path = "cook-chill-meals/month.rs"]
mod cook_chill_meals;
#[path = "cured-cooked-ham/month.rs"]
mod cured_cooked_ham;
#[path = "hot-smoked-fish/month.rs"]
mod hot_smoked_fish;
#[path = "peanut-butter/month.rs"]
mod peanut_butter;
#[path = "pasteurised-juice/month.rs"]
mod pasteurised_juice;
#[path = "smoked-turkey-strips/month.rs"]
mod smoked_turkey_strips;

/// All of them.
pub(crate) fn months() -> Vec<Month> {
    vec![
        smoked_turkey_strips::month(),
        hot_smoked_fish::month(),
        pasteurised_juice::month(),
        cook_chill_meals::month(),
        acidified_vegetables::month(),
        cured_cooked_ham::month(),
        peanut_butter::month(),
    ]
}
