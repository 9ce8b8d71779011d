//! What `purfle proof` prints, in each of its forms.

use std::io::{self, BufWriter, Write};

use purfle_lang::diagnostic::Severity;

use super::Form;
use super::mending::{Made, Mending};
use crate::cli::diagnostics::{Severities, Style, human, json, line, sarif, summary};
use crate::cli::{Ending, complain, paint_out};
use crate::load::Loaded;
use crate::records::Unusable;
use crate::report::{paragraph, shown};

/// What is told, in one of its forms.
pub struct Telling {
    out: BufWriter<io::Stdout>,
    form: Form,
    severities: Severities,
    json: json::Report,
    sarif: sarif::Log,
}

impl Telling {
    /// Nothing told yet.
    pub fn new(form: Form, severities: Severities) -> Self {
        let (json, sarif) = (json::Report::default(), sarif::Log::default());
        Self { out: BufWriter::new(io::stdout()), form, severities, json, sarif }
    }

    /// Tells of a file that cannot be used.
    pub fn unusable(&mut self, unusable: &Unusable) -> Ending {
        match self.form {
            Form::Json => self.json.unusable(unusable),
            Form::Sarif => self.sarif.unusable(&unusable.file, unusable.why.join(" ")),
            Form::Human | Form::Plain | Form::Line => {}
        }
        complain(&unusable.to_string());
        Ending::Unusable
    }

    /// Tells all of one rulebook, what was mended first.
    pub fn rulebook(&mut self, name: &str, loaded: &Loaded, mending: Option<&Mending>) -> io::Result<Ending> {
        if let Some(mending) = mending {
            self.mended(name, mending)?;
        }
        let (out, severities) = (&mut self.out, self.severities);
        match self.form {
            Form::Human => human(out, loaded, Style::drawn(paint_out()), severities)?,
            Form::Plain => human(out, loaded, Style::Spoken, severities)?,
            Form::Line => line(out, loaded, severities)?,
            Form::Json => self.json.add(loaded, severities),
            Form::Sarif => self.sarif.add(loaded, severities),
        }
        if self.for_people() {
            writeln!(self.out, "{}", summary(name, loaded, severities))?;
        }
        if let Some(mending) = mending {
            self.left(name, mending)?;
        }
        let wrong = loaded.diagnostics.iter().any(|told| severities.of(told) == Severity::Error);
        let stuck = mending.is_some_and(|mending| mending.stuck.is_some());
        Ok(if wrong || stuck { Ending::Wrong } else { Ending::Well })
    }

    fn for_people(&self) -> bool {
        matches!(self.form, Form::Human | Form::Plain)
    }

    /// Tells what was mended, or why nothing was.
    fn mended(&mut self, name: &str, mending: &Mending) -> io::Result<()> {
        if self.for_people() {
            let number = match mending.made.len() {
                0 => "nothing mended".to_owned(),
                made => format!("{} made", fixes(made)),
            };
            writeln!(self.out, "{}: {number}", shown(name))?;
        }
        for Made { slug, title, at } in &mending.made {
            match self.form {
                Form::Human | Form::Plain => writeln!(self.out, "  line {}: {} [{slug}]", at.line, shown(title))?,
                Form::Line => writeln!(self.out, "{}:{}:{}: mended[{slug}]: {}.", shown(name), at.line, at.column, shown(title))?,
                Form::Json => self.json.mended(name, slug, title, *at),
                Form::Sarif => {}
            }
        }
        if self.for_people() {
            writeln!(self.out)?;
        }
        if let Some(why) = &mending.stuck {
            match self.form {
                Form::Json => self.json.unmended(name, why),
                Form::Sarif => self.sarif.unusable(name, format!("nothing is mended: {why}")),
                Form::Human | Form::Plain | Form::Line => {}
            }
            complain(&format!("{name}: nothing is mended, and the file is as it was: {why}"));
        }
        Ok(())
    }

    /// Says what mending leaves to the author, and where it is seen.
    fn left(&mut self, name: &str, mending: &Mending) -> io::Result<()> {
        let mut notes = Vec::new();
        if mending.left > 0 {
            let seen = if self.for_people() { "in the help above".to_owned() } else { format!("see `purfle proof {name}`") };
            notes.push(format!("Left to you: {} that may change what is meant ({seen})", fixes(mending.left)));
        }
        for (file, number) in &mending.elsewhere {
            notes.push(format!("Not made: {} in {file}; mend that with `purfle proof --mend {file}`", fixes(*number)));
        }
        for note in notes {
            match self.form {
                Form::Human | Form::Plain => {
                    let mut text = String::new();
                    paragraph(&mut text, "  ", &shown(&format!("{note}.")));
                    write!(self.out, "{text}")?;
                }
                Form::Line => complain(&format!("{name}: {note}")),
                Form::Json | Form::Sarif => {}
            }
        }
        Ok(())
    }

    /// Ends the telling.
    pub fn end(mut self) -> io::Result<()> {
        match self.form {
            Form::Json => self.json.write(&mut self.out)?,
            Form::Sarif => self.sarif.write(&mut self.out)?,
            Form::Human | Form::Plain | Form::Line => {}
        }
        self.out.flush()
    }
}

fn fixes(number: usize) -> String {
    format!("{number} fix{}", if number == 1 { "" } else { "es" })
}
