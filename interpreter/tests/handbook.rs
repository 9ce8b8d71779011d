//! The handbook: everything that the shipped rulebooks say is in both of its forms, at its own place.

use std::collections::BTreeMap;
use std::path::Path;

use pulldown_cmark::{Event, HeadingLevel, Options, Parser, Tag, TagEnd};
use purfle::by_itself::Figures;
use purfle::handbook::document::Block;
use purfle::handbook::{Handbook, handbook, html, markdown};
use purfle::load::{Loaded, load};
use purfle::report::sum;
use purfle_lang::book::{Book, Finding, FindingId, LookId};

use crate::bench::{Bench, code, err, out};

/// A shipped rulebook with its handbook.
struct Shipped {
    loaded: Loaded,
    figures: Figures,
    handbook: Handbook,
}

impl Shipped {
    fn new(name: &str) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks").join(name);
        let mut loaded = load(&path.display().to_string()).expect("a file to read");
        let figures = Figures::judged_by(&mut loaded.ready().expect("a sound rulebook"));
        let book = loaded.book.as_ref().expect("a sound rulebook");
        let handbook = handbook(book, &loaded.trees, &figures);
        Self { loaded, figures, handbook }
    }

    fn book(&self) -> &Book {
        self.loaded.book.as_ref().expect("a sound rulebook")
    }
}

/// Words on one line, with single spaces.
fn flat(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a form shows: headings by their level, each with all that stands below it up to the next one, and the first
/// cells of rows.
#[derive(Default)]
struct Shows {
    headings: Vec<(u8, String, String)>,
    rows: Vec<String>,
}

impl Shows {
    fn of_page(page: &str) -> Self {
        let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
        let tree = roxmltree::Document::parse_with_options(page, options).expect("a well-formed page");
        let mut shows = Self::default();
        let text = |node: roxmltree::Node<'_, '_>| {
            let texts: Vec<&str> = node.descendants().filter(|node| node.is_text()).filter_map(|node| node.text()).collect();
            flat(&texts.concat())
        };
        let main = tree.descendants().find(|node| node.has_tag_name("main")).expect("the main part");
        for node in main.descendants() {
            match node.tag_name().name() {
                "h1" => shows.headings.push((1, text(node), String::new())),
                "h2" => shows.headings.push((2, text(node), String::new())),
                "h3" => shows.headings.push((3, text(node), String::new())),
                "h4" => shows.headings.push((4, text(node), String::new())),
                "th" if node.attribute("scope") == Some("row") => shows.rows.push(text(node)),
                // What a cell or a line holds belongs to the heading above it; pieces of it are not counted again.
                "p" | "li" | "dt" | "td" => {
                    if let Some((.., below)) = shows.headings.last_mut() {
                        below.push_str(&format!("{} ", text(node)));
                    }
                }
                _ => {}
            }
        }
        shows
    }

    fn of_markdown(text: &str) -> Self {
        let mut shows = Self::default();
        let (mut level, mut words, mut columns, mut cells, mut row) = (0, String::new(), 0, 0, Vec::new());
        for event in Parser::new_ext(text, Options::ENABLE_TABLES) {
            match event {
                Event::Start(Tag::Heading { level: at, .. }) => (level, words) = (depth(at), String::new()),
                Event::End(TagEnd::Heading(_)) => {
                    shows.headings.push((level, flat(&words), String::new()));
                    words.clear();
                }
                Event::Start(Tag::Table(alignments)) => columns = alignments.len(),
                Event::Start(Tag::TableHead | Tag::TableRow) => {
                    cells = 0;
                    row.clear();
                }
                Event::Start(Tag::TableCell) => words.clear(),
                Event::End(TagEnd::TableCell) => {
                    cells += 1;
                    row.push(flat(&words));
                }
                Event::End(TagEnd::TableHead) => assert_eq!(cells, columns, "{row:?}"),
                Event::End(TagEnd::TableRow) => {
                    assert_eq!(cells, columns, "every row has a cell for each column: {row:?}");
                    assert!(row.last().is_some_and(|cell| !cell.is_empty()), "none is left over: {row:?}");
                    shows.rows.push(row.first().cloned().unwrap_or_default());
                    let all = row.join(" ");
                    if let Some((.., below)) = shows.headings.last_mut() {
                        below.push_str(&format!("{all} "));
                    }
                }
                Event::Start(Tag::Item | Tag::Paragraph) => {
                    if let Some((.., below)) = shows.headings.last_mut() {
                        below.push(' ');
                    }
                }
                Event::Text(text) | Event::Code(text) => {
                    words.push_str(&text);
                    if let Some((.., below)) = shows.headings.last_mut() {
                        below.push_str(&text);
                    }
                }
                Event::Html(html) | Event::InlineHtml(html) => panic!("HTML in Markdown: {html}"),
                _ => {}
            }
        }
        for (.., below) in &mut shows.headings {
            *below = flat(below);
        }
        shows
    }

    /// What stands below the heading that holds all of these words.
    fn below(&self, level: u8, words: &[&str]) -> &str {
        let holds = |heading: &str| words.iter().all(|word| heading.contains(&flat(word)));
        let found = self.headings.iter().find(|(at, heading, _)| *at == level && holds(heading));
        found.map_or_else(|| panic!("no heading {words:?} of level {level}"), |(.., below)| below)
    }

    fn row(&self, words: &[&str]) -> &str {
        let holds = |row: &&String| words.iter().all(|word| row.contains(&flat(word)));
        self.rows.iter().find(holds).unwrap_or_else(|| panic!("no row {words:?}"))
    }
}

fn depth(level: HeadingLevel) -> u8 {
    match level {
        HeadingLevel::H1 => 1,
        HeadingLevel::H2 => 2,
        HeadingLevel::H3 => 3,
        HeadingLevel::H4 => 4,
        HeadingLevel::H5 | HeadingLevel::H6 => 5,
    }
}

fn says(place: &str, words: &str, of: &str) {
    assert!(place.contains(&flat(words)), "{of}: {words}: {place}");
}

/// All that a finding says stands in its own entry.
fn finding_is_told(book: &Book, figures: &Figures, id: FindingId, finding: &Finding, entry: &str) {
    let name = &finding.name;
    let texts = [&finding.first, &finding.tell, &finding.refer, &finding.care, &finding.basis];
    texts.into_iter().flatten().for_each(|text| says(entry, text, name));
    finding.urgency.iter().for_each(|line| says(entry, &book[line.step].words, name));
    finding.becomes.iter().for_each(|arrow| says(entry, &book[arrow.to].words, name));
    finding.yields_to.iter().for_each(|other| says(entry, &book[*other].words, name));
    says(entry, &book[finding.counted_hands()].words, name);
    let costs = std::iter::once(&finding.cost).chain(finding.ways.iter().map(|way| &way.cost));
    for cost in costs {
        cost.work.iter().for_each(|work| says(entry, &book[*work].words, name));
        cost.goods.iter().for_each(|goods| says(entry, &goods.words, name));
    }
    for way in &finding.ways {
        says(entry, &way.words, name);
        way.tell.iter().chain(&way.refer).for_each(|text| says(entry, text, name));
    }
    finding.origin.changes.iter().for_each(|change| says(entry, &change.because, name));
    let figure = figures.get(id).expect("a finding that can hold");
    let cost = sum(book, &figure.cost);
    let on_sight = figure.cost.and_more && cost.starts_with("0.00");
    says(entry, if on_sight { "known only on sight" } else { &cost }, name);
    if !finding.becomes.is_empty() {
        says(entry, &sum(book, &figure.left), name);
    }
}

/// Every item of a book, at its own place.
fn everything_is_told(shipped: &Shipped, shows: &Shows) {
    let book = shipped.book();
    for step in &book.steps {
        shows.row(&[&step.words, &step.name]);
    }
    for hand in &book.hands {
        shows.row(&[&hand.words, &hand.name]);
    }
    for tier in &book.tiers {
        shows.row(&[&tier.words, &tier.name]);
    }
    for part in &book.parts {
        let below = shows.below(3, &[&part.words, &part.name]);
        let texts = part.fixed_places().iter().map(|place| &place.words).chain(&part.how).chain(&part.care);
        texts.for_each(|text| says(below, text, &part.name));
    }
    for (at, look) in book.looks.iter().enumerate() {
        let path = book.look_path(LookId::from_index(at));
        let row = shows.row(&[&look.question, &path]);
        look.how.iter().chain(&look.care).for_each(|text| says(row, text, &path));
        assert_eq!(row.contains("Personal"), look.private, "{path}");
        let below = shows.below(3, &[&book[look.part].words, &book[look.part].name]);
        look.choices().iter().for_each(|choice| says(below, &choice.words, &path));
    }
    for (at, finding) in book.findings.iter().enumerate() {
        let entry = shows.below(4, &[&finding.words, &finding.name]);
        finding_is_told(book, &shipped.figures, FindingId::from_index(at), finding, entry);
    }
    for work in &book.works {
        shows.row(&[&work.words, &work.name]);
    }
    for table in &book.tables {
        shows.below(3, &[&table.words, &table.name]);
    }
    for reckon in &book.reckons {
        shows.below(3, &[&reckon.words, &reckon.name]);
    }
    for raise in &book.raises {
        let below = shows.below(3, &[&raise.words, &raise.name]);
        raise.on.iter().for_each(|part| says(below, &book[*part].words, &raise.name));
    }
    for counsel in &book.counsels {
        let below = shows.below(3, &[&counsel.words, &counsel.name]);
        let texts = counsel.first.iter().chain(&counsel.tell).chain(&counsel.basis);
        texts.for_each(|text| says(below, text, &counsel.name));
    }
    for aid in &book.aids {
        let below = shows.below(3, &[&aid.words, &aid.name]);
        aid.covers.iter().for_each(|finding| says(below, &book[*finding].words, &aid.name));
    }
    for example in book.examples.iter().chain(&book.inherited_examples) {
        shows.row(&[&example.words]);
    }
    let index = shows.below(2, &["Index of findings by name"]);
    for finding in &book.findings {
        says(index, &format!("{} {}", finding.name, finding.words), "the index");
    }
    let title = shows.below(1, &[&book.title]);
    book.notices.iter().for_each(|notice| says(title, notice, "the title"));
    says(title, &book.edition, "the title");
}

#[test]
fn everything_a_rulebook_says_is_in_both_forms() {
    for name in ["first-look.purfle", "harrow-bench.purfle"] {
        let shipped = Shipped::new(name);
        everything_is_told(&shipped, &Shows::of_page(&html(&shipped.handbook).expect("a page")));
        everything_is_told(&shipped, &Shows::of_markdown(&markdown(&shipped.handbook)));
    }
}

#[test]
fn every_link_leads_somewhere_in_both_forms() {
    let shipped = Shipped::new("harrow-bench.purfle");
    let text = markdown(&shipped.handbook);
    // What renderers make of a heading: letters and digits in small letters, hyphens for spaces, a number where it is there
    // already.
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut anchors = Vec::new();
    for (_, heading, _) in &Shows::of_markdown(&text).headings {
        let kept = |letter: &char| letter.is_alphanumeric() || " -_".contains(*letter);
        let slug = heading.chars().filter(kept).collect::<String>().to_lowercase().replace(' ', "-");
        let count = seen.entry(slug.clone()).or_default();
        anchors.push(if *count == 0 { slug } else { format!("{slug}-{count}") });
        *count += 1;
    }
    let mut links = 0;
    for event in Parser::new_ext(&text, Options::ENABLE_TABLES) {
        if let Event::Start(Tag::Link { dest_url, .. }) = event {
            let anchor = dest_url.strip_prefix('#').expect("a link that stays in the document");
            assert!(anchors.iter().any(|known| known == anchor), "{anchor}");
            links += 1;
        }
    }
    assert!(links > 500, "{links}");

    let page = html(&shipped.handbook).expect("a page");
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let tree = roxmltree::Document::parse_with_options(&page, options).expect("a well-formed page");
    let ids: Vec<&str> = tree.descendants().filter_map(|node| node.attribute("id")).collect();
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "no two places have the same name");
    for link in tree.descendants().filter_map(|node| node.attribute("href")) {
        assert!(link.strip_prefix('#').is_some_and(|id| ids.contains(&id)), "{link}");
    }
}

#[test]
fn the_pictures_have_the_arrows_of_the_book_and_no_other() {
    for name in ["first-look.purfle", "harrow-bench.purfle"] {
        let shipped = Shipped::new(name);
        let book = shipped.book();
        let mut drawn: Vec<(usize, usize, String)> = Vec::new();
        for block in shipped.handbook.chapters.iter().flat_map(|chapter| &chapter.sections).flat_map(|section| &section.blocks) {
            if let Block::Drawing(drawing) = block {
                drawn.extend(drawing.arrows.iter().map(|arrow| {
                    let label = arrow.label.as_ref().map_or_else(String::new, |label| label.words.clone());
                    (arrow.from, arrow.to, label)
                }));
            }
        }
        let percent = |odds: purfle_lang::number::Number| {
            format!("{} %", purfle_lang::number::format_decimal(odds * purfle_lang::number::Number::from_integer(100)))
        };
        let mut wanted: Vec<(usize, usize, String)> = Vec::new();
        for (from, finding) in book.findings.iter().enumerate() {
            for arrow in &finding.becomes {
                let odds = arrow.odds.map(percent);
                let within = arrow.within.map(|within| format!("in {within}"));
                let label = odds.into_iter().chain(within).collect::<Vec<_>>().join(" ");
                wanted.push((from, arrow.to.index(), label));
            }
        }
        assert!(wanted.len() > 20);
        drawn.sort();
        wanted.sort();
        assert_eq!(drawn, wanted, "{name}");
        let page = html(&shipped.handbook).expect("a page");
        assert_eq!(page.matches("<path class=\"arrow\"").count(), wanted.len(), "{name}");
        // The same stands beside it in words.
        let text = markdown(&shipped.handbook);
        let told = text.lines().filter(|line| line.contains(" becomes [")).count();
        assert_eq!(told, wanted.len(), "{name}");
    }
}

#[test]
fn figures_are_those_of_a_finding_by_itself() {
    let shipped = Shipped::new("first-look.purfle");
    let page = Shows::of_page(&html(&shipped.handbook).expect("a page"));
    let entry = page.below(4, &["button-unseated"]);
    for words in [
        "“Gap between the collar and the rib” is above 0.2 mm",
        "Cost by itself 47.50 to 88.50 USD",
        "Cost if left 702.00 to 1321.00 USD",
        "130.90 to 246.50 USD more on average",
        "in 20 % of all cases, within 1 year",
        "Slacken and refit strings, bridge back on its marks (W1): 25.50 to 85.00 USD",
    ] {
        says(entry, words, "button-unseated");
    }
    let crack = page.below(4, &["crack-top-post"]);
    says(crack, "Judged at each place by itself", "crack-top-post");
    says(crack, "The first counts in every figure", "crack-top-post");
}

#[test]
fn what_is_compared_with_the_time_before_has_its_price_too() {
    let bench = Bench::new();
    let text = out(&bench.purfle(&["handbook", "small.purfle", "--as", "markdown"]));
    let shows = Shows::of_markdown(&text);
    // A luthier's 12 to 24 minutes at 85 USD an hour, raised to the least charge.
    says(shows.below(4, &["post-leans-more"]), "Cost by itself: 40.00 USD", "post-leans-more");
    let standard = Shipped::new("first-look.purfle");
    let risen = standard.book().find_finding("string-risen").expect("the finding");
    assert!(standard.figures.get(risen).is_some());
}

#[test]
fn what_a_house_has_changed_is_marked_and_listed() {
    let shipped = Shipped::new("harrow-bench.purfle");
    let book = shipped.book();
    for shows in [Shows::of_page(&html(&shipped.handbook).expect("a page")), Shows::of_markdown(&markdown(&shipped.handbook))] {
        let changes = shows.below(3, &["Changes"]);
        let reasons: Vec<&str> = [
            book.hands.iter().map(|hand| &hand.origin).collect::<Vec<_>>(),
            book.works.iter().map(|work| &work.origin).collect(),
            book.tables.iter().map(|table| &table.origin).collect(),
            book.parts.iter().map(|part| &part.origin).collect(),
            book.findings.iter().map(|finding| &finding.origin).collect(),
        ]
        .concat()
        .into_iter()
        .flat_map(|origin| &origin.changes)
        .map(|change| change.because.as_str())
        .collect();
        assert_eq!(reasons.len(), 12, "every alter of the house");
        reasons.iter().for_each(|because| says(changes, because, "the list"));
        says(shows.row(&["A luthier", "luthier"]), "Changed by harrow-bench (rate): Our bench rate since September. C1", "hands");
        // The new rate has an effect on all that a luthier does, the new time on what asks for that work.
        says(shows.below(4, &["post-fallen"]), "A luthier C1", "post-fallen");
        says(shows.below(4, &["post-fallen"]), "C2", "post-fallen");
        says(shows.below(4, &["soft-bag"]), "New in harrow-bench.", "soft-bag");
        assert!(!shows.below(4, &["post-fallen"]).contains("New in"));
        let dropped = shows.below(3, &["Dropped"]);
        says(dropped, "We measure the neck at every set-up", "what was dropped");
        says(dropped, "projection-high", "what was dropped");
        says(shows.below(3, &["New"]), "Several seams are open at once", "what is new");
        says(shows.below(2, &["House rules"]), "first-look, edition 2026.1", "what it builds on");
        assert!(shows.headings.iter().all(|(_, heading, _)| !heading.contains("projection-high")), "what is dropped is gone");
    }
}

#[test]
fn a_rulebook_that_stands_alone_says_nothing_of_houses() {
    let bench = Bench::new();
    let page = out(&bench.purfle(&["handbook", "small.purfle"]));
    let text = out(&bench.purfle(&["handbook", "small.purfle", "--as", "markdown"]));
    for form in [&page, &text] {
        assert!(!form.contains("House rules") && !form.contains("Changed by"));
    }
    insta::assert_snapshot!(text);
}

#[test]
fn a_handbook_goes_to_a_file_once_and_wants_a_sound_rulebook() {
    let bench = Bench::new();
    let written = bench.purfle(&["handbook", "small.purfle", "--as", "markdown", "--out", "handbook.md"]);
    assert_eq!((code(&written), out(&written).as_str()), (0, ""), "{}", err(&written));
    let again = bench.purfle(&["handbook", "small.purfle", "--out", "handbook.md"]);
    assert_eq!(code(&again), 2);
    assert!(err(&again).contains("--force"), "{}", err(&again));
    let text = std::fs::read_to_string(bench.path().join("handbook.md")).expect("the handbook");
    assert!(text.starts_with("# "), "the first one stays");
    assert_eq!(code(&bench.purfle(&["handbook", "nowhere.purfle"])), 2);
    bench.write("broken.purfle", b"rulebook broken\n");
    let broken = bench.purfle(&["handbook", "broken.purfle"]);
    assert_eq!((code(&broken), out(&broken).as_str()), (1, ""));
    assert_eq!(code(&bench.purfle(&["handbook", "small.purfle", "--as", "pdf"])), 2);
}
