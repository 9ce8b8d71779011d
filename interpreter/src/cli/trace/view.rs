//! A trace as plain words and places, for every form of the report; as JSON it is version 1 of its shape.

use purfle_lang::book::{Book, Change, Count, FindingId, LookId, RecordPath, StepId};
use purfle_lang::saying::look_field;
use purfle_lang::span::Span;
use purfle_lang::unit::format_date;
use serde::Serialize;

use super::super::diagnostics::Places;
use super::advice::{CounselView, FundView};
use super::bench::{BenchView, LeftView, bench, left};
use super::gravity::{GravityView, gravity};
use super::reading::{ReadView, WorkedView, fact, read, worked};
use super::saying;
use super::whole::OutcomeView;
use crate::load::Loaded;
use crate::outcome::{At, Outcome};
use crate::record::Record;
use crate::rehearse::mutants::Texts;
use crate::rehearse::reads::Reads;
use crate::report::{place_name, place_words, plain, rulebook_line, shown, state_name};
use crate::trace::{Form, Met, Settling, Short, Sign, State, Stretch, Trace, Turned, Turning};

/// The version of the shape.
const VERSION: u32 = 1;

/// Everything that is explained.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    /// The version of the shape.
    pub purfle: u32,
    /// By which rulebook.
    pub rulebook: RulebookView,
    /// Of which record.
    pub record: RecordView,
    /// The whole outcome, where nothing else was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outcome: Option<OutcomeView>,
    /// What is found and suspected, in short, where nothing else was asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<ShortView>,
    /// The finding asked for, at each place at which it is explained.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub traces: Vec<TraceView>,
    /// The counsel asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counsel: Option<CounselView>,
    /// The fund asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub aid: Option<FundView>,
}

/// A rulebook.
#[derive(Serialize)]
pub struct RulebookView {
    /// Its name.
    pub name: String,
    /// Its edition.
    pub edition: String,
    /// Its seal.
    pub seal: String,
    /// Who keeps it and what it is built on, in a sentence.
    #[serde(skip)]
    pub line: String,
}

/// A record.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RecordView {
    /// Its own mark.
    pub record: String,
    /// Its instrument's.
    pub tag: Option<String>,
    /// The day of the inspection.
    pub inspected_on: Option<String>,
    /// The file.
    pub file: String,
    /// The row, line or place in the array, from 1.
    pub row: u64,
}

/// A step of the ladder.
#[derive(Serialize)]
pub struct StepView {
    /// Its name.
    pub step: String,
    /// Its words.
    pub words: String,
}

/// Where something is written.
#[derive(Serialize, Clone)]
pub struct PlaceView {
    /// The file.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
}

/// A finding in short.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ShortView {
    /// Its name.
    pub finding: String,
    /// Its words.
    pub words: String,
    /// Where, by the name of the place.
    pub place: Option<String>,
    /// Where, in words.
    #[serde(skip)]
    pub place_words: Option<String>,
    /// `found`, `suspected`, `open` or `clear`.
    pub state: &'static str,
    /// How soon.
    pub steps: Option<(StepView, StepView)>,
    /// What decides it; none for one that is open.
    pub decided_by: Option<DecidedView>,
    /// What would settle it; none for one that is not open.
    pub would_settle: Option<SettlingView>,
}

/// What decides a finding.
#[derive(Serialize)]
pub struct DecidedView {
    /// What the record says: the fewest things that decide it.
    pub facts: Vec<ReadView>,
    /// Whether surely no fewer do.
    pub smallest: bool,
    /// Whether the record's date or the record before is asked for as well, which no look of it changes.
    #[serde(skip)]
    pub brings: bool,
}

impl DecidedView {
    /// What is said where nothing in the record decides: `state` is so whatever a record says.
    pub fn by_nothing(&self, state: &str) -> String {
        let with = if self.brings { " that has this one's date and this one's record before, if there is one" } else { "" };
        format!("It is {state} whatever a record says{with}.")
    }
}

/// What would settle an open finding.
#[derive(Serialize)]
pub struct SettlingView {
    /// The looks.
    pub looks: Vec<String>,
    /// Whether they settle it whatever they show.
    pub whatever: bool,
    /// Whether surely no fewer looks do.
    pub smallest: bool,
    /// Where one look settles it: what comes of what it shows.
    pub answers: Vec<AnswerView>,
    /// Parts of which it must be known how many places there are.
    pub places: Vec<String>,
}

/// What comes of something that a look can show.
#[derive(Serialize)]
pub struct AnswerView {
    /// What it shows.
    pub shows: String,
    /// `found`, `clear` or `open`.
    pub then: &'static str,
}

/// What would turn a finding.
#[derive(Serialize)]
pub struct TurningView {
    /// What it would be then: `found` or `clear`.
    pub to: &'static str,
    /// Ways, each with the fewest looks.
    pub ways: Vec<Vec<TurnedView>>,
    /// Whether surely no fewer looks do, and no nearer values.
    pub smallest: bool,
}

/// One look shown otherwise.
#[derive(Serialize)]
pub struct TurnedView {
    /// The look.
    pub look: String,
    /// What it would show.
    pub shows: String,
    /// How far that is from what was written down.
    pub distance: Option<String>,
    /// Whether the record says nothing of it now.
    pub unseen: bool,
}

/// Why a finding is as it is.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct TraceView {
    /// In short.
    #[serde(flatten)]
    pub short: ShortView,
    /// Where it is written.
    pub written: Option<PlaceView>,
    /// What house rulebooks changed of it.
    pub changes: Vec<ChangeView>,
    /// What decides whether its part and place are there.
    pub applies: Vec<AppliesView>,
    /// Its signs.
    pub signs: SignView,
    /// What lets it off.
    pub unless: Vec<SignView>,
    /// Whether the states of the signs are worked out case by case.
    pub exact: bool,
    /// What would turn it; none for one that is open.
    pub would_turn: Option<TurningView>,
    /// What makes it as grave as it is.
    pub urgency: GravityView,
    /// What is to be done, and what it costs.
    pub bench: BenchView,
    /// What it becomes if left.
    pub left: Option<LeftView>,
    /// Cautions.
    pub care: Vec<String>,
    /// Where it is from.
    pub basis: Vec<String>,
}

/// A change by a house rulebook.
#[derive(Serialize)]
pub struct ChangeView {
    /// Which rulebook.
    pub rulebook: String,
    /// What it wrote anew.
    pub what: Vec<String>,
    /// Why.
    pub because: String,
    /// Where.
    pub written: Option<PlaceView>,
}

/// Whether something is there.
#[derive(Serialize, Clone)]
pub struct AppliesView {
    /// The condition, as written.
    pub only_when: String,
    /// Where.
    pub written: Option<PlaceView>,
    /// `met`, `not met` or `open`.
    pub state: &'static str,
}

/// A condition with what came of it.
#[derive(Serialize, Clone)]
#[serde(rename_all = "kebab-case")]
pub struct SignView {
    /// As written, or what holds several together: `all of these`.
    pub says: String,
    /// Whether that is as written.
    #[serde(skip)]
    pub quoted: bool,
    /// Where it is written.
    pub written: Option<PlaceView>,
    /// At which place it is asked, where places are gone through.
    pub place: Option<String>,
    /// `met`, `not met`, `open`, or `neither` where it and its opposite are not met, as something does not apply.
    pub state: &'static str,
    /// What it reads.
    pub reads: Vec<ReadView>,
    /// Tables and reckonings in it, with what they come to.
    pub worked: Vec<WorkedView>,
    /// The conditions in it.
    pub inner: Vec<SignView>,
}

/// Puts traces into words.
pub struct Teller<'a> {
    pub(super) book: &'a Book,
    pub(super) record: &'a Record,
    pub(super) outcome: &'a Outcome,
    pub(super) texts: Texts<'a>,
    places: Places<'a>,
}

impl<'a> Teller<'a> {
    /// For one record's outcome.
    pub fn new(book: &'a Book, loaded: &'a Loaded, record: &'a Record, outcome: &'a Outcome) -> Self {
        let texts = Texts::of(&loaded.sources, &loaded.trees);
        Self { book, record, outcome, texts, places: Places::new(loaded) }
    }

    /// Where a span stands.
    pub(super) fn place(&self, span: Span) -> Option<PlaceView> {
        let place = self.places.of(span).filter(|_| span != Span::default())?;
        Some(PlaceView { file: shown(place.file).into_owned(), line: place.from.line })
    }

    /// The text at a span, on one line.
    pub(super) fn written(&self, span: Span) -> String {
        shown(&self.texts.written(span)).into_owned()
    }

    /// A report of which only the head is written.
    pub(super) fn report(&self) -> Report {
        let (book, record) = (self.book, self.record);
        Report {
            purfle: VERSION,
            rulebook: RulebookView {
                name: book.name.clone(),
                edition: shown(&book.edition).into_owned(),
                seal: book.seal.to_string(),
                line: rulebook_line(book),
            },
            record: RecordView {
                record: record.id.clone(),
                tag: record.tag.clone(),
                inspected_on: record.inspected_on.map(format_date),
                file: record.source.file.to_string(),
                row: record.source.row,
            },
            outcome: None,
            findings: Vec::new(),
            traces: Vec::new(),
            counsel: None,
            aid: None,
        }
    }

    /// One finding at several places.
    pub fn traces(&self, traces: &[Trace]) -> Report {
        Report { traces: traces.iter().map(|trace| self.trace(trace)).collect(), ..self.report() }
    }

    /// A step of the ladder.
    pub(super) fn step(&self, id: StepId) -> StepView {
        StepView { step: self.book[id].name.clone(), words: plain(&self.book[id].words).into_owned() }
    }

    /// `peg-stuck@E`, as it may be asked for.
    pub(super) fn name_at(&self, finding: FindingId, at: At) -> String {
        let place = place_name(self.book, self.book[finding].on, at).map(|place| format!("@{place}")).unwrap_or_default();
        format!("{}{place}", self.book[finding].name)
    }

    pub(super) fn short(&self, short: &Short) -> ShortView {
        let finding = &self.book[short.finding];
        let step = |id: StepId| self.step(id);
        ShortView {
            finding: finding.name.clone(),
            words: plain(&finding.words).into_owned(),
            place: place_name(self.book, finding.on, short.at),
            place_words: place_words(self.book, finding.on, short.at).map(|words| plain(&words).into_owned()),
            state: state_name(short.state),
            steps: short.judged.as_ref().map(|judged| (step(judged.urgency.from), step(judged.urgency.to))),
            decided_by: short.deciding.as_ref().map(|deciding| DecidedView {
                facts: deciding.facts.iter().map(|one| fact(self, *one)).collect(),
                smallest: deciding.smallest,
                brings: {
                    let mut reads = Reads::default();
                    finding.unless.iter().chain([&finding.signs]).for_each(|condition| reads.condition(self.book, condition));
                    reads.brings
                },
            }),
            would_settle: short.settling.as_ref().map(|settling| self.settling(settling)),
        }
    }

    fn settling(&self, settling: &Settling) -> SettlingView {
        let field = |(look, path): &(LookId, RecordPath)| look_field(self.book, *look, *path);
        let look = settling.looks.first().map(|(look, _)| *look);
        let mut answers: Vec<AnswerView> = Vec::new();
        let mut ordered: Vec<_> = settling.answers.iter().collect();
        ordered.sort_by_key(|(could, _)| could.stretch.map(|(at, _)| at));
        let mut last: Option<(Stretch, State)> = None;
        for (could, state) in ordered {
            let Some(look) = look else { continue };
            let then = state_words(*state);
            match (could.stretch, &mut last, answers.last_mut()) {
                // Stretches beside each other of which the same comes are one.
                (Some((_, stretch)), Some((whole, same)), Some(answer)) if *same == *state => {
                    whole.high = stretch.high;
                    answer.shows = saying::stretch(self.book, look, *whole);
                    continue;
                }
                (Some((_, stretch)), ..) => {
                    last = Some((stretch, *state));
                    answers.push(AnswerView { shows: saying::stretch(self.book, look, stretch), then });
                }
                (None, ..) => match answers.iter_mut().find(|answer| answer.then == then) {
                    Some(answer) => {
                        answer.shows.push_str(" or ");
                        answer.shows.push_str(&saying::value(self.book, look, &could.saying));
                    }
                    None => answers.push(AnswerView { shows: saying::value(self.book, look, &could.saying), then }),
                },
            }
        }
        SettlingView {
            looks: settling.looks.iter().map(field).collect(),
            whatever: settling.whatever,
            smallest: settling.surely,
            answers,
            places: settling.unnamed.iter().map(|part| self.book[*part].name.clone()).collect(),
        }
    }

    fn turning(&self, turning: &Turning) -> TurningView {
        let turned = |one: &Turned| TurnedView {
            look: look_field(self.book, one.look, one.path),
            shows: match one.stretch {
                Some(stretch) => saying::stretch(self.book, one.look, stretch),
                None => saying::value(self.book, one.look, &one.saying),
            },
            distance: one.distance.map(|distance| saying::distance(self.book, one.look, distance)),
            unseen: one.unseen,
        };
        TurningView {
            to: state_words(turning.to),
            ways: turning.ways.iter().map(|way| way.iter().map(turned).collect()).collect(),
            smallest: turning.surely,
        }
    }

    fn trace(&self, trace: &Trace) -> TraceView {
        let finding = &self.book[trace.short.finding];
        TraceView {
            short: self.short(&trace.short),
            written: self.place(finding.origin.span),
            changes: self.changes(&finding.origin.changes),
            applies: self.applies(&trace.applies),
            signs: self.sign(&trace.signs),
            unless: trace.unless.iter().map(|unless| self.sign(unless)).collect(),
            exact: trace.exact,
            would_turn: trace.turning.as_ref().map(|turning| self.turning(turning)),
            urgency: gravity(self, trace),
            bench: bench(self, trace),
            left: left(self, trace),
            care: finding.care.iter().map(|text| plain(text).into_owned()).collect(),
            basis: finding.basis.iter().map(|text| plain(text).into_owned()).collect(),
        }
    }

    /// Changes that house rulebooks made, with their reasons.
    pub(super) fn changes(&self, changes: &[Change]) -> Vec<ChangeView> {
        let change = |change: &Change| ChangeView {
            rulebook: change.rulebook.clone(),
            what: change.what.clone(),
            because: plain(&change.because).into_owned(),
            written: self.place(change.span),
        };
        changes.iter().map(change).collect()
    }

    /// What decides whether something is there.
    pub(super) fn applies(&self, applies: &[(Span, Met)]) -> Vec<AppliesView> {
        let one = |(span, met): &(Span, Met)| AppliesView {
            only_when: self.written(*span),
            written: self.place(*span),
            state: met_words(*met),
        };
        applies.iter().map(one).collect()
    }

    /// A condition.
    pub(super) fn sign(&self, sign: &Sign) -> SignView {
        let written = sign.span.map(|span| self.written(span)).unwrap_or_default();
        let (says, quoted) = match sign.form {
            Form::All => ("all of these".to_owned(), false),
            Form::Any => ("one of these, or more".to_owned(), false),
            Form::AtLeast(count) => (format!("at least {count} of these"), false),
            Form::Not => ("the opposite of this".to_owned(), false),
            Form::Places(count, part) => {
                let part = &self.book[part].name;
                let how = match count {
                    Count::Any => format!("any {part} with this"),
                    Count::No => format!("no {part} with this"),
                    Count::Every => format!("every {part} with this"),
                    Count::AtLeast(least) => format!("at least {least} {part} with this"),
                };
                if written.is_empty() { (how, false) } else { (written, true) }
            }
            Form::Found(finding) if written.is_empty() => (format!("found {}", self.book[finding].name), false),
            Form::Found(_) | Form::Test => (written, true),
        };
        SignView {
            says,
            quoted,
            written: sign.span.and_then(|span| self.place(span)),
            place: sign
                .at
                .and_then(|(part, at)| place_name(self.book, part, at).map(|place| format!("{}.{place}", self.book[part].name))),
            state: met_words(sign.met),
            reads: sign.reads.iter().map(|one| read(self, one)).collect(),
            worked: sign.worked.iter().filter_map(|(value, ends)| worked(self, value, *ends)).collect(),
            inner: sign.inner.iter().map(|inner| self.sign(inner)).collect(),
        }
    }
}

/// What came of a condition, in a word.
pub fn met_words(met: Met) -> &'static str {
    match met {
        Met::Met => "met",
        Met::NotMet => "not met",
        Met::Open => "open",
        Met::Neither => "neither",
    }
}

/// What would come of a finding, in a word.
fn state_words(state: State) -> &'static str {
    match state {
        State::Holds => "found",
        State::Fails => "clear",
        State::Open => "open",
    }
}
