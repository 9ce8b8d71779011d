//! The report as plain values: every sentence ready, nothing laid out. The terminal and the page are made from it.

use std::cmp::Reverse;

use purfle_lang::book::{LookId, StateWord};

use super::super::figures::{NOTHING, minor_range};
use super::super::slip::{LAST_WORD, rulebook_line};
use super::super::text::{plain, shown};
use super::super::triage::{Totals, refused_words};
use super::super::view::{Bar, step_words};
use super::AllotReport;
use crate::allot::optimum::Tie;
use crate::allot::{Instrument, MOST_WAYS, OrderKind, Standing, Total, Width};
use crate::records::Refused;

/// The whole report. All texts are ready to be printed.
pub struct AllotView<'a> {
    /// The rulebook's title.
    pub title: String,
    /// How many records there were.
    pub totals: Totals,
    /// Older inspections that do not count.
    pub older: u64,
    /// The money: what it is, and the sum.
    pub money: Vec<(String, String)>,
    /// The steps, gravest first, with how many at each a fund is surely for, and how many are helped.
    pub steps: Vec<StepLine>,
    /// How many are helped, and what that saves.
    pub saves: String,
    /// What must be known of the plan.
    pub notes: Vec<String>,
    /// Who is helped.
    pub yes: Vec<Yes>,
    /// For whom the money does not reach.
    pub elsewhere: Vec<No>,
    /// What has to be settled first.
    pub open: Vec<Open>,
    /// For whom no fund is: the reason, and the marks.
    pub refused: Vec<(String, Vec<Mark>)>,
    /// Instruments with nothing to be paid for.
    pub nothing: usize,
    /// How wide a step of money is.
    pub step: String,
    /// How that was chosen, where it is not what one would expect.
    pub width: Option<String>,
    /// What each step of money buys.
    pub rungs: Vec<RungLine>,
    /// The plan beside other orders.
    pub orders: Vec<OrderLine>,
    /// Refused records.
    pub wrong: &'a [Refused],
    /// What the rulebooks print on every slip.
    pub notices: Vec<String>,
    /// By which rulebook.
    pub rulebook: String,
}

/// An instrument's marks.
pub struct Mark {
    /// Its inspection's.
    pub record: String,
    /// Its own.
    pub tag: Option<String>,
}

/// A step.
pub struct StepLine {
    /// Its words.
    pub words: String,
    /// How many a fund is surely for.
    pub all: usize,
    /// How many are helped.
    pub helped: usize,
    /// Both as a picture.
    pub bar: Bar,
}

/// Somebody who is helped.
pub struct Yes {
    /// Who.
    pub mark: Mark,
    /// What is reserved.
    pub reserved: String,
    /// The step, and the gravest finding.
    pub urgency: String,
    /// The fund, and what it pays.
    pub fund: String,
    /// What the family pays.
    pub family: String,
    /// What all the work costs, and if it is left.
    pub costs: String,
    /// The way, where it is not the textbook's.
    pub way: Option<String>,
    /// Why, sentence by sentence.
    pub why: Vec<String>,
}

/// Somebody for whom the money does not reach.
pub struct No {
    /// Who.
    pub mark: Mark,
    /// What it would take.
    pub takes: String,
    /// The step, and the gravest finding.
    pub urgency: String,
    /// Why, sentence by sentence.
    pub why: Vec<String>,
}

/// Something to settle first.
pub struct Open {
    /// Who.
    pub mark: Mark,
    /// What may be paid.
    pub most: String,
    /// The step, and the gravest finding.
    pub urgency: String,
    /// What to answer or to do: what it is, and the field as a record writes it.
    pub settle: Vec<(String, Option<String>)>,
}

/// What a sum of money buys.
pub struct RungLine {
    /// The sum.
    pub money: String,
    /// How many are helped.
    pub helped: usize,
    /// How many more than with the step before.
    pub more: String,
    /// What is saved.
    pub saving: String,
    /// How many of all, as a picture.
    pub bar: Bar,
    /// Whether nothing better can be bought with it.
    pub proven: bool,
    /// Whether it is the first that is no less than the money there is.
    pub here: bool,
}

/// What an order comes to.
pub struct OrderLine {
    /// Which.
    pub words: &'static str,
    /// How many are helped at each step, gravest first.
    pub steps: Vec<usize>,
    /// How many in all.
    pub helped: usize,
    /// What is saved.
    pub saving: String,
    /// What is reserved.
    pub reserved: String,
}

impl Mark {
    fn of(instrument: &Instrument) -> Self {
        Self { record: shown(&instrument.record).into_owned(), tag: instrument.tag.as_deref().map(|tag| shown(tag).into_owned()) }
    }

    /// `AR-004 (TL-04)`.
    pub fn words(&self) -> String {
        match &self.tag {
            Some(tag) => format!("{} ({tag})", self.record),
            None => self.record.clone(),
        }
    }
}

impl<'a> AllotView<'a> {
    /// The view of a report.
    pub fn of(report: &AllotReport<'a>) -> Self {
        let AllotReport { book, batch, allotted, .. } = report;
        let total = &allotted.total;
        let steps = batch.steps.iter().map(|step| {
            let (all, helped) = report.at_step(*step);
            let bar = Bar::of(helped as i128, all as i128, allotted.candidates.len() as i128);
            StepLine { words: plain(&book[*step].words).into_owned(), all, helped, bar }
        });
        let instruments = batch.instruments.iter();
        let refused = instruments.clone().filter(|instrument| instrument.costs);
        Self {
            title: plain(&book.title).into_owned(),
            totals: batch.totals,
            older: batch.older,
            money: money(report),
            steps: steps.filter(|step| step.all > 0).collect(),
            saves: saves(report),
            notes: notes(report),
            yes: yes(report),
            elsewhere: elsewhere(report),
            open: open(report),
            refused: by_reason(report, refused),
            nothing: instruments
                .filter(|instrument| !instrument.costs && instrument.offers.is_empty() && !is_open(instrument))
                .count(),
            step: report.money(allotted.further.step),
            width: width(report),
            rungs: rungs(report),
            orders: std::iter::once(order(report, "This plan", total))
                .chain(allotted.orders.iter().map(|other| order(report, order_words(other.kind), &other.total)))
                .collect(),
            wrong: &batch.refused,
            notices: book.notices.iter().map(|notice| plain(notice).into_owned()).chain([LAST_WORD.to_owned()]).collect(),
            rulebook: rulebook_line(book),
        }
    }

    /// `47 records read: 45 judged, 2 refused.`
    pub fn read_words(&self) -> String {
        let Totals { read, done, refused } = self.totals;
        let records = if read == 1 { "record" } else { "records" };
        let refused = if refused == 0 { "none".to_owned() } else { refused.to_string() };
        format!("{read} {records} read: {done} judged, {refused} refused.")
    }

    /// The refused records in words.
    pub fn wrong_words(&self) -> impl Iterator<Item = String> {
        self.wrong.iter().map(refused_words)
    }
}

fn is_open(instrument: &Instrument) -> bool {
    matches!(instrument.standing, Standing::Open { .. } | Standing::OnSight)
}

/// What an order is called.
pub fn order_words(kind: OrderKind) -> &'static str {
    match kind {
        OrderKind::ByUrgency => "Down the order of work",
        OrderKind::AsTheyCame => "First come, first served",
    }
}

fn money(report: &AllotReport<'_>) -> Vec<(String, String)> {
    let AllotReport { book, budget, allotted, .. } = report;
    let mut lines = Vec::new();
    if let Some(total) = budget.total {
        lines.push(("There is".to_owned(), report.money(total)));
        if budget.keep > 0 {
            lines.push(("Kept for later".to_owned(), report.money(budget.keep)));
        }
    }
    let total = &allotted.total;
    for (at, own) in budget.funds.iter().enumerate() {
        let Some(aid) = book.aids.get(at) else { continue };
        let reserved: i64 = report
            .candidates()
            .filter_map(|(_, instrument, taken)| instrument.offers.get(taken?))
            .filter(|offer| offer.aid.index() == at)
            .map(|offer| offer.reserved)
            .sum();
        let words = plain(&aid.words);
        if let Some(own) = own {
            lines.push((format!("In \u{201c}{words}\u{201d}"), report.money(*own)));
        }
        if book.aids.len() > 1 {
            lines.push((format!("Reserved of \u{201c}{words}\u{201d}"), report.money(reserved)));
        }
    }
    lines.push(("Reserved, so that it suffices at the dearest".to_owned(), report.money(total.reserved)));
    let left = budget.to_share() - total.reserved;
    lines.push(("Left over for certain".to_owned(), report.money(left)));
    if total.likely < total.reserved {
        lines.push(("Left over if all comes out at the cheapest".to_owned(), report.money(budget.to_share() - total.likely)));
    }
    lines
}

fn saves(report: &AllotReport<'_>) -> String {
    let total = &report.allotted.total;
    let all = report.allotted.candidates.len();
    match total.all() {
        0 if all == 0 => "There is no instrument that a fund is surely for.".to_owned(),
        0 => format!("Nobody is helped, of {all} that a fund is surely for."),
        helped => format!(
            "{helped} of the {all} that a fund is surely for {} helped. That saves at least {} against leaving them.",
            if helped == 1 { "is" } else { "are" },
            report.money(total.saving)
        ),
    }
}

fn notes(report: &AllotReport<'_>) -> Vec<String> {
    let AllotReport { book, batch, allotted, .. } = report;
    let plan = &allotted.plan;
    let mut notes = Vec::new();
    match (plan.more_helped, plan.more_saved, plan.less_spent) {
        (None, 0, 0) => {}
        (Some(step), ..) => notes.push(format!(
            "The best plan was not settled: this is the best that was found, and from \u{201c}{}\u{201d} on one with more helped may exist.",
            batch.steps.get(step).map(|step| plain(&book[*step].words).into_owned()).unwrap_or_default()
        )),
        (None, 0, less) => notes.push(format!(
            "No plan with as many helped saves more than this one. Whether one that saves as much spends less was not settled: at the most {} less.",
            report.money(less)
        )),
        (None, more, _) => notes.push(format!(
            "The best plan was not settled: this is the best that was found, and with as many helped no plan saves more than {} beyond it.",
            report.money(more)
        )),
    }
    match plan.tie {
        Tie::None => {}
        Tie::Ordered => {
            notes.push("Other plans are as good in all this; the inspections' marks, in their order, decided.".to_owned())
        }
        Tie::Unsettled => notes.push("Other plans may be as good in all this; one of them was taken.".to_owned()),
    }
    let given = || report.candidates().filter_map(|(_, instrument, taken)| instrument.offers.get(taken?));
    let other_ways = given().filter(|offer| !offer.ways.is_empty()).count();
    if other_ways > 0 {
        let (are, them) = if other_ways == 1 { ("is", "it") } else { ("are", "them") };
        notes.push(format!(
            "{other_ways} {are} to be mended otherwise than by the textbook. What is saved does not tell how long a way lasts: ask the luthier about {them}, or add --textbook.{}",
            textbook_words(report)
        ));
    }
    let more_ways = batch.instruments.iter().filter(|instrument| instrument.more_ways).count();
    if more_ways > 0 {
        let (can, it) = if more_ways == 1 { ("instrument can", "it") } else { ("instruments can", "each") };
        notes.push(format!(
            "{more_ways} {can} be mended in more ways together than are weighed: for {it} the first {MOST_WAYS} were."
        ));
    }
    if given().any(|offer| offer.more) {
        notes.push("Where something is known only on sight, the most that the fund pays at all is reserved.".to_owned());
    }
    notes
}

/// What the textbook way would take of those who are mended otherwise and could be mended so, as a further sentence.
fn textbook_words(report: &AllotReport<'_>) -> String {
    let given = report.candidates().filter_map(|(_, instrument, taken)| Some((instrument, instrument.offers.get(taken?)?)));
    let dearer = given.filter(|(_, offer)| !offer.ways.is_empty()).filter_map(|(instrument, offer)| {
        let textbook = instrument.offers.iter().filter(|other| other.ways.is_empty() && other.aid == offer.aid);
        Some(textbook.map(|textbook| textbook.reserved).min()? - offer.reserved)
    });
    let dearer: Vec<i64> = dearer.collect();
    let more: i64 = dearer.iter().sum();
    match dearer.len() {
        0 => " By the textbook way no fund would surely pay.".to_owned(),
        1 => format!(" For one the fund would surely pay the textbook way too, for {} more.", report.money(more)),
        count => format!(" For {count} the fund would surely pay the textbook way too, for {} more in all.", report.money(more)),
    }
}

/// The step of an instrument, and its gravest finding.
fn urgency(report: &AllotReport<'_>, instrument: &Instrument) -> String {
    let book = report.book;
    let (played, apart) = &instrument.played;
    let mut words = step_words(book, instrument.urgency, *played, apart);
    if let Some((finding, state)) = instrument.gravest {
        words.push_str(if state == StateWord::Suspected { ". Suspected: " } else { ". " });
        words.push_str(&plain(&book[finding].words));
    }
    words.push('.');
    words
}

fn yes(report: &AllotReport<'_>) -> Vec<Yes> {
    let book = report.book;
    let mut given: Vec<_> =
        report.candidates().filter_map(|(_, instrument, taken)| Some((instrument, instrument.offers.get(taken?)?))).collect();
    given.sort_by_key(|(instrument, _)| Reverse(instrument.gravity));
    let yes = given.into_iter().map(|(instrument, offer)| {
        let (family_from, family_to) = offer.family();
        let quoted = if offer.quoted { " (the shop's own price)" } else { "" };
        let more = if offer.more { " and more" } else { "" };
        let left_more = if instrument.left_more { " and more" } else { "" };
        let saving = match offer.saving {
            0 => "nothing is surely saved".to_owned(),
            saving => format!("saves at least {}", report.money(saving)),
        };
        Yes {
            mark: Mark::of(instrument),
            reserved: report.money(offer.reserved),
            urgency: urgency(report, instrument),
            fund: format!(
                "{} pays {}.",
                plain(&book[offer.aid].words),
                report.range(offer.likely.min(offer.reserved), offer.reserved)
            ),
            family: match family_to {
                0 if !offer.more => NOTHING.to_owned(),
                _ => format!("{}{more}", minor_range(book, family_from, family_to)),
            },
            costs: format!(
                "The work: {}{more}{quoted}. If left: {}{left_more}; {saving}.",
                minor_range(book, offer.cost.0, offer.cost.1),
                minor_range(book, offer.left.0, offer.left.1)
            ),
            way: report.way_words(offer),
            why: [Some(report.why_helped(instrument)), report.why_this_way(instrument, offer)].into_iter().flatten().collect(),
        }
    });
    yes.collect()
}

fn elsewhere(report: &AllotReport<'_>) -> Vec<No> {
    let mut missed: Vec<_> = report
        .candidates()
        .enumerate()
        .filter(|(_, (_, _, taken))| taken.is_none())
        .map(|(candidate, (_, instrument, _))| (candidate, instrument))
        .collect();
    missed.sort_by_key(|(_, instrument)| Reverse(instrument.gravity));
    let no = missed.into_iter().map(|(candidate, instrument)| {
        let reserved = || instrument.offers.iter().map(|offer| offer.reserved);
        let reach = report.allotted.further.reaches.iter().find(|(at, _)| *at == candidate);
        No {
            mark: Mark::of(instrument),
            takes: report.range(reserved().min().unwrap_or(0), reserved().max().unwrap_or(0)),
            urgency: urgency(report, instrument),
            why: [Some(report.why_elsewhere(candidate, instrument)), reach.map(|(_, reach)| report.reach_words(reach))]
                .into_iter()
                .flatten()
                .collect(),
        }
    });
    no.collect()
}

/// What is to be settled where nothing that a fund asks for is missing.
pub(super) fn settle_price(instrument: &Instrument) -> &'static str {
    if instrument.quoted {
        "Whether its price is within what the fund allows is open: look closer at what can change it"
    } else {
        "Its price may lie on either side of what the fund allows: look closer at what can change it, or have the shop name \
         its price"
    }
}

fn open(report: &AllotReport<'_>) -> Vec<Open> {
    let book = report.book;
    let mut waiting: Vec<&Instrument> = report.batch.instruments.iter().filter(|instrument| is_open(instrument)).collect();
    waiting.sort_by_key(|instrument| Reverse(instrument.gravity));
    let open = waiting.into_iter().map(|instrument| {
        let look = |look: LookId| (plain(&book[look].question).into_owned(), Some(book.look_path(look)));
        let (settle, most) = match &instrument.standing {
            Standing::Open { missing, looks, most } => {
                let mut settle: Vec<_> = missing.iter().map(|missing| look(*missing)).collect();
                for (next, _) in looks {
                    let next = look(*next);
                    if !settle.contains(&next) {
                        settle.push(next);
                    }
                }
                if settle.is_empty() {
                    let quoted = (!instrument.quoted).then(|| "quoted".to_owned());
                    settle.push((settle_price(instrument).to_owned(), quoted));
                }
                (settle, format!("may get up to {}", report.money(*most)))
            }
            _ => (
                vec![(
                    "What it costs is known only on sight: have the shop name its price".to_owned(),
                    Some("quoted".to_owned()),
                )],
                "may get something".to_owned(),
            ),
        };
        Open { mark: Mark::of(instrument), most, urgency: urgency(report, instrument), settle }
    });
    open.collect()
}

/// Instruments that no fund is for, those with the same reason together.
fn by_reason<'b>(report: &AllotReport<'_>, instruments: impl Iterator<Item = &'b Instrument>) -> Vec<(String, Vec<Mark>)> {
    let mut reasons: Vec<(String, Vec<Mark>)> = Vec::new();
    for instrument in instruments {
        let why = match &instrument.standing {
            Standing::Refused(_) => report.why_refused(instrument).join("; "),
            Standing::NoShare => "the fund's share comes to nothing beside what the family pays".to_owned(),
            _ => continue,
        };
        match reasons.iter_mut().find(|(known, _)| *known == why) {
            Some((_, marks)) => marks.push(Mark::of(instrument)),
            None => reasons.push((why, vec![Mark::of(instrument)])),
        }
    }
    reasons
}

/// How the width of a step was chosen, where it is not five hundred of the money.
fn width(report: &AllotReport<'_>) -> Option<String> {
    let money = report.budget.to_share();
    let five_hundred = report.money(500 * 10_i64.pow(report.book.money.minor_places()));
    let tenth = match money {
        0 => "what helping everybody would take",
        _ => "what there is",
    };
    match report.allotted.further.width {
        Width::FiveHundred => None,
        Width::OfLittle => Some(format!("There is less than {five_hundred}, so a step is about a tenth of {tenth}.")),
        Width::OfMuch => Some(format!("{five_hundred} would help nobody, so a step is about a tenth of {tenth}.")),
    }
}

fn rungs(report: &AllotReport<'_>) -> Vec<RungLine> {
    let all = report.allotted.candidates.len() as i128;
    let money = report.budget.to_share();
    // Before the first step of all there is nothing.
    let first = report.allotted.further.rungs.first();
    let mut before = first.filter(|rung| rung.money <= report.allotted.further.step).map(|_| 0);
    let rungs = report.allotted.further.rungs.iter().map(|rung| {
        let helped = rung.total.all();
        let more = match before.map(|before| helped as i64 - before) {
            Some(more) if more > 0 => format!("+{more}"),
            None | Some(0) => String::new(),
            Some(fewer) => fewer.to_string(),
        };
        before = Some(helped as i64);
        RungLine {
            money: report.money(rung.money),
            helped,
            more,
            saving: report.money(rung.total.saving),
            bar: Bar::of(helped as i128, helped as i128, all),
            proven: rung.proven,
            here: rung.money == money,
        }
    });
    rungs.collect()
}

fn order(report: &AllotReport<'_>, words: &'static str, total: &Total) -> OrderLine {
    let wanted = report.batch.steps.iter().zip(&total.helped).filter(|(step, _)| report.at_step(**step).0 > 0);
    OrderLine {
        words,
        steps: wanted.map(|(_, helped)| *helped).collect(),
        helped: total.all(),
        saving: report.money(total.saving),
        reserved: report.money(total.reserved),
    }
}
