//! How many places a proof needs, and limits that decide a test by themselves.

use crate::book::{Book, PartId};
use crate::check::{check, enough};
use crate::resolve::resolve;
use crate::span::FileId;
use crate::syntax::parse;

const HEAD: &str = "rulebook tried \"Tried\"\n  edition 1\n  money USD\n\nurgency\n  step fine \"Fine\"\n  step book \"Book\"\n\n\
     hands\n  hand luthier \"A luthier\"\n\ntiers\n  tier job \"Any job\" beyond\n\n\
     part button \"Button\"\n  look gap \"Gap?\" measured in mm from 0 to 8\n\n\
     part crack \"Crack\"\n  places as found\n  look where \"Where?\" one of top, back, rib\n";

fn finding(name: &str, on: &str, signs: &str) -> String {
    format!(
        "\nfinding {name} \"It\"\n  on {on}\n  signs {signs}\n  urgency book\n  hands luthier\n  cost on sight\n  basis \"common practice\"\n"
    )
}

fn book(text: &str) -> Book {
    let resolved = resolve(&[parse(FileId(0), text).tree]);
    resolved.book.unwrap_or_else(|| panic!("{:?}", resolved.diagnostics))
}

/// How many cracks it takes that a finding with these signs holds.
fn cracks(on: &str, signs: &str, holds: bool) -> u32 {
    let book = book(&format!("{HEAD}{}", finding("tried", on, signs)));
    enough::holds(&book, &book.findings[0], holds).places(PartId(1), 0)
}

#[test]
fn what_is_asked_of_places_says_how_many_it_takes() {
    assert_eq!(cracks("button", "gap is above 1 mm", true), 0);
    assert_eq!(cracks("button", "any crack with (where is top)", true), 1);
    assert_eq!(cracks("button", "any crack with (where is top)", false), 0);
    assert_eq!(cracks("button", "no crack with (where is top)", true), 0);
    assert_eq!(cracks("button", "no crack with (where is top)", false), 1);
    assert_eq!(cracks("button", "at least 2 crack with (where is top) and any crack with (where is back)", true), 3);
    assert_eq!(cracks("button", "any crack with (where is top) or any crack with (where is back)", true), 1);
    assert_eq!(cracks("button", "not (any crack with (where is top))", true), 0);
    assert_eq!(cracks("each crack", "where is top", true), 1);
}

fn slugs(text: &str) -> Vec<&'static str> {
    check(&book(text), text).into_iter().map(|diagnostic| diagnostic.slug).filter(|slug| *slug != "gap").collect()
}

#[test]
fn cracks_at_two_places_are_two_cracks() {
    let both = "any crack with (where is top) and any crack with (where is back) and any crack with (where is rib)";
    assert_eq!(slugs(&format!("{HEAD}{}", finding("both", "crack", both))), ["look-unread"]);
    let one = "any crack with (where is top and where is back)";
    assert_eq!(slugs(&format!("{HEAD}{}", finding("one", "crack", one))), ["look-unread", "never"]);
}

#[test]
fn more_cracks_than_are_written_out_are_not_claimed_to_be_never() {
    let many = "at least 2 crack with (where is top) and at least 9 crack with (where is back)";
    assert_eq!(slugs(&format!("{HEAD}{}", finding("many", "crack", many))), ["look-unread"]);
}

#[test]
fn an_unless_may_be_met_by_another_crack() {
    let signs = "any crack with (where is top)\n  unless any crack with (where is back)";
    assert_eq!(slugs(&format!("{HEAD}{}", finding("one", "crack", signs))), ["look-unread"]);
}

/// What is told of the one sign of a finding on the button, up to the comma.
fn told(sign: &str) -> Vec<(&'static str, String)> {
    let text = format!("{HEAD}{}", finding("tried", "button", &format!("{sign} or any crack with (where is top)")));
    let told = check(&book(&text), &text).into_iter().filter(|diagnostic| text[diagnostic.span.range()] == *sign);
    told.map(|diagnostic| (diagnostic.slug, diagnostic.says)).collect()
}

#[test]
fn a_limit_at_the_end_of_the_range_is_told_as_the_cause() {
    let goes = "`button.gap` goes from 0 to 8 mm, so this sign of `tried` is";
    assert_eq!(told("gap is above 8 mm"), [("threshold-outside-look", format!("{goes} never met."))]);
    assert_eq!(told("gap is below 0 mm"), [("threshold-outside-look", format!("{goes} never met."))]);
    assert_eq!(told("gap is from 9 to 12 mm"), [("threshold-outside-look", format!("{goes} never met."))]);
    assert_eq!(told("gap is at least 0 mm"), [("sign-always", format!("{goes} always met."))]);
    assert_eq!(told("gap is at most 8 mm"), [("sign-always", format!("{goes} always met."))]);
    assert_eq!(told("gap is at least 8 mm"), []);
    assert_eq!(told("gap is above 0 mm"), []);
}

/// A finding that costs this, and goods of this price.
fn priced(signs: &str, price: &str) -> Vec<(&'static str, Option<String>)> {
    let text =
        format!("{HEAD}{}", finding("tried", "button", signs)).replace("cost on sight", &format!("goods \"Shim\" {price}"));
    let told = check(&book(&text), &text).into_iter().filter(|diagnostic| diagnostic.slug == "price-below-nought");
    told.map(|diagnostic| (diagnostic.slug, diagnostic.witness.map(|witness| witness.record))).collect()
}

#[test]
fn a_price_is_below_nought_where_some_record_brings_it_there() {
    assert_eq!(priced("gap is above 1 mm", "gap / 1 mm * 10 USD").len(), 0);
    assert_eq!(priced("gap is above 1 mm", "gap / 1 mm * 10 USD - 20 USD").len(), 1);
    // Where the finding holds it is nought at the least, whatever the look can show.
    assert_eq!(priced("gap is at least 2 mm", "gap / 1 mm * 10 USD - 20 USD").len(), 0);
    assert_eq!(priced("gap is above 1 mm", "higher of 0 USD and (gap / 1 mm * 10 USD - 20 USD)").len(), 0);
    // Of a range the lower end counts.
    assert_eq!(priced("gap is above 1 mm", "gap / 1 mm * (10 to 20 USD) - 20 USD").len(), 1);
    assert_eq!(priced("gap is at least 2 mm", "gap / 1 mm * (10 to 20 USD) - 20 USD").len(), 0);
    assert_eq!(priced("gap is at least 2 mm", "gap / 1 mm * (8 to 20 USD) - 20 USD").len(), 1);
}
