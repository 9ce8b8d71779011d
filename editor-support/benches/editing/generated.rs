//! Rulebooks of any length: parts with looks, findings about them, and what is done about those.

const HEAD: &str = "rulebook generated \"Generated\"\n  edition 1\n  keeper  \"Nobody\"\n  money   EUR\n\nurgency\n  step fine \"Nothing to do\"\n  \
                    step soon \"Soon\" within 30 days\n\nhands\n  hand player \"The player\"\n  hand luthier \"A luthier\" 60 EUR per h\n\n\
                    tiers\n  tier bench \"Bench job\" up to 200 EUR\n  tier large \"Large\" beyond\n";

/// A rulebook of at least so many lines.
pub fn rulebook(lines: usize) -> String {
    let mut text = HEAD.to_owned();
    let mut number = 0;
    while text.bytes().filter(|&byte| byte == b'\n').count() < lines {
        number += 1;
        text.push_str(&format!(
            "\npart p{number} \"Part {number}\"\n  look gap \"How wide is the gap?\" measured in mm from 0 to 8, give or take 0.2\n    good 0 mm\n  \
             look state \"How is it?\"\n    one of whole, worn, broken\n    good whole\n\nwork mend-p{number} \"Mend part {number}\" 0.2 to 0.4 h each\n\n\
             finding wide-p{number} \"The gap of part {number} is wide\"\n  on      p{number}\n  signs   gap is above 0.5 mm\n  urgency soon\n  hands   player\n  \
             work    mend-p{number}\n  basis   \"common practice\"\n\nfinding broken-p{number} \"Part {number} is broken\"\n  on      p{number}\n  signs   all of\n    \
             - state is one of worn, broken\n    - gap is at most 0.5 mm\n  urgency soon\n  hands   luthier\n  work    mend-p{number}\n  basis   \"common practice\"\n"
        ));
    }
    text
}
