//! What can be done, and what the lines become.

use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::span::FileId;

use super::{Action, ActionKind, actions, mend_all};
use crate::analysis::Analysis;
use crate::ide::tests::shop::{HOUSE, SHOP, with};
use crate::ide::tests::{changed_lines, drawn, edited};

/// What can be done at the pointer of a text, with all that can be told of it.
fn offered(text: &str, others: &[(&str, &str)]) -> (Analysis, Vec<Action>) {
    let (plain, pointers) = drawn(text);
    let analysis = Analysis::of("own.purfle", &plain, others);
    let told = analysis.told(analysis.proof(), true);
    let all = actions(&analysis, FileId::OWN, pointers[0], pointers[0], &told, &[]);
    (analysis, all)
}

/// The lines that an action changes.
fn done(analysis: &Analysis, action: &Action) -> String {
    let text = analysis.text(FileId::OWN);
    changed_lines(text, &edited(text, &action.edits[0].edits))
}

#[test]
fn a_fix_mends_what_is_told_at_the_pointer() {
    let (analysis, all) = offered(&with("hands    player", "  hands    plyer§"), &[]);
    assert_eq!(all[0].title, "Write `player`");
    assert!(all[0].preferred && all[0].kind == ActionKind::Mend);
    assert_eq!(done(&analysis, &all[0]), "-   hands    plyer\n+   hands    player");
}

#[test]
fn all_safe_changes_are_made_at_once() {
    let text = with("hands    player", "hands    plyer")
        .replace("urgency  book\n  hands    luthier", "urgency  book\n  hands    luthir");
    let analysis = Analysis::of("own.purfle", &text, &[]);
    let told = analysis.told(&[], false);
    let action = mend_all(&analysis, &told).expect("there is something");
    let after = edited(&text, &action.edits[0].edits);
    assert!(after.contains("  hands    player\n"), "{after}");
    assert!(mend_all(&Analysis::of("own.purfle", SHOP, &[]), &[]).is_none());
}

#[test]
fn a_warning_is_quieted_above_its_line_with_a_reason() {
    let text = SHOP.replace("  cost     nothing\n  basis    \"common practice\"\n", "  cost     nothing\n");
    let (analysis, all) = offered(&text.replace("finding peg-slips", "finding peg§-slips"), &[]);
    let quiet = all.iter().find(|action| action.title == "Quiet `no-basis` here, with a reason").expect("it is offered");
    assert_eq!(done(&analysis, quiet), "+ # quiet no-basis because \"why\"");
    let after = edited(analysis.text(FileId::OWN), &quiet.edits[0].edits);
    let again = Analysis::of("own.purfle", &after, &[]);
    let slugs: Vec<&str> = again.told(again.proof(), true).iter().map(|told| told.slug).collect();
    assert!(!slugs.contains(&"no-basis") && !slugs.contains(&"quiet-nothing"), "{slugs:?}");
}

#[test]
fn a_witness_becomes_an_example_that_holds() {
    let text = format!(
        "{SHOP}\nfinding button-far \"It stands far off\"\n  on       button\n  signs    gap is above 1 mm\n  urgency  book\n  \
         hands    luthier\n  cost     nothing\n  basis    \"common practice\"\n"
    );
    let analysis = Analysis::of("own.purfle", &text, &[]);
    let told = analysis.told(analysis.proof(), true);
    let with_witness: Vec<&Diagnostic> = told.iter().filter(|told| told.witness.is_some()).collect();
    assert!(!with_witness.is_empty(), "something is shown by a record");
    let end = text.len() as u32;
    let all = actions(&analysis, FileId::OWN, 0, end, &told, &[]);
    let example = all.iter().find(|action| action.kind == ActionKind::Example).expect("it is offered");
    let after = edited(&text, &example.edits[0].edits);
    assert!(after.starts_with(text.trim_end()) && after.ends_with('\n'));
    let again = Analysis::of("own.purfle", &after, &[]);
    assert_eq!(again.came().len(), 2, "{after}");
    assert!(again.came().iter().all(|came| came.misses.is_empty()), "{:?}", again.came());
}

#[test]
fn what_a_parent_says_is_altered_in_the_house() {
    let (analysis, all) = offered(&HOUSE.replace("button.sits is", "button.§sits is"), &[("shop.purfle", SHOP)]);
    let alter = all.iter().find(|action| action.kind == ActionKind::Alter).expect("it is offered");
    assert_eq!(alter.title, "Alter `look button.sits` in house");
    assert_eq!(done(&analysis, alter), "+ alter look button.sits because \"why\"\n+   good  straight");
    let (_, all) = offered(&HOUSE.replace("finds    button-loose", "finds    §button-loose"), &[("shop.purfle", SHOP)]);
    assert!(all.iter().all(|action| action.kind != ActionKind::Alter), "it is altered already");
}

#[test]
fn from_a_rulebook_its_house_is_altered() {
    let (plain, pointers) = drawn(&SHOP.replace("work seat-button", "work §seat-button"));
    let shop = Analysis::of("shop.purfle", &plain, &[]);
    let house = Analysis::of("house.purfle", HOUSE, &[("shop.purfle", SHOP)]);
    let all = actions(&shop, FileId::OWN, pointers[0], pointers[0], &[], &[&house]);
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].title, "Alter `work seat-button` in house");
    assert_eq!(all[0].edits[0].path.to_str(), Some("house.purfle"));
    let after = edited(HOUSE, &all[0].edits[0].edits);
    assert_eq!(changed_lines(HOUSE, &after), "+ alter work seat-button 0.5 to 1 h * slowness because \"why\"");
}
