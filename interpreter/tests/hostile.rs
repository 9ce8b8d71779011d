//! Every text from a record is data: texts that would be markup, formulas or commands somewhere come out of every form
//! of report as nothing but text. A new form is a line in `FORMS`, with what must hold of it.

use pulldown_cmark::{Event, Options, Parser, Tag};

use crate::bench::{Bench, code, err};

/// Texts that do something where they are not taken for text.
const TEXTS: [&str; 26] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "</style></title></textarea><svg onload=alert(1)>",
    "<!-- ",
    "]]>",
    "&lt;b&gt;&amp;#60;",
    "javascript:alert(1)",
    "{{ 7 * 7 }}{% raw %}",
    "=1+1",
    "=HYPERLINK(\"x\",\"y\")",
    "=cmd|'/c calc'!A1",
    "+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "a\n=1+1\r\nb",
    "\u{202e}gnp.exe",
    "\u{2066}isolate\u{2069}\u{200f}",
    "\u{feff}mark",
    "nul\0nul",
    "\u{1b}[31mred\u{1b}]0;title\u{7}",
    "\u{9b}2J\u{85}next\u{2028}line",
    "\u{8}\u{8}\u{7f}",
    "اسم שם 名前",
];

/// A form of report, and what must hold of it.
struct Form {
    name: &'static str,
    arguments: &'static [&'static str],
    inert: fn(&[u8]),
}

const FORMS: [Form; 5] = [
    Form { name: "terminal", arguments: &["--as", "terminal"], inert: terminal },
    Form { name: "json", arguments: &["--as", "json"], inert: json },
    Form { name: "csv", arguments: &["--as", "csv"], inert: csv },
    Form { name: "html", arguments: &["--as", "html"], inert: html },
    Form { name: "xlsx", arguments: &["--as", "xlsx", "--out", OUT], inert: xlsx },
];

/// Where a form goes that is no text.
const OUT: &str = "report.xlsx";

/// Records with every hostile text in every field that takes text, and some that are refused for them.
pub fn records() -> String {
    let long = "w".repeat(10_000);
    let texts = TEXTS.iter().copied().chain([long.as_str()]);
    let mut lines = String::new();
    for (at, text) in texts.enumerate() {
        for (field, mark) in
            [("record", ""), ("tag", "t"), ("owner.pupil", "p"), ("shelf", "c"), ("button.sits", "x"), (text, "n")]
        {
            let mut record = serde_json::Map::new();
            record.insert("record".to_owned(), format!("{at}{mark}").into());
            record.insert("inspected-on".to_owned(), "2026-11-20".into());
            record.insert("button.gap".to_owned(), "0.5".into());
            record.insert(field.to_owned(), text.into());
            lines.push_str(&format!("{}\n", serde_json::Value::from(record)));
        }
    }
    lines
}

/// A rulebook with a hostile text at the end of every one of its own.
pub fn rulebook(harmless: &str) -> String {
    let mut texts = TEXTS.iter().cycle();
    let mut rulebook = String::new();
    for line in harmless.lines() {
        let mut open = false;
        for piece in line.split_inclusive('"') {
            if open && !line.trim_start().starts_with('#') {
                let text = texts.next().copied().unwrap_or_default().replace('\r', "");
                let text = text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n");
                rulebook.push_str(piece.trim_end_matches('"'));
                rulebook.push_str(&format!(" {text}\""));
            } else {
                rulebook.push_str(piece);
            }
            open = piece.ends_with('"') && !open;
        }
        rulebook.push('\n');
    }
    rulebook
}

#[test]
fn every_text_of_a_rulebook_comes_out_of_its_handbook_inert() {
    let bench = Bench::new();
    let standard = include_str!("../../rulebooks/first-look.purfle");
    bench.write("hostile.purfle", rulebook(standard).as_bytes());
    let handbook = |form: &str| {
        let output = bench.purfle(&["handbook", "hostile.purfle", "--as", form]);
        assert_eq!(code(&output), 0, "{form}: {}", err(&output));
        output.stdout
    };
    html(&handbook("html"));
    markdown(&handbook("markdown"));
}

/// Nothing but text, headings, lists and tables, and links that stay in the document, whatever a reader of Markdown knows
/// beside the standard.
fn markdown(bytes: &[u8]) {
    let text = utf8(bytes);
    steers_nothing(text, &['\n']);
    let mut shown = String::new();
    // Curly quotes and long dashes are a matter of looks.
    for event in Parser::new_ext(text, Options::all() - Options::ENABLE_SMART_PUNCTUATION) {
        match event {
            Event::Text(text) => shown.push_str(&text),
            Event::Code(name) => {
                assert!(name.chars().all(|letter| letter.is_ascii_alphanumeric() || "-.".contains(letter)), "{name}");
            }
            Event::Start(Tag::Link { dest_url, .. }) => assert!(dest_url.starts_with('#'), "{dest_url}"),
            Event::Start(
                Tag::Paragraph
                | Tag::Heading { .. }
                | Tag::BlockQuote(_)
                | Tag::List(None)
                | Tag::Item
                | Tag::Table(_)
                | Tag::TableHead
                | Tag::TableRow
                | Tag::TableCell
                | Tag::Strong,
            ) => {}
            Event::End(_) => shown.push('\n'),
            other => panic!("something but text: {other:?}"),
        }
    }
    for text in ["<script>alert(1)</script>", "&lt;b&gt;&amp;#60;", "nul\\u{0}nul", "{{ 7 * 7 }}{% raw %}", "<!--"] {
        assert!(shown.contains(text), "{text} is shown as it is");
    }
}

#[test]
fn every_text_of_a_record_comes_out_inert() {
    let bench = Bench::new();
    bench.write("hostile.jsonl", records().as_bytes());
    for form in &FORMS {
        let output = bench.purfle(&[&["triage", "small.purfle", "hostile.jsonl"], form.arguments].concat());
        assert_eq!(code(&output), 1, "{}: some are refused, none is lost: {}", form.name, err(&output));
        let written = match form.arguments.contains(&OUT) {
            true => std::fs::read(bench.path().join(OUT)).expect("the report"),
            false => output.stdout,
        };
        assert!(!written.is_empty(), "{}", form.name);
        (form.inert)(&written);
    }
}

/// A fund shared out tells marks and what is wrong with records; pages, tables and JSON of it are held like triage's.
#[test]
fn every_text_comes_out_inert_where_a_fund_is_shared_out() {
    let bench = Bench::new();
    bench.write("funds.purfle", crate::allot::FUNDS.as_bytes());
    let mut lines = String::new();
    for (at, text) in TEXTS.iter().enumerate() {
        for (field, mark) in [("record", ""), ("tag", "t"), ("owner.pupil", "p"), ("seam.opens", "x"), (text, "n")] {
            let mut record = serde_json::Map::new();
            record.insert("record".to_owned(), format!("{at}{mark}").into());
            for (field, value) in [("owner.owns", "school"), ("post.stands", "no"), ("seam.opens", "yes"), ("neck.moves", "no")] {
                record.insert(field.to_owned(), value.into());
            }
            record.insert(field.to_owned(), (*text).into());
            lines.push_str(&format!("{}\n", serde_json::Value::from(record)));
        }
    }
    bench.write("hostile.jsonl", lines.as_bytes());
    for form in ["terminal", "json", "csv", "html"] {
        let output = bench.purfle(&["allot", "funds.purfle", "hostile.jsonl", "--budget", "900", "--as", form]);
        assert_eq!(code(&output), 1, "{form}: some are refused, none is lost: {}", err(&output));
        let text = utf8(&output.stdout);
        steers_nothing(text, if form == "csv" { &['\n', '\r'] } else { &['\n'] });
        assert_eq!(text.contains("<script>alert(1)</script>"), form != "html", "{form}");
        match form {
            "json" => {
                let value: serde_json::Value = serde_json::from_str(text).expect("JSON");
                let answers = ["instruments", "refused"].map(|list| value[list].as_array().map_or(0, Vec::len));
                let older = value["older"].as_u64().unwrap_or_default() as usize;
                assert_eq!(value["read"], answers[0] + answers[1] + older, "none is lost");
            }
            "csv" => {
                let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
                for row in reader.records() {
                    for cell in row.expect("a row of RFC 4180").iter() {
                        assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
                    }
                }
            }
            "html" => html(&output.stdout),
            _ => {}
        }
    }
}

/// A trace repeats marks and the names of fields and files.
#[test]
fn every_text_of_a_record_comes_out_inert_where_it_is_explained() {
    let bench = Bench::new();
    for (at, text) in TEXTS.iter().enumerate() {
        let mut record = serde_json::Map::new();
        for field in ["record", "tag", "owner.pupil", "shelf"] {
            record.insert(field.to_owned(), (*text).into());
        }
        record.insert("button.gap".to_owned(), "0.5".into());
        bench.write("hostile.json", serde_json::Value::from(record).to_string().as_bytes());
        for form in ["human", "json"] {
            for finding in [&["button-unseated"][..], &[]] {
                let arguments = [&["trace", "small.purfle", "hostile.json", "--as", form], finding].concat();
                let output = bench.purfle(&arguments);
                // Text that is only white space is no mark, and the record is refused.
                assert!(code(&output) < 2, "{at} {form}: {}", err(&output));
                steers_nothing(utf8(&output.stdout), &['\n']);
                steers_nothing(&err(&output), &['\n']);
            }
        }
    }
}

fn utf8(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("UTF-8")
}

/// Nothing in it moves a cursor, turns a line about or hides.
fn steers_nothing(text: &str, except: &[char]) {
    let steering = text.chars().filter(|character| !except.contains(character)).find(|character| {
        character.is_control()
            || "\u{200f}\u{200e}\u{2028}\u{2029}\u{feff}".contains(*character)
            || ('\u{202a}'..='\u{202e}').contains(character)
            || ('\u{2066}'..='\u{2069}').contains(character)
    });
    assert_eq!(steering, None, "{text}");
}

fn terminal(bytes: &[u8]) {
    let text = utf8(bytes);
    steers_nothing(text, &['\n']);
    assert!(text.contains("<script>alert(1)</script>") && text.contains("gnp.exe"));
}

fn json(bytes: &[u8]) {
    let text = utf8(bytes);
    steers_nothing(text, &['\n']);
    let value: serde_json::Value = serde_json::from_str(text).expect("JSON");
    let read = value["read"].as_u64().expect("a number");
    let answers = ["outcomes", "refused"].map(|list| value[list].as_array().map_or(0, Vec::len) as u64);
    assert_eq!(read, answers[0] + answers[1], "none is lost");
    assert_eq!(read, (TEXTS.len() as u64 + 1) * 6);
    let pupils: Vec<&str> = value["outcomes"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|outcome| outcome["noted"]["owner.pupil"].as_str())
        .collect();
    assert!(
        pupils.contains(&"<script>alert(1)</script>") && pupils.contains(&"nul\0nul"),
        "they come back as they were: {pupils:?}"
    );
}

fn csv(bytes: &[u8]) {
    steers_nothing(utf8(bytes), &['\n', '\r']);
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes);
    let mut cells = 0;
    for row in reader.records() {
        for cell in row.expect("a row of RFC 4180").iter() {
            assert!(!cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
            cells += 1;
        }
    }
    assert!(cells > TEXTS.len() * 100);
}

fn xlsx(bytes: &[u8]) {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("an archive");
    let mut part = |name: &str| {
        let mut text = String::new();
        std::io::Read::read_to_string(&mut archive.by_name(name).expect(name), &mut text).expect("UTF-8");
        text
    };
    let styles = part("xl/styles.xml");
    let styles = roxmltree::Document::parse(&styles).expect("XML");
    let cells = styles.descendants().find(|node| node.has_tag_name_of("cellXfs")).expect("styles of cells");
    let kept_text: Vec<bool> =
        cells.children().filter(roxmltree::Node::is_element).map(|xf| xf.attribute("quotePrefix") == Some("1")).collect();
    let (mut texts, mut starting) = (Vec::new(), 0);
    for sheet in 1..=3 {
        let xml = part(&format!("xl/worksheets/sheet{sheet}.xml"));
        let sheet = roxmltree::Document::parse(&xml).expect("XML");
        for node in sheet.descendants().filter(roxmltree::Node::is_element) {
            assert!(!["f", "hyperlink", "drawing", "oleObject", "control"].contains(&node.tag_name().name()), "{node:?}");
        }
        for cell in sheet.descendants().filter(|node| node.has_tag_name_of("c") && node.attribute("t").is_some()) {
            assert_eq!(cell.attribute("t"), Some("inlineStr"), "a text is written as a text");
            let text: String = cell.descendants().filter_map(|node| node.text().filter(|_| node.is_text())).collect();
            steers_nothing(&text, &[]);
            if text.starts_with(['=', '+', '-', '@']) {
                starting += 1;
                let style: usize = cell.attribute("s").and_then(|style| style.parse().ok()).unwrap_or(0);
                assert!(kept_text[style], "{text} stays a text when it is edited");
            }
            texts.push(text);
        }
    }
    assert!(starting > 10);
    for text in ["<script>alert(1)</script>", "&lt;b&gt;&amp;#60;", "nul\\u{0}nul", "=cmd|'/c calc'!A1"] {
        assert!(texts.iter().any(|shown| shown.contains(text)), "{text} is shown as it is");
    }
    let names: Vec<String> = archive.file_names().map(|name| name.expect("a name").into_owned()).collect();
    assert!(names.iter().all(|name| name.ends_with(".xml") || name.ends_with(".rels")), "{names:?}");
}

/// Names in a workbook are looked for without their namespace.
trait Named {
    fn has_tag_name_of(&self, name: &str) -> bool;
}

impl Named for roxmltree::Node<'_, '_> {
    fn has_tag_name_of(&self, name: &str) -> bool {
        self.is_element() && self.tag_name().name() == name
    }
}

fn html(bytes: &[u8]) {
    /// What our own templates write, and nothing else.
    const ELEMENTS: [&str; 47] = [
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "main",
        "section",
        "article",
        "header",
        "footer",
        "h1",
        "h2",
        "h3",
        "h4",
        "p",
        "ul",
        "ol",
        "li",
        "dl",
        "dt",
        "dd",
        "table",
        "caption",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "b",
        "strong",
        "span",
        "bdi",
        "div",
        "a",
        "br",
        "svg",
        "rect",
        "path",
        "circle",
        "figure",
        "figcaption",
        "img",
        "nav",
        "em",
        "g",
        "text",
    ];
    const ATTRIBUTES: [&str; 26] = [
        "lang",
        "charset",
        "name",
        "content",
        "http-equiv",
        "class",
        "id",
        "href",
        "scope",
        "aria-hidden",
        "focusable",
        "viewBox",
        "preserveAspectRatio",
        "width",
        "height",
        "x",
        "y",
        "d",
        "cx",
        "cy",
        "r",
        "src",
        "alt",
        "role",
        "aria-label",
        "tabindex",
    ];
    let text = utf8(bytes);
    steers_nothing(text, &['\n']);
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let page = roxmltree::Document::parse_with_options(text, options).expect("a well-formed page");
    let mut ids = Vec::new();
    for node in page.descendants() {
        assert!(!node.is_comment(), "{:?}", node.text());
        if node.is_element() {
            assert!(ELEMENTS.contains(&node.tag_name().name()), "{:?}", node.tag_name());
            for attribute in node.attributes() {
                assert!(ATTRIBUTES.contains(&attribute.name()), "{attribute:?}");
            }
            ids.extend(node.attribute("id"));
        }
    }
    let links = page.descendants().filter_map(|node| node.attribute("href"));
    for link in links {
        assert!(link.strip_prefix('#').is_some_and(|id| ids.contains(&id)), "{link}: every link leads to a place in the page");
    }
    let style = page.descendants().filter(|node| node.has_tag_name("style"));
    assert_eq!(style.count(), 1);
    let shown: Vec<&str> = page.descendants().filter(|node| node.is_text()).filter_map(|node| node.text()).collect();
    for text in ["<script>alert(1)</script>", "&lt;b&gt;&amp;#60;", "nul\\u{0}nul", "{{ 7 * 7 }}{% raw %}", "اسم שם 名前"]
    {
        assert!(shown.iter().any(|shown| shown.contains(text)), "{text} is shown as it is");
    }
}
