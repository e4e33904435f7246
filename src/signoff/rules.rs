//! What is found in signatures. The weight stays below that of the clauses: only the file beside the plan is seen, and
//! a signature on paper is not.

crate::rules! {
    /// A plan says that it is in force, and nobody has signed it as approved.
    ///
    /// The rules that the plan names ask the responsible person to sign and date it. Only the sign-off file beside the plan
    /// is looked at: a signature on paper is not seen here.
    UNSIGNED_PLAN = "U101" "unsigned-plan" Note ["fsis.417.2.d1", "fsis.417.2.d2", "fish.123.6.d", "juice.120.12.c", "pc.117.310"];
    /// A plan says that it is in force, and nobody has signed it as approved, though no rule that it names asks for a signature.
    ///
    /// Whoever reads the plan cannot see that anybody stands behind it. Common practice; no clause asks for it.
    NOBODY_SIGNED = "U102" "nobody-signed" Note;
    /// The plan says something else than when it was last signed as approved.
    ///
    /// The people who signed it have not signed what it says now. Layout, comments, the order of blocks and the files into
    /// which the text is split do not count as a change.
    CHANGED_SINCE_SIGNING = "U103" "changed-since-signing" Warning ["fsis.417.2.d2", "fish.123.6.d", "juice.120.12.c", "pc.117.310"];
    /// The plan has fallen due for reassessment since it was last signed, or was reassessed after that.
    ///
    /// A reassessment ends with a new signature, even where nothing in the plan changes.
    SIGNING_OVERDUE = "U104" "signing-overdue" Warning ["fsis.417.2.d2", "fish.123.6.d", "juice.120.12.c"];
    /// The digest of a signature is of a form that this version of the program cannot make.
    ///
    /// Whether the plan has changed since cannot be told; a newer version of the program may be able to.
    UNKNOWN_DIGEST_FORM = "U105" "unknown-digest-form" Warning;
    /// A signature is dated after the day of the check, and is not counted.
    LATER_SIGNATURE = "U106" "later-signature" Note;
    /// The plan was signed in a role that it does not have.
    FOREIGN_SIGNER = "U107" "foreign-signer" Warning;
    /// A line of the sign-off file cannot be read as a signature.
    ///
    /// As long as the file is broken, no signature in it counts. Fetch the file as it was from the archive of versions,
    /// or set it aside and sign again; mending it by hand does not bring back what was signed.
    UNREADABLE_SIGNATURE = "U111" "unreadable-signature" Error;
    /// A line of the sign-off file does not follow from the line before it.
    ///
    /// Each line holds the SHA-256 of the line before, so a line that was changed, removed, put in or moved is found. It is a
    /// guard against slips and careless editing; somebody who sets out to forge the whole file can do so.
    BROKEN_CHAIN = "U112" "broken-chain" Error;
    /// The sign-off file ends before its closing line, or holds more or fewer signatures than that says.
    CUT_SIGN_OFF = "U113" "cut-sign-off-file" Error;
    /// The lines of the sign-off file end as on Windows, so another program has written it anew.
    ///
    /// The signatures count: the digests are taken without the ends of lines.
    FOREIGN_LINE_ENDS = "U114" "foreign-line-ends" Note;
}
