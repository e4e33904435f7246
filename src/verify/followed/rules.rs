//! What can be wrong with what was done about deviations, with reviews and with shipping.

crate::rules! {
    /// A limit was not met or not shown, or an instrument was not trusted, and no corrective action on record covers it.
    ///
    /// What was done about the product, the cause and the control must be written down. A limit that is not shown is
    /// treated as not met until it is shown. Whether the lot was looked at by somebody is not known without a record.
    NO_ACTION = "E101" "no-corrective-action" Error ["codex.records", "fsis.417.3.c", "fish.123.7.d", "juice.120.10.a", "pc.117.150.d", "eu.852.5.2e"];
    /// A check that the plan promises was missed, and no record says what was done about it.
    ///
    /// Product between two checks is judged by them. A missed check widens the stretch for which nobody looked.
    MISSED_WITHOUT_ACTION = "E102" "missed-check-without-action" Warning ["codex.records", "fsis.417.5.a3", "fish.123.7.d", "pc.117.150.d", "eu.852.5.2e"];
    /// A corrective action on record leaves out a part that must be answered.
    ///
    /// Four questions must be answered: was the cause found and removed, is control shown to be restored, what keeps it
    /// from happening again, and what became of how much product, decided by whom and when. For an event that the plan
    /// does not foresee, the product is held, its acceptability reviewed, and the plan reassessed by a trained person.
    /// Only that a person answered is checked, never what was decided.
    INCOMPLETE_ACTION = "E103" "incomplete-corrective-action" Error ["codex.corrective.cause", "eu.852.5.2e"];
    /// Control is said to be restored before the deviation was found.
    ACTION_REVERSED = "E104" "restored-before-found" Error;
    /// What becomes of the product was decided after the product had been shipped.
    ///
    /// Product from a deviation is held until somebody has decided. A decision after shipping comes too late for that.
    DECIDED_AFTER_SHIPPING = "E105" "decided-after-shipping" Error ["codex.corrective.hold", "fsis.417.3.a4", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2", "eu.852.5.2e"];
    /// The record of a corrective action was reviewed before the action was complete.
    REVIEWED_BEFORE_ACTION = "E106" "reviewed-before-the-action" Error ["fsis.417.3.c", "fish.123.8.a3.7d", "pc.117.165.a4i", "eu.852.5.2f"];
    /// The record of a corrective action has no review, or none with a name and a time.
    ACTION_NOT_REVIEWED = "E107" "corrective-action-not-reviewed" Warning ["codex.verify", "fsis.417.3.c", "fish.123.8.a3.7d", "pc.117.165.a4i", "eu.852.5.2f"];
    /// Somebody reviewed a record that they made themselves.
    ///
    /// A second pair of eyes sees what the first has missed.
    OWN_REVIEW = "E108" "reviewed-by-the-recorder" Warning ["codex.verify.indep", "fsis.417.5.c.who", "eu.852.5.2f"];
    /// The decision on product covers less than the register of lots says was made.
    ///
    /// Product on which nobody decided is product in question.
    QUANTITY_SHORT = "E109" "decision-covers-too-little" Warning ["codex.corrective.hold", "fsis.417.3.a4", "pc.117.150.a2", "eu.852.5.2e"];
    /// Control is said to be restored at a time at which no good check was yet on record.
    ///
    /// The first good check after the repair ends the stretch of product in question, not the repair itself.
    RESTORED_UNSHOWN = "E110" "restored-before-shown" Warning ["fsis.417.3.a2"];

    /// A lot was shipped while a deviation on it was open.
    ///
    /// Open: no corrective action covers the lot, or its record names no decision on the product with a name and a time
    /// before the shipping. What the regime asks for when such product has left the plant stands in the report.
    SHIPPED_OPEN = "E201" "shipped-with-open-deviation" Error ["codex.corrective.hold", "fsis.417.3.a4", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2", "eu.178.19"];
    /// A lot was shipped and the register of pre-shipment reviews does not hold it.
    SHIPPED_UNREVIEWED = "E202" "shipped-without-review" Error ["fsis.417.5.c"];
    /// The pre-shipment review of a lot was done after the lot had been shipped.
    REVIEWED_AFTER_SHIPPING = "E203" "reviewed-after-shipping" Error ["fsis.417.5.c"];
    /// The pre-shipment review was done before the last record of the lot was made.
    ///
    /// What was written afterwards has not been reviewed.
    REVIEWED_TOO_EARLY = "E204" "reviewed-before-the-last-record" Warning ["fsis.417.5.c"];

    /// A lot was shipped after the decision that all of it is not to be eaten.
    ///
    /// One of the two registers is wrong, or product that was to be destroyed has left the plant. What was decided is
    /// never judged; that a word such as destroy or discard and a shipping contradict each other can be seen.
    SHIPPED_AFTER_ALL = "E205" "shipped-though-to-be-destroyed" Error ["codex.corrective.hold", "fsis.417.3.a4", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2", "eu.178.19"];

    /// Records were not reviewed within the time that the plan promises, as far as the register says.
    RECORDS_UNREVIEWED = "E301" "records-not-reviewed-in-time" Error ["codex.verify", "fsis.417.4.a2iii", "fish.123.8.a3.7d", "pc.117.165.a4i"];
    /// Monitoring was not observed as often as the plan promises, as far as the register says.
    OBSERVATION_OVERDUE = "E302" "observation-overdue" Warning ["codex.verify"];
    /// A check of an instrument found it not in order.
    ///
    /// What it measured since it was last found in order is in question.
    NOT_IN_ORDER = "E303" "instrument-not-in-order" Error;

    /// An instrument moves from calibration to calibration, and is expected to be off by more than the plan allows when the
    /// next one falls due.
    ///
    /// A straight line through the errors found (least squares, at least five; its slope differs from none at 95 %
    /// confidence) gives the error on that day. Nothing is judged by it: readings count until a calibration says otherwise.
    INSTRUMENT_DRIFTS = "E304" "instrument-drifting" Warning;

    /// A corrective action is about a deviation that the records do not show.
    ///
    /// Either the record names the wrong lot or limit, or somebody saw what no reading shows. Both are worth a look.
    ACTION_WITHOUT_DEVIATION = "E401" "action-without-deviation" Warning;
    /// Two rows of a register have one number.
    NUMBER_TWICE = "E402" "number-twice" Error;
    /// A lot was shipped before it was made.
    ///
    /// One of the two times is wrong, and nobody can say which from here.
    SHIPPED_BEFORE_MADE = "E403" "shipped-before-made" Error;
    /// A lot has two pre-shipment reviews.
    ///
    /// The earlier one counts for the question whether the lot was reviewed before it was shipped.
    REVIEWED_TWICE = "E404" "reviewed-twice" Warning;
    /// A register names a limit, an instrument or a record that the plan does not have.
    ///
    /// The row is kept, and held against nothing under that name.
    REGISTER_UNKNOWN = "E405" "register-names-unknown" Error;

    /// Lots were begun before the day from which the plan is in force.
    ///
    /// Each lot is to be judged by the revision in force when it was made. Here they are judged by a later one, whose
    /// limits may have been others.
    BEFORE_REVISION = "E406" "judged-by-a-later-revision" Warning;

    /// The texts of the plan do not agree on which day a lot was begun.
    ///
    /// Their first stages begin with other events, and a change of revision lies between. The later text judges the lot.
    BEGIN_NOT_AGREED = "E407" "begin-not-agreed" Error;
    /// Two texts of the plan are in force from the same day, or one given as earlier is the later.
    ///
    /// Each lot is judged by one text alone. Nothing is judged while two claim the same days.
    RANGES_OVERLAP = "E408" "ranges-overlap" Error;
    /// A text of the plan does not say from which day it is in force.
    ///
    /// Where several texts are given, nobody can say which lots this one judges. Nothing is judged.
    RANGE_MISSING = "E409" "range-missing" Error;
    /// A text given as an earlier revision is one of another plan.
    ///
    /// Lots judged by it would be held against limits that were never theirs. Nothing is judged.
    TEXT_OF_ANOTHER_PLAN = "E410" "text-of-another-plan" Error;

    /// Checks without initials, on a record whose other entries have them.
    NO_INITIALS = "E501" "no-initials" Warning ["codex.monitor.sign", "fsis.417.5.b"];
    /// Entries were written later than at the time of the event.
    ///
    /// The rules ask for an entry when the event happens and give no figure; a quarter of an hour is a choice of this tool.
    /// A late entry may be a true one. What was seen and what was remembered are kept apart by the time of writing.
    WRITTEN_LATE = "E503" "written-late" Warning ["fsis.417.5.b"];
    /// Entries were written before the time of the event.
    ///
    /// A clock may be wrong, or a sheet was filled ahead. Somebody should look at the originals.
    WRITTEN_BEFORE = "E504" "written-before-the-event" Warning ["fsis.417.5.b"];
    /// Entries of one day are the same, in order and value, as those of another day.
    ///
    /// By the frequencies of the values themselves this happens by chance less than once in a thousand such records.
    /// There can be good reasons, such as a sheet that was typed again; somebody should look at the originals.
    DAYS_ALIKE = "E502" "days-alike" Note;

    /// Somebody made a record or reviewed one while no training of theirs held, as far as the register of training says.
    ///
    /// A training holds from its day on, and to the end of the day until which it holds. What it was about is not told apart.
    TRAINING_RUN_OUT = "E505" "training-run-out" Warning ["codex.train"];
    /// People who made records or reviewed them stand nowhere in the register of training.
    ///
    /// They may be trained and entered elsewhere, or under other initials.
    NO_TRAINING = "E506" "no-training-on-record" Note ["codex.train"];

    /// A complaint is about a lot on which a deviation is on record.
    COMPLAINT_AND_DEVIATION = "E602" "complaint-about-a-deviation" Warning ["codex.verify"];
    /// The values of a limit move towards it, while every lot still meets it.
    ///
    /// A run of the last eight lots that chance seldom makes while nothing changes: one value beyond three standard
    /// deviations from the mean, two of three beyond two, four of five beyond one, or eight in a row on one side. It judges
    /// nothing, and chance alone makes such a run now and then.
    TOWARDS_THE_LIMIT = "E601" "towards-the-limit" Note;
}
