//! What people write before they know the language: signs and words, and what they mean here.

use crate::syntax::scan;

/// Words that say that something is greater.
pub(super) const MORE: [&str; 11] =
    ["more", "greater", "larger", "bigger", "higher", "longer", "wider", "over", "exceeds", "after", "later"];

/// Words that say that something is less.
pub(super) const LESS: [&str; 9] = ["less", "smaller", "lower", "fewer", "shorter", "narrower", "under", "before", "earlier"];

/// What stands after `is not`, longer ones first, and the comparison that says it without.
pub(super) const NOT: [(&str, &str); 10] = [
    ("more than", "at most"),
    ("greater than", "at most"),
    ("less than", "at least"),
    ("at least", "below"),
    ("at most", "above"),
    ("above", "at most"),
    ("below", "at least"),
    ("over", "at most"),
    ("after", "at most"),
    ("before", "at least"),
];

/// Words that count places, and those by which the language does.
pub(super) const COUNTS: [(&str, &str); 4] = [("each", "every"), ("all", "every"), ("some", "any"), ("none", "no")];

/// Signs, longer ones first, and what they may mean.
pub(super) const SIGNS: [(&str, &[&str]); 46] = [
    ("y/n", &["yes or no"]),
    ("Y/N", &["yes or no"]),
    ("true/false", &["yes or no"]),
    ("true or false", &["yes or no"]),
    ("Yes or No", &["yes or no"]),
    ("Yes/No", &["yes or no"]),
    ("oui ou non", &["yes or no"]),
    ("ja oder nein", &["yes or no"]),
    ("an hour", &["per h"]),
    ("per hour", &["per h"]),
    ("/hour", &[" per h"]),
    (">=", &["is at least", "at least"]),
    ("=>", &["is at least", "at least"]),
    ("≥", &["is at least", "at least"]),
    ("<=", &["is at most", "at most"]),
    ("=<", &["is at most", "at most"]),
    ("≤", &["is at most", "at most"]),
    ("<>", &["is not", "not"]),
    ("!=", &["is not", "not"]),
    ("≠", &["is not", "not"]),
    ("==", &["is"]),
    ("=", &["is", "as"]),
    (">", &["is above", "above"]),
    ("<", &["is below", "below"]),
    ("&&", &["and"]),
    ("&", &["and"]),
    ("||", &["or"]),
    ("|", &["or"]),
    ("!", &["not "]),
    ("+/-", &["give or take"]),
    ("+-", &["give or take"]),
    ("±", &["give or take"]),
    ("/", &[" or ", " per "]),
    ("–", &[" to "]),
    ("—", &[" to "]),
    ("-", &[" to "]),
    ("°C", &[" degC"]),
    ("°F", &[" degF"]),
    ("°", &[" deg"]),
    ("isn't", &["is not"]),
    ("isn’t", &["is not"]),
    ("aren't", &["is not"]),
    ("aren’t", &["is not"]),
    ("×", &["*"]),
    ("÷", &["/"]),
    ("·", &["*"]),
];

/// Words, and what they may mean, the likeliest first.
pub(super) const INSTEAD: [(&str, &[&str]); 40] = [
    ("a", &["1"]),
    ("an", &["1"]),
    ("any of", &["one of"]),
    ("all", &["each"]),
    ("every", &["each"]),
    ("either", &["one of"]),
    ("equal to", &["is", ""]),
    ("equals", &["is"]),
    ("in", &["is one of", "within", "on"]),
    ("by", &["within"]),
    ("contains", &["has"]),
    ("includes", &["has"]),
    ("having", &["with"]),
    ("where", &["with", "if"]),
    ("when", &["if"]),
    ("and", &[","]),
    ("or", &[","]),
    ("plus", &["+"]),
    ("minus", &["-"]),
    ("times", &["*"]),
    ("hour", &["h"]),
    ("hours", &["h"]),
    ("hr", &["h"]),
    ("one", &["1"]),
    ("two", &["2"]),
    ("three", &["3"]),
    ("immediately", &["at once"]),
    ("now", &["at once"]),
    ("boolean", &["yes or no"]),
    ("bool", &["yes or no"]),
    ("choice", &["one of"]),
    ("choices", &["one of"]),
    ("list", &["one of"]),
    ("number", &["counted", "measured"]),
    ("count", &["counted"]),
    ("text", &["written"]),
    ("date", &["dated"]),
    ("money", &["priced"]),
    ("above", &["beyond"]),
    ("over", &["beyond"]),
];

/// Words that stand after a text and begin none.
pub(super) const AFTER_TEXT: [&str; 21] = [
    "within", "at", "not", "up", "beyond", "by", "as", "one", "some", "yes", "measured", "counted", "priced", "dated", "written",
    "only", "because", "apart", "once", "each", "per",
];

/// Small words that the language does without.
pub(super) const ARTICLES: [&str; 10] = ["a", "an", "the", "then", "that", "is", "are", "be", "of", "to"];

/// A name made of the first words of a text.
pub(super) fn slug(text: &str) -> Option<String> {
    let words = text.split(|char: char| !scan::is_word(char)).filter(|word| word.starts_with(char::is_alphabetic));
    let words: Vec<String> =
        words.filter(|word| !ARTICLES.contains(&word.to_lowercase().as_str())).take(3).map(str::to_lowercase).collect();
    (!words.is_empty()).then(|| words.join("-"))
}
