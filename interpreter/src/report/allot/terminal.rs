//! The report for people, on 80 columns.

use super::super::layout::{Ink, Paint, WIDTH, column, paragraph, sides};
use super::view::{AllotView, Mark, No, Open, OrderLine, RungLine, Yes};

/// So many columns a bar takes at the most.
const BAR: usize = 26;

/// What stands beside a bar and the two sums.
const BESIDE: usize = 24;

/// What stands below what each sum buys.
const LEGEND: &str = "The bar and the first number: how many are helped. >: the money there is. More money may help one \
    that is graver where it helped two.";

/// The whole report.
pub fn write(view: &AllotView<'_>, paint: Paint) -> String {
    let mut page = Page { out: String::new(), paint };
    page.head(view);
    page.yes(&view.yes);
    page.elsewhere(&view.elsewhere);
    page.open(&view.open);
    page.refused(view);
    page.rungs(view);
    page.orders(view);
    page.foot(view);
    page.out
}

/// A sentence's beginning written large.
fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map(|first| first.to_uppercase().chain(characters).collect()).unwrap_or_default()
}

struct Page {
    out: String,
    paint: Paint,
}

impl Page {
    fn heading(&mut self, words: &str) {
        self.out.push('\n');
        let mut line = String::new();
        paragraph(&mut line, "", words);
        self.out.push_str(&self.paint.ink(Ink::Heading, line.trim_end()));
        self.out.push('\n');
    }

    fn head(&mut self, view: &AllotView<'_>) {
        self.out.push_str(&self.paint.ink(Ink::Heading, &format!("{}: the money shared out", view.title)));
        self.out.push('\n');
        paragraph(&mut self.out, "", &view.read_words());
        if view.older > 0 {
            let (inspections, are) = if view.older == 1 { ("inspection", "is") } else { ("inspections", "are") };
            paragraph(
                &mut self.out,
                "",
                &format!("{} older {inspections} of instruments that were seen again {are} left aside.", view.older),
            );
        }
        self.heading("The money");
        for (words, sum) in &view.money {
            sides(&mut self.out, "  ", words, sum);
        }
        self.heading("Who is helped");
        paragraph(&mut self.out, "  ", &view.saves);
        for step in &view.steps {
            sides(&mut self.out, "    ", &step.words, &format!("{} of {}", step.helped, step.all));
        }
        for note in &view.notes {
            paragraph(&mut self.out, "  ", note);
        }
    }

    fn yes(&mut self, yes: &[Yes]) {
        if yes.is_empty() {
            return;
        }
        self.heading("Yes, gravest first");
        for (at, yes) in yes.iter().enumerate() {
            sides(&mut self.out, &format!("{:4}. ", at + 1), &yes.mark.words(), &format!("reserved {}", yes.reserved));
            for line in [&yes.urgency, &yes.fund, &format!("The family pays {}.", yes.family), &yes.costs] {
                paragraph(&mut self.out, "      ", line);
            }
            if let Some(way) = &yes.way {
                paragraph(&mut self.out, "      Way: ", way);
            }
            paragraph(&mut self.out, "      Why: ", &yes.why.join(" "));
        }
    }

    fn elsewhere(&mut self, no: &[No]) {
        if no.is_empty() {
            return;
        }
        self.heading("No: the money does not reach them");
        for no in no {
            sides(&mut self.out, "  ", &no.mark.words(), &format!("takes {}", no.takes));
            paragraph(&mut self.out, "      ", &no.urgency);
            paragraph(&mut self.out, "      Why: ", &no.why.join(" "));
        }
    }

    fn open(&mut self, open: &[Open]) {
        if open.is_empty() {
            return;
        }
        self.heading("Not yet: settle this, and run it again");
        for open in open {
            sides(&mut self.out, "  ", &open.mark.words(), &open.most);
            paragraph(&mut self.out, "      ", &open.urgency);
            for (words, field) in &open.settle {
                let field = field.as_ref().map(|field| format!(" [{field}]")).unwrap_or_default();
                paragraph(&mut self.out, "      - ", &format!("{words}{field}"));
            }
        }
    }

    fn refused(&mut self, view: &AllotView<'_>) {
        if !view.refused.is_empty() {
            self.heading("No: no fund is for them");
            for (reason, marks) in &view.refused {
                paragraph(&mut self.out, "  - ", &format!("{}:", capital(reason)));
                paragraph(&mut self.out, "    ", &marks.iter().map(Mark::words).collect::<Vec<_>>().join(", "));
            }
        }
        if view.nothing > 0 {
            let (there, is) = if view.nothing == 1 { ("instrument", "has") } else { ("instruments", "have") };
            self.heading(&format!("{} {there} {is} nothing to be paid for", view.nothing));
        }
    }

    fn rungs(&mut self, view: &AllotView<'_>) {
        if view.rungs.is_empty() {
            return;
        }
        self.heading(&format!("What each further {} buys", view.step));
        let widest = |of: fn(&RungLine) -> usize| view.rungs.iter().map(of).max().unwrap_or(0);
        let (money, saving) = (widest(|rung| rung.money.len()), widest(|rung| rung.saving.len()));
        let bar = WIDTH.saturating_sub(BESIDE + money + saving).clamp(4, BAR);
        for rung in &view.rungs {
            let filled = "#".repeat((rung.bar.sure as usize * bar).div_ceil(1000).min(bar));
            let here = if rung.here { ">" } else { " " };
            let line = format!(
                "{here} {:>money$} {filled:<bar$} {:>5} {:>4}  saves {:>saving$}{}",
                rung.money,
                rung.helped,
                rung.more,
                rung.saving,
                if rung.proven { "" } else { " ~" }
            );
            self.out.push_str(line.trim_end());
            self.out.push('\n');
        }
        if let Some(width) = &view.width {
            paragraph(&mut self.out, "  ", width);
        }
        paragraph(&mut self.out, "  ", LEGEND);
        if view.rungs.iter().any(|rung| !rung.proven) {
            paragraph(&mut self.out, "  ", "~: the best that was found; there may be something better.");
        }
    }

    fn orders(&mut self, view: &AllotView<'_>) {
        if view.steps.is_empty() {
            return;
        }
        self.heading("The same money in other orders");
        for line in &view.orders {
            let OrderLine { words, steps, helped, saving, reserved } = line;
            let by_step = steps.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + ");
            let helped = if steps.len() > 1 { format!("{by_step} = {helped}") } else { helped.to_string() };
            self.out.push_str(&format!("  {}", column(words, 24)));
            self.out.push_str(&format!(" helps {helped}\n"));
            paragraph(&mut self.out, "      ", &format!("saves {saving}, reserves {reserved}"));
        }
        paragraph(
            &mut self.out,
            "  ",
            "Helped at each step, gravest first. The other orders give whoever's turn it is the textbook way while there is money.",
        );
    }

    fn foot(&mut self, view: &AllotView<'_>) {
        if !view.wrong.is_empty() {
            self.heading("Refused: put these right and run them again");
            for words in view.wrong_words() {
                self.out.push_str(&words);
            }
        }
        self.out.push('\n');
        for notice in &view.notices {
            paragraph(&mut self.out, "", notice);
        }
        paragraph(&mut self.out, "", &view.rulebook);
    }
}
