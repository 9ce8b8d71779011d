//! What can come out differently, for people: first how much of it is certain.

use super::heading;
use crate::report::{Paint, paragraph, paragraph_in, plain, shown};
use crate::weigh::view::{BesideView, BeyondView, FigureView, FindingView, ProvenView, WayView};

/// What was shown and proved.
pub fn report(text: &mut String, view: Option<&ProvenView>, paint: Paint) {
    heading(text, "What can come out differently", paint);
    let Some(view) = view else {
        paragraph(text, "", "Together the two cut a look into more pieces than can be kept apart: nothing is claimed of it.");
        return;
    };
    certain(text, view);
    if !view.looks.is_empty() {
        text.push('\n');
        paragraph(text, "", "What a record may say:");
        for look in &view.looks {
            paragraph_in(text, "  ", "      ", &format!("{}: {}", shown(&look.look), plain(&look.says)));
            look.findings.iter().for_each(|finding| beyond(text, finding));
        }
    }
    if !view.apart.is_empty() {
        let names: Vec<_> = view.apart.iter().map(|look| shown(look)).collect();
        let words = "apply in other cases, or in other places, so what hangs on them may stay undecided";
        paragraph(text, "", &format!("These looks {words}: {}.", names.join(", ")));
    }
    if !view.applies.is_empty() {
        let names: Vec<_> = view.applies.iter().map(|look| shown(look)).collect();
        let words = "A record that tells one of them says that it applies, which may settle more by the one rulebook than by the \
            other; that alone is not told as a difference.";
        paragraph(text, "", &format!("These looks apply in other cases: {}. {words}", names.join(", ")));
    }
    if !view.readings.is_empty() {
        let names: Vec<_> = view.readings.iter().map(|look| shown(look)).collect();
        let words = "Readings of these looks are taken with another error";
        let more =
            "The same record may settle more by the one rulebook than by the other; that alone is not told as a difference.";
        paragraph(text, "", &format!("{words}: {}. {more}", names.join(", ")));
    }
    outcome(text, &view.outcome);
    let price = |way: &WayView| way.known == "can" && matches!(way.way, "dearer" | "cheaper" | "on-sight");
    let (priced, differ): (Vec<&FindingView>, Vec<&FindingView>) =
        view.findings.iter().partition(|finding| finding.ways.iter().all(price));
    if !differ.is_empty() {
        text.push('\n');
        paragraph(text, "", "Finding by finding, each with a record that shows it:");
    }
    for finding in differ {
        text.push('\n');
        paragraph(text, "  ", &shown(&finding.finding));
        finding.ways.iter().for_each(|way| self::way(text, way));
    }
    if !priced.is_empty() {
        text.push('\n');
        paragraph(text, "", "Only in what it costs by itself (--as json has the records):");
    }
    for finding in priced {
        let Some(WayView { before: Some(before), after: Some(after), .. }) = finding.ways.first() else { continue };
        paragraph(text, "  ", &shown(&finding.finding));
        paragraph(text, "      before  ", &plain(before));
        paragraph(text, "      after   ", &plain(after));
    }
}

/// How many findings can come out differently, and for how many it is proved that they do not.
fn certain(text: &mut String, view: &ProvenView) {
    let findings = |count: usize| if count == 1 { "1 finding".to_owned() } else { format!("{count} findings") };
    let same_outcome = view.outcome.iter().all(|figure| figure.known == "same");
    if view.can + view.not_decided == 0 {
        let beyond = view.looks.iter().any(|look| !look.findings.is_empty());
        let records = match (beyond, by_instrument(view)) {
            (true, _) => "any record that both take",
            (false, false) => "any record",
            (false, true) => "any record that leaves nothing open",
        };
        let all = format!("No finding comes out differently in {records}: proved for all {}.", view.same);
        paragraph(text, "", &all);
    } else {
        let mut words = format!("{} can come out differently", findings(view.can));
        match view.same {
            0 => words.push('.'),
            same => {
                let record = if by_instrument(view) { "no record that leaves nothing open" } else { "no record" };
                words.push_str(&format!("; proved for the other {same} that {record} changes them."));
            }
        }
        paragraph(text, "", &words);
        if view.not_decided > 0 {
            let words = "may come out differently: no record was found that shows it, and no proof that there is none.";
            paragraph(text, "", &format!("{} more {words}", findings(view.not_decided)));
        }
    }
    if same_outcome {
        let leaves = if by_instrument(view) { " and that leaves nothing open" } else { "" };
        let words = "The outcome as a whole is the same for every record that both rulebooks take";
        let figures: Vec<String> = view.outcome.iter().map(called).collect();
        paragraph(text, "", &format!("{words}{leaves}: that is proved of {}, and of counsels and funds.", figures.join(", ")));
    }
    beside(text, &view.beside);
}

/// What is said otherwise beside the figures of the outcome.
fn beside(text: &mut String, all: &[BesideView]) {
    let of = |what: &str| -> Vec<_> {
        all.iter().filter(|one| one.what.contains(&what)).map(|one| shown(&one.finding).into_owned()).collect()
    };
    let told = [
        (
            "ways",
            "Another way of mending than the one that counts is not the same in both, or does not cost the same",
            "Slips show it, and a fund may be shared out by it.",
        ),
        (
            "odds",
            "With what odds, or how soon, something becomes another is not the same in both",
            "Slips tell it, and what that costs on average.",
        ),
    ];
    for (what, words, more) in told {
        let names = of(what);
        if !names.is_empty() {
            paragraph(text, "", &format!("{words}: {}. {more}", names.join(", ")));
        }
    }
}

/// Whether one record may settle more by the one rulebook than by the other though the instrument comes out alike.
fn by_instrument(view: &ProvenView) -> bool {
    !view.readings.is_empty() || !view.applies.is_empty()
}

/// The figures of the whole outcome: what is proved to be the same in one line, the others with a record each.
fn outcome(text: &mut String, figures: &[FigureView]) {
    if figures.iter().all(|figure| figure.known == "same") {
        return;
    }
    text.push('\n');
    paragraph(text, "", "The outcome as a whole:");
    let same: Vec<String> = figures.iter().filter(|figure| figure.known == "same").map(called).collect();
    if !same.is_empty() {
        paragraph(text, "  proved to stay the same: ", &format!("{}.", same.join(", ")));
    }
    let open: Vec<String> = figures.iter().filter(|figure| figure.known == "not-decided").map(called).collect();
    if !open.is_empty() {
        paragraph(text, "  may differ, not decided: ", &format!("{}.", open.join(", ")));
    }
    for figure in figures.iter().filter(|figure| figure.known == "can") {
        text.push('\n');
        paragraph(text, "  ", &called(figure));
        figure.ways.iter().for_each(|way| self::way(text, way));
    }
}

fn called(figure: &FigureView) -> String {
    match figure.figure.as_str() {
        "urgency" => "how soon".to_owned(),
        "hands" => "by whose hands".to_owned(),
        "played" => "whether it may be played".to_owned(),
        "cost" => "what it costs".to_owned(),
        "left" => "what it costs if left".to_owned(),
        "tier" => "which tier".to_owned(),
        "due" => "by which day".to_owned(),
        other => match other.strip_prefix("played ") {
            Some(part) => format!("whether the {} may be used", shown(part)),
            None => shown(other).into_owned(),
        },
    }
}

/// A finding that is found only with what one of the two alone takes.
fn beyond(text: &mut String, BeyondView { finding, way }: &BeyondView) {
    let by_new = way.way == "newly-found";
    let told = if by_new { &way.after } else { &way.before };
    let who = if by_new { "only with what the new one alone takes" } else { "only with what the old one alone took" };
    let (Some(example), Some(told)) = (&way.example, told) else {
        paragraph(text, "    ", &format!("{} may be found {who}: not decided", shown(finding)));
        return;
    };
    paragraph(text, "    ", &format!("{} is found {who}", shown(finding)));
    paragraph(text, "      record  ", &plain(example));
    paragraph(text, if by_new { "      after   " } else { "      before  " }, &plain(told));
}

/// One way: what it is, the record that shows it, and what comes of that before and after.
fn way(text: &mut String, way: &WayView) {
    let what = words(way.way);
    let (Some(example), Some(before), Some(after)) = (&way.example, &way.before, &way.after) else {
        paragraph(text, "    ", &format!("may {what}: not decided"));
        return;
    };
    paragraph(text, "    ", &format!("can {what}"));
    paragraph(text, "      record  ", &plain(example));
    if !way.left_out.is_empty() {
        let names: Vec<_> = way.left_out.iter().map(|look| shown(look)).collect();
        paragraph(
            text,
            "              ",
            &format!("(without {} where the rulebook has no such look, or it does not apply)", names.join(", ")),
        );
    }
    paragraph(text, "      before  ", &plain(before));
    paragraph(text, "      after   ", &plain(after));
}

fn words(way: &str) -> &str {
    match way {
        "newly-found" => "be found where it was not",
        "no-longer-found" => "be found no longer",
        "graver" => "be graver",
        "milder" => "be milder",
        "another-step" => "be at another step",
        "other-hands" => "need other hands",
        "dearer" => "cost more, at one end at least",
        "cheaper" => "cost less, at one end at least",
        "on-sight" => "be priced in another way: on sight, or beforehand",
        "more-skilled" => "need more skilled hands",
        "less-skilled" => "need less skilled hands",
        "forbidden" => "be forbidden where it was allowed",
        "allowed" => "be allowed where it was forbidden",
        "newly-met" => "apply where it did not",
        "no-longer-met" => "apply no longer",
        _ => "be another",
    }
}
