//! Lists of allergens by regime, read from `allergens.csv`.
//!
//! us: 21 USC 321(qq), the nine; sulphites by the labelling rule for 10 ppm (from memory). eu: Regulation 1169/2011
//! Annex II. codex: CXS 1-1985 as amended in 2024 (from memory), what it leaves to regions counted in. Kinds of fish,
//! crustacean, mollusc and nut are examples: any other is written after its group, as in `fish-hake`.
//!
//! Some derivatives need not be named: eu by the exceptions in Annex II, of which wheat glucose syrup, refined soybean
//! oil, fish gelatine as carrier and lactitol were read and the others are from memory; us by the exception for highly
//! refined oil in 21 USC 321(qq)(2) (from memory). Codex leaves exceptions to the law of the country (from memory).

use std::sync::LazyLock;

/// An allergen as a plan may name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allergen {
    /// The word of the table.
    pub name: &'static str,
    /// The group that the lists name.
    pub group: &'static str,
    /// Whether the label must name the kind, and this names none.
    pub wants_kind: bool,
}

struct Row {
    name: String,
    group: String,
    us: bool,
    eu: bool,
    codex: bool,
    wants_kind: bool,
    /// Laws under which the derivative need not be named: `eu`, `us`.
    exempt: Vec<String>,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let mut reader = csv::Reader::from_reader(include_str!("allergens.csv").as_bytes());
    reader
        .records()
        .flatten()
        .filter_map(|row| {
            let cell = |at: usize| row.get(at).map(str::to_owned);
            let name = cell(0)?;
            let group = cell(1).filter(|group| !group.is_empty()).unwrap_or_else(|| name.clone());
            let yes = |at: usize| row.get(at) == Some("yes");
            let exempt = row.get(6).unwrap_or_default().split_whitespace().map(str::to_owned).collect();
            let wants_kind = row.get(5) == Some("name");
            Some(Row { name, group, us: yes(2), eu: yes(3), codex: yes(4), wants_kind, exempt })
        })
        .collect()
});

/// Singular and plural are one word.
fn folded(name: &str) -> &str {
    name.strip_suffix('s').unwrap_or(name)
}

/// The allergen that a name means: a word of the table, or a kind after its group.
#[must_use]
pub fn find(name: &str) -> Option<Allergen> {
    let found = |row: &'static Row, wants_kind| Allergen { name: &row.name, group: &row.group, wants_kind };
    if let Some(row) = ROWS.iter().find(|row| folded(&row.name) == folded(name)) {
        return Some(found(row, row.wants_kind));
    }
    let kind_of = |row: &&Row| name.strip_prefix(row.name.as_str()).is_some_and(|rest| rest.starts_with('-'));
    ROWS.iter().filter(|row| row.name == row.group).find(kind_of).map(|row| found(row, false))
}

/// Whether a regime asks for it on the label. What is on no list of ours is always asked for.
#[must_use]
pub fn asked(name: &str, regimes: &[&str]) -> bool {
    let Some(allergen) = find(name) else { return true };
    let Some(group) = ROWS.iter().find(|row| row.name == allergen.group) else { return true };
    let exempt = |law: &str| {
        let row = ROWS.iter().find(|row| folded(&row.name) == folded(name));
        row.is_some_and(|row| row.exempt.iter().any(|one| one == law))
    };
    regimes.is_empty()
        || regimes.iter().any(|regime| match law(regime) {
            Some("eu") => group.eu && !exempt("eu"),
            Some(_) => group.us && !exempt("us"),
            // Codex leaves exceptions to the law of the country.
            None => group.codex && !regimes.iter().filter_map(|other| law(other)).any(exempt),
        })
}

/// The law on labels that a regime belongs to.
fn law(regime: &str) -> Option<&'static str> {
    if regime == "eu" { Some("eu") } else { regime.starts_with("us-").then_some("us") }
}

/// Every word of the table.
pub fn names() -> impl Iterator<Item = &'static str> {
    ROWS.iter().map(|row| row.name.as_str())
}

/// The groups that the lists name.
#[must_use]
pub fn groups() -> Vec<&'static str> {
    ROWS.iter().filter(|row| row.name == row.group).map(|row| row.name.as_str()).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn names_and_kinds_are_found() {
        assert_eq!(find("peanuts").unwrap().group, "peanut");
        assert_eq!(find("oats").unwrap().group, "gluten-cereal");
        assert_eq!(find("almond").unwrap(), Allergen { name: "almond", group: "tree-nut", wants_kind: false });
        assert!(find("tree-nut").unwrap().wants_kind);
        assert_eq!(find("fish-hake").unwrap(), Allergen { name: "fish", group: "fish", wants_kind: false });
        assert_eq!(find("fishy"), None);
        assert_eq!(find("cellery"), None);
    }

    #[test]
    fn the_lists_differ_by_regime() {
        assert!(!asked("celery", &["us-meat-poultry"]) && asked("celery", &["us-meat-poultry", "eu"]));
        assert!(asked("sesame", &["us-preventive-controls"]) && !asked("barley", &["us-preventive-controls"]));
        assert!(asked("something-else", &["us-seafood"]));
    }

    /// Regulation 1169/2011 Annex II and 21 USC 321(qq)(2) take some derivatives out, each its own.
    #[test]
    fn derivatives_that_need_not_be_named() {
        assert_eq!(find("refined-soybean-oil").unwrap().group, "soy");
        assert!(!asked("refined-soybean-oil", &["codex", "eu"]) && !asked("refined-soybean-oil", &["us-juice"]));
        assert!(asked("refined-soybean-oil", &["codex"]), "Codex alone names no exception");
        assert!(asked("refined-peanut-oil", &["eu"]) && !asked("refined-peanut-oil", &["us-seafood"]));
        assert!(asked("refined-peanut-oil", &["eu", "us-seafood"]), "the stricter law counts");
        assert!(!asked("lactitol", &["eu"]) && asked("lactitol", &["us-preventive-controls"]));
        assert!(asked("soy", &["eu"]), "the allergen itself stays");
        assert!(!find("fish-gelatine-carrier").unwrap().wants_kind);
    }

    /// 21 USC 321(qq) names nine, Regulation 1169/2011 Annex II fourteen (cereals of wheat and of other kinds are one).
    #[test]
    fn nine_and_fourteen() {
        let count = |on: fn(&Row) -> bool| ROWS.iter().filter(|row| row.name == row.group && on(row)).count();
        assert_eq!(count(|row| row.us), 9 + 1, "the nine, and sulphites by their own rule");
        assert_eq!(count(|row| row.eu), 14 + 1, "the fourteen, wheat apart from other cereals with gluten");
    }
}
