//! A trace for people: in sentences, the short answer first.

mod advice;

use std::fmt::Write;

use super::bench::{BenchView, LeftView, WorkView};
use super::gravity::GravityView;
use super::reading::ReadView;
use super::view::{
    AppliesView, ChangeView, PlaceView, Report, SettlingView, ShortView, SignView, TraceView, TurnedView, TurningView,
};
use super::whole::OutcomeView;
use crate::report::{Ink, Paint, paragraph, paragraph_in, shown, sides};

/// The whole report.
pub fn report(report: &Report, paint: Paint) -> String {
    let mut writer = Writer { out: String::new(), paint };
    writer.head(report);
    if let Some(outcome) = &report.outcome {
        writer.outcome(outcome, &report.findings);
    }
    for trace in &report.traces {
        writer.trace(trace);
    }
    report.counsel.iter().for_each(|counsel| writer.counsel(counsel));
    report.aid.iter().for_each(|fund| writer.fund(fund));
    writer.out.push('\n');
    paragraph(&mut writer.out, "", &paint.ink(Ink::Faint, &report.rulebook.line));
    writer.out
}

struct Writer {
    out: String,
    paint: Paint,
}

/// `(rulebook.purfle:12)`
fn place(written: Option<&PlaceView>) -> String {
    written.map(|place| format!("({}:{})", place.file, place.line)).unwrap_or_default()
}

/// Where something was recorded, in the row that stands at the head: ` (column V)`, or the field where it is written
/// otherwise than the look.
fn recorded(read: &ReadView) -> String {
    let Some(recorded) = &read.recorded else { return String::new() };
    let field = recorded.field.as_ref().filter(|field| **field != read.look && read.how != "good");
    match (&recorded.column, field) {
        (Some(column), _) => format!(" (column {column})"),
        (None, Some(field)) => format!(" (field {field})"),
        (None, None) => String::new(),
    }
}

/// What a record says of a look, in a sentence.
fn reading(read: &ReadView) -> String {
    let mut text = if read.last { format!("last time, {}", read.look) } else { read.look.clone() };
    let value = read.value.as_deref().unwrap_or_default();
    match read.how {
        "written" => {
            let _ = write!(text, " is {value}");
        }
        "good" => {
            let value = if value.is_empty() { String::new() } else { format!(": {value}") };
            let since = read.recorded.as_ref().and_then(|recorded| recorded.field.as_ref());
            let since = since.map(|field| format!(", since `{field}` is")).unwrap_or_default();
            let _ = write!(text, " is good{value}{since}");
        }
        "could not tell" => text.push_str(": somebody looked, and could not tell"),
        "does not apply" => text.push_str(": the record says that it does not apply"),
        "no earlier record" => text.push_str(" of last time: there is no earlier record of it, so it has no value"),
        "no more" => {
            let _ = write!(text, ": there are no more than are written down");
        }
        _ => text.push_str(": not looked at"),
    }
    if let (Some(error), Some(can_be)) = (&read.give_or_take, &read.can_be) {
        let _ = write!(text, ", give or take {error}: {can_be}");
    }
    text.push_str(&recorded(read));
    for only in &read.only_when {
        let is = match only.state {
            "open" => "which is open",
            _ => "which is not so: it does not apply",
        };
        let _ = write!(text, "; only when {}, {is} {}", only.only_when, place(only.written.as_ref()));
    }
    shown(&text).into_owned()
}

impl Writer {
    fn title(&mut self, title: &str) {
        let _ = writeln!(self.out, "\n{}", self.paint.ink(Ink::Heading, title));
    }

    fn say(&mut self, lead: &str, text: &str) {
        paragraph(&mut self.out, lead, text);
    }

    fn head(&mut self, report: &Report) {
        let record = &report.record;
        let _ = writeln!(self.out, "{}", "=".repeat(80));
        let tag = record.tag.as_ref().map(|tag| format!("  (tag {})", shown(tag))).unwrap_or_default();
        let day = record.inspected_on.as_ref().map(|day| format!("inspected on {day}")).unwrap_or_default();
        sides(&mut self.out, "", &format!("{}{tag}", shown(&record.record)), &day);
        self.say("", &format!("{}, row {}", shown(&record.file), record.row));
    }

    fn outcome(&mut self, outcome: &OutcomeView, findings: &[ShortView]) {
        self.title("May it be played?");
        let answer = match outcome.played {
            "yes" => self.paint.ink(Ink::Well, "Yes."),
            "no" => self.paint.ink(Ink::Grave, "No."),
            _ => self.paint.ink(Ink::Warn, "Not settled."),
        };
        self.say("  ", &format!("{answer} {}", outcome.played_by));
        for apart in &outcome.apart {
            let answer = match apart.played {
                "no" => format!("{}, because of", self.paint.ink(Ink::Grave, "not to be used")),
                _ => format!("{}; it hangs on", self.paint.ink(Ink::Warn, "not settled")),
            };
            self.say("  ", &format!("{}: {answer} {}.", apart.words, apart.by));
        }
        self.title("How soon?");
        let (from, to) = (&outcome.from, &outcome.to);
        let to = if from.step == to.step { String::new() } else { format!(", or up to: {} ({})", to.words, to.step) };
        self.say("  ", &format!("{} ({}){to}.", from.words, from.step));
        for line in &outcome.urgency_by {
            self.say("  ", line);
        }
        for (state, title) in [("found", "Found"), ("suspected", "Suspected")] {
            if findings.iter().any(|finding| finding.state == state) {
                self.title(title);
            }
            for finding in findings.iter().filter(|finding| finding.state == state) {
                self.short(finding);
            }
        }
        if findings.is_empty() {
            self.title("Found");
            self.say("  ", "Nothing, as far as anybody looked.");
        }
        self.advice(outcome);
        if outcome.not_ruled_out > 0 || !outcome.unseen.is_empty() {
            self.title("Not looked at");
            let count = match outcome.not_ruled_out {
                1 => "1 finding is not ruled out".to_owned(),
                many => format!("{many} findings are not ruled out"),
            };
            let unseen = if outcome.unseen.is_empty() {
                String::new()
            } else {
                format!(" Not looked at at all: {}.", outcome.unseen.join(", "))
            };
            self.say("  ", &format!("{count}, because nobody looked.{unseen}"));
        }
        if let Some(first) = findings.first() {
            let at = first.place.as_ref().map(|place| format!("@{place}")).unwrap_or_default();
            self.out.push('\n');
            self.say("", &format!("For all there is to say of one of them, name it behind the records: {}{at}", first.finding));
        }
    }

    /// A finding in short, in a list.
    fn short(&mut self, finding: &ShortView) {
        let at = finding.place.as_ref().map(|place| format!("@{place}")).unwrap_or_default();
        let steps = finding.steps.as_ref().map(|(from, to)| match from.step == to.step {
            true => from.step.clone(),
            false => format!("{} to {}", from.step, to.step),
        });
        sides(&mut self.out, "  * ", &format!("{} [{}{at}]", finding.words, finding.finding), &steps.unwrap_or_default());
        self.decided(finding, "    ");
    }

    /// What decides or would settle a finding.
    fn decided(&mut self, finding: &ShortView, lead: &str) {
        if let Some(decided) = &finding.decided_by {
            let state = finding.state;
            match decided.facts.as_slice() {
                [] => self.say(lead, &decided.by_nothing(state)),
                facts => {
                    let less = if decided.smallest { "" } else { " (fewer might do; the search was given up)" };
                    let whole = format!("Whatever else there is to see, it is {state} already by this{less}:");
                    self.say(lead, &whole);
                    for fact in facts {
                        self.say(&format!("{lead}- "), &reading(fact));
                    }
                }
            }
        }
        if let Some(settling) = &finding.would_settle {
            self.settling(settling, lead);
        }
    }

    fn settling(&mut self, settling: &SettlingView, lead: &str) {
        let looks = settling.looks.join(", ");
        if settling.whatever {
            let fewest = if settling.smallest { "" } else { " (fewer might do)" };
            let how = match settling.looks.len() {
                1 => "One clear look settles it, whatever it shows",
                _ => "These looks together settle it, whatever they show",
            };
            self.say(lead, &format!("{how}{fewest}: {looks}."));
            for answer in &settling.answers {
                self.say(&format!("{lead}- "), &format!("{}: {}", answer.shows, answer.then));
            }
            return;
        }
        if !settling.places.is_empty() {
            let places = settling.places.join(", ");
            self.say(lead, &format!("Nobody has said how many there are of this, which has to do with it: {places}."));
        }
        if !looks.is_empty() {
            self.say(lead, &format!("Looks that have to do with it and are open: {looks}."));
        }
    }

    fn trace(&mut self, trace: &TraceView) {
        let short = &trace.short;
        let _ = writeln!(self.out, "{}", "-".repeat(80));
        let where_it_is = short.place_words.as_ref().map(|place| format!(" ({place})")).unwrap_or_default();
        let at = short.place.as_ref().map(|place| format!("@{place}")).unwrap_or_default();
        self.say("", &self.paint.ink(Ink::Heading, &format!("{}{where_it_is}", short.words)));
        sides(&mut self.out, "", &format!("[{}{at}]", short.finding), &place(trace.written.as_ref()));
        let state = match short.state {
            "found" => self.paint.ink(Ink::Warn, "FOUND."),
            "clear" => self.paint.ink(Ink::Well, "CLEAR."),
            "suspected" => self.paint.ink(Ink::Warn, "SUSPECTED: something that was seen points to it."),
            _ => self.paint.ink(Ink::Faint, "OPEN: not ruled out."),
        };
        self.say("", &state);
        self.decided(short, "  ");
        if short.decided_by.is_some() && reads_back(&trace.signs) {
            self.say("  ", "(What the record before says is taken as given.)");
        }
        self.changes(&trace.changes, "  ");
        if let Some(turning) = &trace.would_turn {
            self.turning(turning);
        }
        self.applies(&trace.applies);
        self.title("Its signs");
        if !trace.exact {
            self.say("  ", "(Too much is open to go through every case: each sign is taken by itself.)");
        }
        self.sign(&trace.signs, 0);
        for unless in &trace.unless {
            self.title("Unless");
            self.sign(unless, 0);
        }
        // What is clear is not urgent and costs nothing.
        if short.state != "clear" {
            self.gravity(&trace.urgency);
            self.bench(&trace.bench);
            trace.left.iter().for_each(|left| self.left(left));
        }
        for (texts, title) in [(&trace.care, "Take care"), (&trace.basis, "Where it is from")] {
            if !texts.is_empty() {
                self.title(title);
            }
            for text in texts {
                self.say("  ", text);
            }
        }
    }

    fn changes(&mut self, changes: &[ChangeView], lead: &str) {
        for change in changes {
            let what = if change.what.is_empty() { String::new() } else { format!(" ({})", change.what.join(", ")) };
            let text = format!(
                "{} has changed this{what}, because: {} {}",
                change.rulebook,
                change.because,
                place(change.written.as_ref())
            );
            self.say(lead, &text);
        }
    }

    fn turning(&mut self, turning: &TurningView) {
        self.title("What would turn it");
        let to = turning.to;
        if turning.ways.is_empty() {
            let sure = if turning.smallest { "Nothing that a look can show" } else { "Nothing that was tried" };
            self.say("  ", &format!("{sure} would make it {to}, the rest of the record being as it is."));
            return;
        }
        let many = turning.ways.first().map_or(0, Vec::len);
        let less = if turning.smallest { "" } else { " (something nearer may do; not all could be tried)" };
        let how = match (many, turning.ways.len()) {
            (1, 1) => format!("One look shown otherwise would make it {to}{less}:"),
            (1, _) => format!("Any one of these, shown otherwise, would make it {to}{less}:"),
            (_, 1) => format!("No single look would, but these together would make it {to}{less}:"),
            _ => format!("No single look would; each line of these would make it {to}{less}:"),
        };
        self.say("  ", &how);
        for way in &turning.ways {
            self.say("  - ", &way.iter().map(turned).collect::<Vec<_>>().join(", and "));
        }
    }

    fn applies(&mut self, applies: &[AppliesView]) {
        let not: Vec<&AppliesView> = applies.iter().filter(|one| one.state != "met").collect();
        if not.is_empty() {
            return;
        }
        self.title("Whether it applies");
        for one in not {
            let is = if one.state == "open" { "which is open" } else { "which is not so" };
            self.say("  ", &format!("Only when {}, {is} {}", one.only_when, place(one.written.as_ref())));
        }
    }

    fn sign(&mut self, sign: &SignView, depth: usize) {
        let ink = match sign.state {
            "met" => Ink::Warn,
            "not met" => Ink::Well,
            _ => Ink::Faint,
        };
        let state = format!("{:8}", sign.state);
        let indent = "  ".repeat(depth);
        let at = sign.place.as_ref().map(|place| format!("{place}: ")).unwrap_or_default();
        let several = !sign.inner.is_empty() && !sign.quoted;
        let line = if several { String::new() } else { place(sign.written.as_ref()) };
        let says = if several { format!("{at}{}:", sign.says) } else { format!("{at}{}", sign.says) };
        let margin = format!("  {state} {indent}");
        let mut text = String::new();
        sides(&mut text, &margin, &says, &line);
        self.out.push_str(&text.replacen(&state, &self.paint.ink(ink, &state), 1));
        let below = format!("           {indent}  ");
        if sign.state == "neither" {
            self.say(&below, "(neither it nor its opposite: something that it reads is not there)");
        }
        for read in &sign.reads {
            self.say(&below, &reading(read));
        }
        for worked in &sign.worked {
            let comes_to = worked.comes_to.as_deref().unwrap_or("nothing: it has no value here");
            self.say(&below, &format!("{} comes to {comes_to}", worked.name));
        }
        for inner in &sign.inner {
            self.sign(inner, depth + 1);
        }
    }

    fn gravity(&mut self, gravity: &GravityView) {
        self.title("How soon");
        match (&gravity.from, &gravity.to) {
            (Some(from), Some(to)) if from.step == to.step => self.say("  ", &format!("{} ({}).", from.words, from.step)),
            (Some(from), Some(to)) => {
                self.say("  ", &format!("{} ({}), or up to: {} ({}).", from.words, from.step, to.words, to.step));
            }
            _ => {}
        }
        for line in &gravity.lines {
            let counts = match (line.counts, line.wins) {
                ("met", "yes") => "counts",
                ("met", "perhaps") => "counts, unless a graver line does",
                ("met", _) => "counts, but a graver line does too",
                ("open", "perhaps") => "may count",
                ("open", _) => "may count, but a graver line counts anyway",
                _ => "does not count",
            };
            sides(&mut self.out, "  - ", &format!("{}: {counts}", line.says), &place(line.written.as_ref()));
            if let Some(condition) = line.condition.as_ref().filter(|_| line.wins != "no" || line.counts == "not met") {
                self.reads(condition);
            }
        }
        for raise in &gravity.raises {
            let counts = match (raise.counts, &raise.lifts_to) {
                ("not met", _) => "does not count".to_owned(),
                ("met", Some(to)) => format!("counts, and lifts it to {to}"),
                ("met", None) => "counts, and lifts it no higher".to_owned(),
                (_, Some(to)) => format!("may count, and would lift it to {to}"),
                (_, None) => "may count, and would lift it no higher".to_owned(),
            };
            let text = format!("raise {} ({}), by {} up to {}: {counts}", raise.raise, raise.words, raise.by, raise.cap);
            sides(&mut self.out, "  - ", &text, &place(raise.written.as_ref()));
            self.changes(&raise.changes, "    ");
            if raise.counts != "not met" {
                self.reads(&raise.condition);
            }
        }
    }

    /// What a condition reads, all of it, each thing once.
    fn reads(&mut self, sign: &SignView) {
        let mut told: Vec<String> = Vec::new();
        gathered(sign, &mut told);
        for line in told {
            self.say("    ", &line);
        }
    }

    fn bench(&mut self, bench: &BenchView) {
        self.title("What is to be done");
        self.say("  By whom: ", &format!("{}.", bench.hands));
        for (at, way) in bench.ways.iter().enumerate() {
            if let Some(words) = &way.way {
                let counted = if at == 0 { " (this one counts in the totals)" } else { "" };
                let cost = way.cost.as_deref().unwrap_or_default();
                sides(&mut self.out, "  One way: ", &format!("{words}{counted}"), cost);
            }
            for work in &way.work {
                self.work(work);
            }
            for goods in &way.goods {
                let open = if goods.settled { "" } else { ", as far as is known" };
                sides(&mut self.out, "  - ", &goods.words, &format!("{}{open}", goods.price));
            }
            if way.work.is_empty() && way.goods.is_empty() && !bench.on_sight {
                self.say("  ", "Nothing that costs money.");
            }
        }
        if bench.on_sight {
            self.say("  ", "What it costs is known only once a luthier has seen it.");
        }
        if let Some(cost) = &bench.cost {
            let least = bench
                .least_charge
                .as_ref()
                .map(|least| format!("; a visit with any work costs {least} at the least"))
                .unwrap_or_default();
            self.say("  If it were the only job: ", &format!("{cost}{least}."));
        }
        for other in &bench.yields_to {
            let now = match other.now {
                true => "which is found too: it is listed there, and adds no work",
                false => "where that is found too",
            };
            self.say("  ", &format!("It yields to {} ({}), {now}.", other.finding, other.words));
        }
    }

    fn work(&mut self, work: &WorkView) {
        let open = if work.settled { "" } else { ", as far as is known" };
        let price = match &work.done_by {
            Some(_) => String::new(),
            None => format!("{}{open}", work.price),
        };
        sides(&mut self.out, "  - ", &work.words, &price);
        let counted = if work.counted == "once" { "once an instrument" } else { "at each place" };
        let mut about = vec![format!("{}, {counted}", work.work)];
        about.extend(work.time.clone());
        about.extend(work.done_by.as_ref().map(|other| format!("{other} does this as well, so it costs nothing more")));
        if !work.shared_with.is_empty() {
            about.push(format!("done once with {}", work.shared_with.join(", ")));
        }
        about.extend(work.included_in.iter().map(|other| format!("done already by {other}")));
        paragraph_in(&mut self.out, "    ", "    ", &format!("{} {}", about.join("; "), place(work.written.as_ref())));
        self.changes(&work.changes, "    ");
    }

    fn left(&mut self, left: &LeftView) {
        self.title("If it is left");
        for arrow in &left.becomes {
            let odds = arrow.odds.as_ref().map(|odds| format!("{odds} %"));
            let within = arrow.within.as_ref().map(|within| format!("within {within}"));
            let about: Vec<String> = odds.into_iter().chain(within).collect();
            let about = if about.is_empty() { String::new() } else { format!(", {}", about.join(" ")) };
            let text = format!("{} becomes {} ({}){about}", arrow.from, arrow.to, arrow.words);
            sides(&mut self.out, "  - ", &text, &place(arrow.written.as_ref()));
        }
        if let Some(cost) = &left.cost {
            let extra = left.extra.as_ref().map(|extra| format!(" To be expected on average: {extra} more.")).unwrap_or_default();
            self.say("  Then: ", &format!("{cost}.{extra}"));
        }
    }
}

/// A look shown otherwise: `0.3 mm less: button.gap at most 0.2 mm`.
fn turned(one: &TurnedView) -> String {
    let distance = one.distance.as_ref().map(|distance| format!("{distance}: ")).unwrap_or_default();
    let unseen = if one.unseen { " (not looked at now)" } else { "" };
    // A stretch reads on from its look; a value needs an `is`.
    let reads_on = ["at ", "above ", "below "].iter().any(|word| one.shows.starts_with(word));
    let is = if reads_on { "" } else { "is " };
    format!("{distance}{} {is}{}{unseen}", one.look, one.shows)
}

/// Whether a condition reads something of the record before.
fn reads_back(sign: &SignView) -> bool {
    sign.reads.iter().any(|read| read.last && read.value.is_some()) || sign.inner.iter().any(reads_back)
}

fn gathered(sign: &SignView, into: &mut Vec<String>) {
    for read in &sign.reads {
        let line = reading(read);
        if !into.contains(&line) {
            into.push(line);
        }
    }
    sign.inner.iter().for_each(|inner| gathered(inner, into));
}
