//! A page for each kind of diagnostic, for whoever wrote the rulebook: what it says, why it matters, an example that is
//! wrong and one that is better, and how it is mended.
//!
//! `lang/pages/README.md` says how a page is written.

/// The slugs with their pages.
macro_rules! pages {
    ($($slug:literal)*) => { &[$(($slug, include_str!(concat!("../pages/", $slug, ".md")))),*] };
}

/// All pages, in the order of the alphabet.
const PAGES: &[(&str, &str)] = pages![
    "alter-idle"
    "altered-twice"
    "always"
    "bad-seal"
    "bad-value"
    "because-missing"
    "before-first-item"
    "below-nought"
    "bracket-not-closed"
    "bracket-not-opened"
    "builds-on-circle"
    "builds-on-nothing"
    "builds-on-too-deep"
    "bullet-without-clause"
    "bullets-missing"
    "bullets-without-head"
    "cannot-reckon"
    "cannot-stand-alone"
    "care-missing"
    "cheaper-than-included"
    "cheaper-than-places"
    "choice-alone"
    "choice-of-a-value"
    "circle-in-found"
    "circle-in-includes"
    "circle-in-left"
    "circle-in-only-when"
    "circle-in-reckonings"
    "circle-in-yields"
    "clause-after-way"
    "clause-missing"
    "clause-out-of-place"
    "clause-twice"
    "condition-in-value"
    "cost-beside-ways"
    "cost-twice"
    "divided-by-nought"
    "edition-differs"
    "entry-twice"
    "example-left-out"
    "example-twice"
    "finer-than-reading"
    "fraction-before-unit"
    "gap"
    "good-found"
    "hands-less-skilled"
    "includes-unproved"
    "item-indented"
    "ladder-order"
    "ladder-too-long"
    "line-idle"
    "look-changes-kind"
    "look-unread"
    "minus-in-range"
    "minus-without-spaces"
    "mixed-and-or"
    "money-differs"
    "name-taken"
    "name-twice"
    "name-with-capitals"
    "nested-too-deep"
    "never"
    "no-basis"
    "no-cost"
    "no-ladder"
    "no-money"
    "no-place-in-hand"
    "no-places"
    "no-plain-urgency"
    "no-rate"
    "no-rulebook"
    "no-such-day"
    "not-a-bullet"
    "not-a-condition"
    "not-a-straight-quote"
    "not-constant"
    "not-indented"
    "not-understood"
    "not-whole"
    "number-skipped"
    "number-too-large"
    "number-with-comma"
    "off-the-ladder"
    "only-when-not-plain"
    "other-money"
    "outside-look"
    "outside-range"
    "overlap"
    "parent-differs"
    "parent-not-found"
    "part-unused"
    "places-twice"
    "price-below-nought"
    "quiet-error"
    "quiet-nothing"
    "quiet-reason"
    "raise-idle"
    "range-backward"
    "range-not-constant"
    "range-on-the-left"
    "range-turned"
    "rate-unused"
    "record-entry"
    "refused-and-more"
    "row-ambiguous"
    "row-missing"
    "row-twice"
    "rulebook-twice"
    "seal-differs"
    "shadow"
    "sign-always"
    "sign-never"
    "small-word-as-name"
    "still-used"
    "text-not-closed"
    "threshold-outside-look"
    "tied-together"
    "too-few-choices"
    "too-fine"
    "too-large"
    "too-long"
    "too-many-combinations"
    "total-outside-counsel"
    "unit-mismatch"
    "unit-missing"
    "unknown-choice"
    "unknown-clause"
    "unknown-escape"
    "unknown-item"
    "unknown-language"
    "unknown-money"
    "unknown-name"
    "unknown-unit"
    "unless-idle"
    "unused"
    "when-never"
    "wrong-count"
    "wrong-kind"
    "wrong-test"
    "wrong-unit"
];

/// The page of a slug, in Markdown; none for a slug that no diagnostic carries.
pub fn page(slug: &str) -> Option<&'static str> {
    let at = PAGES.binary_search_by(|(known, _)| known.cmp(&slug)).ok()?;
    PAGES.get(at).map(|(_, page)| *page)
}

/// How the page of a warning ends.
const WARNING: &str = "It is a warning; the rulebook runs without it.";

/// Whether a slug is that of a warning; none for a slug that no diagnostic carries.
pub fn is_warning(slug: &str) -> Option<bool> {
    let last = page(slug)?.rsplit("\n\n").next().unwrap_or_default();
    Some(last.split_whitespace().collect::<Vec<_>>().join(" ").ends_with(WARNING))
}

/// All slugs, in the order of the alphabet.
pub fn slugs() -> impl Iterator<Item = &'static str> {
    PAGES.iter().map(|(slug, _)| *slug)
}

#[cfg(test)]
mod tests {
    use super::{is_warning, page, slugs};

    #[test]
    fn every_slug_is_found() {
        assert!(slugs().is_sorted(), "the pages are looked up by halves, so they stand in order");
        assert!(slugs().all(|slug| page(slug).is_some()));
        assert_eq!(page("unknown-nam"), None);
    }

    #[test]
    fn warnings_are_told_from_errors() {
        let known = ["no-basis", "quiet-nothing", "unknown-name", "unknown-nam"].map(is_warning);
        assert_eq!(known, [Some(true), Some(true), Some(false), None]);
    }
}
