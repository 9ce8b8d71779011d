//! The batch page on a terminal.

use std::fmt::Write;

use super::layout::{Ink, Paint, column, paragraph, sides};
use super::view::{CostLines, OrderLine, PageView};

/// The page as text of 80 columns.
pub fn write(page: &PageView, paint: Paint) -> String {
    let mut out = String::new();
    paragraph(&mut out, "", &paint.ink(Ink::Heading, &format!("{}: {}", page.rulebook, page.title)));
    paragraph(&mut out, "", &paint.ink(Ink::Faint, &format!("Seal {}.", page.seal)));
    let totals = &page.totals;
    let refused = match totals.refused {
        0 => "none refused".to_owned(),
        refused => paint.ink(Ink::Warn, &format!("{refused} refused")),
    };
    let noun = if totals.read == 1 { "record" } else { "records" };
    let _ = writeln!(out, "{} {noun} read: {} judged, {refused}.", totals.read, totals.done);
    if page.seen_again > 0 {
        let (inspections, were) = if page.seen_again == 1 { ("inspection", "was") } else { ("inspections", "were") };
        let again = format!("{} older {inspections} of instruments that {were} seen again: not counted below.", page.seen_again);
        paragraph(&mut out, "", &again);
    }
    for tags in &page.tags {
        paragraph(&mut out, "! ", tags);
    }
    if totals.done > 0 {
        played(&mut out, page, paint);
        steps(&mut out, page, paint);
        costs(&mut out, &page.costs, paint);
        order(&mut out, page, paint);
    }
    out
}

fn played(out: &mut String, page: &PageView, paint: Paint) {
    let ink = |count: u64, ink: Ink, text: String| if count > 0 { paint.ink(ink, &text) } else { text };
    let _ = writeln!(out, "\n{}", paint.ink(Ink::Heading, "Must not be played"));
    let _ = writeln!(out, "  {}", ink(page.not_played, Ink::Grave, format!("{:>6}  for certain", page.not_played)));
    let perhaps = format!("{:>6}  perhaps, by what was seen: not before a closer look", page.perhaps_not_played);
    let _ = writeln!(out, "  {}", ink(page.perhaps_not_played, Ink::Warn, perhaps));
    if page.not_settled > 0 {
        let _ = writeln!(out, "  {:>6}  not settled: too little was looked at to say", page.not_settled);
    }
    if page.apart_not_used > 0 {
        let _ = writeln!(out, "  {:>6}  with a piece, such as the bow, that must not be used", page.apart_not_used);
    }
}

fn steps(out: &mut String, page: &PageView, paint: Paint) {
    let heading = format!("{:48}{:>12}{:>12}", "How soon", "by what is", "at the");
    let below = format!("{:48}{:>12}{:>12}", "", "certain", "worst");
    let _ = writeln!(out, "\n{}\n{}", paint.ink(Ink::Heading, &heading), paint.ink(Ink::Heading, &below));
    for step in &page.steps {
        let _ = writeln!(out, "  {}{:>12}{:>12}", column(&step.words, 46), step.certain, step.worst);
    }
}

fn costs(out: &mut String, costs: &CostLines, paint: Paint) {
    let _ = writeln!(out, "\n{}", paint.ink(Ink::Heading, "Cost of all of them"));
    let both = |out: &mut String, [now, left]: &[String; 2]| {
        paragraph(out, "  now      ", now);
        paragraph(out, "  if left  ", left);
    };
    both(out, &costs.all);
    if let Some((seen, sums)) = &costs.seen {
        let _ = writeln!(out, "  Of that, where enough was seen ({seen} of {}):", costs.instruments);
        both(out, sums);
    }
    if let Some(text) = costs.unseen_words() {
        paragraph(out, "  ", &text);
    }
}

fn order(out: &mut String, page: &PageView, paint: Paint) {
    let _ = writeln!(out, "\n{}", paint.ink(Ink::Heading, "Order of work, gravest first"));
    for (instrument, number) in page.order.iter().zip(1..) {
        line(out, number, instrument, paint);
    }
    if page.more > 0 {
        let _ = writeln!(out, "  and {} more, none of them graver; they are in --as csv and --as json", page.more);
    }
    if page.order.is_empty() {
        out.push_str("  nothing to be done for certain\n");
    }
    if page.unsure > 0 {
        let (show, their) = if page.unsure == 1 { ("shows", "its slip") } else { ("show", "their slips") };
        let text = format!("{} more {show} nothing so far, and not enough was looked at to be sure; see {their}", page.unsure);
        paragraph(out, "  ", &text);
    }
    if page.nothing > 0 {
        let _ = writeln!(out, "  {} with nothing to be done", page.nothing);
    }
}

fn line(out: &mut String, number: usize, line: &OrderLine, paint: Paint) {
    let tag = line.tag.as_ref().map(|tag| format!(" ({tag})")).unwrap_or_default();
    sides(out, &format!("{number:>4}. "), &format!("{}{tag}", line.record), &line.cost);
    let may = line.may.map(|(ink, words)| match ink {
        Ink::Faint => words.to_owned(),
        ink => paint.ink(ink, words),
    });
    let apart = line.apart.as_ref().map(|apart| paint.ink(Ink::Grave, apart));
    let about: Vec<String> = [may, apart, line.step.clone(), line.due.clone()].into_iter().flatten().collect();
    paragraph(out, "      ", &about.join("; "));
    if let Some(gravest) = &line.gravest {
        paragraph(out, "      ", gravest);
    }
}
