//! What there is to know of a thing, in a few lines of Markdown. Nothing is worked out here that the analysis does not
//! know: figures are told where they were worked out before.

use num_traits::{CheckedDiv, CheckedMul};
use purfle::report::money_range;
use purfle_lang::amount::{ends, price};
use purfle_lang::book::{
    Book, Finding, FindingId, Formula, LookId, LookKind, Origin, Part, PartId, Places, Reckon, Table, Value, Within, Work, WorkId,
};
use purfle_lang::number::{Number, format_decimal};
use purfle_lang::resolve::noted::Target;
use purfle_lang::saying::allowed;
use purfle_lang::unit::Unit;

use super::markup::{code, plain};
use super::source;
use crate::analysis::Analysis;

/// The most rows, looks or findings that are listed.
const MOST: usize = 12;

/// What a thing is called: its kind and its name, as the language writes them.
pub fn title(analysis: &Analysis, target: Target) -> Option<String> {
    let book = analysis.shown()?;
    Some(match target {
        Target::Rulebook(file) => format!("rulebook {}", analysis.rulebook(file)),
        Target::Step(id) => format!("step {}", book.steps.get(id.index())?.name),
        Target::Hand(id) => format!("hand {}", book.hands.get(id.index())?.name),
        Target::Tier(id) => format!("tier {}", book.tiers.get(id.index())?.name),
        Target::Part(id) => {
            let part = book.parts.get(id.index())?;
            format!("{} {}", if part.context { "context" } else { "part" }, part.name)
        }
        Target::Place(part, place) => {
            let part = book.parts.get(part.index())?;
            format!("place {}.{}", part.name, part.fixed_places().get(place.index())?.name)
        }
        Target::Look(id) => format!("look {}", look_path(book, id)?),
        Target::Choice(look, at) => {
            let choice = book.looks.get(look.index())?.choices().get(at as usize)?;
            format!("{} is {}", look_path(book, look)?, choice.name)
        }
        Target::Table(id) => format!("table {}", book.tables.get(id.index())?.name),
        Target::Reckon(id) => format!("reckon {}", book.reckons.get(id.index())?.name),
        Target::Work(id) => format!("work {}", book.works.get(id.index())?.name),
        Target::Finding(id) => format!("finding {}", book.findings.get(id.index())?.name),
        Target::Way(id, at) => {
            let finding = book.findings.get(id.index())?;
            format!("way {}.{}", finding.name, finding.ways.get(at as usize)?.name)
        }
        Target::Raise(id) => format!("raise {}", book.raises.get(id.index())?.name),
        Target::Counsel(id) => format!("counsel {}", book.counsels.get(id.index())?.name),
        Target::Aid(id) => format!("aid {}", book.aids.get(id.index())?.name),
        Target::Dropped(at) => {
            let dropped = analysis.known()?.merged.dropped.get(at as usize)?;
            format!("{} {}", dropped.kind.word(), dropped.name)
        }
    })
}

/// A look outside of its part: `button.gap`.
pub fn look_path(book: &Book, look: LookId) -> Option<String> {
    let look = book.looks.get(look.index())?;
    Some(format!("{}.{}", book.parts.get(look.part.index())?.name, look.name))
}

/// All that is to be told of a thing: its title, then a line for each fact.
pub fn describe(analysis: &Analysis, target: Target) -> Option<String> {
    let book = analysis.shown()?;
    let mut lines = vec![format!("**{}**", plain(&title(analysis, target)?))];
    match target {
        Target::Rulebook(file) => {
            let head = analysis.tree(file)?.rulebook()?;
            lines.extend(head.words.as_ref().map(|words| plain(&words.value)));
            lines.extend(analysis.tree(file)?.edition().map(|edition| format!("edition {}", plain(&edition.value))));
        }
        Target::Step(id) => {
            let step = book.steps.get(id.index())?;
            lines.push(plain(&step.words));
            lines.push(within(step.within));
            lines.extend(step.not_played.then(|| "not to be played".to_owned()));
            lines.push(rung(id.index(), book.steps.len(), "from the mildest"));
            lines.extend(origin(analysis, &step.origin));
        }
        Target::Hand(id) => {
            let hand = book.hands.get(id.index())?;
            lines.push(plain(&hand.words));
            lines.extend(hand.rate.map(|rate| format!("{} per h", money_range(book, rate, rate))));
            lines.push(rung(id.index(), book.hands.len(), "from the least skilled"));
            lines.extend(origin(analysis, &hand.origin));
        }
        Target::Tier(id) => {
            let tier = book.tiers.get(id.index())?;
            lines.push(plain(&tier.words));
            lines.push(tier.up_to.map_or("beyond".to_owned(), |limit| format!("up to {}", money_range(book, limit, limit))));
            lines.extend(origin(analysis, &tier.origin));
        }
        Target::Part(id) => part(analysis, book, id, &mut lines)?,
        Target::Place(part, place) => {
            let place = book.parts.get(part.index())?.fixed_places().get(place.index())?;
            lines.push(plain(&place.words));
            lines.extend(place.how.as_ref().map(|how| format!("How: {}", plain(how))));
            lines.extend(place.care.as_ref().map(|care| format!("Care: {}", plain(care))));
        }
        Target::Look(id) => look(analysis, book, id, &mut lines)?,
        Target::Choice(id, at) => {
            let look = book.looks.get(id.index())?;
            let choice = look.choices().get(at as usize)?;
            lines.extend((choice.words != choice.name).then(|| plain(&choice.words)));
            lines.push(format!("One of: {}", plain(&allowed(look, book.money))));
            lines.push(plain(&look.question));
        }
        Target::Table(id) => table(analysis, book.tables.get(id.index())?, &mut lines),
        Target::Reckon(id) => reckon(analysis, book, book.reckons.get(id.index())?, &mut lines),
        Target::Work(id) => work(analysis, book, id, &mut lines)?,
        Target::Finding(id) => finding(analysis, book, id, &mut lines)?,
        Target::Way(id, at) => {
            let way = book.findings.get(id.index())?.ways.get(at as usize)?;
            lines.push(plain(&way.words));
            lines.extend(book.hands.get(way.hands.index()).map(|hand| format!("Hands: {}", plain(&hand.words))));
            lines.extend(way.tell.iter().map(|tell| plain(tell)));
            lines.push(
                if at == 0 { "The first way: it counts in every figure." } else { "Offered beside the first way." }.to_owned(),
            );
        }
        Target::Raise(id) => {
            let raise = book.raises.get(id.index())?;
            lines.push(plain(&raise.words));
            let on: Vec<&str> = raise.on.iter().filter_map(|part| Some(book.parts.get(part.index())?.name.as_str())).collect();
            let cap = book.steps.get(raise.cap.index()).map_or("", |step| step.name.as_str());
            let steps = if raise.by == 1 { "step" } else { "steps" };
            lines.push(format!("On {}: by {} {steps}, no higher than {}", plain(&on.join(", ")), raise.by, code(cap)));
            lines.extend(origin(analysis, &raise.origin));
        }
        Target::Counsel(id) => {
            let counsel = book.counsels.get(id.index())?;
            lines.push(plain(&counsel.words));
            lines.extend(counsel.first.iter().chain(&counsel.tell).map(|said| plain(said)));
            lines.extend(origin(analysis, &counsel.origin));
        }
        Target::Aid(id) => {
            let aid = book.aids.get(id.index())?;
            lines.push(plain(&aid.words));
            lines.push(format!("Pays {} % of the covered work", percent(aid.pays)));
            lines.extend(aid.cap.map(|cap| format!("At the most {}", money_range(book, cap, cap))));
            lines.extend(origin(analysis, &aid.origin));
        }
        Target::Dropped(at) => {
            let dropped = analysis.known()?.merged.dropped.get(at as usize)?;
            lines.push(format!("Dropped by {}: {}", plain(&dropped.rulebook), plain(&dropped.because)));
        }
    }
    lines.retain(|line| !line.is_empty());
    Some(lines.join("\n\n"))
}

/// A fraction of one as a number of hundredths.
pub fn percent(fraction: Number) -> String {
    fraction.checked_mul(&Number::from_integer(100)).map(format_decimal).unwrap_or_default()
}

fn within(within: Within) -> String {
    match within {
        Within::Whenever => String::new(),
        Within::Duration(duration) => format!("within {duration}"),
        Within::AtOnce => "at once".to_owned(),
    }
}

fn rung(at: usize, of: usize, from: &str) -> String {
    format!("{} of {of}, {from}", at + 1)
}

/// Where a thing comes from, and who changed it since and why.
pub fn origin(analysis: &Analysis, origin: &Origin) -> Vec<String> {
    let mut lines = Vec::new();
    if analysis.sources.len() > 1 && !origin.rulebook.is_empty() {
        lines.push(format!("Written in {}", plain(&origin.rulebook)));
    }
    for change in &origin.changes {
        let what = if change.what.is_empty() { String::new() } else { format!(" ({})", plain(&change.what.join(", "))) };
        lines.push(format!("Altered by {}{what}: {}", plain(&change.rulebook), plain(&change.because)));
    }
    lines
}

fn part(analysis: &Analysis, book: &Book, id: PartId, lines: &mut Vec<String>) -> Option<()> {
    let part: &Part = book.parts.get(id.index())?;
    lines.push(plain(&part.words));
    match &part.places {
        Places::Single => {}
        Places::Fixed(places) => {
            lines.push(format!("Places: {}", plain(&listed(places.iter().map(|place| place.name.as_str())))));
        }
        Places::AsFound => lines.push("Places as found: a record numbers them".to_owned()),
    }
    let looks = part.looks.iter().filter_map(|look| Some(book.looks.get(look.index())?.name.as_str()));
    lines.push(format!("Looks: {}", plain(&listed(looks))));
    let on = book.findings.iter().filter(|finding| finding.on == id);
    let on = listed(on.map(|finding| finding.name.as_str()));
    lines.extend((!on.is_empty()).then(|| format!("Findings: {}", plain(&on))));
    lines.extend(part.how.as_ref().map(|how| format!("How: {}", plain(how))));
    lines.extend(part.care.as_ref().map(|care| format!("Care: {}", plain(care))));
    lines.extend(origin(analysis, &part.origin));
    Some(())
}

/// Names with commas, shortened.
fn listed<'n>(names: impl Iterator<Item = &'n str>) -> String {
    let names: Vec<&str> = names.collect();
    match names.len().checked_sub(MOST) {
        Some(more) if more > 0 => format!("{} and {more} more", names[..MOST].join(", ")),
        _ => names.join(", "),
    }
}

fn look(analysis: &Analysis, book: &Book, id: LookId, lines: &mut Vec<String>) -> Option<()> {
    let look = book.looks.get(id.index())?;
    lines.push(plain(&look.question));
    if analysis.known().is_some_and(|known| known.unread.contains(&id)) {
        lines.push("Its kind of answer cannot be read yet".to_owned());
    } else {
        lines.push(kind(book, look));
    }
    lines.extend(source::clause_of_look(analysis, id, "good").map(|good| format!("Good: {}", code(&good))));
    lines.extend(source::clause_of_look(analysis, id, "only when").map(|when| format!("Only when {}", code(&when))));
    lines.extend(look.how.as_ref().map(|how| format!("How: {}", plain(how))));
    lines.extend(look.care.as_ref().map(|care| format!("Care: {}", plain(care))));
    lines.extend(look.private.then(|| "Private: left out wherever names are".to_owned()));
    lines.extend(origin(analysis, &look.origin));
    Some(())
}

/// The kind of answer of a look, in words.
pub fn kind(book: &Book, look: &purfle_lang::book::Look) -> String {
    let allowed = plain(&allowed(look, book.money));
    match &look.kind {
        LookKind::YesNo => "yes or no".to_owned(),
        LookKind::OneOf(_) => format!("one of {allowed}"),
        LookKind::SomeOf(_) => allowed,
        LookKind::Measured { unit, give_or_take, .. } => {
            let error = give_or_take.map(|error| reading_error(error, *unit)).unwrap_or_default();
            format!("measured, {allowed}{error}")
        }
        LookKind::Counted { .. } => allowed,
        LookKind::Priced { .. } => format!("priced, {allowed}"),
        LookKind::Dated => allowed,
        LookKind::Written => "written; no rule tests it".to_owned(),
    }
}

fn reading_error(error: Number, unit: Unit) -> String {
    let shown = error.checked_div(&unit.factor()).unwrap_or(error);
    format!(", give or take {} {unit}", format_decimal(shown))
}

fn table(analysis: &Analysis, table: &Table, lines: &mut Vec<String>) {
    lines.push(plain(&table.words));
    let rows = source::rows(analysis, &table.name);
    let more = rows.len().saturating_sub(MOST);
    let mut shown: Vec<String> = rows.into_iter().take(MOST).collect();
    if more > 0 {
        shown.push(format!("… and {more} more"));
    }
    lines.push(super::markup::block(&shown.join("\n")));
    lines.extend(origin(analysis, &table.origin));
}

fn reckon(analysis: &Analysis, book: &Book, reckon: &Reckon, lines: &mut Vec<String>) {
    lines.push(plain(&reckon.words));
    lines.extend(source::reckoned_as(analysis, &reckon.name).map(|value| format!("as {}", code(&value))));
    if let Some((low, high)) = ends(book, &reckon.value).filter(|_| reckon.dimension == purfle_lang::unit::Dimension::MONEY) {
        lines.push(money_range(book, low, high));
    }
    lines.extend(formulas(&reckon.value).into_iter().filter_map(formula));
    lines.extend(origin(analysis, &reckon.origin));
}

/// The formulas of the trade in a value.
fn formulas(value: &Value) -> Vec<&'static str> {
    match value {
        Value::Formula(formula, arguments) => {
            let name = match formula {
                Formula::WoodMoisture => "wood-moisture",
                Formula::WoodMovement => "wood-movement",
            };
            std::iter::once(name).chain(arguments.iter().flat_map(formulas)).collect()
        }
        Value::Arithmetic(_, one, other) | Value::Lower(one, other) | Value::Higher(one, other) | Value::DaysFrom(one, other) => {
            formulas(one).into_iter().chain(formulas(other)).collect()
        }
        Value::Negative(inner) => formulas(inner),
        _ => Vec::new(),
    }
}

/// What is said of a formula, its source included.
pub fn formula(name: &str) -> Option<String> {
    super::reference::of_word(name).map(str::to_owned)
}

fn work(analysis: &Analysis, book: &Book, id: WorkId, lines: &mut Vec<String>) -> Option<()> {
    let work: &Work = book.works.get(id.index())?;
    lines.push(plain(&work.words));
    let amount = source::amount(analysis, &work.name).map(|amount| code(&amount)).unwrap_or_default();
    let once = if work.once { "once an instrument" } else { "once at each place" };
    let hand = book.hands.get(work.by.index()).filter(|_| work.timed);
    let by =
        hand.and_then(|hand| hand.rate.map(|rate| format!(", at {} per h", money_range(book, rate, rate)))).unwrap_or_default();
    lines.push(format!("{amount}{by}, {once}"));
    if let Some((low, high)) = price(book, work) {
        lines.push(format!("Comes to {}, before the least charge", money_range(book, low, high)));
    }
    let included: Vec<&str> = work.includes.iter().filter_map(|id| Some(book.works.get(id.index())?.name.as_str())).collect();
    lines.extend((!included.is_empty()).then(|| format!("Includes {}", plain(&included.join(", ")))));
    let asks = |finding: &&Finding| {
        std::iter::once(&finding.cost).chain(finding.ways.iter().map(|way| &way.cost)).any(|cost| cost.work.contains(&id))
    };
    let asked = listed(book.findings.iter().filter(asks).map(|finding| finding.name.as_str()));
    lines.push(if asked.is_empty() { "No finding asks for it".to_owned() } else { format!("Asked for by {}", plain(&asked)) });
    lines.extend(origin(analysis, &work.origin));
    Some(())
}

fn finding(analysis: &Analysis, book: &Book, id: FindingId, lines: &mut Vec<String>) -> Option<()> {
    let finding = book.findings.get(id.index())?;
    lines.push(plain(&finding.words));
    let part = book.parts.get(finding.on.index()).map_or("", |part| part.name.as_str());
    lines.push(format!("On {}{}", if finding.each { "each " } else { "" }, code(part)));
    let urgency = finding.urgency.iter().filter_map(|line| {
        let step = book.steps.get(line.step.index())?;
        let when = line.when.as_ref().map(|_| source::condition(analysis, line.span)).unwrap_or_default();
        Some(format!("{}, {}{when}", code(&step.name), plain(&step.words)))
    });
    lines.push(format!("Urgency: {}", urgency.collect::<Vec<_>>().join("; ")));
    lines.extend(book.hands.get(finding.counted_hands().index()).map(|hand| format!("Hands: {}", plain(&hand.words))));
    lines.extend(figures(analysis, book, id));
    for arrow in &finding.becomes {
        let to = book.findings.get(arrow.to.index()).map_or("", |to| to.name.as_str());
        lines.push(format!("Left, it becomes {}", code(to)));
    }
    let yields: Vec<&str> =
        finding.yields_to.iter().filter_map(|to| Some(book.findings.get(to.index())?.name.as_str())).collect();
    lines.extend((!yields.is_empty()).then(|| format!("Yields to {}", plain(&yields.join(", ")))));
    lines.extend(origin(analysis, &finding.origin));
    Some(())
}

/// What a finding costs now and if left, where that was worked out.
fn figures(analysis: &Analysis, book: &Book, id: FindingId) -> Vec<String> {
    let Some(finding) = book.findings.get(id.index()) else { return Vec::new() };
    if analysis.book().is_none() {
        return vec!["What it costs can be worked out once there are no errors".to_owned()];
    }
    let Some(figure) = analysis.known_figures().map(|figures| figures.get(id)) else { return Vec::new() };
    let Some(figure) = figure else { return vec!["What it costs could not be worked out".to_owned()] };
    let mut lines = vec![format!("Cost now: {}", plain(&purfle::report::sum(book, &figure.cost)))];
    if !finding.becomes.is_empty() {
        lines.push(format!("Cost if left: {}", plain(&purfle::report::sum(book, &figure.left))));
    }
    lines
}

/// One line about a thing, beside its name in a list.
pub fn brief(analysis: &Analysis, target: Target) -> Option<String> {
    let book = analysis.shown()?;
    Some(match target {
        Target::Rulebook(file) => analysis.rulebook(file).to_owned(),
        Target::Step(id) => book.steps.get(id.index())?.words.clone(),
        Target::Hand(id) => book.hands.get(id.index())?.words.clone(),
        Target::Tier(id) => book.tiers.get(id.index())?.words.clone(),
        Target::Part(id) => book.parts.get(id.index())?.words.clone(),
        Target::Place(part, place) => book.parts.get(part.index())?.fixed_places().get(place.index())?.words.clone(),
        Target::Look(id) => book.looks.get(id.index())?.question.clone(),
        Target::Choice(look, at) => book.looks.get(look.index())?.choices().get(at as usize)?.words.clone(),
        Target::Table(id) => book.tables.get(id.index())?.words.clone(),
        Target::Reckon(id) => book.reckons.get(id.index())?.words.clone(),
        Target::Work(id) => book.works.get(id.index())?.words.clone(),
        Target::Finding(id) => book.findings.get(id.index())?.words.clone(),
        Target::Way(id, at) => book.findings.get(id.index())?.ways.get(at as usize)?.words.clone(),
        Target::Raise(id) => book.raises.get(id.index())?.words.clone(),
        Target::Counsel(id) => book.counsels.get(id.index())?.words.clone(),
        Target::Aid(id) => book.aids.get(id.index())?.words.clone(),
        Target::Dropped(_) => return None,
    })
}
