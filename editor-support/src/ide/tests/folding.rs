//! What folds.

use purfle_lang::span::FileId;

use super::marked;
use crate::analysis::Analysis;
use crate::ide::folding::folding;

#[test]
fn items_looks_and_runs_of_comments_fold() {
    let text = "# one\n# two\npart a \"A\"\n  look b \"B?\" yes or no\n    good no\n\n# alone\nwork c \"C\" 1 h once\n";
    let analysis = Analysis::of("own.purfle", text, &[]);
    let spans: Vec<_> = folding(&analysis, FileId::OWN).iter().map(|fold| fold.span).collect();
    assert_eq!(
        marked(text, &spans),
        "[# one\n# two]\n[part a \"A\"\n  [look b \"B?\" yes or no\n    good no]]\n\n# alone\nwork c \"C\" 1 h once\n"
    );
}
