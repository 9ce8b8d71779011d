//! A small rulebook that is well, for others to be written under, and a house that builds on it.

/// The rulebook.
pub const SHOP: &str = "\
rulebook shop \"A shop\"
  edition 1
  money   USD

urgency
  step fine  \"Nothing to do\"
  step book  \"Book a luthier\"  within 30 days
  step halt  \"Do not play\"     at once, not to be played

hands
  hand player   \"The player\"
  hand luthier  \"A luthier\"  60 USD per h

tiers
  tier pocket  \"Pocket money\"  up to 50 USD
  tier major   \"Major\"         beyond

context instrument \"The instrument\"
  look kind    \"Which is it?\"   one of violin, viola, cello, bass
  look strung  \"Is it strung?\"  yes or no
  look worth   \"Its worth?\"     priced from 0 to 9000 USD

part button \"Button\"
  look gap   \"Gap under the collar\"  measured in mm from 0 to 8, give or take 0.2
    how   \"Slide a card along it.\"
    good  0 mm
  look sits  \"How does it sit?\"      one of straight, crooked, pulling-out \"Pulling out\"
    good  straight
  look marks \"What shows?\"           some of dent, scratch

part peg \"Peg\"
  place E  \"The E peg\"
  place A  \"The A peg\"
  look turns  \"How does it turn?\"  one of smoothly, slips, stuck
    good  smoothly

part crack \"Crack\"
  places as found
  look length  \"How long?\"  measured in mm from 1 to 600

context room \"The room\"
  look humidity     \"Humidity?\"     measured in % from 0 to 100
  look temperature  \"Temperature?\"  measured in degC from -10 to 45

table slowness \"Bench time against a violin's\" by instrument.kind
  row cello  1.5
  row bass   2
  row any    1

reckon moisture \"How moist the wood gets\" as wood-moisture(room.humidity, room.temperature)

work seat-button \"Refit the button\" 0.5 to 1 h * slowness once

finding button-loose \"The button is loose\"
  on       button
  signs    gap is above 0.2 mm or sits is one of crooked, pulling-out
  urgency  book
  urgency  halt if sits is pulling-out and instrument.strung
  hands    luthier
  work     seat-button
  goods    \"Button\"  5 to 12 USD
  left     becomes button-torn odds 20 % within 12 months
  basis    \"common practice\"

finding button-torn \"The button is torn out\"
  on       button
  signs    marks has dent
  urgency  halt
  hands    luthier
  cost     on sight
  basis    \"common practice\"

finding peg-slips \"The peg slips\"
  on       each peg
  signs    turns is slips
  urgency  book
  hands    player
  cost     nothing
  basis    \"common practice\"

example \"a crooked button\"
  record   button.sits is crooked, instrument.kind is violin, instrument.strung
  finds    button-loose at book
";

/// A house rulebook on top of it.
pub const HOUSE: &str = "\
rulebook house \"House\"
  edition 1
  builds on shop edition 1 from \"shop.purfle\"

alter hand luthier 80 USD per h because \"our rate\"

alter finding button-loose because \"seen sooner\"
  urgency halt

example \"ours\"
  record   button.sits is crooked, instrument.kind is violin, instrument.strung
  finds    button-loose at halt
";

/// The rulebook with a line in it that begins as given replaced by another.
pub fn with(line: &str, other: &str) -> String {
    let mut found = false;
    let lines = SHOP.lines().map(|written| {
        if written.trim_start().starts_with(line) && !found {
            found = true;
            return other.to_owned();
        }
        written.to_owned()
    });
    let text: String = lines.collect::<Vec<_>>().join("\n") + "\n";
    assert!(found, "no line begins with {line}");
    text
}
