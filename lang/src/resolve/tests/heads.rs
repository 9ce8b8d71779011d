//! The rulebook's head and its ladders.

use super::*;

/// What is said of [`HEAD`] with one text of it replaced.
#[track_caller]
fn says_with(from: &str, to: &str, expected: &[(&str, &str)]) {
    assert!(HEAD.contains(from));
    let text = HEAD.replace(from, to);
    let said = said_of(&text);
    let said: Vec<(&str, &str)> = said.iter().map(|(slug, text)| (*slug, text.as_str())).collect();
    assert_eq!(said, expected, "{text}");
}

#[test]
fn the_money_is_a_currency() {
    says_with("USD\n\nurgency", "XYZ\n\nurgency", &[("unknown-money", "XYZ")]);
    says_with("  money   USD\n", "", &[("no-money", "trial")]);
    says_with("  edition 1\n", "", &[("clause-missing", "trial")]);
}

#[test]
fn the_language_is_a_tag() {
    says_with("  edition 1\n", "  edition 1\n  language \"en-GB\"\n", &[]);
    says_with("  edition 1\n", "  edition 1\n  language \"the Queen's\"\n", &[("unknown-language", "\"the Queen's\"")]);
}

#[test]
fn the_least_charge_is_money() {
    says_with("  money   USD\n", "  money   USD\n  least charge 40 mm\n", &[("unit-mismatch", "40 mm")]);
    says_with("  money   USD\n", "  money   USD\n  least charge 40\n", &[("unit-missing", "40")]);
}

#[test]
fn graver_is_not_slower() {
    says_with("at once, not to be played", "within 8 days, not to be played", &[("ladder-order", "halt")]);
    says_with("within 7 days", "", &[]);
    says_with("at once, not to be played", "not to be played", &[("ladder-order", "halt")]);
    says_with("\"Nothing to do\"", "\"Nothing to do\" not to be played", &[("ladder-order", "fine"), ("ladder-order", "soon")]);
}

#[test]
fn months_and_days_are_compared_by_the_calendar() {
    says_with("at once, not to be played", "within 1 months, not to be played", &[("ladder-order", "halt")]);
    // Every month is longer than a week.
    says_with("\"Nothing to do\"", "\"Nothing to do\" within 1 months", &[]);
}

#[test]
fn dearer_comes_after_cheaper() {
    says_with(
        "tier high \"High\" beyond",
        "tier mid \"Mid\" up to 90 USD\n  tier high \"High\" beyond",
        &[("ladder-order", "mid")],
    );
    says_with("tier high \"High\" beyond", "tier high \"High\" up to 900 USD", &[("ladder-order", "high")]);
    says_with("up to 100 USD", "beyond", &[("ladder-order", "low")]);
    says_with("up to 100 USD", "up to 100 mm", &[("unit-mismatch", "100 mm")]);
}

#[test]
fn a_rulebook_has_three_ladders() {
    says_of("# Nothing yet.\n", &[("no-rulebook", "")]);
    says_of("rulebook bare \"Bare\"\n  edition 1\n  money USD\n", &[("no-ladder", "bare"); 3]);
}

#[track_caller]
fn says_of(text: &str, expected: &[(&str, &str)]) {
    let said = said_of(text);
    let said: Vec<(&str, &str)> = said.iter().map(|(slug, text)| (*slug, text.as_str())).collect();
    assert_eq!(said, expected, "{text}");
}
