//! A trace as plain words and places, for every form of the report; as JSON it is version 1 of its shape.

use purfle_lang::book::{Book, Change, Count, FindingId, LookId, PlayedWord, RecordPath, StateWord, StepId};
use purfle_lang::saying::look_field;
use purfle_lang::span::Span;
use purfle_lang::unit::format_date;
use serde::Serialize;

use super::super::diagnostics::Places;
use super::bench::{BenchView, LeftView, bench, left};
use super::gravity::{GravityView, gravity};
use super::reading::{ReadView, WorkedView, fact, read, worked};
use super::saying;
use crate::load::Loaded;
use crate::outcome::{At, Judged, Outcome};
use crate::record::Record;
use crate::rehearse::mutants::Texts;
use crate::report::{place_name, place_words, plain, played, rulebook_line, shown, state_name};
use crate::trace::{Form, Met, Settling, Short, Sign, State, Stretch, Trace, Turned, Turning};

/// The version of the shape.
const VERSION: u32 = 1;

/// Everything that is explained.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Report {
    purfle: u32,
    /// By which rulebook.
    pub rulebook: RulebookView,
    /// Of which record.
    pub record: RecordView,
    /// The whole outcome, where no finding was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outcome: Option<OutcomeView>,
    /// What is found and suspected, in short, where no finding was asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<ShortView>,
    /// The finding asked for, at each place at which it is explained.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub traces: Vec<TraceView>,
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

/// The whole outcome.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct OutcomeView {
    /// May it be played: `yes`, `no` or `open`.
    pub played: &'static str,
    /// What settles that, in a sentence.
    pub played_by: String,
    /// The urgency that is certain.
    pub from: StepView,
    /// The urgency that is possible.
    pub to: StepView,
    /// What settles the one and the other, in sentences.
    pub urgency_by: Vec<String>,
    /// How many findings are not ruled out because nobody looked.
    pub not_ruled_out: usize,
    /// Parts of which nothing was looked at.
    pub unseen: Vec<String>,
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
#[derive(Serialize)]
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

    fn report(&self, outcome: Option<OutcomeView>, findings: Vec<ShortView>, traces: Vec<TraceView>) -> Report {
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
            outcome,
            findings,
            traces,
        }
    }

    /// One finding at several places.
    pub fn traces(&self, traces: &[Trace]) -> Report {
        self.report(None, Vec::new(), traces.iter().map(|trace| self.trace(trace)).collect())
    }

    /// The whole outcome.
    pub fn whole(&self, told: &[Short]) -> Report {
        let outcome = self.outcome;
        let step = |id: StepId| StepView { step: self.book[id].name.clone(), words: plain(&self.book[id].words).into_owned() };
        let view = OutcomeView {
            played: played(outcome.played),
            played_by: self.played_by(),
            from: step(outcome.urgency.from),
            to: step(outcome.urgency.to),
            urgency_by: self.urgency_by(),
            not_ruled_out: outcome.not_ruled_out.len(),
            unseen: outcome.unseen.iter().map(|part| self.book[*part].name.clone()).collect(),
        };
        self.report(Some(view), told.iter().map(|short| self.short(short)).collect(), Vec::new())
    }

    /// What settles whether it may be played.
    fn played_by(&self) -> String {
        let apart = |finding: FindingId| self.book[self.book[finding].on].apart;
        let all = || self.outcome.findings.iter().chain(&self.outcome.not_ruled_out).filter(|judged| !apart(judged.finding));
        let names = |wanted: &dyn Fn(&Judged) -> bool| self.named(all().filter(|judged| wanted(judged)));
        let forbids = |judged: &Judged| self.book[judged.urgency.to].not_played;
        let surely = |judged: &Judged| judged.state == StateWord::Found && self.book[judged.urgency.from].not_played;
        match self.outcome.played {
            PlayedWord::Yes => "Nothing that forbids it can hold in this record.".to_owned(),
            PlayedWord::No => match names(&surely) {
                Some(names) => format!("It is forbidden by {names}."),
                None => format!("One of these surely holds, though none by itself: {}.", names(&forbids).unwrap_or_default()),
            },
            PlayedWord::Open => {
                let pointed = names(&|judged| forbids(judged) && judged.state != StateWord::Open);
                let unseen = all().filter(|judged| forbids(judged) && judged.state == StateWord::Open).count();
                let unseen = match unseen {
                    0 => String::new(),
                    1 => " One finding that would forbid it is not ruled out, because nobody looked.".to_owned(),
                    many => format!(" {many} findings that would forbid it are not ruled out, because nobody looked."),
                };
                match pointed {
                    Some(names) => format!("It hangs on {names}.{unseen}"),
                    None => unseen.trim().to_owned(),
                }
            }
        }
    }

    /// What settles the urgency, at its least and at its greatest.
    fn urgency_by(&self) -> Vec<String> {
        let outcome = self.outcome;
        let all = || outcome.findings.iter().chain(&outcome.not_ruled_out);
        let mut lines = Vec::new();
        let from = outcome.urgency.from;
        let certain = self.named(all().filter(|judged| judged.state == StateWord::Found && judged.urgency.from == from));
        lines.push(match certain {
            Some(names) => format!("It is at least `{}` by {names}.", self.book[from].name),
            None if from.0 == 0 => "Nothing is certain that makes it more urgent than the mildest step.".to_owned(),
            None => format!(
                "It is at least `{}` because one of several findings surely holds, though none by itself.",
                self.book[from].name
            ),
        });
        let may_be = |step: StepId, state: StateWord| {
            self.named(all().filter(move |judged| judged.urgency.to == step && judged.state == state))
        };
        let mut graver = vec![outcome.suspected, outcome.urgency.to];
        graver.dedup();
        for step in graver.into_iter().filter(|step| *step > from) {
            let name = &self.book[step].name;
            for (state, words) in [
                (StateWord::Found, "as what is found may be that grave"),
                (StateWord::Suspected, "as something that was seen points to it"),
                (StateWord::Open, "as nobody looked at what would rule it out"),
            ] {
                if let Some(names) = may_be(step, state) {
                    lines.push(format!("It may be `{name}`, {words}: {names}."));
                }
            }
        }
        lines
    }

    /// Findings by name, with their places; none of none.
    fn named<'j>(&self, judged: impl Iterator<Item = &'j Judged>) -> Option<String> {
        const MOST: usize = 6;
        let mut names: Vec<String> = judged.map(|judged| self.name_at(judged.finding, judged.at)).collect();
        let more = names.len().saturating_sub(MOST);
        names.truncate(MOST);
        if more > 0 {
            names.push(format!("{more} more"));
        }
        match names.as_slice() {
            [] => None,
            [only] => Some(only.clone()),
            [rest @ .., last] => Some(format!("{} and {last}", rest.join(", "))),
        }
    }

    /// `peg-stuck@E`, as it may be asked for.
    pub(super) fn name_at(&self, finding: FindingId, at: At) -> String {
        let place = place_name(self.book, self.book[finding].on, at).map(|place| format!("@{place}")).unwrap_or_default();
        format!("{}{place}", self.book[finding].name)
    }

    fn short(&self, short: &Short) -> ShortView {
        let finding = &self.book[short.finding];
        let step = |id: StepId| StepView { step: self.book[id].name.clone(), words: plain(&self.book[id].words).into_owned() };
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
