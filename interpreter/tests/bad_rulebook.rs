//! Untidy and hostile rulebooks on the command line: each gets a message that names the place and the way out, and none
//! brings the program down or floods the terminal.

use crate::bench::{Bench, SMALL, code, err, json, out};

#[test]
fn files_that_are_no_text_of_a_rulebook() {
    let bench = Bench::new();
    let wide = |mark: [u8; 2]| [&mark[..], b"r\0u\0l\0e\0"].concat();
    let long = format!("rulebook a \"A\"\n  notice \"{}\"\n", "x".repeat(50_000_000));
    for (name, bytes, why) in [
        ("empty.purfle", Vec::new(), "it is empty; a rulebook begins with `rulebook NAME \"title\"`"),
        ("blank.purfle", b"\xef\xbb\xbf \n\t\r\n".to_vec(), "it is empty"),
        ("latin.purfle", b"# one\nrulebook a \"Caf\xe9\"\n".to_vec(), "it is not UTF-8 at byte 22 (line 2); save it as UTF-8"),
        ("wide.purfle", wide([0xff, 0xfe]), "it is UTF-16; save it as UTF-8"),
        ("wider.purfle", wide([0xfe, 0xff]), "it is UTF-16; save it as UTF-8"),
        ("sheet.purfle", b"PK\x03\x04\x14\x00\xff\xff".to_vec(), "it is not UTF-8 at byte 7"),
        ("long.purfle", long.into_bytes(), "it is larger than 16 MiB, and no rulebook is"),
    ] {
        bench.write(name, &bytes);
        for command in ["proof", "rehearse"] {
            let output = bench.purfle(&[command, name]);
            assert_eq!(code(&output), 2, "{command} {name}: {}", out(&output));
            assert!(err(&output).contains(&format!("{name}: {why}")), "{command} {name}: {}", err(&output));
        }
        let told = json(&bench.purfle(&["proof", name, "--as", "json"]));
        let unusable = &told["unusable"][0];
        assert_eq!(unusable["file"], name);
        assert!(unusable["why"][0].as_str().is_some_and(|told| told.starts_with(why)), "{name}: {told:#}");
    }
}

#[test]
fn texts_with_too_much_of_something() {
    let bench = Bench::new();
    let finding = |signs: &str| {
        format!(
            "{SMALL}\nfinding deep \"Deep\"\n  on button\n  signs {signs}\n  urgency book\n  hands luthier\n  cost nothing\n  basis \"common practice\"\n"
        )
    };
    let deep = |deep: usize| finding(&format!("{}button.gap is above 1 mm{}", "(".repeat(deep), ")".repeat(deep)));
    let open = finding(&"(".repeat(10_000));
    let long = finding(&format!("{}button.gap is above 1 mm", "button.sits is crooked or ".repeat(400_000)));
    let words = finding(&format!("button.gap is above {} mm", "9".repeat(10_000_000)));
    let steers = SMALL.replacen("Tail", "Ta\u{0}\u{1b}[31mil", 1);
    for (name, text, told) in [
        ("deep.purfle", deep(64), &[][..]),
        ("deeper.purfle", deep(65), &["nested-too-deep"]),
        ("deepest.purfle", deep(10_000), &["nested-too-deep"]),
        ("open.purfle", open, &["nested-too-deep"]),
        ("long.purfle", long, &["too-long"]),
        ("words.purfle", words, &["too-long"]),
        ("steers.purfle", steers, &[]),
        ("one-more.purfle", SMALL.replace('\n', "\r"), &[]),
        ("two-more.purfle", format!("\u{feff}{}", SMALL.replace('\n', "\r\n")), &[]),
    ] {
        bench.write(name, text.as_bytes());
        let lines = bench.purfle(&["proof", name, "--as", "line"]);
        let slugs: Vec<String> = out(&lines)
            .lines()
            .filter_map(|line| line.split_once("error[").and_then(|(_, rest)| rest.split(']').next().map(str::to_owned)))
            .collect();
        assert_eq!(slugs, told, "{name}: {:.500}", out(&lines));
        assert_eq!(code(&lines), i32::from(!told.is_empty()), "{name}: {}", err(&lines));
        let drawn = bench.purfle(&["proof", name]);
        assert!(out(&drawn).len() < 3_000, "{name}: {} bytes are shown", out(&drawn).len());
        assert!(!out(&drawn).contains(['\u{0}', '\u{1b}']), "{name}");
    }
}

#[test]
fn a_worked_out_value_with_too_many_limits() {
    let bench = Bench::new();
    let mut text = format!("{SMALL}\npart gauge \"Gauge\"\n  look near \"Near\"  measured in mm from 0 to 300\n");
    text.push_str("  look far \"Far\"  measured in mm from 0 to 300\n");
    for limit in 1..=70 {
        text.push_str(&format!(
            "\nfinding far-{limit} \"Far\"\n  on gauge\n  signs near + far is above {limit} mm\n  urgency book\n  hands luthier\n  cost nothing\n  basis \"common practice\"\n"
        ));
    }
    bench.write("limits.purfle", text.as_bytes());
    for command in ["proof", "rehearse"] {
        let output = bench.purfle(&[command, "limits.purfle"]);
        assert_eq!(code(&output), 1, "{command}: {}", err(&output));
        let told = format!("{}{}", out(&output), err(&output));
        assert!(told.contains("too-fine") && told.contains("`gauge.near`"), "{command}: {told}");
    }
}
