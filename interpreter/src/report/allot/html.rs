//! The report as one page of HTML that needs nothing beside it.

use askama::Template;

use super::super::triage::fault_words;
use super::AllotReport;
use super::view::AllotView;

#[derive(Template)]
#[template(path = "allot.html")]
struct Page<'a> {
    language: &'a str,
    view: AllotView<'a>,
    wrong: Vec<Wrong<'a>>,
}

/// A refused record.
struct Wrong<'a> {
    source: &'a str,
    row: u64,
    record: Option<&'a str>,
    faults: Vec<String>,
    untold: usize,
}

/// The page.
pub fn write(report: &AllotReport<'_>) -> Result<String, askama::Error> {
    let view = AllotView::of(report);
    let wrong = view.wrong.iter().map(|refused| Wrong {
        source: &refused.source.file,
        row: refused.source.row,
        record: refused.record.as_deref(),
        faults: refused.faults.iter().map(fault_words).collect(),
        untold: refused.untold,
    });
    let wrong = wrong.collect();
    Page { language: report.book.language.as_deref().unwrap_or("en"), view, wrong }.render()
}
