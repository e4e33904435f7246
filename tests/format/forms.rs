//! The one form, case by case: written, and as it is formatted.

use crate::formatted;

/// Compares without the line feed that the literals begin with.
fn becomes(written: &str, form: &str) {
    assert_eq!(formatted(written.trim_start_matches('\n')), form.trim_start_matches('\n'));
}

#[test]
fn blanks_indentation_and_columns() {
    becomes(
        "
product slices   \"Slices\"{
kind ready-to-eat
      description    \"Sliced\"

# on the label
   shelf-life 21   d \"Trial\"
 }
",
        "
product slices \"Slices\" {
  kind         ready-to-eat
  description  \"Sliced\"

  # on the label
  shelf-life  21 d \"Trial\"
}
",
    );
}

#[test]
fn empty_lines() {
    becomes(
        "\n\n\nrole a { }\n\n\n\nrole b {\n\n\n duties \"x\"\n\n}\n\n",
        "role a { }\n\nrole b {\n  duties  \"x\"\n}\n",
    );
    becomes("role a {\n}", "role a { }\n");
    becomes("\u{FEFF}\n", "\u{FEFF}");
    becomes("\u{FEFF}\n\n  #  alone\n\n\n# and again", "\u{FEFF}#  alone\n\n# and again\n");
}

#[test]
fn spellings() {
    becomes(
        "
ccp c at s {
  limit a core ≥ \u{2212}72degC held for 15sec
  limit bb core ≤ 5\u{A0}ºF
  limit ccc dose<=20ug/kg in every sample
  limit d time >= _____ hours
  limit e dose≤20ppm in every sample
}
step s \u{201C}S\u{201D} { does \u{201E}Say \"\"no\"\"\u{201D} }
",
        "
ccp c at s {
  limit a    core >= -72 °C held for 15 s
  limit bb   core <= 5 °F
  limit ccc  dose <= 20 µg/kg in every sample
  limit d    time >= ___ hours
  limit e    dose <= 20 ppm in every sample
}
step s \"S\" { does \"Say \"\"no\"\"\" }
",
    );
}

#[test]
fn brackets_and_dots_have_no_blanks_inside() {
    becomes(
        "parameter p{ unit %;from salt/(  salt+moisture ) }\nproduct q {\n  property w from  dryness.w\n}\n",
        "parameter p { unit %; from salt / (salt + moisture) }\nproduct q {\n  property  w from dryness.w\n}\n",
    );
}

#[test]
fn limits_and_monitoring_make_columns_by_their_word() {
    becomes(
        "
ccp c \"C\" at s {
  number \"CCP 1\"
  limit cold air <= 7 °C
  # a comment between
  limit warm-spell air above 5 °C at a stretch at most 30 min
  operating-limit aim air <= 4 °C
  monitor air every 1 h by r on rec
     \"At the door\"
  monitor wet-bulb every 1 h by r on rec
  verify record-review   within 7 days by r
}
",
        "
ccp c \"C\" at s {
  number  \"CCP 1\"
  limit cold        air <= 7 °C
  # a comment between
  limit warm-spell  air above 5 °C at a stretch at most 30 min
  operating-limit aim  air <= 4 °C
  monitor air       every 1 h by r on rec
                    \"At the door\"
  monitor wet-bulb  every 1 h by r on rec
  verify record-review within 7 days by r
}
",
    );
}

#[test]
fn blocks_on_one_line_make_columns() {
    becomes(
        "
record a \"Short\" { kept for 2 years }
record long-name \"Longer title\" { kept for 2 years }
record b { kept for 2 years }

event cook-start on a \"Door shut\"
event end on long-name
",
        "
record a         \"Short\"        { kept for 2 years }
record long-name \"Longer title\" { kept for 2 years }
record b         { kept for 2 years }

event cook-start on a \"Door shut\"
event end        on long-name
",
    );
}

#[test]
fn names_before_texts_make_a_column() {
    becomes(
        "team {\nleader coordinator \"Food\"\nmember lab \"Tests\"\noutside \"Adviser\" \"Heat\"\n}\n",
        "team {\n  leader   coordinator \"Food\"\n  member   lab         \"Tests\"\n  outside  \"Adviser\" \"Heat\"\n}\n",
    );
}

#[test]
fn what_shares_a_line_goes_on_sharing_it_if_it_fits() {
    becomes(
        "material m { kind raw;allergens soy ,wheat ; }\nstep s {\n  start;  does \"x\"\n}\n",
        "material m { kind raw; allergens soy, wheat }\nstep s {\n  start; does \"x\"\n}\n",
    );
    let long = "a text that fills the line until there is no room left on it for anything that follows";
    becomes(
        &format!("material m {{ kind raw; storage \"{long}\"; allergens soy, wheat }}\n"),
        &format!("material m {{\n  kind       raw\n  storage    \"{long}\"\n  allergens  soy, wheat\n}}\n"),
    );
    becomes(
        &format!("ccp c at s {{\n  limit l all of {{ aaaa <= 1 %; bbbb >= 2 % }} {{ because \"{long}\" }}\n}}\n"),
        &format!(
            "ccp c at s {{\n  limit l  all of {{\n    aaaa <= 1 %\n    bbbb >= 2 %\n  }} {{ because \"{long}\" }}\n}}\n"
        ),
    );
}

#[test]
fn lines_that_run_on() {
    becomes(
        "
step s {
  uses a,   # the first
    # between
   b, c
  does
     \"One \"
         \"two\"
}
",
        "
step s {
  uses  a,  # the first
        # between
        b, c
  does  \"One \"
        \"two\"
}
",
    );
}

#[test]
fn comments_stay_where_they_were() {
    becomes(
        "
# first

    # second
role r \"R\" { # behind the brace
# inside
  trained \"A\" on 2024-01-01 # behind
  duties \"B\"      # behind too
      # last
} # after the brace
# end",
        "
# first

# second
role r \"R\" {  # behind the brace
  # inside
  trained  \"A\" on 2024-01-01  # behind
  duties   \"B\"                # behind too
  # last
}  # after the brace
# end
",
    );
}

#[test]
fn what_cannot_be_read_stays() {
    becomes(
        "
ccp c at s {
    limit   good core >= 7 °C
    limit   bad  core   seven
      frobnicate   3 {
   x
      }
}
stepp   cook   \"Cook\" {
     does   \"x\"
}
   role   lost
",
        "
ccp c at s {
  limit good  core >= 7 °C
  limit   bad  core   seven
  frobnicate   3 {
   x
      }
}
stepp   cook   \"Cook\" {
     does   \"x\"
}
   role   lost
",
    );
    // Nobody knows which brace is missing, so the whole block stays, and the next is formatted.
    becomes(
        "ccp c at s {\n    deviation {\n  hold   \"Tag\"\n\nstep  s  { start }\n",
        "ccp c at s {\n    deviation {\n  hold   \"Tag\"\n\nstep s { start }\n",
    );
}

#[test]
fn line_ends_and_byte_order_mark_stay() {
    becomes("\u{FEFF}role a {\r\nduties \"x\"\r\n}\r\n", "\u{FEFF}role a {\r\n  duties  \"x\"\r\n}\r\n");
    becomes("role a { }\r# old line end\rrole b { }", "role a { }\n# old line end\nrole b { }\n");
}

#[test]
fn a_text_at_the_end_of_a_line_that_is_too_long_goes_below() {
    let long = "the coldest rail, out of the steam jet, where the last load showed the lowest reading";
    becomes(
        &format!("ccp c at s {{\n  monitor core every 1 h by operator on record \"{long}\"\n}}\n"),
        &format!("ccp c at s {{\n  monitor core  every 1 h by operator on record\n                \"{long}\"\n}}\n"),
    );
}
