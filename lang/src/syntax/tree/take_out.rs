//! Taking an item or a clause out of a text.

use super::{Entry, Says, Tree};
use crate::diagnostic::{Edit, Fix};
use crate::span::Span;

impl Tree {
    /// The fix that takes out what stands at each of the spans, in order, with the line breaks before it. It is safe
    /// where no comment goes along.
    pub fn take_out(&self, title: impl Into<String>, spans: &[Span]) -> Fix {
        let inside = |at: u32| spans.iter().any(|span| span.start <= at && at < span.end);
        let safe = !self.comments.iter().any(|comment| inside(comment.span.start));
        let edit = |span: &Span| {
            let start = self.ends().filter(|end| *end <= span.start).max().unwrap_or(span.start);
            Edit { span: Span { start, ..*span }, text: String::new() }
        };
        Fix { title: title.into(), safe, edits: spans.iter().map(edit).collect() }
    }

    /// Where anything ends: lines, clauses and comments.
    fn ends(&self) -> impl Iterator<Item = u32> {
        let mut ends: Vec<u32> = self.comments.iter().map(|comment| comment.span.end).collect();
        self.items.iter().for_each(|item| ends_of(&item.entry, &mut ends));
        ends.into_iter()
    }
}

fn ends_of(entry: &Entry, into: &mut Vec<u32>) {
    into.push(entry.line.end);
    for clause in &entry.clauses {
        into.push(clause.span.end);
        if let Says::Entry(inner) = &clause.says {
            ends_of(inner, into);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::span::{FileId, Span};
    use crate::syntax::parse;

    const TEXT: &str = "\
raise one \"One\"
  when strung  # a comment
  on button

  by 1 step

# of the second
raise two \"Two\"
  # inside
  on button
";

    #[track_caller]
    fn taken_out(what: &str) -> (String, bool) {
        let tree = parse(FileId(0), TEXT).tree;
        let start = TEXT.find(what).expect("it is there");
        let fix = tree.take_out("Take it out", &[Span::new(FileId(0), start, start + what.len())]);
        let mut text = TEXT.to_owned();
        fix.edits.iter().rev().for_each(|edit| text.replace_range(edit.span.range(), &edit.text));
        (text, fix.safe)
    }

    #[test]
    fn a_line_goes_with_its_break_and_comments_stay() {
        assert_eq!(taken_out("by 1 step"), (TEXT.replace("\n\n  by 1 step", ""), true));
        assert_eq!(taken_out("when strung"), (TEXT.replace("\n  when strung", ""), true));
        assert_eq!(taken_out("on button\n\n  by").0, TEXT.replace("\n  on button\n\n  by", ""));
    }

    #[test]
    fn what_takes_a_comment_along_is_not_safe() {
        let second = &TEXT[TEXT.find("raise two").expect("it is there")..TEXT.len() - 1];
        assert_eq!(taken_out(second), (TEXT.replace(&format!("\n{second}"), ""), false));
    }

    #[test]
    fn the_first_thing_of_a_text_goes_alone() {
        assert_eq!(taken_out("raise one \"One\"").0, TEXT.replace("raise one \"One\"", ""));
    }
}
