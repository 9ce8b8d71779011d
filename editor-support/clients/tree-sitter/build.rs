//! Compiles the generated parser and the scanner.

fn main() {
    for file in ["src/parser.c", "src/scanner.c"] {
        println!("cargo::rerun-if-changed={file}");
    }
    cc::Build::new().std("c11").include("src").files(["src/parser.c", "src/scanner.c"]).compile("tree-sitter-purfle");
}
