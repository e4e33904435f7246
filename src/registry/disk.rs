//! The findings of the command line: files that cannot be read or written, and codes that no rule has.

crate::rules! {
    /// A file cannot be read.
    ///
    /// Nothing was judged that depends on it.
    UNREADABLE_FILE = "X101" "unreadable-file" Error;
    /// A plan file is not text in UTF-8.
    ///
    /// Degree signs and names would be lost in any other encoding; save the plan as UTF-8.
    NOT_UTF8 = "X102" "not-utf8" Error;
    /// A plan file holds nothing.
    EMPTY_FILE = "X103" "empty-file" Error;
    /// A file cannot be written.
    ///
    /// What stood there before is left as it was.
    UNWRITABLE_FILE = "X104" "unwritable-file" Error;
    /// An included file lies outside the folder of the plan, or includes itself.
    BAD_INCLUDE = "X105" "bad-include" Error;
    /// A code or name that no rule has.
    UNKNOWN_RULE = "X106" "unknown-rule" Error;
    /// A template of a document does not fit what it is given.
    ///
    /// Nothing was written.
    TEMPLATE_FAULT = "X107" "template-fault" Error;
    /// A lot or a limit is asked for that is not there.
    ///
    /// The nearest name that is there is offered; nothing was judged.
    NO_SUCH_VERDICT = "X108" "no-such-verdict" Error;
    /// A file given as an earlier report is none.
    ///
    /// Nothing was compared, and nothing was written.
    NO_REPORT = "X112" "no-report" Error;
    /// A PDF is asked for and no browser on this machine prints one.
    ///
    /// Nothing was written. Any browser prints the HTML file.
    NO_BROWSER = "X109" "no-browser" Error;
    /// A folder given as the look of a plant holds something that cannot be used.
    ///
    /// Nothing was written: a logo or a style sheet that is passed over in silence would be missed on paper only.
    UNUSABLE_STYLE = "X110" "unusable-style" Error;
    /// An option of the command line has a value that means nothing there.
    BAD_OPTION = "X111" "option-unknown" Error;
}
