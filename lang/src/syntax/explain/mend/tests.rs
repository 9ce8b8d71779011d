//! What people write at first, and what the one fix that is offered makes of it.

use crate::diagnostic::{Diagnostic, Fix};
use crate::span::FileId;
use crate::syntax::parse;

fn told(text: &str) -> Diagnostic {
    let mut diagnostics = parse(FileId(0), text).diagnostics;
    assert_eq!(diagnostics.len(), 1, "{text}: {diagnostics:#?}");
    diagnostics.remove(0)
}

fn apply(text: &str, fix: &Fix) -> String {
    let mut text = text.to_owned();
    for edit in fix.edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

/// The text after its fix, which must read.
fn mended(text: &str) -> String {
    let diagnostic = told(text);
    let [fix] = &diagnostic.fixes[..] else { panic!("{text}: {diagnostic:#?}") };
    let after = apply(text, fix);
    assert_eq!(parse(FileId(0), &after).diagnostics, Vec::new(), "{text}: {after}");
    after
}

fn finding(line: &str) -> String {
    format!("finding loose \"Loose\"\n  {line}\n")
}

#[test]
fn signs_and_words_of_plain_speech_in_conditions() {
    for (written, meant) in [
        ("gap > 3 mm", "gap is above 3 mm"),
        ("gap >= 3 mm", "gap is at least 3 mm"),
        ("gap is < 3 mm", "gap is below 3 mm"),
        ("sits == crooked", "sits is crooked"),
        ("sits != crooked", "sits is not crooked"),
        ("sits isn't crooked", "sits is not crooked"),
        ("sits equals crooked", "sits is crooked"),
        ("a && b", "a and b"),
        ("gap above 3 mm", "gap is above 3 mm"),
        ("gap abov 3 mm", "gap is above 3 mm"),
        ("gap is abov 3 mm", "gap is above 3 mm"),
        ("gap is more than 3 mm", "gap is above 3 mm"),
        ("gap greater than 3 mm", "gap is above 3 mm"),
        ("gap is over 3 mm and a", "gap is above 3 mm and a"),
        ("gap under 3 mm", "gap is below 3 mm"),
        ("gap is less than 3 mm", "gap is below 3 mm"),
        ("gap is between 1 and 3 mm", "gap is from 1 to 3 mm"),
        ("gap between 1 and 3 mm", "gap is from 1 to 3 mm"),
        ("sits in crooked, loose", "sits is one of crooked, loose"),
        ("sits is any of crooked, loose", "sits is one of crooked, loose"),
        ("sits is pulling_out_of_it", "sits is pulling-out-of-it"),
        ("any peg slips", "any peg with slips"),
        ("lean is above 3°", "lean is above 3 deg"),
        ("gap is above 1/8 inch", "gap is above 0.125 inch"),
        (": gap is above 3 mm", "gap is above 3 mm"),
        ("gap is not above 3 mm", "gap is at most 3 mm"),
        ("gap is not at least 3 mm and a", "gap is below 3 mm and a"),
        ("gap is not more than 3 mm", "gap is at most 3 mm"),
        ("fitted is after 2026-01-01", "fitted is above 2026-01-01"),
        ("fitted is before 2026-01-01", "fitted is below 2026-01-01"),
        ("marks has no crack", "not marks has crack"),
        ("a and bow.marks has no crack", "a and not bow.marks has crack"),
        ("neither a nor b.c", "not a and not b.c"),
        ("each peg with slips", "every peg with slips"),
        ("some peg with slips", "any peg with slips"),
        ("cost is above 50 % instrument.worth", "cost is above 50 % * instrument.worth"),
        ("cost is above 50 % of instrument.worth", "cost is above 50 % * instrument.worth"),
    ] {
        assert_eq!(mended(&finding(&format!("signs {written}"))), finding(&format!("signs {meant}")));
    }
}

#[test]
fn signs_and_words_of_plain_speech_in_other_clauses() {
    for (written, meant) in [
        ("urgency: book", "urgency book"),
        ("urgency book;", "urgency book"),
        ("urgency book.", "urgency book"),
        ("urgency book when a", "urgency book if a"),
        ("urgency book // soon", "urgency book # soon"),
        ("urgency book -- soon", "urgency book # soon"),
        ("hands a luthier", "hands luthier"),
        ("again 3 months", "again in 3 months"),
        ("yields torn", "yields to torn"),
        ("goods \"Button\" 5–12 USD", "goods \"Button\" 5 to 12 USD"),
        ("goods \"Button\" 5-12 USD", "goods \"Button\" 5 to 12 USD"),
        ("basis common practice", "basis \"common practice\""),
        ("price \"Button\" 5 USD", "goods \"Button\" 5 USD"),
    ] {
        let mended = mended(&finding(written));
        assert_eq!(mended.replace("5  to  12", "5 to 12"), finding(meant));
    }
}

#[test]
fn items_and_their_lines() {
    for (written, meant) in [
        ("finding new one \"New\"", "finding new-one \"New\""),
        ("finding new_one \"New\"", "finding new-one \"New\""),
        ("finding \"The peg slips\"", "finding peg-slips \"The peg slips\""),
        ("finding new \"New\" {", "finding new \"New\""),
        ("rule new \"New\"", "finding new \"New\""),
        ("alter hand h 95 USD per h because we earn more", "alter hand h 95 USD per h because \"we earn more\""),
        ("alter hand h 95 USD per hour because \"x\"", "alter hand h 95 USD per h because \"x\""),
        ("alter look p.l yes/no because \"x\"", "alter look p.l yes or no because \"x\""),
        ("part p \"P\"\n  look l \"L\" freely, stiff", "part p \"P\"\n  look l \"L\" one of freely, stiff"),
        ("alter look p.l one of freely or stiff because \"x\"", "alter look p.l one of freely , stiff because \"x\""),
        ("alter look p.l in mm from 0 to 8 because \"x\"", "alter look p.l measured in mm from 0 to 8 because \"x\""),
        (
            "alter look p.l measured in mm from 0 to 8 ± 1 because \"x\"",
            "alter look p.l measured in mm from 0 to 8 give or take 1 because \"x\"",
        ),
        ("alter step s in 3 days because \"x\"", "alter step s within 3 days because \"x\""),
        ("alter tier t to 200 USD because \"x\"", "alter tier t up to 200 USD because \"x\""),
        ("tiers\n  tier t \"T\" 60 to 200 USD", "tiers\n  tier t \"T\" up to 200 USD"),
        ("finding f \"F\"\n  becomes torn odds 20 %", "finding f \"F\"\n  left becomes torn odds 20 %"),
        (
            "part p \"P\"\n  look l \"L\" one of freely, stiff\n  good is freely",
            "part p \"P\"\n  look l \"L\" one of freely, stiff\n  good freely",
        ),
        ("// a comment", "# a comment"),
        ("; a comment", "# a comment"),
        ("end", ""),
        (
            "part p \"P\"\nlook a \"A\" yes or no\n how \"See.\"\ngood yes",
            "part p \"P\"\n  look a \"A\" yes or no\n how \"See.\"\n  good yes",
        ),
        (
            "counsel c \"C\"\n  tell \"One line\n    and one more\n    and the last\"",
            "counsel c \"C\"\n  tell \"One line\"\n    \"and one more\"\n    \"and the last\"",
        ),
        ("counsel c \"C\"\n  when gap is above 0.5\"", "counsel c \"C\"\n  when gap is above 0.5 inch"),
        ("counsel c \"C\"\n  when any of\n    * a\n    * b", "counsel c \"C\"\n  when any of\n    - a\n    - b"),
        ("counsel c \"C\"\n  when any of\n    -a\n    -b", "counsel c \"C\"\n  when any of\n    - a\n    - b"),
        ("example \"x\"\n  record not a.b\n  refused", "example \"x\"\n  record a.b is no\n  refused"),
        ("example \"x\"\n  record a.b = 3 mm\n  refused", "example \"x\"\n  record a.b is 3 mm\n  refused"),
        ("example \"x\"\n  record a.b is 3 mm and a.c\n  refused", "example \"x\"\n  record a.b is 3 mm, a.c\n  refused"),
        (
            "example \"x\"\n  record a.k is d and a.b and a.c is 3 mm\n  refused",
            "example \"x\"\n  record a.k is d, a.b, a.c is 3 mm\n  refused",
        ),
    ] {
        assert_eq!(mended(written), meant);
    }
}

#[test]
fn where_there_is_no_one_fix_the_help_says_what_to_do() {
    for (written, help) in [
        ("signs sits is pulling out", "Write a name of several words with hyphens: `pulling-out`."),
        ("signs gap is 3 mm", "Compare a number with `is above`"),
        ("signs gap is not 3 mm", "Compare a number with `is above`"),
        ("signs button sits", "Write a look of another part with a point, `button.sits`, or a name"),
        (
            "signs exactly 2 peg with slips",
            "Write `at least 2 peg with …`; where more are not meant, `and not at least 3 peg with …`",
        ),
        ("signs at most 2 peg with slips", "Write `not at least 3 peg with …`."),
        ("signs inspected-on is above 20.11.2026", "Write it like `2026-11-20`."),
        ("signs gap is above $3", "Write a sum as a number and the code of its money"),
        ("cost 40 USD", "Write what it costs as its `work` and its `goods`"),
        ("work 0.5 h", "how long it takes stands with the step itself"),
        ("goods 5 USD", "Say what it is, and then what it costs."),
        ("hands player, luthier", "Write only one here."),
        ("goods each", "Write its words in double quotes before `each`."),
        ("signs\n    - a\n    - b", "Write `all of`, `any of` or `at least 2 of` before the bullets."),
    ] {
        let diagnostic = told(&finding(written));
        assert!(diagnostic.help.contains(help), "{written}: {}", diagnostic.help);
        assert!(diagnostic.fixes.len() != 1, "{written}: {:?}", diagnostic.fixes);
    }
}
