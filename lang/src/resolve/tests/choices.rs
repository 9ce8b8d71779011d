//! Tests of looks: each kind of look has its own.

use super::*;

#[test]
fn choices_are_those_of_that_look() {
    says(&signs("state is wornn"), &[("unknown-choice", "wornn")]);
    fix_settles(&signs("state is wornn"));
    // A choice of another look is none of this one.
    says(&signs("state is dents"), &[("unknown-choice", "dents")]);
    says(&signs("turns is maybe"), &[("unknown-choice", "maybe")]);
    says(&signs("turns is no"), &[]);
}

#[test]
fn a_choice_may_be_found_by_its_words() {
    let part = "part saddle \"Saddle\"\n  look sits \"How?\" one of firm, up \"Lifting at one end\"\n";
    let text = finding("  on saddle\n  signs sits is \"Lifting at one end\"");
    fix_settles(&format!("{part}{text}"));
}

#[test]
fn each_kind_of_look_has_its_own_test() {
    says(&signs("state"), &[("cannot-stand-alone", "state")]);
    says(&signs("gap"), &[("cannot-stand-alone", "gap")]);
    says(&signs("state has worn"), &[("wrong-test", "state has worn")]);
    says(&signs("marks is dents"), &[("wrong-test", "marks is dents")]);
    says(&signs("marks has any of dents, scratches"), &[]);
    says(&signs("gap is worn"), &[("wrong-test", "gap is worn")]);
    says(&signs("note is worn"), &[("wrong-test", "note is worn")]);
    says(&signs("fitted is none"), &[]);
    says(&signs("fitted is not none"), &[]);
    says(&signs("fitted is worn"), &[("wrong-test", "fitted is worn")]);
    says(&signs("state is above 3"), &[("wrong-kind", "state")]);
    says(&signs("turns is above 3"), &[("wrong-kind", "turns")]);
}

#[test]
fn counts_of_conditions_are_possible() {
    let text = finding("  on nut\n  signs at least 3 of\n    - turns\n    - state is worn");
    says(&text, &[("outside-range", "3")]);
}

#[test]
fn totals_belong_in_a_counsel() {
    says(&signs("total urgency is halt"), &[("total-outside-counsel", "total urgency is halt")]);
    says(&signs("instrument.worth is below total cost"), &[("total-outside-counsel", "total cost")]);
    let counsel = |when: &str| format!("counsel more \"More\"\n  when {when}\n  tell \"Ask.\"\n");
    says(&counsel("total urgency is at least soon and total cost is above instrument.worth"), &[]);
    says(&counsel("total urgency is one of fine, halt"), &[]);
    says(&counsel("total tier is from low to high"), &[]);
    says(&counsel("total urgency is above halt"), &[("off-the-ladder", "halt")]);
    says(&counsel("total urgency is haltt"), &[("unknown-name", "haltt")]);
    says(&counsel("total tier is from high to low"), &[("range-backward", "high to low")]);
}

#[test]
fn choices_that_are_joined_are_one_test_or_two() {
    for (written, meant) in [
        ("instrument.kind is cello and bass", "instrument.kind is one of cello, bass"),
        ("marks has dents or scratches", "marks has any of dents, scratches"),
        ("marks has dents and scratches", "marks has dents and marks has scratches"),
        ("turns and marks has dents and scratches", "turns and marks has dents and marks has scratches"),
        ("marks is dents or scratches", "marks has any of dents, scratches"),
        ("marks is scratches", "marks has scratches"),
        ("marks is not scratchs", "not marks has scratches"),
        ("marks is none", "not marks has any of dents, scratches"),
    ] {
        let text = signs(written);
        assert!(mended(&text).ends_with(&signs(meant)), "{written}");
        fix_settles(&text);
    }
}

#[test]
fn brackets_hold_what_is_asked_of_a_place() {
    let text = signs("any peg with turns is stiff or wear is above 1 mm or gap is above 1 mm");
    says(&text, &[("unknown-name", "wear")]);
    assert!(mended(&text).ends_with(&signs("any peg with (turns is stiff or wear is above 1 mm) or gap is above 1 mm")));
    fix_settles(&text);
    // What has a look of that name in hand is asked of that.
    says(&signs("any peg with wear is above 1 mm or turns"), &[]);
}
