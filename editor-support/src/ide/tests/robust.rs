//! Nothing breaks, wherever the pointer stands and whatever the text is.

use std::path::Path;

use purfle_lang::span::FileId;

use super::shop::{HOUSE, SHOP};
use crate::analysis::Analysis;
use crate::ide::{
    actions, calls, colours, completion, definition, folding, format, hover, inlay, lenses, links, outline, rename, selection,
    signature,
};

/// Asks everything at one byte.
fn ask(analysis: &Analysis, offset: u32) {
    ask_lightly(analysis, offset);
    let own = FileId::OWN;
    let _ = rename::rename(analysis, own, offset, "quite-new", &[analysis]);
    let _ = format::format_range(analysis, own, offset, offset);
}

/// Asks what does not read the whole text anew.
fn ask_lightly(analysis: &Analysis, offset: u32) {
    let own = FileId::OWN;
    completion::completion(analysis, own, offset).iter().for_each(|proposal| {
        let _ = (proposal.numbered(), analysis.text(own).get(proposal.replaces.range()).map(str::len).expect("within the text"));
    });
    let _ = hover::hover(analysis, own, offset);
    let _ = definition::definition(analysis, own, offset);
    let _ = definition::references(analysis, own, offset, true);
    let _ = rename::prepare(analysis, own, offset);
    let nested = selection::selection(analysis, own, offset);
    assert!(nested.windows(2).all(|pair| pair[1].start <= pair[0].start && pair[0].end <= pair[1].end), "{nested:?}");
    let _ = signature::signature(analysis, own, offset);
    if let Some(station) = calls::prepare(analysis, own, offset) {
        let _ = (calls::becomes(analysis, station.finding), calls::comes_of(analysis, station.finding));
    }
}

/// Asks everything about the whole.
fn ask_whole(analysis: &Analysis) {
    let own = FileId::OWN;
    let end = analysis.text(own).len() as u32;
    for fold in folding::folding(analysis, own) {
        assert!(analysis.text(own).get(fold.span.range()).is_some());
    }
    let _ = (outline::outline(analysis, own), outline::search(analysis, "b"), links::links(analysis, own));
    let words = colours::colours(analysis, own);
    assert!(words.windows(2).all(|pair| pair[0].span.end <= pair[1].span.start), "colours overlap");
    let _ = (inlay::inlays(analysis, own, 0, end), format::format(analysis, own), lenses::lenses(analysis, own));
    let told = analysis.told(analysis.proved().unwrap_or(&[]), false);
    let _ = actions::actions(analysis, own, 0, end, &told, &[analysis]);
    let _ = actions::mend_all(analysis, &told);
}

/// A number that follows from the last, for choosing without chance.
fn next(seed: &mut u64) -> usize {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*seed >> 33) as usize
}

fn corpus() -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/corpus");
    let mut texts = Vec::new();
    let mut folders = vec![root];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "purfle") {
                texts.push(std::fs::read_to_string(&path).expect("a text"));
            }
        }
    }
    assert!(texts.len() > 50, "the texts are found");
    texts.sort();
    texts
}

#[test]
fn every_byte_of_a_sound_rulebook_and_of_a_house_can_be_asked_about() {
    for analysis in [Analysis::of("own.purfle", SHOP, &[]), Analysis::of("own.purfle", HOUSE, &[("shop.purfle", SHOP)])] {
        analysis.figures();
        for offset in 0..=analysis.text(FileId::OWN).len() as u32 + 2 {
            ask(&analysis, offset);
        }
        ask_whole(&analysis);
    }
}

#[test]
fn the_shipped_rulebooks_can_be_asked_about() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks");
    let text = |name: &str| std::fs::read_to_string(root.join(name)).expect("a rulebook");
    let (first, harrow) = (text("first-look.purfle"), text("harrow-bench.purfle"));
    let first_look = Analysis::of("first-look.purfle", &first, &[]);
    let harrow_bench = Analysis::of("harrow-bench.purfle", &harrow, &[("first-look.purfle", &first)]);
    assert!(first_look.sound() && harrow_bench.sound());
    // Every byte of one item of each kind, then some of all.
    let mut kinds = Vec::new();
    for item in first_look.items(FileId::OWN) {
        if !kinds.contains(&item.entry.kind) {
            kinds.push(item.entry.kind);
            let span = item.entry.span;
            (span.start..=span.end.min(span.start + 600)).for_each(|offset| ask_lightly(&first_look, offset));
        }
    }
    (0..first.len() as u32).step_by(509).for_each(|offset| ask_lightly(&first_look, offset));
    (0..harrow.len() as u32).step_by(31).for_each(|offset| ask_lightly(&harrow_bench, offset));
    (0..harrow.len() as u32).step_by(2003).for_each(|offset| ask(&harrow_bench, offset));
}

#[test]
fn texts_cut_off_and_faulty_ones_can_be_asked_about() {
    let mut seed = 11;
    for text in corpus().iter().step_by(3) {
        let chars: Vec<(usize, char)> = text.char_indices().collect();
        for _ in 0..2 {
            let cut = chars.get(next(&mut seed) % chars.len().max(1)).map_or(0, |(at, _)| *at);
            let analysis = Analysis::of("own.purfle", &text[..cut], &[("shop.purfle", SHOP)]);
            for _ in 0..12 {
                ask(&analysis, (next(&mut seed) % (cut + 2)) as u32);
            }
            ask(&analysis, cut as u32);
            ask_whole(&analysis);
        }
    }
}

#[test]
fn characters_of_several_bytes_and_other_line_ends_are_no_matter() {
    let odd = SHOP.replace("The button is loose", "Der Knopf löst sich 𝄞").replace('\n', "\r\n");
    let analysis = Analysis::of("own.purfle", &format!("\u{feff}{odd}"), &[]);
    for offset in (0..analysis.text(FileId::OWN).len() as u32).step_by(3) {
        ask(&analysis, offset);
    }
    ask_whole(&analysis);
    for text in ["", "\u{feff}", "#", "\"", "\r", "é", "alter", "  - "] {
        let analysis = Analysis::of("own.purfle", text, &[]);
        (0..5).for_each(|offset| ask(&analysis, offset));
        ask_whole(&analysis);
    }
}
