//! Names changed everywhere, and the reasons why not.

use purfle_lang::resolve::noted::{Role, Target};
use purfle_lang::span::FileId;

use super::shop::{HOUSE, SHOP, with};
use super::{at, at_on, changed_lines, drawn, edited};
use crate::analysis::Analysis;
use crate::ide::rename::{prepare, rename};

/// The lines that a renaming changes.
fn renamed(text: &str, name: &str) -> String {
    let (analysis, offset) = at(text);
    let files = rename(&analysis, FileId::OWN, offset, name, &[]).unwrap_or_else(|why| panic!("{why}"));
    let after = edited(analysis.text(FileId::OWN), &files[0].edits);
    changed_lines(analysis.text(FileId::OWN), &after)
}

fn refused(text: &str, name: &str) -> String {
    let (analysis, offset) = at(text);
    rename(&analysis, FileId::OWN, offset, name, &[]).expect_err("it is refused")
}

#[test]
fn a_look_is_renamed_where_it_is_written_and_where_it_is_used() {
    let text = SHOP.replace("look sits", "look §sits");
    assert_eq!(
        renamed(&text, "seat"),
        "-   look sits  \"How does it sit?\"      one of straight, crooked, pulling-out \"Pulling out\"\n\
         -   signs    gap is above 0.2 mm or sits is one of crooked, pulling-out\n\
         -   urgency  halt if sits is pulling-out and instrument.strung\n\
         -   record   button.sits is crooked, instrument.kind is violin, instrument.strung\n\
         +   look seat  \"How does it sit?\"      one of straight, crooked, pulling-out \"Pulling out\"\n\
         +   signs    gap is above 0.2 mm or seat is one of crooked, pulling-out\n\
         +   urgency  halt if seat is pulling-out and instrument.strung\n\
         +   record   button.seat is crooked, instrument.kind is violin, instrument.strung"
    );
}

#[test]
fn a_choice_that_becomes_no_name_is_quoted() {
    let text = with("signs    turns is", "  signs    turns is sl§ips");
    assert_eq!(
        renamed(&text, "slips back"),
        "-   look turns  \"How does it turn?\"  one of smoothly, slips, stuck\n\
         -   signs    turns is slips\n\
         +   look turns  \"How does it turn?\"  one of smoothly, \"slips back\", stuck\n\
         +   signs    turns is \"slips back\""
    );
}

#[test]
fn a_name_changes_in_the_houses_that_build_on_it() {
    let (plain, pointers) = drawn(&SHOP.replace("finding button-loose", "finding §button-loose"));
    let shop = Analysis::of("shop.purfle", &plain, &[]);
    let house = Analysis::of("house.purfle", HOUSE, &[("shop.purfle", SHOP)]);
    let files = rename(&shop, FileId::OWN, pointers[0], "button-gone", &[&house]).expect("it can be");
    assert_eq!(files.len(), 2);
    assert_eq!(files[1].path.to_str(), Some("house.purfle"));
    let after = edited(HOUSE, &files[1].edits);
    assert_eq!(
        changed_lines(HOUSE, &after),
        "- alter finding button-loose because \"seen sooner\"\n\
         -   finds    button-loose at halt\n\
         + alter finding button-gone because \"seen sooner\"\n\
         +   finds    button-gone at halt"
    );
}

#[test]
fn a_rulebook_that_is_found_by_its_name_keeps_it() {
    let (plain, pointers) = drawn(&SHOP.replace("rulebook shop", "rulebook §shop"));
    let shop = Analysis::of("shop.purfle", &plain, &[]);
    let house = Analysis::of("house.purfle", HOUSE, &[("shop.purfle", SHOP)]);
    let files = rename(&shop, FileId::OWN, pointers[0], "alder", &[&house]).expect("its file is named");
    assert_eq!(
        changed_lines(HOUSE, &edited(HOUSE, &files[1].edits)),
        "-   builds on shop edition 1 from \"shop.purfle\"\n+   builds on alder edition 1 from \"shop.purfle\""
    );
    let by_name = HOUSE.replace(" from \"shop.purfle\"", "");
    let house = Analysis::of("house.purfle", &by_name, &[("shop.purfle", SHOP)]);
    assert_eq!(
        rename(&shop, FileId::OWN, pointers[0], "alder", &[&house]),
        Err("house builds on it and finds its file by its name. Write `from \"FILE\"` after the edition there, then rename it."
            .to_owned())
    );
}

#[test]
fn what_cannot_be_is_said_with_its_reason() {
    let finding = SHOP.replace("finding button-loose", "finding §button-loose");
    assert_eq!(refused(&finding, "button-torn"), "The name is taken: there is a `finding button-torn` already.");
    assert_eq!(refused(&finding, "button-loose"), "That is its name already.");
    assert_eq!(refused(&finding, "1st"), "`1st` is no name: a name has letters, digits and hyphens, and begins with a letter.");
    assert!(refused(&finding, "Comes Off (at once)").ends_with("begins with a letter. The nearest is `comes-off-at-once`."));
    assert!(refused(&finding, "?").ends_with("and begins with a letter."));
    assert_eq!(
        refused(&finding, "Loose"),
        "Names are in small letters; only places and choices may have capitals. The nearest is `loose`."
    );
    assert_eq!(
        refused(&SHOP.replace("look gap", "look §gap"), "is"),
        "`is` cannot stand for it: it is a word of the language there."
    );
    assert_eq!(
        refused(&SHOP.replace("  on       button\n  signs    gap", "  o§n       button\n  signs    gap"), "x"),
        "No name stands here. A word of the language cannot be renamed."
    );
    let (analysis, offset) = at_on(&HOUSE.replace("finds    button-loose", "finds    §button-loose"), SHOP);
    assert_eq!(
        prepare(&analysis, FileId::OWN, offset),
        Err("`finding button-loose` comes from shop. Open that rulebook, and rename it there.".to_owned())
    );
}

/// Renaming a thing keeps the rulebook sound, whatever it is: so every place at which it is named is known.
#[test]
fn any_name_of_a_sound_rulebook_can_be_changed_and_it_stays_sound() {
    let analysis = Analysis::of("own.purfle", SHOP, &[]);
    let written = analysis.notes().iter().filter(|note| note.role == Role::Writes);
    let mut tried = 0;
    for note in written {
        let name = if matches!(note.target, Target::Rulebook(_)) { "other" } else { "quite-new" };
        let files = rename(&analysis, FileId::OWN, note.span.start, name, &[]).unwrap_or_else(|why| panic!("{note:?}: {why}"));
        let after = edited(SHOP, &files[0].edits);
        let again = Analysis::of("own.purfle", &after, &[]);
        let errors: Vec<_> = again.quick().iter().filter(|told| told.is_error()).collect();
        assert!(errors.is_empty(), "{}: {errors:?}", analysis.written(note.span));
        tried += 1;
    }
    assert!(tried > 40, "{tried}");
}

/// The same over the shipped rulebooks: a name of the standard rulebook is changed there and in the house that builds on it.
#[test]
fn names_of_the_standard_rulebook_change_in_the_house_as_well_and_both_stay_sound() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks");
    let text = |name: &str| std::fs::read_to_string(root.join(name)).expect("a rulebook");
    let (first, harrow) = (text("first-look.purfle"), text("harrow-bench.purfle"));
    let first_look = Analysis::of("first-look.purfle", &first, &[]);
    let house = Analysis::of("harrow-bench.purfle", &harrow, &[("first-look.purfle", &first)]);
    let mut tried: Vec<(std::mem::Discriminant<Target>, u32)> = Vec::new();
    for note in first_look.notes().iter().filter(|note| note.role == Role::Writes) {
        let kind = std::mem::discriminant(&note.target);
        // Those that the house speaks of first of all.
        let there = harrow.contains(first_look.written(note.span));
        let known = tried.iter().filter(|(known, _)| *known == kind).count();
        if known >= if there { 3 } else { 1 } {
            continue;
        }
        tried.push((kind, note.span.start));
        let files = rename(&first_look, FileId::OWN, note.span.start, "quite-new", &[&house])
            .unwrap_or_else(|why| panic!("{note:?}: {why}"));
        let parent = edited(&first, &files[0].edits);
        let child = files.get(1).map_or(harrow.clone(), |file| edited(&harrow, &file.edits));
        for again in [
            Analysis::of("first-look.purfle", &parent, &[]),
            Analysis::of("harrow-bench.purfle", &child, &[("first-look.purfle", &parent)]),
        ] {
            let errors: Vec<_> = again.quick().iter().filter(|told| told.is_error()).collect();
            assert!(errors.is_empty(), "{}: {errors:?}", first_look.written(note.span));
        }
    }
    assert!(tried.len() > 25, "{}", tried.len());
}
