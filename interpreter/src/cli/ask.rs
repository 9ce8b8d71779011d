//! `purfle ask RULEBOOK RECORD`: the interview, line by line.

use std::io::{self, BufRead, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;

use super::diagnostics::refuse;
use super::output::Output;
use super::{Ending, complain, paint_out, tell_earlier};
use crate::interview::{Ask, Interview, Refusal, status};
use crate::judge::Judge;
use crate::load::load;
use crate::outcome::{Figure, FigureSet};
use crate::record::Record;
use crate::records::{Earlier, Input, Noting, Run};
use crate::report::{As, Ink, Paint, Renderer, Settings, paragraph, paragraph_in, refused_words, shown, sides};

/// What `purfle ask` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebook (NAME.purfle)
    rulebook: String,
    /// The record (NAME.json): begun if there is no such file, gone on with if there is
    record: PathBuf,
    /// Earlier records, for rulebooks that compare with last time
    #[arg(long, value_name = "FILE")]
    last: Vec<String>,
}

/// The longest line that may be typed, in bytes.
const LONGEST_LINE: u64 = 1 << 16;

/// What may be typed beside an answer.
const HELP: [(&str, &str); 12] = [
    ("an answer", "as it would stand in a record; a choice by its name or its number"),
    ("nothing (Enter)", "not looked at: it stays open, and is not asked again by itself"),
    ("today", "where a date is asked: the day that this computer's calendar shows"),
    ("?", "looked, and could not tell"),
    ("-", "does not apply"),
    ("good", "this part, or this place of it, is good; `all good` for all its places"),
    ("rest good", "everything was looked at, and all that was not answered is good"),
    ("back", "take the last step back"),
    ("change FIELD", "answer another question, or answer it anew, such as change button.gap; change quoted: the shop's price"),
    ("again", "ask anew what was passed over"),
    ("show", "the answers so far, and all that comes out"),
    ("stop", "end for now; the same command goes on later"),
];

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let mut loaded = match load(&arguments.rulebook) {
        Ok(loaded) => loaded,
        Err(unusable) => return unusable_file(&unusable.to_string()),
    };
    let Some(judge) = loaded.ready() else {
        refuse(&loaded);
        return Ok(Ending::Wrong);
    };
    let path = &arguments.record;
    if path.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("json")) {
        return unusable_file(&format!("{}: the record is written as JSON; name it so, such as AR-017.json", path.display()));
    }
    let mut interview = match interview(judge, arguments) {
        Ok(interview) => interview,
        Err(why) => return unusable_file(&why),
    };
    let mut screen = Screen { out: io::stdout(), paint: paint_out(), told: Vec::new(), ended: false };
    screen.say(&crate::report::rulebook_line(interview.book()))?;
    screen.say("Answer each question, or press Enter where nobody looked. Type help to see what else may be typed.")?;
    if let Some(passed) = passed_over(&interview) {
        screen.say(&format!("{passed} Type again to be asked anew."))?;
    }
    converse(&mut interview, &mut screen, path)
}

fn unusable_file(why: &str) -> io::Result<Ending> {
    complain(why);
    Ok(Ending::Unusable)
}

/// The interview, begun or gone on with; the error says what cannot be used.
fn interview(judge: Judge, arguments: &Arguments) -> Result<Interview, String> {
    let book = Arc::clone(&judge.plan().book);
    let open = |name: &String| Input::new(name, true).and_then(|input| input.check(&book).map(|()| input));
    let last: Vec<Input> = arguments.last.iter().map(open).collect::<Result<_, _>>().map_err(|why| why.to_string())?;
    let (earlier, counts) = Earlier::read(&book, &last, &[], 1).map_err(|why| why.to_string())?;
    tell_earlier(&counts);
    let mut interview = Interview::new(judge, earlier);
    if arguments.record.exists() {
        let record = begun(&book, &arguments.record)?;
        interview.resume(&record).map_err(|why| format!("{}: {}", arguments.record.display(), why.join("; ")))?;
    }
    Ok(interview)
}

/// The one record in a file.
fn begun(book: &Arc<purfle_lang::book::Book>, path: &Path) -> Result<Record, String> {
    let input = Input::new(&path.to_string_lossy(), false).map_err(|why| why.to_string())?;
    let mut records = Vec::new();
    let inputs = [input];
    let run = Run { book, inputs: &inputs, threads: 1, likeness: None };
    run.each_noted(
        Noting::Entries,
        || |record: &mut Record| Ok(record.clone()),
        |answer| {
            if records.len() < 2 {
                records.push(answer);
            }
            Ok(())
        },
    )
    .map_err(|why| why.to_string())?;
    match records.pop() {
        Some(Ok(record)) if records.is_empty() => Ok(record),
        Some(Err(refused)) if records.is_empty() => {
            Err(format!("the record cannot be gone on with:\n{}", refused_words(&refused).trim_end()))
        }
        _ => Err(format!("{}: it holds several records; an interview goes on with a file of one", path.display())),
    }
}

/// Where questions are printed, and what was printed last of each figure.
struct Screen {
    out: io::Stdout,
    paint: Paint,
    told: Vec<(&'static str, String)>,
    /// Whether the slip was shown since the last answer.
    ended: bool,
}

impl Screen {
    fn say(&mut self, text: &str) -> io::Result<()> {
        let mut out = String::new();
        paragraph(&mut out, "", text);
        self.out.write_all(out.as_bytes())
    }

    fn refuse(&mut self, why: &Refusal) -> io::Result<()> {
        let mut out = String::new();
        for why in why {
            paragraph(&mut out, "  ! ", &shown(why));
        }
        self.out.write_all(out.as_bytes())
    }

    /// Prints the figures that have changed, or all of them.
    fn status(&mut self, interview: &Interview, all: bool) -> io::Result<()> {
        let Some((_, outcome)) = interview.outcome() else { return Ok(()) };
        self.ended = false;
        let lines = status(interview.book(), outcome);
        let mut out = String::new();
        for line in lines.iter().filter(|line| all || !self.told.contains(line)) {
            let (name, value) = line;
            let lead = format!("  {name:<18}");
            // Colour is laid on what is short: where a line is broken, its marks would be counted as letters.
            let value = if value == "NO" { self.paint.ink(Ink::Grave, value) } else { value.clone() };
            paragraph_in(&mut out, &lead, &" ".repeat(lead.len()), &value);
        }
        self.told = lines;
        self.out.write_all(out.as_bytes())
    }

    fn question(&mut self, interview: &Interview, ask: Ask, number: usize) -> io::Result<()> {
        let question = interview.question(ask);
        let left = interview.left().saturating_sub(1);
        let mut out = String::from("\n");
        let about = format!("{number}. {}", question.about);
        let mut head = String::new();
        sides(&mut head, "", &about, &format!("[{}]", question.field));
        out.push_str(&head.replacen(&about, &self.paint.ink(Ink::Heading, &about), 1));
        paragraph(&mut out, "   ", &question.asks);
        for how in &question.how {
            paragraph(&mut out, "   How: ", how);
        }
        for care in &question.care {
            paragraph(&mut out, "   Care: ", care);
        }
        for (at, (name, words)) in question.choices.iter().enumerate() {
            let words = words.as_ref().map(|words| format!(": {words}")).unwrap_or_default();
            paragraph(&mut out, &format!("   {:>2} ", at + 1), &format!("{name}{words}"));
        }
        let besides = match ask {
            Ask::Record => "",
            Ask::Tag | Ask::InspectedOn | Ask::Quoted => ", or Enter",
            Ask::Look(..) | Ask::HowMany(_) => "; ? or Enter",
        };
        let today = if ask == Ask::InspectedOn { format!("today for {}, or ", today()) } else { String::new() };
        paragraph(&mut out, "   Answer: ", &format!("{today}{}{besides}.", question.allowed));
        if let Some(answer) = interview.answer_to(ask) {
            paragraph(&mut out, "   So far: ", &shown(answer));
        }
        if let Some(can) = figures(interview.can(ask)) {
            let more = match left {
                0 => "It is the last one.".to_owned(),
                left => format!("{left} more may follow."),
            };
            paragraph(&mut out, "   ", &format!("It can still change {can}. {more}"));
        }
        out.push_str("> ");
        self.out.write_all(out.as_bytes())?;
        self.out.flush()
    }

    fn help(&mut self) -> io::Result<()> {
        let mut out = String::new();
        for (typed, does) in HELP {
            let lead = format!("   {typed:<17}");
            paragraph_in(&mut out, &lead, &" ".repeat(lead.len()), does);
        }
        self.out.write_all(out.as_bytes())
    }

    /// Nothing is left to ask: the slip, and what may still be typed.
    fn ended(&mut self, interview: &Interview) -> io::Result<()> {
        let passed = passed_over(interview);
        if !std::mem::replace(&mut self.ended, true) {
            self.say(match passed {
                None => "\nNothing else that can be looked at changes what comes out.",
                Some(_) => "\nNothing is left to ask but what was passed over.",
            })?;
            self.slip(interview)?;
        }
        let again = match passed {
            None => "",
            Some(passed) => {
                self.say(&format!("\n{passed}"))?;
                "again asks them anew; "
            }
        };
        self.say(&format!("\nEnter ends; {again}back, change FIELD, show and help may be typed."))?;
        self.out.write_all(b"> ")?;
        self.out.flush()
    }

    /// The answers so far, and the slip.
    fn show(&mut self, interview: &Interview) -> io::Result<()> {
        let mut out = String::new();
        for (field, text) in interview.fields().0 {
            paragraph(&mut out, "  ", &format!("{} = {}", shown(&field), shown(&text)));
        }
        self.out.write_all(out.as_bytes())?;
        self.slip(interview)
    }

    fn slip(&mut self, interview: &Interview) -> io::Result<()> {
        let Some((record, outcome)) = interview.outcome() else { return Ok(()) };
        let settings = Settings { form: As::Terminal, without_names: false, paint: self.paint };
        let rendered = Renderer::new(Arc::clone(interview.book()), settings).outcome(record, outcome);
        self.out.write_all(b"\n")?;
        self.out.write_all(rendered.text())
    }
}

/// The most questions that are named one by one.
const MOST_NAMED: usize = 4;

/// The questions that were passed over and can still change the outcome, the gravest by name; none where there are none.
fn passed_over(interview: &Interview) -> Option<String> {
    let passed = interview.passed_over();
    let names: Vec<String> = passed.iter().take(MOST_NAMED).map(|ask| ask.field(interview.book())).collect();
    let more = match passed.len() - names.len() {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    (!names.is_empty()).then(|| format!("Passed over, and could still change what comes out: {}{more}.", names.join(", ")))
}

/// The day on this computer's calendar, as a record says it.
fn today() -> String {
    jiff::ZonedDateTime::now().date().to_string()
}

/// The gravest of these figures in words, and whether there are more.
fn figures(can: FigureSet) -> Option<String> {
    let mut can = can.iter();
    let words = match can.next()? {
        Figure::Played => "whether it may be played",
        Figure::Urgency => "how soon",
        Figure::Hands => "by whom",
        Figure::Cost => "what it costs now",
        Figure::Left => "what it costs if left",
        Figure::Aid => "what a fund pays",
        Figure::Counsel => "the advice",
    };
    let more = if can.next().is_none() { "" } else { ", and more" };
    Some(format!("{words}{more}"))
}

/// What was typed.
enum Typed<'a> {
    Answer(&'a str),
    Pass,
    Good { whole: bool },
    RestGood,
    Back,
    Change(&'a str),
    Again,
    Show,
    Help,
    Stop,
}

/// A word that is a command, if it is one.
fn command(text: &str) -> Option<Typed<'_>> {
    let lower = text.to_ascii_lowercase();
    Some(match lower.split_whitespace().collect::<Vec<_>>().as_slice() {
        ["good"] => Typed::Good { whole: false },
        ["all", "good"] => Typed::Good { whole: true },
        ["rest", "good"] | ["the", "rest", "good"] => Typed::RestGood,
        ["back"] => Typed::Back,
        ["change", ..] => Typed::Change(text.get("change".len()..).unwrap_or_default().trim()),
        ["again"] => Typed::Again,
        ["show"] => Typed::Show,
        ["help"] => Typed::Help,
        ["stop"] => Typed::Stop,
        _ => return None,
    })
}

/// Asks until nothing is left, or until somebody stops.
fn converse(interview: &mut Interview, screen: &mut Screen, path: &Path) -> io::Result<Ending> {
    screen.status(interview, true)?;
    let mut number = 1;
    let mut input = io::stdin().lock();
    let typed = input.is_terminal();
    loop {
        let asked = interview.next();
        match asked {
            Some(ask) => screen.question(interview, ask, number)?,
            None => screen.ended(interview)?,
        }
        let line = match next_line(&mut input)? {
            Line::Text(line) => line,
            Line::Bad(why) => {
                screen.refuse(&vec![why.to_owned()])?;
                continue;
            }
            Line::End => {
                writeln!(screen.out)?;
                return stopped(screen, path, asked.is_none());
            }
        };
        if !typed {
            // A pipe shows nothing of what goes in, so what comes out begins a line of its own.
            writeln!(screen.out)?;
        }
        let before = interview.saved();
        let step = match asked {
            Some(ask) => take(interview, screen, ask, line.trim())?,
            None => take_last(interview, screen, line.trim())?,
        };
        match step {
            Step::Stop => return stopped(screen, path, asked.is_none()),
            Step::Stay => {}
            Step::On => number += 1,
            Step::Back => number = number.saturating_sub(1).max(1),
        }
        let now = interview.saved();
        if !now.answers.is_empty() && now != before {
            if let Err(why) = save(interview, path) {
                complain(&format!("{}: the record cannot be written: {why}", path.display()));
                return Ok(Ending::Unusable);
            }
            if now.answers != before.answers {
                screen.status(interview, false)?;
            }
        }
    }
}

/// What came in.
enum Line {
    Text(String),
    Bad(&'static str),
    End,
}

/// The next line that was typed.
fn next_line(input: &mut impl BufRead) -> io::Result<Line> {
    let mut line = Vec::new();
    if input.by_ref().take(LONGEST_LINE).read_until(b'\n', &mut line)? == 0 {
        return Ok(Line::End);
    }
    if line.len() as u64 == LONGEST_LINE && !line.ends_with(b"\n") {
        input.skip_until(b'\n')?;
        return Ok(Line::Bad("that is longer than any answer; type it again"));
    }
    Ok(String::from_utf8(line).map_or(Line::Bad("that is not UTF-8; type it again"), Line::Text))
}

fn stopped(screen: &mut Screen, path: &Path, whole: bool) -> io::Result<Ending> {
    let end = match (path.exists(), whole) {
        (true, true) => format!("The record is in {}.", path.display()),
        (true, false) => format!("The record so far is in {}; the same command goes on with it.", path.display()),
        (false, _) => "Nothing was answered, and nothing is written.".to_owned(),
    };
    screen.say(&end)?;
    Ok(Ending::Well)
}

/// Where a line has led.
enum Step {
    On,
    Stay,
    Back,
    Stop,
}

/// Takes what is typed where nothing is left to ask.
fn take_last(interview: &mut Interview, screen: &mut Screen, text: &str) -> io::Result<Step> {
    match command(text.strip_prefix('/').unwrap_or(text)) {
        None if text.is_empty() => Ok(Step::Stop),
        Some(Typed::Good { .. }) | None => {
            screen.refuse(&vec!["nothing is asked here; `change FIELD` asks for an answer anew, and Enter ends".to_owned()])?;
            Ok(Step::Stay)
        }
        Some(typed) => obey(interview, screen, Ask::Record, typed),
    }
}

fn take(interview: &mut Interview, screen: &mut Screen, ask: Ask, text: &str) -> io::Result<Step> {
    let forced = text.strip_prefix('/');
    let day = today();
    let typed = match forced.and_then(command) {
        Some(typed) => typed,
        None if text.is_empty() => Typed::Pass,
        None if ask.takes_a_day(interview.book()) && text.eq_ignore_ascii_case("today") => Typed::Answer(&day),
        None if ask.takes_words(interview.book()) => command(text).unwrap_or(Typed::Answer(text)),
        // What is an answer is one, even where it is a command as well.
        None => match interview.answer(ask, text) {
            Ok(()) => return Ok(Step::On),
            Err(why) => match command(text) {
                Some(typed) => typed,
                None => return by_number(interview, screen, ask, text, &why),
            },
        },
    };
    obey(interview, screen, ask, typed)
}

fn obey(interview: &mut Interview, screen: &mut Screen, ask: Ask, typed: Typed<'_>) -> io::Result<Step> {
    let done = match typed {
        Typed::Answer(text) => interview.answer(ask, text),
        Typed::Pass => interview.pass(ask),
        Typed::Good { whole } => interview.good(ask, whole),
        Typed::RestGood => interview.rest_good(),
        Typed::Change(path) => match interview.change(path) {
            Ok(()) => return Ok(Step::Stay),
            Err(why) => Err(why),
        },
        Typed::Again if interview.ask_again() => return Ok(Step::Stay),
        Typed::Again => Err(vec!["nothing was passed over; `change FIELD` asks for an answer anew".to_owned()]),
        Typed::Back if interview.back() => return Ok(Step::Back),
        Typed::Back => Err(vec!["this is where it began; `change FIELD` asks for an older answer anew".to_owned()]),
        Typed::Show => {
            screen.show(interview)?;
            return Ok(Step::Stay);
        }
        Typed::Help => {
            screen.help()?;
            return Ok(Step::Stay);
        }
        Typed::Stop => return Ok(Step::Stop),
    };
    match done {
        Ok(()) => Ok(Step::On),
        Err(why) => {
            screen.refuse(&why)?;
            Ok(Step::Stay)
        }
    }
}

/// Takes the number of a choice, where that is no answer by itself.
fn by_number(interview: &mut Interview, screen: &mut Screen, ask: Ask, text: &str, why: &Refusal) -> io::Result<Step> {
    let choice = text.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
    let chosen = choice.and_then(|at| interview.choices(ask).into_iter().nth(at));
    match chosen.map(|choice| interview.answer(ask, &choice)) {
        Some(Ok(())) => Ok(Step::On),
        Some(Err(why)) => {
            screen.refuse(&why)?;
            Ok(Step::Stay)
        }
        None => {
            screen.refuse(why)?;
            Ok(Step::Stay)
        }
    }
}

/// Writes the record, whole or not at all.
fn save(interview: &Interview, path: &Path) -> Result<(), String> {
    let text = serde_json::to_string_pretty(&interview.saved()).map_err(|error| error.to_string())?;
    let mut output = Output::open(Some(path), true)?;
    writeln!(output, "{text}").and_then(|()| output.keep()).map_err(|error| error.to_string())
}
