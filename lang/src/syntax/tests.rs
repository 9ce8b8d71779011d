//! Text to tree: every shape, and every fault in plain words.

use super::shape::{self, ALTERED, ITEMS};
use super::tree::{Cond, CondKind, Doing, Expect, ExprKind, Head, Kind, RecordSays, Says, Tree};
use super::*;
use crate::diagnostic::Fix;

fn read(text: &str) -> Parsed {
    parse(FileId(0), text)
}

fn slugs(parsed: &Parsed) -> Vec<&'static str> {
    parsed.diagnostics.iter().map(|diagnostic| diagnostic.slug).collect()
}

/// A finding with these lines in it, each indented.
fn finding(lines: &str) -> String {
    format!("finding loose \"Loose\"\n{}\n", lines.lines().map(|line| format!("  {line}")).collect::<Vec<_>>().join("\n"))
}

fn signs(condition: &str) -> Cond {
    let parsed = read(&finding(&format!("signs {condition}")));
    assert_eq!(slugs(&parsed), Vec::<&str>::new(), "{condition}: {:?}", parsed.diagnostics);
    match &parsed.tree.items[0].entry.first("signs").map(|clause| &clause.says) {
        Some(Says::Signs(cond)) => cond.clone(),
        other => panic!("{condition}: {other:?}"),
    }
}

fn apply(text: &str, fix: &Fix) -> String {
    let mut text = text.to_owned();
    for edit in fix.edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

/// Every kind of entry with a clause of it, by a text in which the clause stands.
fn in_item(kind: Kind, clause: &str) -> String {
    let line = match kind {
        Kind::Look => "alter look button.gap because \"x\"".to_owned(),
        Kind::Place => "alter place peg.E because \"x\"".to_owned(),
        Kind::Way => format!("finding f \"F\"\n  way patch \"Patch\"\n  {clause}"),
        kind => shape::line(kind).2.to_owned(),
    };
    // `private` and `good` belong to a look.
    let under = if matches!(kind, Kind::Part | Kind::Context) { "\n  look seen \"Seen?\" yes or no" } else { "" };
    if kind == Kind::Way { line } else { format!("{line}{under}\n  {clause}") }
}

#[test]
fn every_shape_that_a_message_shows_reads_and_rubbish_after_it_does_not() {
    for kind in ITEMS.into_iter().chain([Kind::Look, Kind::Place, Kind::Way]) {
        for clause in shape::clauses(kind) {
            let text = in_item(kind, clause.example);
            assert_eq!(slugs(&read(&text)), Vec::<&str>::new(), "{text}");
            if clause.word == "record" {
                // Its values are text here; the look they are said of reads them.
                continue;
            }
            let faults = slugs(&read(&format!("{text} 7 ~")));
            assert_eq!(faults.len(), 1, "{text}: {faults:?}");
        }
    }
    for example in ITEMS.map(|kind| shape::line(kind).2).into_iter().chain(ALTERED.map(|kind| shape::alter(kind).2)) {
        assert_eq!(slugs(&read(example)), Vec::<&str>::new(), "{example}");
        assert_eq!(slugs(&read(&format!("{example} ~"))).len(), 1, "{example}");
    }
    assert_eq!(slugs(&read(shape::WITHOUT.1)), Vec::<&str>::new());
}

#[test]
fn messages_are_in_plain_words() {
    for kind in ITEMS {
        for clause in shape::clauses(kind) {
            let words: Vec<&str> = clause.example.split(' ').collect();
            for end in 1..words.len() {
                for tail in ["", " ~", " 5 5", " \"x\"", " and"] {
                    let text = in_item(kind, &format!("{}{tail}", words[..end].join(" ")));
                    for diagnostic in read(&text).diagnostics {
                        let said = format!("{} {} {}", diagnostic.says, diagnostic.label, diagnostic.help);
                        assert!(!said.contains('_') && !said.contains("EOI"), "{text}: {said}");
                        assert!(text.is_char_boundary(diagnostic.span.end as usize), "{text}");
                    }
                }
            }
        }
    }
}

#[test]
fn the_first_word_of_a_line_decides() {
    let parsed = read(
        "\u{feff}# opens\r\npart work-room \"Room\"\r  look dry \"Dry?\" # is it\n\n# between\n    yes or no\n  work-room-note\n",
    );
    assert_eq!(slugs(&parsed), ["unknown-clause"], "`work-room-note` is no clause and no continuation");
    let part = &parsed.tree.items[0].entry;
    assert_eq!(part.name_text(), "work-room");
    assert!(matches!(part.entries(Kind::Look).next().map(|look| &look.head), Some(Head::Look { kind: Some(_) })));
    assert_eq!(parsed.tree.comments.len(), 3);
    assert_eq!(parsed.tree.comments.iter().filter(|comment| comment.alone).count(), 2);
}

#[test]
fn a_broken_line_costs_its_own_clause_and_the_rest_is_there() {
    let parsed = read(&finding(
        "on button\nsings any of\n  - gap is above 0.2 mm\n  - sits is crooked\nurgency book if gap is abov 3 mm\nhands luthier",
    ));
    assert_eq!(slugs(&parsed), ["unknown-clause", "not-understood"]);
    assert_eq!(parsed.diagnostics[0].fixes[0].edits[0].text, "signs");
    assert_eq!(parsed.diagnostics[1].fixes[0].edits[0].text, "above");
    let entry = &parsed.tree.items[0].entry;
    assert_eq!(entry.clauses.iter().map(|clause| clause.word).collect::<Vec<_>>(), ["on", "signs", "urgency", "hands"]);
    assert!(matches!(entry.first("hands").map(|clause| &clause.says), Some(Says::Hands(_))));
}

#[test]
fn an_item_with_a_broken_line_keeps_its_name() {
    let parsed = read("findng a \"A\"\nwork b \"B\" 3 h twice\n  includes c\npart c\n");
    assert_eq!(slugs(&parsed), ["unknown-item", "not-understood", "not-understood"]);
    let names: Vec<&str> = parsed.tree.items.iter().map(|item| item.entry.name_text()).collect();
    assert_eq!(names, ["a", "b", "c"]);
    assert!(parsed.tree.items.iter().all(|item| item.entry.broken));
    assert!(parsed.tree.items[1].entry.has("includes"));
}

#[test]
fn all_faults_at_once() {
    let mut text = String::new();
    for index in 0..5_000 {
        let urgency = if index % 10 == 0 { "urgncy bok" } else { "urgency book" };
        text.push_str(&format!("finding f{index} \"F\"\n  on button\n  signs gap is above 0.2 mm\n  {urgency}\n"));
    }
    let parsed = read(&text);
    assert_eq!(parsed.diagnostics.len(), 500);
    assert_eq!(parsed.tree.items.len(), 5_000);
}

#[test]
fn mixed_and_or_is_bracketed_by_its_fix() {
    let text = finding("signs a and (b) or c or d and not e");
    let parsed = read(&text);
    assert_eq!(slugs(&parsed), ["mixed-and-or"]);
    let mended = apply(&text, &parsed.diagnostics[0].fixes[0]);
    assert_eq!(mended, finding("signs (a and (b)) or c or (d and not e)"));
    assert_eq!(slugs(&read(&mended)), Vec::<&str>::new());
}

#[test]
fn brackets_hold_values_and_conditions() {
    assert!(matches!(signs("((a + b) * 2) is above (3 mm - 1 mm)").kind, CondKind::Compare { .. }));
    assert!(matches!(signs("((a is x) or (b))").kind, CondKind::Any(tests) if tests.len() == 2));
    assert!(matches!(signs("not (a and b)").kind, CondKind::Not(_)));
    assert!(matches!(signs("any peg with (slips and not turns is stiff)").kind, CondKind::Places { .. }));
    assert!(matches!(signs("days from fitted to inspected-on is above 365 days").kind, CondKind::Compare { .. }));
    assert!(matches!(signs("x is from 1 mm to lower of a and 3 mm and y").kind, CondKind::All(tests) if tests.len() == 2));
    for (wrong, slug) in [
        ("(a and b) * 2 is above 3", "condition-in-value"),
        ("a + b", "not-a-condition"),
        ("a + b is crooked", "choice-of-a-value"),
        ("gap -1 is above 3", "minus-without-spaces"),
        ("gap is above 0,35 mm", "number-with-comma"),
        ("gap > 3 mm", "not-understood"),
        ("gap is “loose”", "not-a-straight-quote"),
        ("all of", "bullets-missing"),
    ] {
        assert_eq!(slugs(&read(&finding(&format!("signs {wrong}")))), [slug], "{wrong}");
    }
}

#[test]
fn nesting_ends_at_64_brackets_and_is_quick_far_beyond() {
    let nested = |deep: usize| finding(&format!("signs {}a{}", "(".repeat(deep), ")".repeat(deep)));
    assert_eq!(slugs(&read(&nested(64))), Vec::<&str>::new());
    for deep in [65, 10_000] {
        let text = nested(deep);
        let parsed = read(&text);
        assert_eq!(slugs(&parsed), ["nested-too-deep"]);
        let start = text.find('(').unwrap_or_default() as u32;
        assert_eq!(parsed.diagnostics[0].span.start, start + 64, "the label is on the bracket that is too deep");
    }
    let long = finding(&format!("signs {}a is above 3", "a + ".repeat(5_000)));
    assert_eq!(slugs(&read(&long)), ["nested-too-deep"]);
    let open = finding(&format!("signs {}", "lower of (".repeat(64)));
    assert_eq!(slugs(&read(&open)), ["bracket-not-closed"]);
}

#[test]
fn a_line_of_many_bytes_has_one_message() {
    let text = finding(&format!("signs {}a", "a and ".repeat(1_000_000)));
    let parsed = read(&text);
    assert_eq!(slugs(&parsed), ["too-long"]);
    assert!(parsed.diagnostics[0].says.len() < 200);
}

#[test]
fn what_follows_a_way_is_the_ways_own_and_other_clauses_move() {
    let text =
        finding("on button\nway patch \"Patch\"\nwork a\n  tell \"x\"\nbasis \"common practice\"\nway other \"Other\"\nwork b");
    let parsed = read(&text);
    assert_eq!(slugs(&parsed), ["clause-after-way"]);
    let mended = apply(&text, &parsed.diagnostics[0].fixes[0]);
    let again = read(&mended);
    assert_eq!(slugs(&again), Vec::<&str>::new());
    let entry = &again.tree.items[0].entry;
    assert_eq!(entry.clauses.iter().map(|clause| clause.word).collect::<Vec<_>>(), ["on", "basis", "way", "way"]);
    let ways: Vec<usize> = entry.entries(Kind::Way).map(|way| way.clauses.len()).collect();
    assert_eq!(ways, [2, 1]);
}

#[test]
fn how_and_good_belong_to_the_look_above() {
    let parsed = read(
        "part peg \"Peg\"\n  how \"All\"\n  place E \"E\"\n    care \"Thin\"\n  look slips \"Slips?\" yes or no\n    good no\n    private\n",
    );
    assert_eq!(slugs(&parsed), Vec::<&str>::new());
    let part = &parsed.tree.items[0].entry;
    assert_eq!(part.clauses.iter().map(|clause| clause.word).collect::<Vec<_>>(), ["how", "place", "look"]);
    let inside = |kind| part.entries(kind).flat_map(|entry| entry.clauses.iter().map(|clause| clause.word)).collect::<Vec<_>>();
    assert_eq!((inside(Kind::Place), inside(Kind::Look)), (vec!["care"], vec!["good", "private"]));
}

#[test]
fn texts_join_and_escapes_are_read() {
    let parsed = read(&finding("tell \"a \\\"b\\\"\"\n  \"c\\\\d\" # not \"this\"\ntell \"no \\q\"\ntell \"open"));
    assert_eq!(slugs(&parsed), ["unknown-escape", "text-not-closed"]);
    let tells: Vec<&str> = parsed.tree.items[0]
        .entry
        .all("tell")
        .filter_map(|clause| match &clause.says {
            Says::Tell(text) => Some(text.value.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(tells, ["a \"b\" c\\d", "no \\q"]);
}

#[test]
fn numbers_ranges_and_units() {
    let parsed =
        read("work a \"A\" 0.3 to 0.5 h * slowness - 5% once\nwork b \"B\" 15 USD by hand-2 each\nwork c \"C\" table-c each");
    assert_eq!(slugs(&parsed), Vec::<&str>::new());
    let amounts: Vec<_> = parsed
        .tree
        .items
        .iter()
        .filter_map(|item| match &item.entry.head {
            Head::Work { amount: Some(amount), .. } => Some(&amount.kind),
            _ => None,
        })
        .collect();
    let ExprKind::Arithmetic(_, left, right) = amounts[0] else { panic!("{:?}", amounts[0]) };
    let ExprKind::Arithmetic(_, range, _) = &left.kind else { panic!("{left:?}") };
    assert!(matches!(&range.kind, ExprKind::Range(low, high) if low.unit.is_none() && high.unit.is_some()));
    assert!(matches!(&right.kind, ExprKind::Quantity(five) if five.unit.as_ref().is_some_and(|unit| unit.value == "%")));
    assert!(matches!(amounts[2], ExprKind::Path(_)));
}

#[test]
fn editions_are_text_and_reasons_are_asked_for() {
    let parsed = read(
        "rulebook a \"A\"\n  edition 2026.10\n  builds on b edition 1.0-rc from \"b.purfle\"\nwithout look p.l\nalter hand h 9 USD per h because \"r\"\n",
    );
    assert_eq!(slugs(&parsed), ["because-missing"]);
    assert_eq!(parsed.tree.edition().map(|edition| edition.value.as_str()), Some("2026.10"));
    assert_eq!(parsed.tree.builds_on().map(|parent| parent.edition.value.as_str()), Some("1.0-rc"));
    let doing: Vec<&Doing> = parsed.tree.items.iter().map(|item| &item.doing).collect();
    assert!(matches!(doing[2], Doing::Alters { because: Some(reason), .. } if reason.value == "r"));
    assert_eq!(parsed.tree.items[1].entry.owner.as_ref().map(|owner| owner.value.as_str()), Some("p"));
}

#[test]
fn records_are_told_apart_by_their_words() {
    let parsed = read(
        "example \"x\"\n  record a.b is 0.5 mm, # first\n    a.c, owner.pupil is \"A, B\", last a.b is 3 deg, no crack, crack may be more,\n    the rest is good, a is good, a.d not told, endpin does not apply, quoted is 240 USD, crack.1.length is\n    40 mm\n  finds f on 2 at book to halt\n  hands none\n",
    );
    assert_eq!(slugs(&parsed), Vec::<&str>::new(), "{:?}", parsed.diagnostics);
    let entry = &parsed.tree.items[0].entry;
    let Some(Says::Record(entries)) = entry.first("record").map(|clause| &clause.says) else { panic!("{entry:?}") };
    assert_eq!(entries.len(), 12);
    assert!(matches!(&entries[2].says, RecordSays::Is(_, value) if value.value == "\"A, B\""));
    assert!(
        matches!(&entries[11].says, RecordSays::Is(path, value) if path.text() == "crack.1.length" && value.value == "40 mm")
    );
    assert!(matches!(entry.first("finds").map(|clause| &clause.says), Some(Says::Expect(Expect::Finding { at: Some(_), .. }))));
    assert_eq!(slugs(&read("example \"x\"\n  record a.b is 1,,\n  finds nothing else\n")), ["record-entry", "record-entry"]);
    assert_eq!(slugs(&read("example \"x\"\n  record a.b is 1 mm\n    a.c is 2 mm\n")), ["record-entry"]);
}

#[test]
fn mangled_texts_end_in_messages() {
    let text = include_str!("../../../rulebooks/first-look.purfle");
    let whole = read(text);
    assert_eq!(slugs(&whole), Vec::<&str>::new());
    // A plain generator: the same texts on every machine.
    let mut seed = 0x2026_u64;
    let mut next = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below.max(1)
    };
    let lines: Vec<&str> = text.lines().collect();
    let scraps = ["\"", "(", ")", "- ", "# ", "\u{a0}", "é", "0,5", "not ", "\r", "\t", "alter ", "\u{0}", ",", "signs", "\\"];
    for _ in 0..400 {
        let start = next(lines.len());
        let mut piece = lines[start..(start + 30).min(lines.len())].join("\n");
        for _ in 0..1 + next(6) {
            let mut at = next(piece.len());
            while !piece.is_char_boundary(at) {
                at -= 1;
            }
            match next(3) {
                0 => piece.truncate(at),
                1 => piece.insert_str(at, scraps[next(scraps.len())]),
                _ => drop(piece.drain(at..piece[at..].char_indices().nth(next(9)).map_or(piece.len(), |(by, _)| at + by))),
            }
        }
        let parsed = read(&piece);
        inside(&parsed.tree, piece.len());
        for diagnostic in &parsed.diagnostics {
            let spans = std::iter::once(diagnostic.span).chain(diagnostic.places.iter().map(|place| place.span));
            let edits = diagnostic.fixes.iter().flat_map(|fix| fix.edits.iter().map(|edit| edit.span));
            for span in spans.chain(edits) {
                assert!(piece.get(span.range()).is_some(), "{span:?} in {piece:?}");
            }
            assert!(!diagnostic.says.is_empty() && !diagnostic.says.contains('_'), "{piece:?}: {}", diagnostic.says);
        }
    }
}

fn inside(tree: &Tree, length: usize) {
    for item in &tree.items {
        assert!(item.entry.span.end as usize <= length && item.entry.line.end <= item.entry.span.end);
        for clause in &item.entry.clauses {
            assert!(clause.span.start >= item.entry.span.start && clause.span.end <= item.entry.span.end);
        }
    }
}
