//! One instrument's slip: what is certain, then what is suspected, then, short, what nobody looked at.

use std::fmt::Write;

use purfle_lang::book::{AidWord, Book, HandId, PartId, PlayedWord, StateWord, StepId, TierId, Within};
use purfle_lang::number::{Number, format_decimal};
use purfle_lang::unit::format_date;

use super::cautions::cautions;
use super::figures::{NOTHING, due_words, minor, money_range, more, place_name, place_words, pointed, sum, unaided_words};
use super::layout::{Ink, Paint, WIDTH, paragraph, paragraph_in, sides};
use super::noted;
use super::text::{plain, shown};
use super::triage::Settings;
use crate::outcome::{AidOutcome, At, Figure, Judged, NextLook, Outcome, Range, Said, Sum};
use crate::record::Record;

/// The most looks that are asked for on a slip.
const MOST_LOOKS: usize = 5;

/// Words stand this far from the left in the slip's head.
const MARGIN: &str = "                   ";

/// Writes slips by one book.
pub struct Slip<'a> {
    /// The book.
    pub book: &'a Book,
    /// What may be written, and how.
    pub settings: &'a Settings,
}

impl Slip<'_> {
    /// The slip of one instrument.
    pub fn write(&self, record: &Record, outcome: &Outcome) -> String {
        let mut out = String::with_capacity(2048);
        self.head(&mut out, record);
        self.verdict(&mut out, record, outcome);
        self.first(&mut out, outcome);
        for (state, title) in [(StateWord::Found, "Found"), (StateWord::Suspected, "Suspected")] {
            let mut titled = false;
            for group in groups(outcome, state) {
                if !std::mem::replace(&mut titled, true) {
                    self.title(&mut out, title);
                }
                self.finding(&mut out, &group);
            }
        }
        if outcome.findings.is_empty() {
            self.title(&mut out, "Found");
            out.push_str("  Nothing, as far as anybody looked.\n");
        }
        self.not_ruled_out(&mut out, outcome);
        self.cost(&mut out, outcome);
        self.looks(&mut out, outcome);
        self.counsel(&mut out, outcome);
        self.aid(&mut out, outcome);
        self.foot(&mut out, outcome);
        out
    }

    fn paint(&self) -> Paint {
        self.settings.paint
    }

    fn title(&self, out: &mut String, title: &str) {
        let _ = writeln!(out, "\n{}", self.paint().ink(Ink::Heading, title));
    }

    fn head(&self, out: &mut String, record: &Record) {
        let _ = writeln!(out, "{}", "=".repeat(WIDTH));
        let tag = record.tag.as_deref().map(|tag| format!("  (tag {})", shown(tag))).unwrap_or_default();
        let day = record.inspected_on.map(|day| format!("inspected on {}", format_date(day))).unwrap_or_default();
        sides(out, "", &format!("{}{tag}", shown(&record.id)), &day);
        if let Some(again) = record.seen_again {
            paragraph(out, "", &format!("An older inspection: this instrument was seen again on {}.", format_date(again)));
        }
        noted::write(out, self.book, record, self.settings.without_names);
        let _ = writeln!(out, "{}", "-".repeat(WIDTH));
    }

    fn verdict(&self, out: &mut String, record: &Record, outcome: &Outcome) {
        let book = self.book;
        let played = match outcome.played {
            PlayedWord::Yes => self.paint().ink(Ink::Well, "Yes."),
            PlayedWord::No => self.paint().ink(Ink::Grave, "NO. Do not play it."),
            PlayedWord::Open if pointed(book, outcome, None) => {
                self.paint().ink(Ink::Warn, "NOT CERTAIN: what was seen may forbid it. Look again first, as asked below.")
            }
            PlayedWord::Open => self.paint().ink(Ink::Warn, "NOT SETTLED: too little was looked at to say."),
        };
        paragraph_in(out, "May it be played?  ", MARGIN, &played);
        for (part, word) in &outcome.apart {
            let (ink, word) = match word {
                PlayedWord::No => (Ink::Grave, "NO. Do not use it."),
                _ if pointed(book, outcome, Some(*part)) => (Ink::Warn, "NOT CERTAIN: what was seen may forbid its use."),
                _ => (Ink::Faint, "not settled: too little of it was looked at."),
            };
            paragraph_in(out, MARGIN, MARGIN, &format!("{}: {}", plain(&book[*part].words), self.paint().ink(ink, word)));
        }
        // What stops a piece that stands apart does not stop the instrument.
        let step = |id: StepId| match (outcome.played, book[id].not_played) {
            (PlayedWord::Yes, true) => {
                let stopped: Vec<String> = outcome.apart.iter().map(|(part, _)| plain(&book[*part].words).into_owned()).collect();
                format!("Do not use: {}", stopped.join(", "))
            }
            _ => plain(&book[id].words).into_owned(),
        };
        let (from, to) = (outcome.urgency.from, outcome.urgency.to);
        let mut soon = format!("{}.", step(from));
        if from != to {
            soon = format!("At least: {}.", step(from));
            if outcome.suspected > from {
                let _ = write!(soon, "\nSuspected: {}.", step(outcome.suspected));
            }
            if to > outcome.suspected {
                let _ = write!(soon, "\nPossible, as not everything was seen: {}.", step(to));
            }
        }
        if !outcome.urgency_exact {
            soon.push_str("\n(These steps are bounds; not both need be reached.)");
        }
        let surely_limited = book[from].within != Within::Whenever || book[to].within != Within::Whenever;
        match due_words(book, outcome.urgency, &outcome.due) {
            Some(due) => _ = write!(soon, "\nTo be seen to {due}."),
            None if surely_limited && record.inspected_on.is_none() => {
                soon.push_str("\nThe record has no date, so no day can be named.")
            }
            None => {}
        }
        if let Some(again) = outcome.again {
            let _ = write!(soon, "\nLook again on {}.", format_date(again));
        }
        paragraph_in(out, "How soon?          ", MARGIN, &soon);
        let hand = |id: Option<HandId>| id.map(|id| plain(&book[id].words).into_owned()).unwrap_or_default();
        let hands = match (outcome.hands.from, outcome.hands.to) {
            (None, None) => "Nothing to be done.".to_owned(),
            (from, to) if from == to => format!("{}.", hand(from)),
            (None, to) => format!("Perhaps nobody. At most: {}.", hand(to)),
            (from, to) => format!("At least: {}. Perhaps: {}.", hand(from), hand(to)),
        };
        paragraph_in(out, "By whom?           ", MARGIN, &hands);
    }

    fn first(&self, out: &mut String, outcome: &Outcome) {
        let lines = first_lines(self.book, outcome);
        if lines.is_empty() {
            return;
        }
        self.title(out, "Before anything else");
        for line in lines {
            paragraph(out, "  ! ", &plain(line));
        }
    }

    fn finding(&self, out: &mut String, group: &Group<'_>) {
        let book = self.book;
        let Group { judged, places } = group;
        let finding = &book[judged.finding];
        let words: Vec<String> =
            places.iter().filter_map(|at| place_words(book, finding.on, *at)).map(|words| plain(&words).into_owned()).collect();
        let place = if words.is_empty() { String::new() } else { format!(" ({})", words.join(", ")) };
        let each = if places.len() > 1 && judged.cost.to > Number::from_integer(0) { "each " } else { "" };
        let cost = if judged.yields_to.is_some() { String::new() } else { format!("{each}{}", short_sum(book, &judged.cost)) };
        sides(out, "  * ", &format!("{}{place}", plain(&finding.words)), &cost);
        let apart = book[finding.on].apart;
        let step = |id: StepId| match apart && book[id].not_played {
            true => "Do not use it".to_owned(),
            false => plain(&book[id].words).into_owned(),
        };
        let steps = if judged.urgency.from == judged.urgency.to {
            step(judged.urgency.to)
        } else {
            format!("{}, or up to: {}", step(judged.urgency.from), step(judged.urgency.to))
        };
        let ink = if book[judged.urgency.to].not_played { Ink::Grave } else { Ink::Warn };
        let hands = plain(&book[finding.counted_hands()].words);
        let mut about = format!("{steps}. {hands}. [{}]", finding.name);
        if self.paint().colour {
            about = about.replacen(&steps, &self.paint().ink(ink, &steps), 1);
        }
        paragraph(out, "    ", &about);
        if let Some(other) = judged.yields_to {
            paragraph(out, "    ", &format!("Goes with: {}; it adds no work of its own.", plain(&book[other].words)));
        }
        for line in &finding.tell {
            paragraph(out, "    ", &plain(line));
        }
        for line in &finding.care {
            paragraph(out, "    Care: ", &plain(line));
        }
        if finding.ways.len() > 1 {
            for (at, way) in finding.ways.iter().enumerate() {
                let price = judged.ways.get(at).map(|price| short_sum(book, price)).unwrap_or_default();
                sides(out, "    - ", &format!("one way: {}", plain(&way.words)), &price);
                for line in &way.tell {
                    paragraph(out, "      ", &plain(line));
                }
            }
        }
        if judged.yields_to.is_none() {
            self.left_alone(out, judged);
        }
        for line in &finding.refer {
            paragraph(out, "    For the luthier: ", &plain(line));
        }
        for change in &finding.origin.changes {
            paragraph(out, "    ", &format!("({} has changed this: {})", change.rulebook, plain(&change.because)));
        }
    }

    fn left_alone(&self, out: &mut String, judged: &Judged) {
        let book = self.book;
        let finding = &book[judged.finding];
        if finding.becomes.is_empty() {
            return;
        }
        let becomes: Vec<String> = finding
            .becomes
            .iter()
            .map(|arrow| {
                let odds = arrow.odds.map(|odds| format!("{} %", format_decimal(odds * Number::from_integer(100))));
                let within = arrow.within.map(|within| format!("within {within}"));
                let about: Vec<String> = odds.into_iter().chain(within).collect();
                let about = if about.is_empty() { String::new() } else { format!(" ({})", about.join(" ")) };
                format!("{}{about}", plain(&book[arrow.to].words))
            })
            .collect();
        let mut text = format!("{}. Then: {}.", becomes.join("; "), sum(book, &judged.left));
        if let Some(extra) = judged.expected_extra {
            let _ = write!(text, " To be expected on average: {} more.", money_range(book, extra.from, extra.to));
        }
        paragraph(out, "    If left: ", &text);
    }

    fn not_ruled_out(&self, out: &mut String, outcome: &Outcome) {
        if outcome.not_ruled_out.is_empty() && outcome.unseen.is_empty() {
            return;
        }
        self.title(out, "Not ruled out, because nobody looked");
        let mut in_part: Vec<PartId> = Vec::new();
        for judged in &outcome.not_ruled_out {
            let part = self.book[judged.finding].on;
            if !in_part.contains(&part) && !outcome.unseen.contains(&part) {
                in_part.push(part);
            }
        }
        let names = |parts: &[PartId]| parts.iter().map(|part| self.book[*part].name.as_str()).collect::<Vec<_>>().join(", ");
        let mut text = match outcome.not_ruled_out.len() {
            0 => String::new(),
            1 => "1 finding.\n".to_owned(),
            count => format!("{count} findings.\n"),
        };
        if !outcome.unseen.is_empty() {
            let _ = writeln!(text, "Not looked at at all: {}.", names(&outcome.unseen));
        }
        if !in_part.is_empty() {
            let _ = writeln!(text, "Not everything of: {}.", names(&in_part));
        }
        for line in text.lines() {
            paragraph_in(out, "  ", "    ", &self.paint().ink(Ink::Faint, line));
        }
    }

    fn cost(&self, out: &mut String, outcome: &Outcome) {
        let book = self.book;
        self.title(out, "Cost");
        let tier = |from: TierId, to: TierId| match from == to {
            true => format!("; {}", plain(&book[from].words)),
            false => format!("; {} to {}", plain(&book[from].words), plain(&book[to].words)),
        };
        let unseen = !outcome.not_ruled_out.is_empty();
        for (lead, total, tiers) in
            [("  now      ", &outcome.cost, &outcome.tier), ("  if left  ", &outcome.left, &outcome.left_tier)]
        {
            let places = book.money.minor_places();
            let (from, to) = (minor(total.from, places), minor(total.to, places));
            if unseen && from != to {
                paragraph(out, lead, &open_sum(book, total, tiers));
                continue;
            }
            let words = sum(book, total);
            let tier = if words == NOTHING { String::new() } else { tier(tiers.from, tiers.to) };
            paragraph(out, lead, &format!("{words}{tier}"));
        }
        if let Some(quoted) = outcome.quoted {
            paragraph(out, "  quoted   ", &format!("{}, by the shop that has seen it", money_range(book, quoted, quoted)));
        }
    }

    fn looks(&self, out: &mut String, outcome: &Outcome) {
        if outcome.looks.is_empty() {
            return;
        }
        self.title(out, "Look next");
        for (at, next) in outcome.looks.iter().take(MOST_LOOKS).enumerate() {
            self.look(out, at + 1, next);
        }
        if outcome.looks.len() > MOST_LOOKS {
            let more = format!("and {} more that can still change something", outcome.looks.len() - MOST_LOOKS);
            paragraph(out, "  ", &self.paint().ink(Ink::Faint, &more));
        }
        // What somebody tried to see is worth naming, wherever in the order it stands.
        let again = outcome.looks.iter().skip(MOST_LOOKS).filter(|next| next.again);
        let again: Vec<String> = again.map(|next| self.field(next)).collect();
        if !again.is_empty() {
            paragraph(out, "  ", &format!("Look again at what was not clear the first time: {}.", again.join(", ")));
        }
    }

    fn look(&self, out: &mut String, number: usize, next: &NextLook) {
        let book = self.book;
        let look = &book[next.look];
        let part = &book[look.part];
        let place = place_words(book, look.part, next.at).map(|place| format!(", {}", plain(&place))).unwrap_or_default();
        let again = if next.again { " Look again, more closely." } else { "" };
        let asked = plain(&look.question);
        let stop = if again.is_empty() || asked.ends_with(['?', '.', '!']) { "" } else { "." };
        let question = format!("{}{place}: {asked}{stop}{again}", plain(&part.words));
        paragraph(out, &format!("  {number}. "), &question);
        if let Some((gravest, others)) = next.can.split_first() {
            let more = if others.is_empty() { "" } else { ", and more" };
            let can = format!("[{}] can change {}{more}", self.field(next), figure_words(*gravest));
            paragraph(out, "     ", &self.paint().ink(Ink::Faint, &can));
        }
        let fixed = match next.at {
            At::Place(purfle_lang::book::RecordPath::Fixed(place)) => part.fixed_places().get(place.index()),
            _ => None,
        };
        let how = look.how.as_ref().or(fixed.and_then(|place| place.how.as_ref())).or(part.how.as_ref());
        let care = look.care.as_ref().or(fixed.and_then(|place| place.care.as_ref())).or(part.care.as_ref());
        if let Some(how) = how {
            paragraph(out, "     How: ", &plain(how));
        }
        if let Some(care) = care {
            paragraph(out, "     Care: ", &plain(care));
        }
    }

    /// A look as a record writes it.
    fn field(&self, next: &NextLook) -> String {
        let look = &self.book[next.look];
        let place = place_name(self.book, look.part, next.at).map(|place| format!("{place}.")).unwrap_or_default();
        format!("{}.{place}{}", self.book[look.part].name, look.name)
    }

    fn counsel(&self, out: &mut String, outcome: &Outcome) {
        let of = |wanted: StateWord| outcome.counsel.iter().filter(move |(_, state)| *state == wanted);
        // While much is unseen nearly every counsel is open, and to say so tells nobody anything.
        let much_unseen = !outcome.not_ruled_out.is_empty();
        let open: Vec<_> = of(StateWord::Open).filter(|_| !much_unseen).map(|(id, _)| plain(&self.book[*id].words)).collect();
        if open.is_empty() && of(StateWord::Found).next().is_none() {
            return;
        }
        self.title(out, "Counsel");
        for (id, _) in of(StateWord::Found) {
            let counsel = &self.book[*id];
            paragraph(out, "  * ", &plain(&counsel.words));
            for line in &counsel.tell {
                paragraph(out, "    ", &plain(line));
            }
        }
        if !open.is_empty() {
            let open = format!("May apply, once more is known: {}.", open.join("; "));
            paragraph(out, "  * ", &self.paint().ink(Ink::Faint, &open));
        }
    }

    fn aid(&self, out: &mut String, outcome: &Outcome) {
        // A fund that does not pay where nothing is to be paid is not worth a word.
        let all_refused = outcome.aid.iter().all(|aid| aid.state == AidWord::Refused);
        if all_refused && (outcome.aid.is_empty() || outcome.cost.to == Number::from_integer(0)) {
            return;
        }
        self.title(out, "Repair funds");
        for AidOutcome { aid, state, pays, exact, missing, why } in &outcome.aid {
            let bound = if *exact { "" } else { " at the outside" };
            let pays = format!("{}{bound}", money_range(self.book, pays.from, pays.to));
            let words = plain(&self.book[*aid].words);
            match state {
                AidWord::Eligible => paragraph(out, "  * ", &format!("{words}: eligible; pays {pays}")),
                AidWord::Refused => {
                    let why = why.map(|why| format!(": {}", unaided_words(why))).unwrap_or_default();
                    paragraph(out, "  * ", &format!("{words}: not for this one{why}"));
                    continue;
                }
                AidWord::Open => paragraph(out, "  * ", &format!("{words}: not certain yet; may pay {pays}")),
            }
            if !missing.is_empty() {
                let asked: Vec<String> = missing
                    .iter()
                    .map(|look| format!("{} ({})", plain(&self.book[*look].question), self.book.look_path(*look)))
                    .collect();
                paragraph(out, "    Still to be answered: ", &asked.join("; "));
            }
        }
        if all_refused {
            return;
        }
        paragraph(out, "  ", &self.paint().ink(Ink::Faint, "A fund's own rules and the law where you are have the last word."));
    }

    fn foot(&self, out: &mut String, outcome: &Outcome) {
        let cautions = cautions(self.book, outcome);
        if !cautions.is_empty() {
            self.title(out, "Take care");
            for caution in cautions {
                paragraph(out, "  - ", caution);
            }
        }
        out.push('\n');
        for notice in &self.book.notices {
            paragraph(out, "", &plain(notice));
        }
        paragraph(out, "", &self.paint().ink(Ink::Faint, &rulebook_line(self.book)));
        out.push('\n');
    }
}

/// `by first-look 2026.1, kept by …, built on …`
pub fn rulebook_line(book: &Book) -> String {
    let mut line = format!("Judged by {} {}", book.name, shown(&book.edition));
    if let Some(keeper) = &book.keeper {
        let _ = write!(line, ", kept by {}", plain(keeper));
    }
    for parent in &book.parents {
        let _ = write!(line, ", built on {} {}", parent.name, shown(&parent.edition));
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

/// One finding at every place where all that a slip says of it is the same.
struct Group<'a> {
    judged: &'a Judged,
    places: Vec<At>,
}

/// The findings of one state, in the outcome's order.
fn groups(outcome: &Outcome, state: StateWord) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for judged in outcome.findings.iter().filter(|judged| judged.state == state) {
        let same = groups.iter_mut().find(|group| Judged { at: judged.at, ..group.judged.clone() } == *judged);
        match same {
            Some(group) => group.places.push(judged.at),
            None => groups.push(Group { judged, places: vec![judged.at] }),
        }
    }
    groups
}

/// A total of which the greater end is made by what nobody looked at.
fn open_sum(book: &Book, total: &Sum, tiers: &Range<TierId>) -> String {
    let tier = |id: TierId| plain(&book[id].words).into_owned();
    let low = if total.from == Number::from_integer(0) {
        "nothing for certain".to_owned()
    } else {
        format!("at least {} ({})", money_range(book, total.from, total.from), tier(tiers.from))
    };
    let same = tiers.from == tiers.to && total.from > Number::from_integer(0);
    let tier = if same { String::new() } else { format!(" ({})", tier(tiers.to)) };
    let high = format!("{}{tier}", money_range(book, total.to, total.to));
    let bound = if total.exact { "" } else { " at the outside" };
    let more = more(total).map(|more| format!(", {more}")).unwrap_or_default();
    format!("{low}; up to {high}{bound}{more}, if what nobody looked at turned out at its worst")
}

/// A price beside a finding.
fn short_sum(book: &Book, price: &Sum) -> String {
    if price.and_more && price.to == Number::from_integer(0) {
        return "known only on sight".to_owned();
    }
    let nothing = price.to == Number::from_integer(0);
    let mut text = if nothing { NOTHING.to_owned() } else { money_range(book, price.from, price.to) };
    if !price.exact && !nothing {
        text.push_str(" at the outside");
    }
    if price.and_more || price.or_more {
        text.push_str(" and more");
    }
    text
}

fn figure_words(figure: Figure) -> &'static str {
    match figure {
        Figure::Played => "whether it may be played",
        Figure::Urgency => "how soon",
        Figure::Hands => "by whom",
        Figure::Cost => "the cost",
        Figure::Left => "the cost if left",
        Figure::Aid => "what a fund pays",
        Figure::Counsel => "the counsel",
    }
}
