//! The report as CSV: a row an instrument, and no cell that a spreadsheet would run.

use super::super::csv::cell;
use super::super::figures::write_minor;
use super::super::text::plain;
use super::super::triage::fault_words;
use super::AllotReport;
use super::json::answer;
use super::view::settle_price;
use crate::allot::Standing;

/// The heading.
const HEADING: &str = "record,tag,step,answer,fund,way,reserved,likely,family from,family to,saving,more needed,why\r\n";

/// All rows.
pub fn write(report: &AllotReport<'_>) -> String {
    let book = report.book;
    let mut out = HEADING.to_owned();
    for (at, instrument) in report.batch.instruments.iter().enumerate() {
        let candidate = report.allotted.candidates.iter().position(|candidate| *candidate == at);
        let given = candidate.and_then(|candidate| report.allotted.plan.taken.get(candidate).copied().flatten());
        let offer = given.and_then(|given| instrument.offers.get(given));
        let reach = report.allotted.further.reaches.iter().find(|(at, _)| Some(*at) == candidate).map(|(_, reach)| reach.more);
        let why = match (&instrument.standing, offer) {
            (_, Some(offer)) => {
                [Some(report.why_helped(instrument)), report.why_this_way(instrument, offer)].into_iter().flatten().collect()
            }
            (Standing::Offered, None) => vec![report.why_elsewhere(candidate.unwrap_or(usize::MAX), instrument)],
            (Standing::Open { missing, looks, .. }, None) => {
                let looks = missing.iter().chain(looks.iter().map(|(look, _)| look));
                let looks: Vec<String> = looks.map(|look| book.look_path(*look)).collect();
                if looks.is_empty() { vec![settle_price(instrument).to_owned()] } else { looks }
            }
            (_, None) => report.why_refused(instrument),
        };
        let sum = |sum: Option<i128>| {
            let mut text = String::new();
            if let Some(sum) = sum {
                write_minor(&mut text, sum, book.money.minor_places());
            }
            text
        };
        let cells = [
            instrument.record.clone(),
            instrument.tag.clone().unwrap_or_default(),
            book[instrument.urgency].name.clone(),
            answer(instrument, offer.is_some()).to_owned(),
            offer.map(|offer| book[offer.aid].name.clone()).unwrap_or_default(),
            offer.and_then(|offer| report.way_words(offer)).unwrap_or_default(),
            sum(offer.map(|offer| offer.reserved.into())),
            sum(offer.map(|offer| offer.likely.into())),
            sum(offer.map(|offer| offer.family().0)),
            sum(offer.map(|offer| offer.family().1)),
            sum(offer.map(|offer| offer.saving.into())),
            sum(reach.map(i128::from)),
            plain(&why.join("; ")).into_owned(),
        ];
        row(&mut out, &cells);
    }
    for refused in &report.batch.refused {
        let mut cells: [String; 13] = Default::default();
        cells[0] = refused.record.clone().unwrap_or_default();
        cells[3] = "not read".to_owned();
        let more = (refused.untold > 0).then(|| format!("and {} more", refused.untold));
        let why: Vec<String> = refused.faults.iter().map(fault_words).chain(more).collect();
        cells[12] = plain(&format!("{}, row {}: {}", refused.source.file, refused.source.row, why.join("; "))).into_owned();
        row(&mut out, &cells);
    }
    out
}

fn row(out: &mut String, cells: &[String; 13]) {
    for (at, text) in cells.iter().enumerate() {
        if at > 0 {
            out.push(',');
        }
        cell(out, text);
    }
    out.push_str("\r\n");
}
