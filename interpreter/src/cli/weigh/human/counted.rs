//! What past records come to, for people: how many move and where to, what all cost, then each that moved.

use super::heading;
use crate::report::{Paint, paragraph, plain, shown};
use crate::weigh::view::{CountedView, FundView, SumView, TotalView};

/// The most instruments that are listed.
const MOST_LISTED: usize = 200;

/// The whole part.
pub fn report(text: &mut String, view: &CountedView, paint: Paint) {
    heading(text, "On past records", paint);
    let moved = view.moved.len() as u64;
    let records = if view.read == 1 { "record" } else { "records" };
    let counts = format!("{} {records} read, {} judged by both", view.read, view.judged);
    let refused = view.read - view.judged;
    let refused = if refused == 0 { String::new() } else { format!("; {refused} refused by one of them or both") };
    paragraph(text, "", &format!("{counts}{refused}."));
    let costs = [("", view.dearer, view.cheaper), ("If left, ", view.dearer_if_left, view.cheaper_if_left)];
    let same_cost = costs.iter().all(|(_, dearer, cheaper)| *dearer == 0 && *cheaper == 0);
    let but = if same_cost { "" } else { ", but for what it may cost" };
    let come = |count: u64| if count == 1 { "1 comes".to_owned() } else { format!("{count} come") };
    match moved {
        0 => paragraph(text, "", &format!("None comes out differently{but}.")),
        some => paragraph(text, "", &format!("{} out differently; {} out as before{but}.", come(some), come(view.unmoved))),
    }
    if same_cost {
        paragraph(text, "", "None costs more or less, now or if left.");
    } else {
        for (when, dearer, cheaper) in costs {
            let at = if when.is_empty() { "At one end at least" } else { "at one end at least" };
            paragraph(text, "", &format!("{when}{at} {} more and {} less.", cost(dearer), cost(cheaper)));
        }
    }
    text.push('\n');
    for (title, TotalView { was, now }) in [("Cost", &view.cost), ("If left", &view.left)] {
        sums(text, title, &range(was), &range(now));
    }
    funds(text, &view.funds);
    if !view.moves.is_empty() {
        text.push('\n');
        paragraph(text, "", "How soon:");
        let wide = view.moves.iter().map(|one| one.count.to_string().len()).max().unwrap_or(0);
        for one in &view.moves {
            paragraph(text, "  ", &format!("{:>wide$}  from {} to {}", one.count, shown(&one.was), shown(&one.now)));
        }
    }
    listed(text, view);
    refusals(text, view);
}

fn sums(text: &mut String, title: &str, was: &str, now: &str) {
    paragraph(text, &format!("{title:8} was  "), was);
    paragraph(text, "         now  ", now);
}

fn range(sum: &SumView) -> String {
    let mut words = if sum.from == sum.to {
        format!("{} {}", sum.from, sum.money)
    } else {
        format!("{} to {} {}", sum.from, sum.to, sum.money)
    };
    if !sum.exact {
        words.push_str(" at the outside");
    }
    if sum.more {
        words.push_str(", and more that is hidden or known only on sight");
    }
    words
}

/// What each fund pays by itself: they do not stack.
fn funds(text: &mut String, funds: &[FundView]) {
    if funds.is_empty() {
        return;
    }
    text.push('\n');
    paragraph(text, "", "Each fund by itself, as if no other paid (funds do not stack):");
    for FundView { fund, was, now } in funds {
        let pays = |sum: &Option<SumView>| sum.as_ref().map_or("there is none".to_owned(), range);
        paragraph(text, "  ", &shown(fund));
        paragraph(text, "    was  ", &pays(was));
        paragraph(text, "    now  ", &pays(now));
    }
}

fn cost(count: u64) -> String {
    match count {
        0 => "none costs".to_owned(),
        1 => "1 costs".to_owned(),
        many => format!("{many} cost"),
    }
}

fn listed(text: &mut String, view: &CountedView) {
    if view.moved.is_empty() {
        return;
    }
    text.push('\n');
    paragraph(text, "", "Those that come out differently:");
    for moved in view.moved.iter().take(MOST_LISTED) {
        let tag = moved.tag.as_ref().map(|tag| format!(" ({})", shown(tag))).unwrap_or_default();
        paragraph(text, "  ", &format!("{}{tag}", shown(&moved.record)));
        for line in moved.what.iter().chain(&moved.because) {
            paragraph(text, "    - ", &plain(line));
        }
    }
    match view.moved.len().saturating_sub(MOST_LISTED) {
        0 => {}
        more => paragraph(text, "  ", &format!("and {more} more (--as json names them all)")),
    }
}

fn refusals(text: &mut String, view: &CountedView) {
    if view.refused.is_empty() {
        return;
    }
    text.push('\n');
    paragraph(text, "", "Refused:");
    for refused in view.refused.iter().take(MOST_LISTED) {
        let record = refused.record.as_ref().map(|record| format!(", record {}", shown(record))).unwrap_or_default();
        let by = match refused.by {
            "both" => "by both",
            "old" => "by the old rulebook only",
            _ => "by the new rulebook only",
        };
        paragraph(text, "  ", &format!("{}, row {}{record}: {by}", shown(&refused.source), refused.row));
        let alone = [(&refused.old, "by the old rulebook only: "), (&refused.new, "by the new rulebook only: ")];
        for (reasons, by) in [(&refused.why, "")].into_iter().chain(alone) {
            for why in reasons {
                paragraph(text, "    - ", &format!("{by}{}", shown(why)));
            }
        }
    }
    match view.refused.len().saturating_sub(MOST_LISTED) {
        0 => {}
        more => paragraph(text, "  ", &format!("and {more} more (--as json names them all)")),
    }
}
