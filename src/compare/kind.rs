//! Every kind of change: its word, which way it bears, what it is seen from the other side, and what it demands.

use super::demand::Demand;

/// Which way a change bears on control of the hazards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bearing {
    /// Less is asked, seen or known than before.
    Weaker,
    /// Neither can be said.
    Other,
    /// More is asked, seen or known than before.
    Stronger,
}

impl Bearing {
    /// All three, in the order in which they are told.
    pub const ALL: [Bearing; 3] = [Bearing::Weaker, Bearing::Other, Bearing::Stronger];

    /// The heading over changes that bear this way.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Bearing::Weaker => "Less is asked, seen or known",
            Bearing::Other => "Something else is asked, seen or known",
            Bearing::Stronger => "More is asked, seen or known",
        }
    }

    /// The word in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Bearing::Weaker => "weaker",
            Bearing::Other => "other",
            Bearing::Stronger => "stronger",
        }
    }

    /// Seen from the other side.
    #[must_use]
    pub fn mirrored(self) -> Self {
        match self {
            Bearing::Weaker => Bearing::Stronger,
            Bearing::Other => Bearing::Other,
            Bearing::Stronger => Bearing::Weaker,
        }
    }
}

macro_rules! kinds {
    ($($(#[doc = $doc:literal])+ $name:ident = $word:literal $bearing:ident $mirror:ident [$($demand:ident)*];)+) => {
        /// A kind of change between two texts of a plan.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind { $($(#[doc = $doc])+ $name),+ }

        impl Kind {
            /// Every kind, in the order of the declaration.
            pub const ALL: &'static [Kind] = &[$(Kind::$name),+];

            /// The word in data and reports.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Kind::$name => $word),+ }
            }

            /// Which way it bears.
            #[must_use]
            pub fn bearing(self) -> Bearing {
                match self { $(Kind::$name => Bearing::$bearing),+ }
            }

            /// The kind that the same change has when the two texts change places.
            #[must_use]
            pub fn mirrored(self) -> Kind {
                match self { $(Kind::$name => Kind::$mirror),+ }
            }

            /// What it demands, before the regimes of the plan are asked.
            #[must_use]
            pub fn demands(self) -> &'static [Demand] {
                match self { $(Kind::$name => &[$(Demand::$demand),*]),+ }
            }

            /// What it is.
            #[must_use]
            pub fn doc(self) -> &'static str {
                match self { $(Kind::$name => concat!($($doc),+)),+ }
            }
        }
    };
}

kinds! {
    /// A critical limit that was not there before.
    LimitAdded = "limit-added" Stronger LimitGone [Validate Reassess Sign Train Forms];
    /// A critical limit is no longer there.
    LimitGone = "limit-gone" Weaker LimitAdded [Validate Reassess Sign Train Forms];
    /// Whatever kept the old limit keeps the new one, and more does.
    LimitLoosened = "limit-loosened" Weaker LimitTightened [Validate Reassess Sign Train Forms];
    /// Whatever keeps the new limit kept the old one, and less does.
    LimitTightened = "limit-tightened" Stronger LimitLoosened [Validate Reassess Sign Train Forms];
    /// A critical limit asks for something else, and neither is plainly the stricter.
    LimitChanged = "limit-changed" Other LimitChanged [Validate Reassess Sign Train Forms];
    /// A critical limit counts for other lots, over another stretch, or from another moment.
    LimitScopeChanged = "limit-scope-changed" Other LimitScopeChanged [Validate Reassess Sign Train Forms];
    /// Over what, by how many probes, or with what gap between readings a limit is judged.
    LimitJudgingChanged = "limit-judging-changed" Other LimitJudgingChanged [Support Reassess Sign];
    /// A critical limit became an operating limit, advice or a value of the food's name.
    NoLongerCritical = "no-longer-a-critical-limit" Weaker NowCritical [Validate Reassess Sign Train Forms];
    /// What was an operating limit, advice or a value of the food's name became a critical limit.
    NowCritical = "now-a-critical-limit" Stronger NoLongerCritical [Validate Reassess Sign Train Forms];
    /// A limit that is not critical became another sort that is not.
    LimitSortChanged = "limit-sort-changed" Other LimitSortChanged [Sign Train Forms];
    /// The legal value that a limit must keep to.
    LegalValueChanged = "legal-value-changed" Other LegalValueChanged [Support Reassess Sign];
    /// The laboratory value for which a limit stands, or the study that shows it.
    StandInChanged = "stand-in-changed" Other StandInChanged [Validate Reassess Sign];
    /// Who sets a blank value, and until when.
    PendingChanged = "pending-value-changed" Other PendingChanged [];
    /// The reason given for a limit or a control.
    ReasonChanged = "reason-changed" Other ReasonChanged [Support Sign];
    /// An operating limit that was not there before.
    OperatingAdded = "operating-limit-added" Stronger OperatingGone [Sign Train Forms];
    /// An operating limit is no longer there.
    OperatingGone = "operating-limit-gone" Weaker OperatingAdded [Sign Train Forms];
    /// An operating limit gives the process less room before the critical limit.
    OperatingLoosened = "operating-limit-loosened" Weaker OperatingTightened [Sign Train Forms];
    /// An operating limit gives the process more room before the critical limit.
    OperatingTightened = "operating-limit-tightened" Stronger OperatingLoosened [Sign Train Forms];
    /// An operating limit asks for something else.
    OperatingChanged = "operating-limit-changed" Other OperatingChanged [Sign Train Forms];
    /// A rule over successive lots or samples was added.
    SeriesAdded = "series-added" Stronger SeriesGone [Reassess Sign Train];
    /// A rule over successive lots or samples is no longer there.
    SeriesGone = "series-gone" Weaker SeriesAdded [Reassess Support Sign Train];
    /// More of successive lots or samples may miss their limit, or fewer are looked at together.
    SeriesLoosened = "series-loosened" Weaker SeriesTightened [Reassess Support Sign Train];
    /// Fewer of successive lots or samples may miss their limit, or more are looked at together.
    SeriesTightened = "series-tightened" Stronger SeriesLoosened [Reassess Sign Train];
    /// A rule over successive lots or samples is about another limit, counts something else, or from another day.
    SeriesChanged = "series-changed" Other SeriesChanged [Reassess Sign Train];
    /// Advice was added, taken out or changed.
    GuideChanged = "guide-changed" Other GuideChanged [];
    /// A value that the name of the food demands was added, taken out or changed.
    IdentityChanged = "identity-changed" Other IdentityChanged [Label];

    /// A hazard that the plan did not know.
    HazardAdded = "hazard-added" Stronger HazardGone [Reassess Sign];
    /// A hazard that the plan no longer names.
    HazardGone = "hazard-gone" Weaker HazardAdded [Reassess Sign Support];
    /// A hazard is looked at where it was not.
    HazardRowAdded = "hazard-at-step-added" Stronger HazardRowGone [Reassess Sign];
    /// A hazard is no longer looked at where it was.
    HazardRowGone = "hazard-at-step-gone" Weaker HazardRowAdded [Reassess Sign Support];
    /// A hazard that was not significant here is.
    NewlySignificant = "newly-significant" Stronger NoLongerSignificant [Reassess Validate Sign];
    /// A hazard that was significant here is no longer.
    NoLongerSignificant = "no-longer-significant" Weaker NewlySignificant [Reassess Support Sign];
    /// A hazard is judged more likely at a step.
    LikelihoodRaised = "likelihood-raised" Stronger LikelihoodLowered [Reassess Sign];
    /// A hazard is judged less likely at a step.
    LikelihoodLowered = "likelihood-lowered" Weaker LikelihoodRaised [Reassess Support Sign];
    /// The reason why a hazard is or is not significant, what is relied on, or how it is controlled.
    HazardReasonChanged = "hazard-reason-changed" Other HazardReasonChanged [Reassess Support Sign];
    /// A hazard relies on another control.
    HazardControlAdded = "hazard-control-added" Stronger HazardControlGone [Reassess Sign];
    /// A hazard no longer relies on a control that it relied on.
    HazardControlGone = "hazard-control-gone" Weaker HazardControlAdded [Reassess Sign Support];
    /// An answer to a question of the decision tree.
    DecisionChanged = "decision-changed" Other DecisionChanged [Reassess Support Sign];
    /// A hazard is judged more severe.
    SeverityRaised = "severity-raised" Stronger SeverityLowered [Reassess Sign];
    /// A hazard is judged less severe.
    SeverityLowered = "severity-lowered" Weaker SeverityRaised [Reassess Support Sign];
    /// The class of a hazard, its acceptable level, or the reason for its severity.
    HazardChanged = "hazard-changed" Other HazardChanged [Reassess Sign];

    /// A critical control point that was not there before.
    CcpAdded = "ccp-added" Stronger CcpGone [Validate Reassess Sign Train Forms];
    /// A critical control point is no longer there.
    CcpGone = "ccp-gone" Weaker CcpAdded [Reassess Support Sign Train Forms];
    /// A control that is no critical control point was added.
    ControlAdded = "control-added" Stronger ControlGone [Reassess Sign Train Forms];
    /// A control that was no critical control point is no longer there.
    ControlGone = "control-gone" Weaker ControlAdded [Reassess Support Sign Train Forms];
    /// A critical control point became another sort of control.
    NoLongerCcp = "no-longer-a-ccp" Weaker NowCcp [Reassess Support Sign Train Forms];
    /// Another sort of control became a critical control point.
    NowCcp = "now-a-ccp" Stronger NoLongerCcp [Validate Reassess Sign Train Forms];
    /// A control that is no critical control point is of another sort.
    ControlSortChanged = "control-sort-changed" Other ControlSortChanged [Reassess Sign];
    /// A control works at another step.
    ControlMoved = "control-moved" Other ControlMoved [Validate Reassess Flow Sign Train];
    /// The corrective actions of a control were written down.
    CorrectiveAdded = "corrective-action-added" Stronger CorrectiveGone [Sign Train Forms];
    /// A corrective action, or a part of one, is no longer there.
    CorrectiveGone = "corrective-action-gone" Weaker CorrectiveAdded [Reassess Support Sign Train Forms];
    /// A corrective action says something else.
    CorrectiveChanged = "corrective-action-changed" Other CorrectiveChanged [Reassess Sign Train Forms];

    /// Something is monitored that was not.
    MonitoringAdded = "monitoring-added" Stronger MonitoringGone [Sign Train Forms];
    /// Something is no longer monitored.
    MonitoringGone = "monitoring-gone" Weaker MonitoringAdded [Reassess Support Sign Train Forms];
    /// Monitoring is rarer.
    MonitoringRarer = "monitoring-rarer" Weaker MonitoringOftener [Reassess Support Sign Train Forms];
    /// Monitoring is more frequent.
    MonitoringOftener = "monitoring-more-frequent" Stronger MonitoringRarer [Support Sign Train Forms];
    /// Monitoring has another rhythm, and neither is plainly the more frequent.
    MonitoringRhythmChanged = "monitoring-rhythm-changed" Other MonitoringRhythmChanged [Reassess Support Sign Train Forms];
    /// Another role monitors.
    MonitoringBy = "monitoring-by-another-role" Other MonitoringBy [Sign Train];
    /// Monitoring uses an instrument that it did not.
    MonitoringWithAdded = "monitoring-instrument-added" Other MonitoringWithGone [Calibrate Sign Train];
    /// Monitoring no longer uses an instrument that it used.
    MonitoringWithGone = "monitoring-instrument-gone" Other MonitoringWithAdded [Reassess Sign Train];
    /// How and where is monitored, or on which record.
    MonitoringHow = "monitoring-method-changed" Other MonitoringHow [Sign Train Forms];

    /// A verification activity was added.
    VerificationAdded = "verification-added" Stronger VerificationGone [Sign];
    /// A verification activity is no longer there.
    VerificationGone = "verification-gone" Weaker VerificationAdded [Reassess Support Sign];
    /// A verification activity is rarer, or may come later.
    VerificationRarer = "verification-rarer" Weaker VerificationOftener [Reassess Support Sign];
    /// A verification activity is more frequent, or must come sooner.
    VerificationOftener = "verification-more-frequent" Stronger VerificationRarer [Sign];
    /// A verification activity is by another role, on another record, or has another rhythm.
    VerificationChanged = "verification-changed" Other VerificationChanged [Sign Train];
    /// A control that had no validation has one.
    ValidationAdded = "validation-added" Stronger ValidationGone [Sign];
    /// A control that had a validation has none.
    ValidationGone = "validation-gone" Weaker ValidationAdded [Validate Sign];
    /// The newest validation of a control is newer than before.
    ValidationNewer = "validation-newer" Stronger ValidationEarlier [Sign];
    /// The newest validation of a control is from an earlier day than before.
    ValidationEarlier = "validation-earlier" Weaker ValidationNewer [Validate Sign];
    /// What the validation of a control rests on, or another validation than the newest.
    ValidationChanged = "validation-changed" Other ValidationChanged [Support Sign];
    /// A control changed in what must be validated, and its newest validation is not newer than before.
    ValidationOlder = "validation-older-than-the-change" Weaker ValidationOlder [Validate];

    /// A step was added.
    StepAdded = "step-added" Other StepGone [Reassess Flow Sign Train];
    /// A step is no longer there.
    StepGone = "step-gone" Other StepAdded [Reassess Flow Sign Train];
    /// What comes before a step, where the flow begins or ends, or what leaves beside the product.
    FlowChanged = "flow-changed" Other FlowChanged [Reassess Flow Sign];
    /// A step does something else, is for other products, or lies in another zone.
    StepChanged = "step-changed" Other StepChanged [Reassess Flow Sign Train];
    /// A material or equipment enters a step where it did not.
    StepInputAdded = "step-input-added" Other StepInputGone [Reassess Flow Sign];
    /// A material or equipment no longer enters a step.
    StepInputGone = "step-input-gone" Other StepInputAdded [Reassess Flow Sign];
    /// A stage of a step was added.
    StageAdded = "stage-added" Other StageGone [Sign];
    /// A stage of a step is no longer there.
    StageGone = "stage-gone" Other StageAdded [Sign];
    /// A stage begins or ends with another event.
    StageChanged = "stage-changed" Other StageChanged [Validate Reassess Sign Train];

    /// A product was added.
    ProductAdded = "product-added" Other ProductGone [Reassess Label Notify Sign];
    /// A product is no longer there.
    ProductGone = "product-gone" Other ProductAdded [Reassess Notify Sign];
    /// The description of a product, its sort, or a value that matters for safety.
    ProductChanged = "product-changed" Other ProductChanged [Reassess Label Sign];
    /// The intended use of a product.
    UseChanged = "use-changed" Other UseChanged [Reassess Label Sign];
    /// Who eats a product.
    ConsumersChanged = "consumers-changed" Other ConsumersChanged [Reassess Label Sign];
    /// The packaging of a product.
    PackagingChanged = "packaging-changed" Other PackagingChanged [Reassess ShelfLife Sign];
    /// A product is kept for longer.
    ShelfLifeLonger = "shelf-life-longer" Weaker ShelfLifeShorter [ShelfLife Reassess Retention Label Sign];
    /// A product is kept for a shorter time.
    ShelfLifeShorter = "shelf-life-shorter" Stronger ShelfLifeLonger [Label Sign];
    /// How the shelf life was set, or a shelf life that cannot be put in order.
    ShelfLifeChanged = "shelf-life-changed" Other ShelfLifeChanged [ShelfLife Reassess Label Sign];
    /// How a product or material is stored.
    StorageChanged = "storage-changed" Other StorageChanged [Reassess ShelfLife Label Sign];
    /// How a product is distributed.
    DistributionChanged = "distribution-changed" Other DistributionChanged [Reassess Sign];
    /// The label statements of a product.
    LabelChanged = "label-changed" Other LabelChanged [Label Sign];
    /// A material was added.
    MaterialAdded = "material-added" Other MaterialGone [Reassess Supplier Allergens Label Sign];
    /// A material is no longer there.
    MaterialGone = "material-gone" Other MaterialAdded [Reassess Label Sign];
    /// A material comes from another supplier.
    SupplierChanged = "supplier-changed" Other SupplierChanged [Supplier Reassess Allergens Sign];
    /// The sort or the specification of a material.
    MaterialChanged = "material-changed" Other MaterialChanged [Reassess Supplier Allergens Sign];
    /// An allergen that was not there before.
    AllergenAdded = "allergen-added" Weaker AllergenGone [Allergens Label Reassess Sign Train];
    /// An allergen is no longer there.
    AllergenGone = "allergen-gone" Other AllergenAdded [Allergens Label Reassess Sign];
    /// `allergens none` was said, or is no longer said.
    AllergensSaid = "allergen-statement-changed" Other AllergensSaid [Allergens Label Sign];
    /// An allergen that may get in.
    MayContainChanged = "may-contain-changed" Other MayContainChanged [Allergens Label Reassess Sign];
    /// Equipment was added.
    EquipmentAdded = "equipment-added" Other EquipmentGone [Reassess Validate Allergens Sign Train];
    /// Equipment is no longer there.
    EquipmentGone = "equipment-gone" Other EquipmentAdded [Reassess Sign];
    /// What equipment is, where it stands, or which programme keeps it clean.
    EquipmentChanged = "equipment-changed" Other EquipmentChanged [Reassess Sign];

    /// An instrument was added.
    InstrumentAdded = "instrument-added" Other InstrumentGone [Calibrate Train Sign];
    /// An instrument is no longer there.
    InstrumentGone = "instrument-gone" Other InstrumentAdded [Sign];
    /// What an instrument measures, its range, resolution, response or serial number.
    InstrumentChanged = "instrument-changed" Other InstrumentChanged [Calibrate Support Sign];
    /// An instrument is less accurate.
    AccuracyWorse = "accuracy-worse" Weaker AccuracyBetter [Calibrate Support Reassess Sign];
    /// An instrument is more accurate.
    AccuracyBetter = "accuracy-better" Stronger AccuracyWorse [Calibrate Sign];
    /// A calibration was added.
    CalibrationAdded = "calibration-added" Stronger CalibrationGone [Calibrate Sign];
    /// A calibration is no longer there.
    CalibrationGone = "calibration-gone" Weaker CalibrationAdded [Support Reassess Sign];
    /// Calibration is rarer.
    CalibrationRarer = "calibration-rarer" Weaker CalibrationOftener [Support Reassess Sign];
    /// Calibration is more frequent.
    CalibrationOftener = "calibration-more-frequent" Stronger CalibrationRarer [Sign];
    /// Calibration allows a greater error.
    CalibrationWider = "calibration-wider" Weaker CalibrationNarrower [Support Reassess Sign];
    /// Calibration allows a smaller error.
    CalibrationNarrower = "calibration-narrower" Stronger CalibrationWider [Calibrate Sign];
    /// How, by whom or on which record an instrument is calibrated.
    CalibrationChanged = "calibration-changed" Other CalibrationChanged [Support Train Sign];
    /// Something that is measured, answered or computed was added.
    ParameterAdded = "parameter-added" Other ParameterGone [Forms];
    /// Something that was measured, answered or computed is no longer there.
    ParameterGone = "parameter-gone" Other ParameterAdded [Forms];
    /// The unit, the answers, the formula, the probes or the record of a parameter.
    ParameterChanged = "parameter-changed" Other ParameterChanged [Forms Train Sign];

    /// A prerequisite programme was added.
    ProgrammeAdded = "programme-added" Stronger ProgrammeGone [Reassess Sign Train];
    /// A prerequisite programme is no longer there.
    ProgrammeGone = "programme-gone" Weaker ProgrammeAdded [Reassess Support Sign Train];
    /// What a programme covers, or where its procedure is.
    ProgrammeChanged = "programme-changed" Other ProgrammeChanged [Reassess Sign Train];
    /// A programme does something more.
    RoutineAdded = "routine-added" Stronger RoutineGone [Sign Train Forms];
    /// A programme no longer does something that it did.
    RoutineGone = "routine-gone" Weaker RoutineAdded [Reassess Support Sign Train Forms];
    /// A programme does something more rarely.
    RoutineRarer = "routine-rarer" Weaker RoutineOftener [Reassess Support Sign Train];
    /// A programme does something more often.
    RoutineOftener = "routine-more-frequent" Stronger RoutineRarer [Sign Train];
    /// A routine of a programme is by another role, on another record, or has another rhythm.
    RoutineChanged = "routine-changed" Other RoutineChanged [Sign Train];

    /// A role was added.
    RoleAdded = "role-added" Other RoleGone [Train];
    /// A role is no longer there.
    RoleGone = "role-gone" Other RoleAdded [Reassess Train];
    /// A training was added to a role.
    TrainingAdded = "training-added" Stronger TrainingGone [];
    /// A training is no longer named.
    TrainingGone = "training-gone" Weaker TrainingAdded [Train];
    /// A role took a training again, at a later day.
    TrainingRenewed = "training-renewed" Stronger TrainingEarlier [];
    /// A training of a role is from an earlier day than was said.
    TrainingEarlier = "training-earlier" Weaker TrainingRenewed [Train];
    /// The day of a training was blank, or is now.
    TrainingChanged = "training-changed" Other TrainingChanged [];
    /// A role has a task in the plan and no training, and was not in that position before.
    RoleUntrained = "role-untrained" Weaker RoleNowTrained [Train];
    /// A role that had a task and no training is no longer in that position.
    RoleNowTrained = "role-no-longer-untrained" Stronger RoleUntrained [];
    /// The duties of a role.
    DutiesChanged = "duties-changed" Other DutiesChanged [Train];
    /// Someone joined the team, or a consultant did.
    TeamAdded = "team-member-added" Other TeamGone [];
    /// Someone is no longer on the team.
    TeamGone = "team-member-gone" Other TeamAdded [Reassess];

    /// A source or study was added.
    EvidenceAdded = "evidence-added" Other EvidenceGone [];
    /// A source or study is no longer there.
    EvidenceGone = "evidence-gone" Other EvidenceAdded [Support];
    /// What a source or study is, where it is kept, when it was done or what it showed.
    EvidenceChanged = "evidence-changed" Other EvidenceChanged [Support Reassess];
    /// A source has another edition, or replaces another one.
    EvidenceSuperseded = "evidence-superseded" Other EvidenceSuperseded [Support Reassess];
    /// Something cites a source or study that it did not cite.
    CitationAdded = "citation-added" Other CitationGone [];
    /// Something no longer cites a source or study that it cited.
    CitationGone = "citation-gone" Other CitationAdded [Support];
    /// A table of limits was added.
    TableAdded = "table-added" Other TableGone [Support];
    /// A table of limits is no longer there.
    TableGone = "table-gone" Other TableAdded [Support];
    /// A row of a table of limits was added, taken out or changed.
    TableChanged = "table-changed" Other TableChanged [Validate Support Sign];
    /// A model of death or growth was added.
    ModelAdded = "model-added" Other ModelGone [Support];
    /// A model of death or growth is no longer there.
    ModelGone = "model-gone" Other ModelAdded [Support];
    /// A figure of a model of death or growth.
    ModelChanged = "model-changed" Other ModelChanged [Validate Support Sign];

    /// A kind of record was added.
    RecordAdded = "record-added" Other RecordGone [Forms];
    /// A kind of record is no longer there.
    RecordGone = "record-gone" Other RecordAdded [Retention];
    /// A record is kept for a shorter time.
    RetentionShorter = "retention-shorter" Weaker RetentionLonger [Retention Sign];
    /// A record is kept for longer.
    RetentionLonger = "retention-longer" Stronger RetentionShorter [Retention Sign];
    /// Where a record is kept, or a time that cannot be put in order.
    RetentionChanged = "retention-changed" Other RetentionChanged [Retention Sign];
    /// An event was added.
    EventAdded = "event-added" Other EventGone [Forms];
    /// An event is no longer there.
    EventGone = "event-gone" Other EventAdded [Forms];
    /// An event stands on another record.
    EventChanged = "event-changed" Other EventChanged [Forms];

    /// The plan answers to another regime.
    RegimeAdded = "regime-added" Stronger RegimeGone [Reassess Sign];
    /// The plan no longer answers to a regime.
    RegimeGone = "regime-gone" Weaker RegimeAdded [Reassess Notify Sign];
    /// What the plan covers.
    ScopeChanged = "scope-changed" Other ScopeChanged [Reassess Notify Sign];
    /// The plant: its name, number or address.
    PlantChanged = "plant-changed" Other PlantChanged [Notify Reassess Sign];
    /// A topic on which clauses hang was said to apply or not to apply.
    ConcernChanged = "concern-changed" Other ConcernChanged [Reassess];
    /// The decision tree.
    TreeChanged = "tree-changed" Other TreeChanged [Reassess Sign];
    /// The time zone, the shifts, or the days that are worked.
    ClockChanged = "clock-changed" Other ClockChanged [Forms];
    /// The plan is reassessed more rarely.
    ReassessmentRarer = "reassessment-rarer" Weaker ReassessmentOftener [Support Sign];
    /// The plan is reassessed more often.
    ReassessmentOftener = "reassessment-more-frequent" Stronger ReassessmentRarer [Sign];
    /// Whether and how often the plan is reassessed.
    ReassessmentChanged = "reassessment-changed" Other ReassessmentChanged [Sign];
    /// When, by whom or with what result the plan was last reassessed.
    ReassessedChanged = "reassessed" Other ReassessedChanged [Sign];
    /// When or by whom the flow was confirmed on site.
    FlowConfirmedChanged = "flow-confirmed" Other FlowConfirmedChanged [];
    /// The number, date or reason of the revision.
    RevisionChanged = "revision-changed" Other RevisionChanged [];
    /// The plan says something else, and its revision stands as it was.
    RevisionUnchanged = "revision-unchanged" Weaker RevisionUnchanged [Revise];
    /// The day from which the plan is in force.
    InForceChanged = "in-force-changed" Other InForceChanged [];
    /// An accepted exception was added.
    ExceptionAdded = "exception-added" Weaker ExceptionGone [Support Sign];
    /// An accepted exception is no longer there.
    ExceptionGone = "exception-gone" Stronger ExceptionAdded [];
    /// An accepted exception lasts longer.
    ExceptionLonger = "exception-longer" Weaker ExceptionShorter [Support Sign];
    /// An accepted exception ends sooner.
    ExceptionShorter = "exception-shorter" Stronger ExceptionLonger [];
    /// The reason of an accepted exception, or who accepts it.
    ExceptionChanged = "exception-changed" Other ExceptionChanged [Support Sign];
    /// Something in the plan is said to answer a clause.
    AnswerAdded = "clause-answer-added" Other AnswerGone [];
    /// Something in the plan is no longer said to answer a clause.
    AnswerGone = "clause-answer-gone" Other AnswerAdded [Reassess];

    /// A name was changed, and everything that is said of it is the same.
    Renamed = "renamed" Other Renamed [Forms];
    /// A title was changed.
    TitleChanged = "title-changed" Other TitleChanged [Forms];
}
