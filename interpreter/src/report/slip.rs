//! One instrument's slip on a terminal: what is certain, then what is suspected, then, short, what nobody looked at.

use std::fmt::{Display, Write};

use purfle_lang::book::Book;

use super::layout::{Ink, Paint, WIDTH, paragraph, paragraph_in, sides};
use super::noted;
use super::text::{plain, shown};
use super::view::{FindingView, LeftView, LookNext, OpenView, PartName, SlipView};
use crate::outcome::{Outcome, Said};

/// Words stand this far from the left in the slip's head.
const MARGIN: &str = "                   ";

/// The slip as text of 80 columns.
pub fn write(slip: &SlipView, paint: Paint) -> String {
    let mut out = String::with_capacity(2048);
    Writer { out: &mut out, paint }.slip(slip);
    out
}

struct Writer<'a> {
    out: &'a mut String,
    paint: Paint,
}

impl Writer<'_> {
    fn slip(&mut self, slip: &SlipView) {
        self.head(slip);
        self.verdict(slip);
        if !slip.first.is_empty() {
            self.title("Before anything else");
            self.paragraphs("  ! ", &slip.first);
        }
        for (findings, title) in [(&slip.found, "Found"), (&slip.suspected, "Suspected")] {
            if !findings.is_empty() {
                self.title(title);
            }
            for finding in findings {
                self.finding(finding);
            }
        }
        if slip.found.is_empty() && slip.suspected.is_empty() {
            self.title("Found");
            self.out.push_str("  Nothing, as far as anybody looked.\n");
        }
        self.open(&slip.open);
        self.title("Cost");
        for (lead, total) in [("  now      ", &slip.costs.now), ("  if left  ", &slip.costs.left)] {
            paragraph(self.out, lead, &total.words);
        }
        if let Some(quoted) = &slip.costs.quoted {
            paragraph(self.out, "  quoted   ", quoted);
        }
        self.looks(slip);
        self.counsel(slip);
        self.aid(slip);
        self.foot(slip);
    }

    fn title(&mut self, title: &str) {
        let _ = writeln!(self.out, "\n{}", self.paint.ink(Ink::Heading, title));
    }

    fn paragraphs(&mut self, lead: &str, lines: &[String]) {
        for line in lines {
            paragraph(self.out, lead, line);
        }
    }

    fn head(&mut self, slip: &SlipView) {
        let _ = writeln!(self.out, "{}", "=".repeat(WIDTH));
        let tag = slip.tag.as_ref().map(|tag| format!("  (tag {tag})")).unwrap_or_default();
        let day = slip.inspected_on.as_ref().map(|day| format!("inspected on {day}")).unwrap_or_default();
        sides(self.out, "", &format!("{}{tag}", slip.record), &day);
        if let Some(again) = &slip.seen_again {
            paragraph(self.out, "", &format!("An older inspection: this instrument was seen again on {again}."));
        }
        noted::write(self.out, &slip.observed);
        let _ = writeln!(self.out, "{}", "-".repeat(WIDTH));
    }

    fn verdict(&mut self, slip: &SlipView) {
        let verdict = &slip.verdict;
        let played = self.paint.ink(verdict.played.ink, verdict.played.words);
        paragraph_in(self.out, "May it be played?  ", MARGIN, &played);
        for apart in &verdict.apart {
            let answer = self.paint.ink(apart.answer.ink, apart.answer.words);
            paragraph_in(self.out, MARGIN, MARGIN, &format!("{}: {answer}", apart.part));
        }
        paragraph_in(self.out, "How soon?          ", MARGIN, &verdict.soon.join("\n"));
        paragraph_in(self.out, "By whom?           ", MARGIN, &verdict.hands);
    }

    fn finding(&mut self, finding: &FindingView) {
        let place = if finding.places.is_empty() { String::new() } else { format!(" ({})", finding.places.join(", ")) };
        sides(self.out, "  * ", &format!("{}{place}", finding.words), finding.cost.as_deref().unwrap_or_default());
        let steps = self.paint.ink(finding.ink, &finding.steps);
        paragraph(self.out, "    ", &format!("{steps}. {}. [{}]", finding.hands, finding.name));
        if let Some(other) = &finding.goes_with {
            paragraph(self.out, "    ", &format!("Goes with: {other}; it adds no work of its own."));
        }
        self.paragraphs("    ", &finding.tell);
        self.paragraphs("    Care: ", &finding.care);
        for way in &finding.ways {
            sides(self.out, "    - ", &format!("one way: {}", way.words), &way.cost);
            self.paragraphs("      ", &way.tell);
        }
        if let Some(LeftView { becomes, cost, extra }) = &finding.left {
            let mut text = format!("{}. Then: {cost}.", becomes.join("; "));
            if let Some(extra) = extra {
                let _ = write!(text, " To be expected on average: {extra} more.");
            }
            paragraph(self.out, "    If left: ", &text);
        }
        self.paragraphs("    For the luthier: ", &finding.refer);
        for change in &finding.changes {
            paragraph(self.out, "    ", &format!("({change})"));
        }
    }

    fn open(&mut self, open: &OpenView) {
        if open.is_nothing() {
            return;
        }
        self.title("Not ruled out, because nobody looked");
        let names = |parts: &[PartName]| parts.iter().map(|part| part.name.as_str()).collect::<Vec<_>>().join(", ");
        let mut lines = Vec::new();
        match open.findings {
            0 => {}
            1 => lines.push("1 finding.".to_owned()),
            count => lines.push(format!("{count} findings.")),
        }
        if !open.unseen.is_empty() {
            lines.push(format!("Not looked at at all: {}.", names(&open.unseen)));
        }
        if !open.partly.is_empty() {
            lines.push(format!("Not everything of: {}.", names(&open.partly)));
        }
        for line in lines {
            paragraph_in(self.out, "  ", "    ", &self.paint.ink(Ink::Faint, &line));
        }
    }

    fn looks(&mut self, slip: &SlipView) {
        let looks = &slip.looks;
        if looks.next.is_empty() {
            return;
        }
        self.title("Look next");
        for (look, number) in looks.next.iter().zip(1..) {
            self.look(number, look);
        }
        if looks.more > 0 {
            let more = format!("and {} more that can still change something", looks.more);
            paragraph(self.out, "  ", &self.paint.ink(Ink::Faint, &more));
        }
        // What somebody tried to see is worth naming, wherever in the order it stands.
        if !looks.again.is_empty() {
            let again = format!("Look again at what was not clear the first time: {}.", looks.again.join(", "));
            paragraph(self.out, "  ", &again);
        }
    }

    fn look(&mut self, number: usize, look: &LookNext) {
        paragraph(self.out, &format!("  {number}. "), &format!("{}: {}", look.part, look.question));
        if let Some(can) = &look.can {
            let can = format!("[{}] can change {can}", look.field);
            paragraph(self.out, "     ", &self.paint.ink(Ink::Faint, &can));
        }
        if let Some(how) = &look.how {
            paragraph(self.out, "     How: ", how);
        }
        if let Some(care) = &look.care {
            paragraph(self.out, "     Care: ", care);
        }
    }

    fn counsel(&mut self, slip: &SlipView) {
        if slip.counsel.is_empty() && slip.counsel_open.is_empty() {
            return;
        }
        self.title("Counsel");
        for (words, tell) in &slip.counsel {
            paragraph(self.out, "  * ", words);
            self.paragraphs("    ", tell);
        }
        if !slip.counsel_open.is_empty() {
            let open = format!("May apply, once more is known: {}.", slip.counsel_open.join("; "));
            paragraph(self.out, "  * ", &self.paint.ink(Ink::Faint, &open));
        }
    }

    fn aid(&mut self, slip: &SlipView) {
        if slip.aids.lines.is_empty() {
            return;
        }
        self.title("Repair funds");
        for aid in &slip.aids.lines {
            paragraph(self.out, "  * ", &format!("{}: {}", aid.words, aid.says));
            if !aid.missing.is_empty() {
                let asked: Vec<String> = aid.missing.iter().map(|(question, field)| format!("{question} ({field})")).collect();
                paragraph(self.out, "    Still to be answered: ", &asked.join("; "));
            }
        }
        if slip.aids.may_pay {
            paragraph(self.out, "  ", &self.paint.ink(Ink::Faint, LAST_WORD));
        }
    }

    fn foot(&mut self, slip: &SlipView) {
        if !slip.cautions.is_empty() {
            self.title("Take care");
            for caution in &slip.cautions {
                paragraph(self.out, "  - ", caution);
            }
        }
        self.out.push('\n');
        self.paragraphs("", &slip.notices);
        paragraph(self.out, "", &self.paint.ink(Ink::Faint, &slip.rulebook));
        self.out.push('\n');
    }
}

/// What is said of every fund that may pay.
pub const LAST_WORD: &str = "A fund's own rules and the law where you are have the last word.";

/// `first-look 2026.1 (seal 3f09-77aa-0c1e-94d2-b680)`: all that is needed to find the rules again.
pub fn sealed(name: &str, edition: &str, seal: impl Display) -> String {
    format!("{name} {} (seal {seal})", shown(edition))
}

/// `Judged by first-look 2026.1 (seal …), kept by …, built on …`
pub fn rulebook_line(book: &Book) -> String {
    let mut line = format!("Judged by {}", sealed(&book.name, &book.edition, book.seal));
    if let Some(keeper) = &book.keeper {
        let _ = write!(line, ", kept by {}", plain(keeper));
    }
    for parent in &book.parents {
        let _ = write!(line, ", built on {}", sealed(&parent.name, &parent.edition, parent.seal));
    }
    line.push('.');
    // Most rulebooks say so in their own words; where one does not, the slip does.
    if !book.notices.iter().any(|notice| notice.contains("not a diagnosis")) {
        line.push_str(" A first look is not a diagnosis: a luthier decides.");
    }
    line
}

/// The `first` lines of an outcome, each once.
pub fn first_lines<'a>(book: &'a Book, outcome: &Outcome) -> Vec<&'a str> {
    let mut lines: Vec<&str> = Vec::new();
    for said in &outcome.first {
        let all = match said {
            Said::Finding(id) => &book[*id].first,
            Said::Counsel(id) => &book[*id].first,
        };
        for line in all {
            if !lines.contains(&line.as_str()) {
                lines.push(line);
            }
        }
    }
    lines
}
