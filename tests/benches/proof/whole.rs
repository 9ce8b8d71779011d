//! The whole proof of a rulebook: the standard one as it is, and rulebooks of more and more findings over sixty looks.

use std::fmt::Write;
use std::path::Path;

use purfle::load::load;
use purfle_lang::book::Book;
use purfle_lang::check::check;
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_tests::dice::Dice;

use crate::clock::{shown, timed};

/// Looks of a made rulebook, all of one part.
const LOOKS: usize = 60;

/// Prints what proofs take, each with how much that is for a finding.
pub fn measure() -> Result<(), String> {
    println!("\nwhole proofs: every check of a sound book, its reading not counted");
    println!("{:<34} {:>9} {:>9} {:>14} {:>9}", "rulebook", "findings", "ms", "us a finding", "told");
    let standard = Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks/first-look.purfle");
    let loaded = load(&standard.to_string_lossy()).map_err(|unusable| unusable.to_string())?;
    let book = loaded.book.ok_or("the standard rulebook has errors")?;
    row("first-look", &book, &loaded.sources[0].text);
    for findings in [100, 300, 1_000, 1_500, 3_000] {
        for (least, most) in [(2, 6), (4, 8)] {
            let text = made(findings, least, most, 0);
            let resolved = resolve(&[parse(FileId(0), &text).tree]);
            let book = resolved.book.ok_or_else(|| format!("a made rulebook has errors: {:?}", resolved.diagnostics))?;
            row(&format!("60 looks, {least} to {most} of them each"), &book, &text);
        }
    }
    Ok(())
}

fn row(name: &str, book: &Book, text: &str) {
    let (told, time) = timed(|| check(book, text).len());
    let each = time.as_secs_f64() * 1e6 / book.findings.len() as f64;
    println!("{name:<34} {:>9} {:>9} {each:>14.0} {told:>9}", book.findings.len(), shown(time));
}

/// A rulebook of that many findings, whose signs are from `least` to `most` looks joined by `and`. A third of the looks
/// are yes or no, a third have five choices, a third are measured, with limits at multiples of 5 mm. `which` makes another one
/// about the same looks.
pub fn made(findings: usize, least: usize, most: usize, which: u64) -> String {
    let mut dice = Dice::new((findings * 100 + least * 10 + most) as u64 + (which << 32));
    let mut text = String::from(
        "rulebook made \"Made by chance\"\n  edition 1\n  money USD\nurgency\n  step fine \"Fine\"\n  step mention \"Mention\"\n  \
         step book \"Book\"\n  step soon \"Soon\"\n  step halt \"Halt\"\nhands\n  hand luthier \"A luthier\"  60 USD per h\n\
         tiers\n  tier bench \"Bench\"  up to 100 USD\n  tier major \"Major\"  beyond\npart piece \"The piece\"\n",
    );
    for look in 0..LOOKS {
        let (kind, good) = match look % 3 {
            0 => ("yes or no", "no"),
            1 => ("one of a, b, c, d, e", "a"),
            _ => ("measured in mm from 0 to 100", "0 to 5 mm"),
        };
        let _ = writeln!(text, "  look l{look} \"Look {look}\"  {kind}\n    good {good}");
    }
    for finding in 0..findings {
        let wanted = least + dice.below(most + 1 - least);
        let mut looks: Vec<usize> = Vec::new();
        while looks.len() < wanted {
            let look = dice.below(LOOKS);
            if !looks.contains(&look) {
                looks.push(look);
            }
        }
        let signs: Vec<String> = looks.into_iter().map(|look| sign(&mut dice, look)).collect();
        let step = ["mention", "book", "soon", "halt"][dice.below(4)];
        let _ = writeln!(
            text,
            "finding f{finding} \"Finding {finding}\"\n  on piece\n  signs {}\n  urgency {step}\n  hands luthier\n  cost nothing\n  \
             basis \"made by chance\"",
            signs.join(" and ")
        );
    }
    text
}

fn sign(dice: &mut Dice, look: usize) -> String {
    match look % 3 {
        0 => format!("l{look}"),
        1 => {
            let first = dice.below(3);
            let choices = ["a", "b", "c", "d", "e"];
            format!("l{look} is one of {}", choices[first..first + 1 + dice.below(3)].join(", "))
        }
        _ => {
            let low = 5 * (1 + dice.below(12));
            match dice.below(3) {
                0 => format!("l{look} is above {low} mm"),
                1 => format!("l{look} is below {low} mm"),
                _ => format!("l{look} is from {low} to {} mm", low + 5 * (1 + dice.below(7))),
            }
        }
    }
}
