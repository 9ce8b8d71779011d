//! `purfle tidy` as it is typed: what it writes, what it leaves alone, and what it ends with.

use std::fs;

use crate::bench::{Bench, code, err, out};

const UNTIDY: &str = "rulebook small \"Small\"\n  edition 1\n  money   USD\n\n\n# The button.\npart button \"Button\"\n  look sits \"How?\" one of straight, crooked\n    good straight\n";
const TIDY: &str = "rulebook small \"Small\"\n  edition      1\n  money        USD\n\n# The button.\npart button \"Button\"\n  look sits  \"How?\"  one of straight, crooked\n    good  straight\n";

#[test]
fn a_file_is_laid_out_where_it_lies() {
    let bench = Bench::new();
    let path = bench.write("a.purfle", UNTIDY.as_bytes());
    let there = || fs::read_dir(bench.path()).expect("the folder").count();
    let before = there();
    let first = bench.purfle(&["tidy", "a.purfle"]);
    assert_eq!((code(&first), out(&first).as_str(), err(&first).as_str()), (0, "a.purfle: tidied\n", ""));
    assert_eq!(fs::read_to_string(&path).expect("the rulebook"), TIDY);
    assert_eq!(there(), before, "nothing else is left behind");
    let written = fs::metadata(&path).expect("the file").modified().expect("a time");
    let second = bench.purfle(&["tidy", "a.purfle"]);
    assert_eq!((code(&second), out(&second).as_str()), (0, "a.purfle: it was tidy\n"));
    assert_eq!(fs::metadata(&path).expect("the file").modified().expect("a time"), written, "it is not written again");
}

#[test]
fn a_check_shows_the_difference_and_writes_nothing() {
    let bench = Bench::new();
    let path = bench.write("a.purfle", UNTIDY.as_bytes());
    bench.write("b.purfle", TIDY.as_bytes());
    let output = bench.purfle(&["tidy", "--check", "b.purfle", "a.purfle"]);
    assert_eq!(code(&output), 1);
    let wanted = "\
--- a.purfle
+++ a.purfle, tidied
@@ -1,9 +1,8 @@
 rulebook small \"Small\"
-  edition 1
-  money   USD
-
+  edition      1
+  money        USD
 
 # The button.
 part button \"Button\"
-  look sits \"How?\" one of straight, crooked
-    good straight
+  look sits  \"How?\"  one of straight, crooked
+    good  straight
";
    assert_eq!(out(&output), wanted);
    assert_eq!(fs::read_to_string(&path).expect("the rulebook"), UNTIDY);
    let output = bench.purfle(&["tidy", "--check", "b.purfle"]);
    assert_eq!((code(&output), out(&output).as_str(), err(&output).as_str()), (0, "", ""));
}

#[test]
fn what_is_piped_in_comes_out() {
    let bench = Bench::new();
    let output = bench.purfle_with(&["tidy", "-"], UNTIDY);
    assert_eq!((code(&output), out(&output).as_str(), err(&output).as_str()), (0, TIDY, ""));
    let output = bench.purfle_with(&["tidy", "--check", "-"], UNTIDY);
    assert_eq!(code(&output), 1);
    assert!(out(&output).starts_with("--- standard input\n"), "{}", out(&output));
    let output = bench.purfle_with(&["tidy", "-", "small.purfle"], UNTIDY);
    assert_eq!((code(&output), out(&output).as_str()), (2, ""));
    assert!(err(&output).contains("stands alone"), "{}", err(&output));
}

#[test]
fn an_item_that_cannot_be_read_stays_and_the_others_are_laid_out() {
    let bench = Bench::new();
    let broken = "finding   loose \"Loose\"\n on button\n      sign  sits is crooked\n";
    let path = bench.write("a.purfle", format!("{UNTIDY}\n{broken}").as_bytes());
    let output = bench.purfle(&["tidy", "a.purfle"]);
    assert_eq!((code(&output), out(&output).as_str()), (1, "a.purfle: tidied\n"));
    let said = err(&output);
    assert_eq!(said, "purfle: a.purfle: the item at line 10 stays as it is, since it cannot be read; `purfle proof` says why\n");
    assert_eq!(fs::read_to_string(&path).expect("the rulebook"), format!("{TIDY}\n{broken}"));
    let check = bench.purfle(&["tidy", "--check", "a.purfle"]);
    assert_eq!((code(&check), out(&check).as_str(), err(&check)), (1, "", said), "nobody can tell whether it is tidy");
}

#[test]
fn what_cannot_be_used_is_named_and_the_others_are_still_laid_out() {
    let bench = Bench::new();
    let path = bench.write("z.purfle", UNTIDY.as_bytes());
    fs::create_dir(bench.path().join("folder")).expect("a folder");
    bench.write("wide.purfle", &[0xff, 0xfe, b'r', 0]);
    bench.write("empty.purfle", b"\n");
    let output = bench.purfle(&["tidy", "none.purfle", "folder", "wide.purfle", "empty.purfle", "z.purfle"]);
    assert_eq!((code(&output), out(&output).as_str()), (2, "z.purfle: tidied\n"));
    assert_eq!(fs::read_to_string(&path).expect("the rulebook"), TIDY);
    let said = err(&output);
    let wanted = [
        "none.purfle: there is no such file",
        "folder: it is a folder",
        "wide.purfle: it is UTF-16",
        "empty.purfle: it is empty",
    ];
    assert_eq!(said.lines().count(), wanted.len(), "{said}");
    for (line, wanted) in said.lines().zip(wanted) {
        assert!(line.starts_with(&format!("purfle: {wanted}")), "{line}");
    }
}

#[test]
fn a_file_that_may_only_be_read_is_not_replaced() {
    let bench = Bench::new();
    let path = bench.write("a.purfle", UNTIDY.as_bytes());
    let mut permissions = fs::metadata(&path).expect("the file").permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).expect("a file that may only be read");
    let output = bench.purfle(&["tidy", "a.purfle"]);
    assert_eq!((code(&output), out(&output).as_str()), (2, ""));
    assert_eq!(err(&output), "purfle: a.purfle: it may only be read; allow writing to it first\n");
    assert_eq!(fs::read_to_string(&path).expect("the rulebook"), UNTIDY);
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_the_rights_stay_as_they_were() {
    use std::os::unix::fs::{PermissionsExt, symlink};

    let bench = Bench::new();
    let path = bench.write("a.purfle", UNTIDY.as_bytes());
    fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).expect("rights");
    symlink("a.purfle", bench.path().join("link.purfle")).expect("a link");
    assert_eq!(code(&bench.purfle(&["tidy", "link.purfle"])), 0);
    assert!(fs::symlink_metadata(bench.path().join("link.purfle")).expect("the link").is_symlink());
    assert_eq!(fs::read_to_string(&path).expect("the rulebook"), TIDY);
    assert_eq!(fs::metadata(&path).expect("the file").permissions().mode() & 0o777, 0o640);
}

#[test]
fn what_is_no_rulebook_is_not_called_tidy() {
    let bench = Bench::new();
    bench.write("records.csv", b"record,button.sits\n1,straight\n");
    for arguments in [&["tidy", "records.csv"][..], &["tidy", "--check", "records.csv"]] {
        let output = bench.purfle(arguments);
        assert_eq!((code(&output), out(&output).as_str()), (2, ""));
        let said = "records.csv: nothing in it is an item of a rulebook, which begins with `rulebook NAME \"title\"`";
        assert!(err(&output).contains(said), "{}", err(&output));
    }
}
