//! The findings of this layer.

crate::rules! {
    /// The mapping is larger than 1 MiB, or its brackets nest deeper than any mapping needs. It is not read.
    MAPPING_SIZE = "R001" "mapping-too-large" Error;
    /// The mapping is not well-formed YAML. Nothing of it is used, for a half-read mapping could leave a column out unseen.
    MAPPING_SYNTAX = "R002" "mapping-syntax" Error;
    /// The mapping holds a key that means nothing here. A mistyped key is never passed over, for the setting it was meant to make would then be missing.
    KEY_UNKNOWN = "R003" "mapping-key-unknown" Error;
    /// A key of the mapping holds another kind of value than it must: a word for a number, one value for a list.
    KEY_KIND = "R004" "mapping-value-kind" Error;
    /// The mapping leaves out a key without which the files cannot be read.
    KEY_MISSING = "R005" "mapping-key-missing" Error;
    /// The value of a key is not one of those it may take.
    VALUE_UNKNOWN = "R006" "mapping-value-unknown" Error;
    /// The unit is not in the closed list. Values of an unknown unit show nothing, so the file is not read under a guess.
    UNIT_UNKNOWN = "R007" "unit-unknown" Error;
    /// The zone is neither a name of the IANA time zone database nor an offset such as +01:00.
    ZONE_UNKNOWN = "R008" "zone-unknown" Error;
    /// The time format cannot be used: it is not understood, or it lacks a part of the date or the minute.
    TIME_FORMAT = "R009" "time-format" Error;
    /// The time format has a 12-hour clock without AM or PM. Each reading could be twelve hours away, so the format is refused.
    HALF_DAY = "R010" "half-day-clock" Error;
    /// Two entries of the mapping claim the same thing: a column named twice, a word under two answers, two columns that would flow into one trace.
    MAPPING_TWICE = "R011" "mapping-twice" Error;
    /// Two keys of one entry exclude each other.
    MAPPING_CONTRADICTS = "R012" "mapping-contradicts" Error;
    /// A value of the mapping is a question mark: the file did not answer it, and no person has. Nothing is read by a mapping with an open question.
    UNANSWERED = "R013" "mapping-unanswered" Error;

    /// No file has a name that fits the pattern. Nothing is verified then: a record that is missing whole must be seen.
    NO_FILE = "R101" "no-file-matches" Error;
    /// The file is there but cannot be opened or read.
    FILE_UNREADABLE = "R102" "file-unreadable" Error;
    /// The file holds no heading line.
    FILE_EMPTY = "R103" "file-empty" Error;
    /// The file holds bytes that no text holds. It is not a text export, or it was damaged on the way.
    FILE_BINARY = "R104" "file-binary" Error;
    /// The file is not in the encoding that the mapping declares. Reading on would garble the headings, and the unit stands in the heading.
    FILE_ENCODING = "R105" "file-encoding" Error;
    /// A column that the mapping names is not among the headings of the file.
    COLUMN_MISSING = "R106" "column-not-found" Error;
    /// A heading that the mapping names stands over two columns of the file, so that nobody can say which is meant.
    HEADING_TWICE = "R107" "heading-twice" Error;
    /// A quotation mark opens and is closed only after further rows, or never. The rows between would vanish into one cell.
    QUOTE_OPEN = "R108" "quote-not-closed" Error;
    /// A row has more or fewer cells than the heading. Its values may stand under the wrong names, so it is not used.
    ROW_WIDTH = "R109" "row-wrong-width" Error;
    /// The file has headings and no rows.
    NO_ROWS = "R110" "no-rows" Warning;
    /// Two files are equal byte for byte. They are read, and count once.
    FILE_TWICE = "R111" "file-twice" Note;
    /// The headings stand again inside the file, as after a restart of the logger. That row is no reading.
    HEADING_AGAIN = "R112" "heading-again" Note;
    /// More files than one run can hold.
    TOO_MANY_FILES = "R113" "too-many-files" Error;
    /// A packed file or workbook is cut off, damaged, or unpacks to more than any record holds. Nothing of it is used, for what is missing could be the rows that matter.
    PACKED = "R114" "packed-file-damaged" Error;
    /// A workbook has several sheets that hold something, or none of the name that is given. Reading another sheet than the one that is meant would judge another lot.
    SHEET = "R115" "sheet-not-known" Error;
    /// The file does not end with the mark that the mapping declares. It was cut off, and what is missing could be the rows that matter.
    NOT_ENDED = "R116" "file-not-ended" Error;
    /// A heading holds none of the serial numbers that the mapping knows, so that nobody can say which instrument recorded it.
    SERIAL = "R117" "serial-unknown" Error;
    /// A row names a reading that the mapping does not know, in a file with one reading a row. It is not used.
    NAME_UNKNOWN = "R118" "reading-not-mapped" Note;
    /// The file changed while it was read. What was read is neither what it was nor what it is now, so nothing is verified by it.
    FILE_CHANGED = "R119" "file-changed" Error;

    /// The date and time of a row cannot be read in the declared format. The row cannot be placed and shows nothing.
    TIME_UNREADABLE = "R201" "time-unreadable" Error;
    /// The local time never was: the clock had been put forward over it. The file was written in another zone than the one declared, or changed afterwards.
    TIME_NEVER = "R202" "time-never-was" Error;
    /// The local time was there twice, because the clock was put back. The row could be either and shows nothing until the mapping settles it.
    TIME_TWICE = "R203" "time-twice" Warning;
    /// The mapping does not say how dates are written. 03/10 is the third of October or the tenth of March; a guess would judge the wrong lots.
    FORMAT_MISSING = "R204" "time-format-missing" Error;
    /// No day in the file is later than the 12th, so nothing in it proves that day and month stand in the declared order.
    ORDER_UNPROVED = "R205" "date-order-unproved" Note;
    /// Rows step back in time. They were put in order by their times.
    OUT_OF_ORDER = "R206" "rows-out-of-order" Note;

    /// A cell that should hold a number holds something else. It is no reading and breaks the trace where it stands, for an unknown code is not evidence.
    NOT_A_NUMBER = "R301" "number-unreadable" Warning;
    /// A cell holds a number with another decimal or thousands mark than the mapping declares. 74,5 read as 745 would pass a lower limit.
    DECIMAL_MARK = "R302" "decimal-mark" Error;
    /// A code that the mapping declares as a broken probe. It is no reading and breaks the trace.
    BROKEN_CODE = "R303" "broken-code" Note;
    /// A value outside the range that the mapping declares as possible. It is no reading and breaks the trace.
    OUT_OF_RANGE = "R304" "value-out-of-range" Warning;
    /// One trace has two values at one instant. The reading becomes the interval that holds both.
    TWO_VALUES = "R305" "two-values-at-once" Warning;
    /// One trace has the same value at the same instant more than once. It counts once.
    REPEATED = "R306" "reading-repeated" Note;
    /// A word that is not among the declared answers. It shows nothing.
    ANSWER_UNKNOWN = "R307" "answer-unknown" Warning;
    /// A row lacks a cell without which it shows nothing, such as the lot, the sample or the instrument.
    CELL_BLANK = "R308" "cell-blank" Warning;

    /// A record names a lot that the lots register does not hold. Its readings belong to no product that anyone can find.
    LOT_UNKNOWN = "R401" "lot-unknown" Error;
    /// One register has the same lot code in two rows. The rows are taken together; where they differ, the point in question is left open.
    LOT_TWICE = "R402" "lot-twice" Warning;
    /// One event of one lot has two times. The event is left out, for a record that contradicts itself shows nothing.
    EVENT_TWICE = "R403" "event-twice" Error;
    /// One lot has two products or two quantities. Neither is used.
    LOT_DIFFERS = "R404" "lot-differs" Error;

    /// A file that nobody has described can be read in two ways that do equally well, or in none. It is not read: a person must say how its cells are parted.
    DIALECT = "R501" "dialect-doubtful" Error;
    /// A row is not written as the others are: a quotation mark stands where none belongs, it goes on in the next line, it is cut off, or it holds signs that no sound export holds.
    ROW_WRITTEN = "R502" "row-badly-written" Error;
    /// A cell is of another kind than the others of its column, as when a sign between cells was lost and another gained. A row can be wrong and still have the right number of cells.
    CELL_KIND = "R503" "cell-of-another-kind" Warning;
    /// Other headings stand inside the table. What stands below them may mean something else.
    OTHER_HEADINGS = "R504" "other-headings" Error;
    /// A line of the file is not in the table: it stands before the headings, below the last row, or is empty.
    ROW_ASIDE = "R505" "row-set-aside" Note;
    /// A line is longer, or has more cells, than any record has. The file is not read, so that memory stays bounded.
    LINE_LONG = "R506" "line-too-long" Error;
}
