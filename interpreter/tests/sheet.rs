//! The inspection sheet as it is asked for.

use crate::bench::{Bench, code, err, out};

/// A rulebook in which much depends on which instrument it is.
const TWO: &str = include_str!("two.purfle");

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("two.purfle", TWO.as_bytes());
    bench
}

#[test]
fn only_what_may_apply_is_asked() {
    let bench = bench();
    let sheet = |arguments: &[&str]| {
        let output = bench.purfle(&[&["sheet", "two.purfle"], arguments].concat());
        assert_eq!(code(&output), 0, "{}", err(&output));
        out(&output)
    };
    let all = sheet(&[]);
    for asked in ["Tail button", "End pin", "E peg", "C peg", "Does it slip?", "How far does the bridge lean?"] {
        assert!(all.contains(asked), "{asked}");
    }
    let viola = sheet(&["--for", "Viola"]);
    assert!(viola.contains("Tail button") && viola.contains("C peg"));
    for not_asked in ["End pin", "E peg", "Does it slip?"] {
        assert!(!viola.contains(not_asked), "{not_asked}");
    }
    let cello = sheet(&["--for", "instrument.kind=cello"]);
    assert!(cello.contains("End pin") && cello.contains("Does it slip?") && !cello.contains("Tail button"));
}

#[test]
fn what_cannot_be_chosen_is_told_with_what_can() {
    let bench = bench();
    for (chosen, words) in [
        ("voila", "no context has a choice `voila`; the nearest is `viola`; there are violin, viola, cello (instrument.kind)"),
        ("small", "2 looks have a choice `small`: write instrument.size=small or owner.hand=small"),
        ("instrument.size=vast", "no context has a choice `vast`"),
    ] {
        let output = bench.purfle(&["sheet", "two.purfle", "--for", chosen]);
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains(words), "{}", err(&output));
        assert_eq!(out(&output), "");
    }
}

#[test]
fn a_file_is_written_once() {
    let bench = bench();
    assert_eq!(code(&bench.purfle(&["sheet", "two.purfle", "--out", "sheet.html"])), 0);
    let again = bench.purfle(&["sheet", "two.purfle", "--out", "sheet.html"]);
    assert_eq!(code(&again), 2);
    assert!(err(&again).contains("--force"), "{}", err(&again));
    assert_eq!(code(&bench.purfle(&["sheet", "nowhere.purfle"])), 2);
    bench.write("broken.purfle", b"rulebook broken\n");
    assert_eq!(code(&bench.purfle(&["sheet", "broken.purfle"])), 1);
}
