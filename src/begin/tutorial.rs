//! The files of the tutorial, all invented: a small plan without its limit, and one month of records.

/// Each file with its place in the folder, what it is, and its text.
pub const FILES: &[(&str, &str, &str)] = &[
    ("roast-chicken.haccp", "the plan", include_str!("../../docs/tutorial/roast-chicken.haccp")),
    ("mapping.yaml", "which column of which record is what", include_str!("../../docs/tutorial/mapping.yaml")),
    ("records/lots.csv", "the lots of the month", include_str!("../../docs/tutorial/records/lots.csv")),
    ("records/oven.csv", "what the oven probe recorded", include_str!("../../docs/tutorial/records/oven.csv")),
    ("records/calibration.csv", "checks of the probe", include_str!("../../docs/tutorial/records/calibration.csv")),
    (
        "records/corrective-actions.csv",
        "what was done about deviations: still empty",
        include_str!("../../docs/tutorial/records/corrective-actions.csv"),
    ),
];
