//! What the canonical layout does to small texts, rule by rule.

use super::{Tidied, tidy};
use crate::span::FileId;
use crate::syntax::parse;

/// Lays a text out, twice to see that it stays.
#[track_caller]
fn becomes(text: &str, wanted: &str) {
    let once = tidy(text);
    assert_eq!(once, wanted, "laid out:\n{once}");
    assert_eq!(tidy(&once), once, "laid out twice");
}

/// A text that is as it should be.
#[track_caller]
fn stays(text: &str) {
    becomes(text, text);
}

#[test]
fn an_item_and_its_clauses() {
    becomes(
        "finding   button-unseated   \"It is loose\"\n\ton each   button\n signs any of\n  -   gap is above 0.2 mm\n  -\tsits is   one of crooked ,pulling-out\n   urgency   book\n   yields   to crack-top , crack-back\n   left becomes block-torn odds 20 % within 12 months\n  goods \"Button\" 5 to 12 USD\n  again in 3 months\n",
        "\
finding button-unseated \"It is loose\"
  on       each button
  signs    any of
    - gap is above 0.2 mm
    - sits is one of crooked, pulling-out
  urgency  book
  yields to crack-top, crack-back
  left     becomes block-torn  odds 20 %  within 12 months
  goods    \"Button\"  5 to 12 USD
  again    in 3 months
",
    );
}

#[test]
fn what_belongs_to_a_look_a_place_or_a_way_stands_deeper() {
    becomes(
        "part peg \"Peg\"\n  only when instrument.kind is violin\n  how \"Turn it.\"\n  place C \"The C peg\" only when instrument.kind is one of viola,cello\n  place long-one \"The long one\"\n  only when any of\n  - a.b\n  - a.c\n  look turns \"How?\" one of smoothly, slips \"It slips\"\n  how \"Turn it.\"\n  good smoothly\n  look slipped \"Did it?\" yes or no\n",
        "\
part peg \"Peg\"
  only when instrument.kind is violin
  how   \"Turn it.\"
  place C         \"The C peg\"  only when instrument.kind is one of viola, cello
  place long-one  \"The long one\"
    only when any of
      - a.b
      - a.c
  look turns    \"How?\"     one of smoothly, slips \"It slips\"
    how   \"Turn it.\"
    good  smoothly
  look slipped  \"Did it?\"  yes or no
",
    );
    becomes(
        "finding crack \"A crack\"\n  hands luthier\n  way glued \"Glue it\"\n  work glue-crack\n  way left-alone \"Watch it\"\n  cost nothing\n",
        "\
finding crack \"A crack\"
  hands    luthier
  way glued \"Glue it\"
    work   glue-crack
  way left-alone \"Watch it\"
    cost   nothing
",
    );
}

#[test]
fn ladders_tables_and_works_are_lined_up() {
    becomes(
        "urgency\n  step fine \"Nothing\"\n  step mention \"Mention it\" within 6 months\n  step halt \"Do not play\" at once, not to be played\ntable slow \"Bench time\" by instrument.kind, peg.place\n  row cello, C 1.5\n  row any, any 2 to 3\nwork a \"Short\" 1 h once\n  includes bcd\nwork bcd \"Rather longer\" 15 to 20 USD each\n\nwork e \"In another group\" 2 h * slow by luthier once\n",
        "\
urgency
  step fine     \"Nothing\"
  step mention  \"Mention it\"   within 6 months
  step halt     \"Do not play\"  at once, not to be played

table slow \"Bench time\" by instrument.kind, peg.place
  row cello, C  1.5
  row any, any  2 to 3

work a    \"Short\"          1 h           once
  includes bcd
work bcd  \"Rather longer\"  15 to 20 USD  each

work e  \"In another group\"  2 h * slow by luthier  once
",
    );
}

#[test]
fn a_part_that_is_not_there_keeps_its_column() {
    becomes(
        "part peg \"Peg\"\n  place G \"The G peg\"\n  place E only when a.b is c\n  place A \"The A\" only when a.b\npart b \"B\"\n  place G\n  place E, only when a.b is c\n",
        "\
part peg \"Peg\"
  place G  \"The G peg\"
  place E           only when a.b is c
  place A  \"The A\"  only when a.b

part b \"B\"
  place G
  place E,  only when a.b is c
",
    );
}

#[test]
fn a_line_that_would_become_too_long_is_left_out_of_lining_up() {
    let long = "x".repeat(86);
    stays(&format!(
        "part p \"P\"\n  look a    \"A?\"    yes or no\n  look bcd  \"BCD?\"  yes or no\n  look e  \"{long}\"  yes or no\n"
    ));
}

#[test]
fn one_blank_line_between_items_and_never_two() {
    becomes(
        "\n\n\nrulebook a \"A\"\n\n\n  edition 1\n\n  money USD\nreckon a \"A\" as 1\nreckon b \"B\" as 2\n\n\nreckon c \"C\" as 3\nfinding d \"D\"\n\n\n\n",
        "\
rulebook a \"A\"

  edition      1

  money        USD

reckon a \"A\" as 1
reckon b \"B\" as 2

reckon c \"C\" as 3

finding d \"D\"
",
    );
}

#[test]
fn comments_stay_with_what_they_belong_to() {
    becomes(
        "# The head.\n#Glued to its sign.\n\n# Before the item.\nfinding a \"A\" # beside it\n# Before the clause.\n  on b\n  signs any of\n    # Deeper than the bullet.\n  - b.c\n      # After the bullet.\n  urgency soon    # beside the clause\n      # Deeper than what follows.\n  hands luthier\n    # After the last clause.\n# Before the next item.\nfinding d \"D\"\n  on b\n  # Inside, at the end.\n\n# At the end.\n",
        "\
# The head.
#Glued to its sign.

# Before the item.
finding a \"A\"  # beside it
  # Before the clause.
  on       b
  signs    any of
      # Deeper than the bullet.
    - b.c
    # After the bullet.
  urgency  soon  # beside the clause
    # Deeper than what follows.
  hands    luthier
  # After the last clause.

# Before the next item.
finding d \"D\"
  on       b
  # Inside, at the end.

# At the end.
",
    );
}

#[test]
fn a_comment_inside_a_list_stays_inside() {
    stays(
        "\
example \"e\"
  record   a.b is c,  # the first
           # Alone between two.
           a.d is e
           # After the last.
  finds    f
",
    );
}

#[test]
fn what_its_author_broke_stays_broken() {
    becomes(
        "rulebook a \"A\"\n  notice \"One.\"\n  \"Two.\"\nexample \"e\"\n  record a.b,\n  a.c\n  finds f\nalter finding x\n  because \"One.\"\n  \"Two.\"\npart p \"P\"\n  look l \"L?\"\n  one of a,\n  b\n  good a\n",
        "\
rulebook a \"A\"
  notice       \"One.\"
               \"Two.\"

example \"e\"
  record   a.b,
           a.c
  finds    f

alter finding x
  because \"One.\"
          \"Two.\"

part p \"P\"
  look l  \"L?\"
    one of a,
      b
    good  a
",
    );
}

#[test]
fn long_lines_are_broken_where_the_language_allows() {
    let choice = "a-rather-long-choice-of-a-look";
    becomes(
        &format!("part p \"P\"\n  look l \"What?\" one of {choice}, {choice}-2, {choice}-3, {choice}-4\n"),
        &format!("part p \"P\"\n  look l  \"What?\"\n    one of {choice}, {choice}-2, {choice}-3,\n      {choice}-4\n"),
    );
    let reason = "r".repeat(70);
    becomes(
        &format!("without finding a-finding-of-the-standard because \"{reason}\"\n"),
        &format!("without finding a-finding-of-the-standard\n  because \"{reason}\"\n"),
    );
}

#[test]
fn what_is_too_long_is_carried_to_the_next_line_of_a_list() {
    let look = "instrument.something-rather-long is so";
    becomes(
        &format!("example \"e\"\n  record {look}-1, {look}-2, {look}-3,\n    the rest is good\n"),
        &format!("example \"e\"\n  record   {look}-1, {look}-2,\n           {look}-3, the rest is good\n"),
    );
}

#[test]
fn a_line_is_not_broken_before_a_word_that_would_begin_a_clause() {
    let long = "x".repeat(90);
    // `first` begins a clause of a finding.
    stays(&format!("finding a \"A\"\n  work     {long}-1, first, first\n"));
    becomes(
        &format!("finding a \"A\"\n  work {long}-1, first, work-2\n"),
        &format!("finding a \"A\"\n  work     {long}-1, first,\n           work-2\n"),
    );
}

#[test]
fn texts_numbers_and_signs_are_never_changed() {
    stays("reckon a \"A  b\\\" , ( #c\" as 1/2 * (b + 0.50) - wood-moisture(a.b, 20 degC)\n");
    stays("example \"e\"\n  record   owner.name is \"a  (b ,c\", owner.note is (a ,b)\n");
    becomes("finding a \"A\"\n  signs not(a.b)and( c.d or e )\n", "finding a \"A\"\n  signs    not (a.b) and (c.d or e)\n");
}

#[test]
fn what_cannot_be_read_stays_byte_for_byte() {
    let broken = "finding  b   \"B\"\n     on  button\t\n\n\n  signs gap  is abov 0.2 mm # so\n   urgency   book\n";
    let text = format!("finding  a \"A\"\n  on  x\n{broken}\n\n\nfinding  c \"C\"\n on x\n");
    let wanted = format!("finding a \"A\"\n  on       x\n{broken}\nfinding c \"C\"\n  on       x\n");
    becomes(&text, &wanted);
    let at = |text: &str| text.find("finding  b").map(|at| vec![at]).unwrap_or_default();
    assert_eq!(Tidied::new(&text).left(), at(&text));
    becomes("  edition  1\nrulebook  a \"A\"\n", "  edition  1\nrulebook a \"A\"\n");
    assert_eq!(Tidied::new("  edition  1\n").left(), [0]);
}

#[test]
fn line_ends_are_those_of_the_first_line() {
    becomes(
        "\u{feff}rulebook a \"A\"\r\n  edition 1\n  money USD",
        "rulebook a \"A\"\r\n  edition      1\r\n  money        USD\r\n",
    );
    becomes("rulebook a \"A\"\n  edition 1\r\n", "rulebook a \"A\"\n  edition      1\n");
    becomes("", "");
    becomes("# only a comment", "# only a comment\n");
}

#[test]
fn only_the_items_that_are_touched_are_laid_out() {
    let text = "finding  a \"A\"\n  on x\n\nfinding  b \"B\"\n  on x\n\nfinding  c \"C\"\n  on x\n";
    let tidied = Tidied::new(text);
    let at = text.find("finding  b").unwrap_or_default();
    let edits = tidied.edits(at..at);
    assert_eq!(edits.len(), 1);
    assert_eq!(edits[0].text, "\nfinding b \"B\"\n  on       x\n");
    assert_eq!(tidied.edits(at..text.len()).len(), 2);
    let mut whole = text.to_owned();
    for edit in tidied.edits(0..text.len()).iter().rev() {
        whole.replace_range(edit.span.range(), &edit.text);
    }
    assert_eq!(whole, tidy(text));
    assert!(Tidied::new(&whole).was_tidy() && Tidied::new(&whole).edits(0..whole.len()).is_empty());
}

#[test]
fn places_are_forgotten_and_nothing_else() {
    let tree = |text: &str| parse(FileId(0), text).tree;
    let text = "finding a \"A\"\n  signs gap is above 0.2 mm and not (b.c or found d)\n  urgency book if e.f is g\n";
    assert!(tree(text).says_as(&tree(&text.replace(' ', "  "))));
    for (one, other) in
        [("0.2", "0.20"), ("mm", "cm"), ("above", "below"), ("not (", "("), ("found d", "found c"), ("is g", "is not g")]
    {
        assert!(text.contains(one));
        assert!(!tree(text).says_as(&tree(&text.replace(one, other))), "{one} and {other} are not the same");
    }
    assert!(!tree(text).says_as(&tree("")));
}
