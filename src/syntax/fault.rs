//! The findings of the text itself.

crate::rules! {
    /// A brace was opened and the block ends without the brace that closes it.
    ///
    /// Everything up to the next block was taken as its contents, which may put statements into the wrong block.
    UNCLOSED = "S001" "unclosed-brace" Error;
    /// A line begins with a word that the language does not have, or that does not belong in this block.
    ///
    /// A word that is not understood is a statement that nobody checks.
    UNKNOWN_WORD = "S002" "unknown-word" Error;
    /// A statement begins well and cannot be read to its end.
    BROKEN_STATEMENT = "S003" "broken-statement" Error;
    /// Text in quotes is not closed on its line.
    ///
    /// Longer text goes on with a new quotation on the next, indented line.
    OPEN_QUOTE = "S004" "open-quote" Error;
    /// A number sign that is neither a comment nor part of quoted text.
    ///
    /// A comment begins at the start of a line or after a blank, and has a blank after its number sign; otherwise the
    /// rest of the line might be dropped by mistake.
    GLUED_COMMENT = "S005" "glued-comment" Error;
    /// A decimal comma.
    ///
    /// The decimal mark is a point. A comma parts the items of a list, so `4,2` could be read as two numbers.
    DECIMAL_COMMA = "S006" "decimal-comma" Error;
    /// A range written with a dash.
    ///
    /// A dash before a digit is a minus sign. Ranges say `between 3 °C and 5 °C`.
    DASHED_RANGE = "S007" "dashed-range" Error;
    /// A unit that is not on the list of units.
    UNKNOWN_UNIT = "S008" "unknown-unit" Error;
    /// A block's first line cannot be read, so its contents belong to nothing.
    BROKEN_HEAD = "S009" "broken-block" Error;
    /// A closing brace with nothing open.
    STRAY_BRACE = "S010" "stray-brace" Error;
    /// Braces are nested deeper than any plan needs.
    TOO_DEEP = "S011" "too-deep" Error;
    /// The text is beyond what the parser can hold in one piece.
    UNREADABLE = "S012" "unreadable" Error;
    /// A list ends in a comma.
    ///
    /// A line that ends in a comma runs on; here a new statement follows.
    TRAILING_COMMA = "S013" "trailing-comma" Error;
    /// The formatter would have changed what the plan says.
    ///
    /// It reads what it is about to write and compares; here the two differ, so nothing was written. The fault lies in
    /// the formatter and not in the plan.
    CHANGED_MEANING = "S014" "formatting-changes-meaning" Error;
}
