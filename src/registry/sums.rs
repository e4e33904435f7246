//! What goes wrong with the small sums of the command line.

crate::rules! {
    /// What stands on the command line is no number with a unit of the closed list.
    ///
    /// A number without its unit can be read in two ways, so nothing was computed.
    UNREADABLE_QUANTITY = "X121" "unreadable-quantity" Error;
    /// A quantity measures something else than what the sum needs there.
    WRONG_UNIT = "X122" "quantity-of-the-wrong-kind" Error;
    /// A sum was refused: a number lies outside the range in which its formula is stated.
    ///
    /// Nothing is extrapolated. The message names the number and the range.
    OUT_OF_RANGE = "X123" "out-of-range-of-the-formula" Error;
    /// The plan has no inactivation of that name, or one that is not complete.
    NO_SUCH_MODEL = "X124" "no-such-inactivation" Error;
    /// A name that the sum does not know, such as a salt with no reference value.
    UNKNOWN_NAME = "X125" "unknown-reference" Error;
    /// The options of a sum do not go together, or one is missing.
    OPTIONS = "X126" "options-do-not-fit" Error;
}
