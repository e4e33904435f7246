//! What is done when a limit is not met: every part of it, before it is needed.

use super::Desk;
use crate::finding::{Care, Finding, Rule, nearest};
use crate::plan::{Condition, Control, Deviation, Over};

/// What may become of product, in the words that a plan may use.
pub const DISPOSITIONS: &[&str] =
    &["accept", "rework", "reprocess", "divert", "downgrade", "return", "destroy", "evaluate"];

crate::rules! {
    /// A CCP that does not say what is done when a limit is not met.
    CCP_WITHOUT_DEVIATION = "C101" "ccp-without-deviation" Error ["codex.corrective.plan", "fsis.417.2.c5", "fsis.417.3.a.desc", "fish.123.6.c5", "fish.123.7.b", "juice.120.8.b", "juice.120.10.a", "pc.117.150.a1", "eu.852.5.2e"];
    /// A deviation that does not say how product is held.
    NO_HOLD = "C102" "no-hold" Error ["codex.corrective.hold", "fsis.417.3.a4", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2"];
    /// A deviation that does not look for the cause.
    NO_CAUSE = "C103" "no-cause" Error ["codex.corrective.cause", "fsis.417.3.a1", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2"];
    /// A deviation that does not say how control is restored.
    NO_RESTORE = "C104" "no-restore" Error ["codex.corrective.plan", "fsis.417.3.a2", "fsis.417.2.c5", "fsis.417.3.a.desc", "fish.123.6.c5", "fish.123.7.b", "juice.120.8.b", "juice.120.10.a", "pc.117.150.a1", "eu.852.5.2e"];
    /// A deviation that does not say how it is kept from happening again.
    NO_PREVENT = "C105" "no-prevent" Error ["codex.corrective.cause", "fsis.417.3.a3", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2"];
    /// A deviation that does not say what may become of the product, and who decides.
    NO_DISPOSITION = "C106" "no-disposition" Error ["codex.corrective.hold", "fsis.417.3.a4", "fish.123.7.b", "juice.120.10.a", "pc.117.150.a2"];
    /// A deviation that is written down nowhere.
    NO_DEVIATION_RECORD = "C107" "no-deviation-record" Error ["codex.records", "fsis.417.5.a3", "fsis.417.2.c6", "fsis.417.3.c", "fish.123.6.c7", "fish.123.7.d", "juice.120.8.b7", "juice.120.12.a", "pc.117.145.c", "pc.117.150.d", "pc.117.190", "pc.117.305.ab", "eu.852.5.2g", "codex.docs"];
    /// A deviation that does not say how far back product is held.
    NO_HOLD_BACK = "C108" "no-hold-back" Warning;
    /// A word for what becomes of product that is not in the set.
    UNKNOWN_DISPOSITION = "C109" "unknown-disposition" Error;
    /// A miss that may be adjusted, where no limit is held against checks or samples.
    ///
    /// A check or a sample speaks for one moment, and a later one shows that the lot was put right before it left the
    /// step. What was read throughout cannot be made good by a later reading.
    NOTHING_TO_ADJUST = "C110" "nothing-to-adjust" Error;
}

pub(super) fn check(desk: &mut Desk<'_>) {
    let plan = desk.plan;
    for control in &plan.controls {
        match &control.deviation {
            Some(deviation) => parts(desk, control, deviation),
            None if control.is_ccp() => desk.lacks(
                &CCP_WITHOUT_DEVIATION,
                control.loc,
                "deviation",
                format!("`{}` does not say what is done when a limit is not met", control.name),
                "add a `deviation` block: hold, hold-back, cause, restore, prevent, disposition, recorded",
            ),
            None => {}
        }
    }
}

fn parts(desk: &mut Desk<'_>, control: &Control, deviation: &Deviation) {
    let parts: [(bool, &'static Rule, &str, &str, &str); 7] = [
        (deviation.hold.is_none(), &NO_HOLD, "hold", "how product is held", "add `hold \"…\"`"),
        (
            deviation.hold_back.is_none(),
            &NO_HOLD_BACK,
            "hold-back",
            "how far back product is held",
            "add `hold-back to last good check`, or `to last check with every limit met`",
        ),
        (deviation.cause.is_none(), &NO_CAUSE, "cause", "how the cause is found and removed", "add `cause \"…\"`"),
        (
            deviation.restore.is_none(),
            &NO_RESTORE,
            "restore",
            "how it is known that control is restored",
            "add `restore \"…\"`",
        ),
        (
            deviation.prevent.is_none(),
            &NO_PREVENT,
            "prevent",
            "how it is kept from happening again",
            "add `prevent \"…\"`",
        ),
        (
            deviation.disposition.is_none(),
            &NO_DISPOSITION,
            "disposition",
            "what may become of the product, and who decides",
            "add `disposition rework, divert, destroy by ROLE`",
        ),
        (
            deviation.record.is_none(),
            &NO_DEVIATION_RECORD,
            "recorded",
            "on which record it is written down",
            "add `recorded on RECORD`",
        ),
    ];
    for (missing, rule, word, what, help) in parts {
        if missing {
            desk.lacks(
                rule,
                deviation.loc,
                word,
                format!("the deviation of `{}` does not say {what}", control.name),
                help,
            );
        }
    }
    let adjustable = control
        .limits
        .iter()
        .flat_map(|limit| limit.leaves())
        .any(|leaf| matches!(leaf, Condition::Answers(_) | Condition::Level { over: Over::Samples(_), .. }));
    if let (Some(event), false) = (&deviation.adjust, adjustable) {
        let message = format!("`{}` has no limit on checks or samples whose miss could be adjusted", control.name);
        desk.say(
            Finding::at(&NOTHING_TO_ADJUST, event.loc, message)
                .help("take `adjust` out, or limit a check with answers or `in every sample`"),
        );
    }
    for name in deviation.disposition.iter().flat_map(|(names, _)| names) {
        if DISPOSITIONS.contains(&name.text.as_str()) {
            continue;
        }
        let finding = Finding::at(&UNKNOWN_DISPOSITION, name.loc, format!("`{name}` is no disposition"));
        desk.say(match nearest(&name.text, DISPOSITIONS.iter().copied()) {
            Some(near) => finding.help(format!("did you mean `{near}`?")).fix(name.loc, near, Care::NeedsALook),
            None => finding.help(format!("the words are: {}", DISPOSITIONS.join(", "))),
        });
    }
}
