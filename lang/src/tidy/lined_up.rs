//! Lines whose parts stand under each other.

use std::collections::BTreeMap;

use unicode_width::UnicodeWidthStr;

use super::row::{APART, Row, Says, padded, set_apart};
use super::shape::WIDTH;

/// How wide a line is with nothing lined up, how far it is indented, and its parts.
type Lined<'r> = (usize, usize, &'r [String]);

/// How wide each part of a group of lines is, and which lines take part.
struct Columns {
    widths: Vec<usize>,
    /// A line that is wider than this, with nothing lined up, is left out.
    widest: usize,
}

/// The columns of all groups of lines.
pub(super) struct LinedUp(BTreeMap<usize, Columns>);

impl LinedUp {
    /// Lines up groups of lines, each as far as that makes none of them too long: the longest ones are left out.
    pub fn new<'r, 't: 'r>(rows: impl Iterator<Item = &'r Row<'t>>) -> Self {
        let mut groups: BTreeMap<usize, Vec<Lined<'_>>> = BTreeMap::new();
        for row in rows {
            if let Says::Begins { parts, lined_up: Some(group), .. } = &row.says {
                groups.entry(*group).or_default().push((set_apart(parts).width(), row.indent, parts));
            }
        }
        Self(groups.into_iter().map(|(group, lines)| (group, columns(lines))).collect())
    }

    /// A line, without its indentation, and where its last part begins.
    pub fn line(&self, parts: &[String], group: Option<usize>) -> (String, usize) {
        let alone = set_apart(parts);
        let columns = group.and_then(|group| self.0.get(&group)).filter(|columns| alone.width() <= columns.widest);
        let line = match columns {
            Some(columns) => lined_up(parts, &columns.widths),
            None => alone,
        };
        let last = line.width() - parts.last().map_or(0, |part| part.width());
        (line, last)
    }
}

fn columns(mut lines: Vec<Lined<'_>>) -> Columns {
    lines.sort_by_key(|(alone, ..)| *alone);
    // The more lines take part, the wider the columns: what fits is found by halving.
    let fits = |many: usize| {
        let widths = widths(&lines[..many]);
        lines[..many].iter().all(|(_, indent, parts)| indent + lined_up(parts, &widths).width() <= WIDTH)
    };
    let (mut fitting, mut beyond) = (0, lines.len() + 1);
    while fitting + 1 < beyond {
        let middle = fitting.midpoint(beyond);
        if fits(middle) { fitting = middle } else { beyond = middle }
    }
    // Lines of one length take part together or not at all.
    let next = lines.get(fitting).map(|(alone, ..)| *alone);
    let taking_part = lines[..fitting].partition_point(|(alone, ..)| next.is_none_or(|next| *alone < next));
    let widest = lines[..taking_part].last().map_or(0, |(alone, ..)| *alone);
    Columns { widths: widths(&lines[..taking_part]), widest }
}

/// The width of each part that another one follows.
fn widths(lines: &[Lined<'_>]) -> Vec<usize> {
    let mut widths = Vec::new();
    for (.., parts) in lines {
        for (at, part) in parts.iter().take(parts.len().saturating_sub(1)).enumerate() {
            if widths.len() <= at {
                widths.push(0);
            }
            widths[at] = widths[at].max(part.width());
        }
    }
    widths
}

fn lined_up(parts: &[String], widths: &[usize]) -> String {
    let mut line = String::new();
    for (at, part) in parts.iter().enumerate() {
        match widths.get(at) {
            Some(&width) if at + 1 < parts.len() => {
                line.push_str(&padded(part, width));
                line.push_str(if width > 0 { APART } else { "" });
            }
            _ => line.push_str(part),
        }
    }
    line
}
