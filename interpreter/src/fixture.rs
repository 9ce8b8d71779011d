//! A small book for the tests of this crate: one of each kind of part, look and item that a report has to show.

use std::sync::Arc;

use purfle_lang::book::{
    Aid, Arrow, Book, Choice, Condition, Cost, Counsel, Finding, FindingId, Hand, HandId, Look, LookId, LookKind, Origin, Part,
    PartId, Place, Places, Step, StepId, Tier, UrgencyLine, Way, Within,
};
use purfle_lang::number::Number;
use purfle_lang::span::Span;
use purfle_lang::unit::{Currency, Duration, Unit};

/// The book, which is invented and small.
pub fn book() -> Arc<Book> {
    let mut book = Book {
        name: "small".to_owned(),
        title: "A small rulebook".to_owned(),
        edition: "2026.1".to_owned(),
        keeper: Some("Alder Row strings outreach".to_owned()),
        notices: vec!["A first look is not a diagnosis. A luthier has the last word.".to_owned()],
        ..Book::blank(Currency::parse("USD").expect("a currency of ISO 4217"))
    };
    ladders(&mut book);
    parts(&mut book);
    findings(&mut book);
    Arc::new(book)
}

fn ladders(book: &mut Book) {
    let steps = [
        ("fine", "Nothing to do", Within::Whenever),
        ("book", "Book a luthier", Within::Duration(Duration::Days(30))),
        ("halt", "Do not play", Within::AtOnce),
    ];
    for (name, words, within) in steps {
        let not_played = name == "halt";
        book.steps.push(Step { name: name.into(), words: words.into(), within, not_played, origin: Origin::default() });
    }
    for (name, words, rate) in [("player", "The player", None), ("luthier", "A luthier", Some(Number::from_integer(85)))] {
        book.hands.push(Hand { name: name.into(), words: words.into(), rate, origin: Origin::default() });
    }
    for (name, words, up_to) in [("bench", "Bench job", Some(Number::from_integer(200))), ("major", "Major repair", None)] {
        book.tiers.push(Tier { name: name.into(), words: words.into(), up_to, origin: Origin::default() });
    }
}

fn parts(book: &mut Book) {
    let mm = || LookKind::Measured {
        unit: Unit::Mm,
        from: Number::from_integer(0),
        to: Number::from_integer(80),
        give_or_take: Some(Number::new(1, 5)),
    };
    let degrees = LookKind::Measured {
        unit: Unit::DegC,
        from: Number::from_integer(-10),
        to: Number::from_integer(45),
        give_or_take: None,
    };
    let one_of = |names: &[&str]| LookKind::OneOf(choices(names));
    let pegs = Places::Fixed(["G", "D", "A", "E"].map(place).to_vec());
    add(book, "instrument", Places::Single, vec![("kind", one_of(&["violin", "viola"])), ("strung", LookKind::YesNo)]);
    add(book, "room", Places::Single, vec![("temperature", degrees)]);
    add(book, "button", Places::Single, vec![("gap", mm()), ("sits", one_of(&["straight", "crooked", "pulling-out"]))]);
    add(book, "peg", pegs, vec![("turns", one_of(&["smooth", "stuck"]))]);
    add(book, "crack", Places::AsFound, vec![("length", mm()), ("note", LookKind::Written)]);
    add(book, "varnish", Places::Single, vec![("marks", LookKind::SomeOf(choices(&["rosin", "print"])))]);
    add(book, "owner", Places::Single, vec![("pupil", LookKind::Written)]);
    let sits = book.find_look(PartId(2), "sits").expect("a look");
    book.looks[sits.index()].how = Some("Look from the side; do not lever it.".to_owned());
    book.looks[sits.index()].care = Some("Keep your face out of the line of the strings.".to_owned());
    let pupil = book.looks.len() - 1;
    book.looks[pupil].private = true;
    for context in [0, 1, 6] {
        book.parts[context].context = true;
    }
}

fn choices(names: &[&str]) -> Vec<Choice> {
    names.iter().map(|name| Choice { name: (*name).to_owned(), words: (*name).to_owned() }).collect()
}

fn place(name: &str) -> Place {
    Place { name: name.to_owned(), words: format!("the {name} peg"), only_when: None, how: None, care: None }
}

fn add(book: &mut Book, name: &str, places: Places, looks: Vec<(&str, LookKind)>) {
    let part = PartId::from_index(book.parts.len());
    let mut ids = Vec::new();
    for (look, kind) in looks {
        ids.push(LookId::from_index(book.looks.len()));
        book.looks.push(Look::plain(look, part, &format!("How is its {look}?"), kind));
    }
    book.parts.push(Part {
        name: name.to_owned(),
        words: format!("The {name}"),
        context: false,
        apart: false,
        only_when: None,
        places,
        looks: ids,
        how: None,
        care: None,
        origin: Origin::default(),
    });
    book.part_names.insert(name.to_owned(), part);
}

fn findings(book: &mut Book) {
    let finding = |name: &str, words: &str, on: u32, each: bool| Finding {
        name: name.to_owned(),
        words: words.to_owned(),
        on: PartId(on),
        each,
        signs: Condition::Any(Vec::new()),
        unless: Vec::new(),
        urgency: vec![UrgencyLine { step: StepId(1), when: None, span: Span::default() }],
        hands: HandId(1),
        cost: Cost::default(),
        ways: Vec::new(),
        becomes: Vec::new(),
        again: None,
        yields_to: Vec::new(),
        first: Vec::new(),
        tell: Vec::new(),
        refer: Vec::new(),
        care: Vec::new(),
        basis: Vec::new(),
        origin: Origin::default(),
    };
    let way = |name: &str, words: &str| Way {
        name: name.to_owned(),
        words: words.to_owned(),
        hands: HandId(1),
        cost: Cost::default(),
        tell: Vec::new(),
        refer: Vec::new(),
    };
    let odds = Some(Number::new(1, 5));
    let torn = Arrow { to: FindingId(1), odds, within: Some(Duration::Months(12)), span: Span::default() };
    book.findings = vec![
        Finding {
            becomes: vec![torn],
            first: vec!["Leave the strings alone and ask, if the button is moving.".to_owned()],
            tell: vec!["A small job now. All the string tension hangs on this one piece.".to_owned()],
            refer: vec!["See whether the hole has to be bushed.".to_owned()],
            ways: vec![way("refit", "Refit the button"), way("replace", "Fit a new button")],
            ..finding("button-unseated", "The button is not seated against the rib", 2, false)
        },
        finding("block-torn", "The lower block is torn", 2, false),
        finding("peg-stuck", "The peg does not turn", 3, true),
        finding("crack-open", "A crack is open", 4, true),
    ];
    for (at, finding) in book.findings.iter().enumerate() {
        book.finding_names.insert(finding.name.clone(), FindingId::from_index(at));
    }
    book.counsels = vec![Counsel {
        name: "ask-first".to_owned(),
        words: "Ask for a price before anything is done".to_owned(),
        when: Condition::All(Vec::new()),
        tell: vec!["The repair may cost more than the instrument is worth.".to_owned()],
        first: Vec::new(),
        basis: Vec::new(),
        origin: Origin::default(),
    }];
    book.aids = vec![Aid {
        name: "row-fund".to_owned(),
        words: "Alder Row repair fund".to_owned(),
        who: None,
        covers_above: None,
        covers: Vec::new(),
        pays: Number::new(1, 2),
        cap: None,
        family_pays: None,
        not_beyond: None,
        needs: vec![LookId(0)],
        origin: Origin::default(),
    }];
}
