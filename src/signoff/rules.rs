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
    /// A signature is made with a key that the file of allowed signers does not name for this person on this day.
    ///
    /// The signature itself fits its line: whoever held that key signed it. Either the person has a new key that is still to be listed,
    /// or somebody else signed with the name of this person. Keep the line of a key that is given up, and end it with
    /// `valid-before`, so that what was signed before stays listed.
    UNLISTED_KEY = "U108" "unlisted-key" Warning;
    /// A signature is made with a key of a kind that this version of the program does not read.
    ///
    /// Whether it fits its line is not known, so it counts for no more than a typed name. Keys of the kind Ed25519 are read,
    /// also those kept in a device (`ssh-ed25519`, `sk-ssh-ed25519@openssh.com`).
    UNREAD_KEY = "U109" "unread-key" Warning;
    /// A file of allowed signers is kept, and a line under the present text was signed without a key.
    ///
    /// Anybody who can write to the file can type such a line.
    SIGNED_WITHOUT_KEY = "U110" "signed-without-key" Warning;
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
    /// A signature by a key does not fit the line under which it stands.
    ///
    /// The line was changed after it was signed, or the signature was taken from elsewhere. As long as the file is broken, no
    /// signature in it counts.
    BROKEN_KEY_SIGNATURE = "U115" "broken-key-signature" Error;
    /// A line of the file of allowed signers cannot be read, and lists no key.
    ///
    /// The file has the form of `ssh-keygen`: names, options, kind of key, key. A name is the one typed at `bourn sign`;
    /// with a blank in it, it stands in quotation marks. Lines for the keys of an authority (`cert-authority`) are not read.
    UNREADABLE_SIGNER = "U116" "unreadable-signer" Warning;
    /// A signature is made with a key, and no file of allowed signers says whose key it is.
    ///
    /// The file stands beside the plan as `NAME.allowed-signers`, or is named with `--allowed-signers`.
    NO_ALLOWED_SIGNERS = "U117" "no-allowed-signers" Note;
}
