//! The inspection sheet as it is asked for.

use crate::bench::{Bench, code, err, out};

/// A rulebook in which much depends on which instrument it is.
const TWO: &str = include_str!("two.purfle");

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("two.purfle", TWO.as_bytes());
    bench
}

#[test]
fn only_what_may_apply_is_asked() {
    let bench = bench();
    let sheet = |arguments: &[&str]| {
        let output = bench.purfle(&[&["sheet", "two.purfle"], arguments].concat());
        assert_eq!(code(&output), 0, "{}", err(&output));
        out(&output)
    };
    let all = sheet(&[]);
    for asked in ["Tail button", "End pin", "E peg", "C peg", "Does it slip?", "How far does the bridge lean?"] {
        assert!(all.contains(asked), "{asked}");
    }
    let viola = sheet(&["--for", "Viola"]);
    assert!(viola.contains("Tail button") && viola.contains("C peg"));
    for not_asked in ["End pin", "E peg", "Does it slip?"] {
        assert!(!viola.contains(not_asked), "{not_asked}");
    }
    let cello = sheet(&["--for", "instrument.kind=cello"]);
    assert!(cello.contains("End pin") && cello.contains("Does it slip?") && !cello.contains("Tail button"));
}

#[test]
fn what_cannot_be_chosen_is_told_with_what_can() {
    let bench = bench();
    for (chosen, words) in [
        ("voila", "no context has a choice `voila`; the nearest is `viola`; there are violin, viola, cello (instrument.kind)"),
        ("small", "2 looks have a choice `small`: write instrument.size=small or owner.hand=small"),
        ("instrument.size=vast", "no context has a choice `vast`"),
    ] {
        let output = bench.purfle(&["sheet", "two.purfle", "--for", chosen]);
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains(words), "{}", err(&output));
        assert_eq!(out(&output), "");
    }
}

#[test]
fn a_file_is_written_once() {
    let bench = bench();
    assert_eq!(code(&bench.purfle(&["sheet", "two.purfle", "--out", "sheet.html"])), 0);
    let again = bench.purfle(&["sheet", "two.purfle", "--out", "sheet.html"]);
    assert_eq!(code(&again), 2);
    assert!(err(&again).contains("--force"), "{}", err(&again));
    assert_eq!(code(&bench.purfle(&["sheet", "nowhere.purfle"])), 2);
    bench.write("broken.purfle", b"rulebook broken\n");
    assert_eq!(code(&bench.purfle(&["sheet", "broken.purfle"])), 1);
}

#[test]
fn nothing_in_a_rulebook_is_markup() {
    let bench = Bench::new();
    let hostile =
        TWO.replace("Does it slip?", "<img src=x onerror=alert(1)> & does it slip?").replace("Tail button", "</h2><script>");
    bench.write("hostile.purfle", hostile.as_bytes());
    let page = out(&bench.purfle(&["sheet", "hostile.purfle"]));
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let tree = roxmltree::Document::parse_with_options(&page, options).expect("a well-formed page");
    assert!(tree.descendants().all(|node| !node.has_tag_name("script") && !node.has_tag_name("img")));
    let texts: Vec<&str> = tree.descendants().filter(|node| node.is_text()).filter_map(|node| node.text()).collect();
    for shown in ["<img src=x onerror=alert(1)> & does it slip?", "</h2><script>"] {
        assert!(texts.iter().any(|text| text.contains(shown)), "{shown}");
    }
}

#[test]
fn everything_that_is_asked_has_room_for_an_answer() {
    let page = out(&bench().purfle(&["sheet", "two.purfle", "--for", "violin"]));
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let tree = roxmltree::Document::parse_with_options(&page, options).expect("a well-formed page");
    let part = |wanted: &str| {
        let parts = tree.descendants().filter(|node| node.attribute("class") == Some("part"));
        let words = |node: roxmltree::Node<'_, '_>| {
            let texts: String = node.descendants().filter(|node| node.is_text()).filter_map(|node| node.text()).collect();
            texts.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        parts.map(|node| (words(node), node)).find(|(words, _)| words.contains(wanted)).expect("the part")
    };
    let boxes = |node: roxmltree::Node<'_, '_>| {
        node.descendants().filter(|node| node.attribute("class").is_some_and(|class| class.starts_with("tick"))).count()
    };
    // What was chosen is ticked already: three kinds, two sizes, and a box for what could not be told with each.
    let (words, node) = part("Which instrument is it?");
    assert!(words.contains("violin viola cello ?"), "{words}");
    assert_eq!(boxes(node), 7);
    assert_eq!(node.descendants().filter(|node| node.attribute("class") == Some("tick ticked")).count(), 1);
    let (words, _) = part("Tail button");
    for told in
        ["Slide a card along the collar.", "Care: Do not lever with it.", "0 to 8 mm, to be read give or take 0.2 mm", "all good"]
    {
        assert!(words.contains(told), "{told}: {words}");
    }
    // Two pegs of a violin, two choices and one box more each; and one for the whole part.
    let (words, node) = part("A peg that does not turn is left alone.");
    assert!(words.contains("G peg") && words.contains("E peg") && !words.contains("C peg"), "{words}");
    assert_eq!(boxes(node), 7);
    let (words, _) = part("Cracks");
    assert!(words.contains("looked, and found none. Of more than 3, go on overleaf."), "{words}");
    let (words, _) = part("Bridge");
    assert!(words.contains("Only where \u{201c}Does it stand?\u{201d} is standing."), "{words}");
    assert!(words.contains("Marks of a pencil none ?"), "several may be ticked, or none: {words}");
}
