//! Closed sets of words that stand as values in a plan.

macro_rules! closed {
    ($(#[doc = $doc:literal])+ $name:ident { $($(#[doc = $vdoc:literal])+ $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[doc = $vdoc])+ $variant),+ }

        impl $name {
            /// Every word of the set, in the order of the declaration.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// Reads one word of the set.
            #[must_use]
            pub fn read(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }

            /// The word as written.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }
    };
}

closed! {
    /// The class of a hazard.
    Class {
        /// Pathogens and their toxins, parasites.
        Biological = "biological",
        /// Residues, additives, toxins of other origin.
        Chemical = "chemical",
        /// Foreign matter.
        Physical = "physical",
        /// Food allergens that are not declared or not meant to be there.
        Allergen = "allergen",
        /// Radiological hazards (21 CFR 117.130 lists them with the chemical ones).
        Radiological = "radiological",
    }
}

closed! {
    /// How bad the harm is.
    Severity {
        /// May kill or maim.
        Severe = "severe",
        /// Illness or injury that passes.
        Moderate = "moderate",
        /// Hardly more than discomfort.
        Minor = "minor",
    }
}

closed! {
    /// What a hazard does at a step.
    Verb {
        /// Comes in with a material.
        Arrives = "arrives",
        /// Is brought in by people, equipment or surroundings.
        Introduced = "introduced",
        /// Multiplies.
        Grows = "grows",
        /// Forms toxin.
        FormsToxin = "forms-toxin",
        /// Survives a treatment that is meant to destroy it.
        Survives = "survives",
        /// Is not taken out.
        Remains = "remains",
    }
}

closed! {
    /// What leaves a step beside the product.
    Outcome {
        /// Thrown away.
        Waste = "waste",
        /// Used elsewhere.
        ByProduct = "by-product",
        /// Goes back into product.
        Rework = "rework",
    }
}

closed! {
    /// What sort of material it is.
    MaterialKind {
        /// Raw material.
        Raw = "raw",
        /// Ingredient.
        Ingredient = "ingredient",
        /// Food additive.
        Additive = "additive",
        /// Processing aid.
        ProcessingAid = "processing-aid",
        /// Packaging.
        Packaging = "packaging",
        /// Gas.
        Gas = "gas",
        /// Water, ice, steam.
        Water = "water",
    }
}

closed! {
    /// What sort of control it is.
    ControlKind {
        /// A critical control point.
        Ccp = "ccp",
        /// Allergen control.
        Allergen = "allergen",
        /// Supplier control.
        Supplier = "supplier",
        /// Sanitation control.
        Sanitation = "sanitation",
        /// A control of the process that is no CCP (21 CFR 117.135(c)(1) knows such preventive controls).
        Process = "process",
        /// Operational prerequisite programme (ISO 22000 and the EU notice; unknown to United States rules).
        OperationalPrerequisite = "operational-prerequisite",
    }
}

closed! {
    /// Which of the four kinds of limit it is.
    LimitKind {
        /// A critical limit.
        Critical = "limit",
        /// An operating limit.
        Operating = "operating-limit",
        /// Advice.
        Guide = "guide",
        /// A value that the name of the food demands.
        Identity = "identity",
    }
}

closed! {
    /// What a validation rests on.
    SupportKind {
        /// Scientific or technical support.
        Science = "science",
        /// Data from the plant itself.
        InPlant = "in-plant",
    }
}

closed! {
    /// The answer to a question of a decision tree.
    Answer {
        /// Yes.
        Yes = "yes",
        /// No.
        No = "no",
    }
}
