//! What a change demands, and the clauses that ask for it.

macro_rules! demands {
    ($($(#[doc = $doc:literal])+ $name:ident = $word:literal $words:literal [$($clause:literal),*];)+) => {
        /// Something that a change demands before the new text is used.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Demand { $($(#[doc = $doc])+ $name),+ }

        impl Demand {
            /// Every demand, in the order of the declaration.
            pub const ALL: &'static [Demand] = &[$(Demand::$name),+];

            /// The word in data.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Demand::$name => $word),+ }
            }

            /// What is to be done.
            #[must_use]
            pub fn words(self) -> &'static str {
                match self { $(Demand::$name => $words),+ }
            }

            /// Keys of the clauses that ask for it, of every regime.
            #[must_use]
            pub fn keys(self) -> &'static [&'static str] {
                match self { $(Demand::$name => &[$($clause),*]),+ }
            }
        }
    };
}

demands! {
    /// Show with evidence, and with data from the plant itself, that the control works as it is now written.
    Validate = "revalidate" "validate again" ["codex.validate", "codex.limit.validated", "fsis.417.4.a1", "juice.120.11.b", "pc.117.160.a", "pc.117.160.b1"];
    /// Go through the hazard analysis and the plan again in the light of the change, and write down what came of it.
    Reassess = "reassess" "reassess the plan" ["codex.review", "fsis.417.4.a3i", "fsis.417.4.a3ii", "fsis.417.4.b", "fish.123.8.a1", "fish.123.8.c", "juice.120.11.b", "juice.120.11.c", "pc.117.170.b", "pc.117.170.c", "eu.852.5.2.change"];
    /// The responsible person signs and dates the changed plan.
    Sign = "sign" "sign and date anew" ["fsis.417.2.d2", "fish.123.6.d", "juice.120.12.c", "pc.117.310"];
    /// Those who do the work learn what is now asked.
    Train = "train" "train the people concerned" ["codex.train", "pc.117.4.train", "eu.852.annex2.xii.1"];
    /// Keep the reason and what supports it: why this is enough.
    Support = "support" "keep the reason and its support" ["codex.docs", "codex.limit.validated", "fsis.417.5.a1", "fsis.417.5.a2", "pc.117.155", "eu.852.5.2g"];
    /// Walk the flow diagram on site and confirm it.
    Flow = "confirm-flow" "confirm the flow on site" ["codex.flow.confirm"];
    /// Look through the ingredient and line matrix, cross-contact and changeover.
    Allergens = "allergens" "assess allergens and cross-contact" ["codex.allergen", "all.matrix", "pc.117.135.c2", "eu.2021.382.allergen"];
    /// Hold the label against the product.
    Label = "label" "review the label" ["codex.allergen", "all.us9", "all.us.name", "all.eu14", "pc.117.135.c2"];
    /// Approve the source of a material.
    Supplier = "supplier" "approve the supplier" ["fish.123.12", "juice.120.14", "pc.117.405", "pc.117.415"];
    /// Show that the food stays as it should until the end of its shelf life.
    ShelfLife = "shelf-life" "show the shelf life" ["codex.product", "eu.2073.3.2"];
    /// Calibrate before the instrument is relied on.
    Calibrate = "calibrate" "calibrate before use" ["codex.verify", "fsis.417.4.a2i", "fish.123.8.a2ii", "juice.120.11.a1ii", "pc.117.165.a1"];
    /// Look whether records are kept as long as the rules ask.
    Retention = "retention" "check how long records are kept" ["codex.retain", "fsis.417.5.e1", "fish.123.9.b1", "juice.120.12.d1", "pc.117.315.a", "eu.852.5.4c"];
    /// Tell the authority.
    Notify = "notify" "tell the authority" ["eu.852.6"];
    /// Give the text a new revision with date and reason.
    Revise = "revise" "give the text a new revision" ["codex.docs", "eu.852.5.4b"];
    /// Print the record forms anew and take the old ones off the floor.
    Forms = "forms" "issue the record forms anew" [];
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clause::clause;

    #[test]
    fn every_clause_exists() {
        for demand in Demand::ALL {
            for key in demand.keys() {
                assert!(clause(key).is_some(), "{}: {key}", demand.word());
            }
        }
    }
}
