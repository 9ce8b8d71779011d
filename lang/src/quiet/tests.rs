//! What comments quiet, and what is said of those that do not.

use super::{Sifted, quiet};
use crate::diagnostic::Diagnostic;
use crate::span::{FileId, Span};
use crate::syntax::parse;
use crate::syntax::tree::Tree;

const SHOP: &str = "rulebook shop \"Shop\"
  edition 1

part button \"Button\"
  look gap  \"Gap?\" yes or no
  look sits \"Sits?\" one of straight,
    crooked

finding loose \"Loose\"
  on button
  signs any of
    - gap
    - sits is crooked
  urgency soon
  hands luthier
  cost nothing
";

fn span(file: u16, text: &str, at: &str) -> Span {
    let start = text.find(at).unwrap_or_else(|| panic!("`{at}` stands in the text"));
    Span::new(FileId(file), start, start + at.len())
}

/// A warning at each of these places.
fn warned(text: &str, all: &[(&'static str, &str)]) -> Vec<Diagnostic> {
    all.iter().map(|(slug, at)| Diagnostic::warning(slug, span(0, text, at), "Look at it.")).collect()
}

fn sift(text: &str, diagnostics: Vec<Diagnostic>) -> Sifted {
    let tree: Tree = parse(FileId(0), text).tree;
    quiet(&[tree], &[text], diagnostics)
}

fn slugs(sifted: &Sifted) -> Vec<&str> {
    sifted.told.iter().map(|diagnostic| diagnostic.slug).collect()
}

fn reasons(sifted: &Sifted) -> Vec<(&str, &str)> {
    sifted.quieted.iter().map(|quieted| (quieted.diagnostic.slug, quieted.reason.as_str())).collect()
}

/// The text with the first fix of its single diagnostic made.
fn mended(text: &str, sifted: &Sifted) -> String {
    let [diagnostic] = &sifted.told[..] else { panic!("one thing to say, not {:#?}", sifted.told) };
    let mut text = text.to_owned();
    let fix = diagnostic.fixes.first().unwrap_or_else(|| panic!("a fix: {diagnostic:#?}"));
    for edit in fix.edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

#[test]
fn a_comment_above_an_item_or_clause_quiets_it_and_no_other() {
    for (line, reached) in [
        ("finding loose", &["loose \"", "gap\n", "sits is", "soon", "luthier"][..]),
        ("  urgency soon", &["soon"]),
        ("  look gap", &["gap  "]),
        ("    - sits", &["gap\n", "sits is"]),
        ("part button", &["button", "gap  ", "crooked\n\n"]),
    ] {
        let quieting = "# quiet gap because \"nobody asks\"\n";
        let text = SHOP.replacen(line, &format!("{quieting}{line}"), 1);
        let places = ["button", "gap  ", "crooked\n\n", "loose \"", "gap\n", "sits is", "soon", "luthier"];
        let sifted = sift(&text, warned(&text, &places.map(|at| ("gap", at))));
        let quieted: Vec<&str> = sifted.quieted.iter().map(|quieted| &text[quieted.diagnostic.span.range()]).collect();
        assert_eq!(quieted, reached, "{line}");
        assert_eq!(sifted.told.len() + sifted.quieted.len(), places.len(), "{line}: {:#?}", sifted.told);
        assert!(sifted.quieted.iter().all(|quieted| quieted.reason == "nobody asks"));
    }
}

#[test]
fn a_comment_at_the_end_of_a_line_quiets_what_the_line_belongs_to() {
    for (line, at) in [("  urgency soon", "soon"), ("    crooked", "crooked"), ("finding loose \"Loose\"", "luthier")] {
        let text = SHOP.replacen(line, &format!("{line}  # quiet gap because \"nobody \\\"asks\\\"\""), 1);
        let sifted = sift(&text, warned(&text, &[("gap", at), ("overlap", at)]));
        assert_eq!((reasons(&sifted), slugs(&sifted)), (vec![("gap", "nobody \"asks\"")], vec!["overlap"]), "{line}");
    }
}

#[test]
fn comments_may_stand_one_above_the_other() {
    let text = SHOP
        .replace("finding loose", "# quiet gap because \"a\"\n# An ordinary one.\n# quiet overlap because \"b\"\nfinding loose");
    let sifted = sift(&text, warned(&text, &[("gap", "loose \""), ("overlap", "soon")]));
    assert_eq!((reasons(&sifted), slugs(&sifted)), (vec![("gap", "a"), ("overlap", "b")], vec![]));
}

#[test]
fn of_two_the_narrower_one_is_heard() {
    let text = SHOP
        .replace("finding loose", "# quiet gap because \"wide\"\nfinding loose")
        .replace("  urgency soon", "  # quiet gap because \"narrow\"\n  urgency soon");
    let both = sift(&text, warned(&text, &[("gap", "soon"), ("gap", "luthier")]));
    assert_eq!((reasons(&both), slugs(&both)), (vec![("gap", "narrow"), ("gap", "wide")], vec![]));
    let one = sift(&text, warned(&text, &[("gap", "soon")]));
    assert_eq!((reasons(&one), slugs(&one)), (vec![("gap", "narrow")], vec!["quiet-nothing"]));
}

#[test]
fn a_quieting_gives_its_reason() {
    for (comment, mended_to) in [
        ("# quiet gap", None),
        ("# quiet gap because", None),
        ("# quiet gap because \" \"", None),
        ("# quiet gap: \"nobody asks\"", Some("# quiet gap because \"nobody asks\"")),
        ("# quiet gap \"nobody asks\"", Some("# quiet gap because \"nobody asks\"")),
        ("# quiet gap because nobody asks", Some("# quiet gap because \"nobody asks\"")),
        ("# quiet gap because \"a\" or \"b\"", Some("# quiet gap because \"a\\\" or \\\"b\"")),
    ] {
        let text = SHOP.replace("finding loose", &format!("{comment}\nfinding loose"));
        let warned = |text: &str| warned(text, &[("gap", "loose \"")]);
        let sifted = sift(&text, warned(&text));
        assert_eq!((slugs(&sifted), sifted.quieted.len()), (vec!["quiet-reason"], 1), "{comment}: it still quiets");
        assert_eq!(sifted.told[0].fixes.is_empty(), mended_to.is_none(), "{comment}");
        if let Some(mended_to) = mended_to {
            let after = mended(&text, &sifted);
            assert!(after.contains(mended_to), "{comment}: {after}");
            assert_eq!(slugs(&sift(&after, warned(&after))), Vec::<&str>::new(), "{comment}");
        }
    }
}

#[test]
fn a_quieting_of_nothing_is_told_and_can_be_taken_out() {
    for text in [
        SHOP.replace("finding loose", "# quiet no-basis because \"x\"\nfinding loose"),
        SHOP.replace("finding loose \"Loose\"", "finding loose \"Loose\"  # quiet no-basis because \"x\""),
        SHOP.replace("  urgency soon", "  # quiet no-basis because \"x\"\n  urgency soon"),
        SHOP.replace("  urgency soon", "  # quiet no-basis\n  urgency soon"),
    ] {
        let sifted = sift(&text, Vec::new());
        assert_eq!(slugs(&sifted), ["quiet-nothing"]);
        assert!(sifted.told[0].fixes[0].safe);
        assert_eq!(mended(&text, &sifted), SHOP, "the comment is gone, and nothing else");
    }
    let crlf = SHOP.replace("finding loose", "# quiet no-basis because \"x\"\nfinding loose").replace('\n', "\r\n");
    assert_eq!(mended(&crlf, &sift(&crlf, Vec::new())), SHOP.replace('\n', "\r\n"));
}

#[test]
fn the_nearest_warning_is_offered() {
    let text = SHOP.replace("finding loose", "# quiet no-bases because \"x\"\nfinding loose");
    let sifted = sift(&text, warned(&text, &[("no-basis", "loose \"")]));
    assert_eq!(slugs(&sifted), ["quiet-nothing", "no-basis"]);
    let fix = &sifted.told[0].fixes[0];
    assert_eq!((fix.title.as_str(), fix.safe), ("Write `no-basis`", false));
    let unknown = sift(&text, Vec::new());
    assert_eq!(slugs(&unknown), ["quiet-nothing"], "nothing is warned of, and there is no such slug");
    assert_eq!(unknown.told[0].fixes[0].title, "Write `no-basis`");
    let mut text = text;
    text.replace_range(fix.edits[0].span.range(), &fix.edits[0].text);
    assert_eq!(slugs(&sift(&text, warned(&text, &[("no-basis", "loose \"")]))), Vec::<&str>::new());
}

#[test]
fn a_comment_that_belongs_to_nothing_or_elsewhere_says_so() {
    let apart = SHOP.replace("finding loose", "# quiet gap because \"x\"\n\nfinding loose");
    let sifted = sift(&apart, warned(&apart, &[("gap", "loose \"")]));
    assert_eq!(slugs(&sifted), ["quiet-nothing", "gap"]);
    assert!(sifted.told[0].says.contains("directly below"), "{:?}", sifted.told[0]);
    let elsewhere = SHOP.replace("  urgency soon", "  # quiet gap because \"x\"\n  urgency soon");
    let sifted = sift(&elsewhere, warned(&elsewhere, &[("gap", "luthier")]));
    assert_eq!(slugs(&sifted), ["quiet-nothing", "gap"]);
    assert_eq!(sifted.told[0].places[0].span, span(0, &elsewhere, "luthier"));
    assert!(sifted.told.iter().all(|told| told.fixes.iter().all(|fix| !fix.safe)), "the author may have meant the other place");
    let last = format!("{SHOP}# quiet gap because \"x\"");
    assert_eq!(slugs(&sift(&last, Vec::new())), ["quiet-nothing"]);
}

#[test]
fn errors_are_not_quieted_and_keep_the_rest_from_being_judged() {
    let text = SHOP.replace("  urgency soon", "  # quiet unknown-name because \"x\"\n  urgency soon");
    let error = |slug| Diagnostic::error(slug, span(0, &text, "soon"), "There is none.");
    let sifted = sift(&text, vec![error("unknown-name")]);
    assert_eq!((slugs(&sifted), sifted.quieted.len()), (vec!["quiet-error", "unknown-name"], 0));
    assert!(sifted.told[0].says.contains("cannot be quieted"));
    let other = sift(&text, vec![error("no-cost")]);
    assert_eq!(slugs(&other), ["quiet-error", "no-cost"], "it would never be heard");
    let text = SHOP.replace("  urgency soon", "  # quiet no-basis because \"x\"\n  urgency soon");
    let error = Diagnostic::error("no-cost", span(0, &text, "luthier"), "It costs nothing.");
    assert_eq!(slugs(&sift(&text, vec![error])), ["no-cost"], "with errors about, what would have been warned of is not known");
}

#[test]
fn ordinary_comments_stay_ordinary() {
    for comment in
        ["# quiet instruments often hide a crack", "# quiet please", "# quietly", "#quiet", "# Quiet gap because \"x\""]
    {
        let text = SHOP.replace("finding loose", &format!("{comment}\nfinding loose"));
        let sifted = sift(&text, warned(&text, &[("gap", "loose \"")]));
        assert_eq!((slugs(&sifted), sifted.quieted.len()), (vec!["gap"], 0), "{comment}");
    }
}

#[test]
fn an_alter_quiets_what_it_alters() {
    let house = "rulebook house \"House\"\n  edition 1\n  builds on shop edition 1\n\n\
        # quiet gap because \"the house\"\nalter finding loose \"Looser\" because \"x\"\n\
        # quiet overlap because \"a look\"\nalter look button.sits \"How?\" because \"x\"\n";
    let parent = SHOP.replace("  urgency soon", "  # quiet no-basis because \"the parent\"\n  urgency soon");
    let told = [("gap", "luthier"), ("overlap", "crooked\n\n"), ("overlap", "gap  "), ("no-basis", "soon")]
        .map(|(slug, at)| Diagnostic::warning(slug, span(1, &parent, at), "Look at it."));
    let chain = [parse(FileId(0), house).tree, parse(FileId(1), &parent).tree];
    let sifted = quiet(&chain, &[house, &parent], told.to_vec());
    assert_eq!(reasons(&sifted), [("gap", "the house"), ("overlap", "a look"), ("no-basis", "the parent")]);
    assert_eq!(slugs(&sifted), ["overlap"], "the other look is not altered");
    let silent = quiet(&chain, &[house, &parent], Vec::new());
    let untold = |slug: &str| silent.told.iter().any(|told| told.says.contains(slug));
    assert!(!untold("no-basis"));
    assert_eq!(slugs(&silent), ["quiet-nothing", "quiet-nothing"], "what the parent quiets is its author's to look after");
}
