//! `purfle proof --about SLUG`: the page about one kind of diagnostic, or a list of all kinds.

use std::io::{self, Write};

use purfle_lang::nearest::nearest;
use purfle_lang::pages::{page, slugs};

use super::{Ending, complain, paint_out};
use crate::report::{Ink, Paint, paragraph};

/// What is asked for to see the list.
pub const ALL: &str = "all";

/// Prints the page of a slug, or the list.
pub fn run(slug: &str) -> io::Result<Ending> {
    let mut text = String::new();
    match page(slug) {
        Some(page) => show(&mut text, slug, page, paint_out()),
        None if slug == ALL => list(&mut text),
        None => {
            let near = nearest(slug, slugs()).map_or_else(String::new, |near| format!(" Did you mean `{near}`?"));
            complain(&format!("nothing that is told goes by the name of `{slug}`.{near} `purfle proof --about` lists all."));
            return Ok(Ending::Unusable);
        }
    }
    let mut out = io::stdout();
    out.write_all(text.as_bytes())?;
    out.flush()?;
    Ok(Ending::Well)
}

/// A page as a terminal shows it: headings without their signs, examples further in.
fn show(out: &mut String, slug: &str, page: &str, paint: Paint) {
    out.push_str(&paint.ink(Ink::Heading, slug));
    out.push('\n');
    let mut sentences = String::new();
    let mut in_example = false;
    for line in page.lines() {
        let heading = line.strip_prefix("## ").filter(|_| !in_example);
        let fence = line.starts_with("```");
        if in_example && !fence {
            out.push_str(format!("    {line}").trim_end());
            out.push('\n');
        } else if line.is_empty() || fence || heading.is_some() {
            in_example ^= fence;
            paragraph(out, "  ", &std::mem::take(&mut sentences));
        } else {
            sentences.push_str(line);
            sentences.push(' ');
        }
        if let Some(heading) = heading {
            out.push_str(&format!("\n{}\n", paint.ink(Ink::Heading, heading)));
        }
    }
    paragraph(out, "  ", &sentences);
}

/// Every slug with the first sentence of its page.
fn list(out: &mut String) {
    let widest = slugs().map(str::len).max().unwrap_or_default();
    for slug in slugs() {
        let says = page(slug).unwrap_or_default();
        let says = says.split("\n\n").next().unwrap_or_default().replace('\n', " ");
        let end = says.find(". ").map_or(says.len(), |end| end + 1);
        paragraph(out, &format!("{slug:widest$}  "), &says[..end]);
    }
}
