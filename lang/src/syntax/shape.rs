//! What each item and clause looks like: its words, how it is read, and how a message shows it.

use super::grammar::Rule;
use super::tree::Kind;

/// A clause of some kind of entry.
pub(crate) struct ClauseShape {
    /// The first word of its line.
    pub first: &'static str,
    /// The word or words it goes by in the tree and in messages.
    pub word: &'static str,
    /// How it is read.
    pub rule: Rule,
    /// Its shape, then a short example.
    pub shape: &'static str,
    /// One that reads.
    pub example: &'static str,
    /// Whether an entry has it once at most.
    pub once: bool,
}

const fn once(first: &'static str, word: &'static str, rule: Rule, shape: &'static str, example: &'static str) -> ClauseShape {
    ClauseShape { first, word, rule, shape, example, once: true }
}

const fn many(first: &'static str, word: &'static str, rule: Rule, shape: &'static str, example: &'static str) -> ClauseShape {
    ClauseShape { first, word, rule, shape, example, once: false }
}

const RULEBOOK: &[ClauseShape] = &[
    once("edition", "edition", Rule::edition_clause, "edition E", "edition 2026.1"),
    once("keeper", "keeper", Rule::keeper_clause, "keeper \"who\"", "keeper \"Alder Row strings outreach\""),
    once("money", "money", Rule::money_clause, "money CODE", "money USD"),
    once("language", "language", Rule::language_clause, "language \"TAG\"", "language \"en\""),
    once("notice", "notice", Rule::notice_clause, "notice \"words\"", "notice \"A first look is not a diagnosis.\""),
    once("least", "least charge", Rule::least_clause, "least charge MONEY", "least charge 40 USD"),
    once(
        "builds",
        "builds on",
        Rule::builds_clause,
        "builds on RULEBOOK edition E [from \"file\"] [seal \"…\"]",
        "builds on first-look edition 2026.1 from \"first-look.purfle\"",
    ),
];

const URGENCY: &[ClauseShape] = &[many(
    "step",
    "step",
    Rule::step_clause,
    "step NAME \"words\" [within DURATION | at once] [not to be played]",
    "step halt \"Do not play\" at once, not to be played",
)];

const HANDS: &[ClauseShape] =
    &[many("hand", "hand", Rule::hand_clause, "hand NAME \"words\" [MONEY per h]", "hand luthier \"A luthier\" 85 USD per h")];

const TIERS: &[ClauseShape] = &[many(
    "tier",
    "tier",
    Rule::tier_clause,
    "tier NAME \"words\" up to MONEY, or beyond",
    "tier bench \"Bench job\" up to 200 USD",
)];

const WORK: &[ClauseShape] =
    &[many("includes", "includes", Rule::includes_clause, "includes WORK, …", "includes strings-off, post-set")];

const HOW: ClauseShape = once("how", "how", Rule::how_clause, "how \"quick test\"", "how \"Slide a card along the collar.\"");
const CARE: ClauseShape = once("care", "care", Rule::care_clause, "care \"caution\"", "care \"Do not lever with it.\"");
const ONLY_WHEN: ClauseShape =
    once("only", "only when", Rule::only_clause, "only when CONDITION", "only when instrument.kind is one of cello, bass");
const PRIVATE: ClauseShape = once("private", "private", Rule::private_clause, "private", "private");
const GOOD: ClauseShape = once("good", "good", Rule::good_clause, "good VALUE, RANGE or CHOICE", "good 24 to 26 mm");

const PART: &[ClauseShape] = &[
    many(
        "look",
        "look",
        Rule::look_clause,
        "look NAME \"question\" KIND, where KIND is yes or no, one of a, b, some of a, b, measured in UNIT from LO to HI, \
         counted from LO to HI, priced from LO to HI, dated or written",
        "look gap \"Gap between collar and rib\" measured in mm from 0 to 8, give or take 0.2",
    ),
    many("place", "place", Rule::place_clause, "place NAME [\"words\"] [only when CONDITION]", "place E \"The E string\""),
    once("places", "places", Rule::places_clause, "places as found", "places as found"),
    ONLY_WHEN,
    HOW,
    CARE,
    PRIVATE,
    GOOD,
];

/// The clauses of a look, and how they stand in `alter look`.
const LOOK: &[ClauseShape] = &[ONLY_WHEN, HOW, CARE, PRIVATE, GOOD];

const PLACE: &[ClauseShape] = &[ONLY_WHEN, HOW, CARE];

const TABLE: &[ClauseShape] = &[many("row", "row", Rule::row_clause, "row KEY, … VALUE or RANGE", "row violin, E 2.5 to 3.5 mm")];

const WORKS: ClauseShape = many("work", "work", Rule::work_clause, "work WORK, …", "work strings-off, seat-button");
const GOODS: ClauseShape = many("goods", "goods", Rule::goods_clause, "goods \"words\" MONEY", "goods \"Button\" 5 to 12 USD");
const COST: ClauseShape = once("cost", "cost", Rule::cost_clause, "cost on sight, or cost nothing", "cost on sight");
const HANDS_OF: ClauseShape = once("hands", "hands", Rule::hands_clause, "hands HAND", "hands luthier");
const FIRST: ClauseShape = many("first", "first", Rule::first_clause, "first \"words\"", "first \"Leave the strings alone.\"");
const TELL: ClauseShape = many("tell", "tell", Rule::tell_clause, "tell \"words\"", "tell \"A small job now.\"");
const REFER: ClauseShape = many("refer", "refer", Rule::refer_clause, "refer \"words\"", "refer \"Check the block as well.\"");
const BASIS: ClauseShape = many("basis", "basis", Rule::basis_clause, "basis \"source\"", "basis \"common practice\"");

const FINDING: &[ClauseShape] = &[
    once("on", "on", Rule::on_clause, "on [each] PART", "on each peg"),
    once("signs", "signs", Rule::signs_clause, "signs CONDITION", "signs gap is above 0.2 mm"),
    many("unless", "unless", Rule::unless_clause, "unless CONDITION", "unless endpin.rattles"),
    many("urgency", "urgency", Rule::urgency_clause, "urgency STEP [if CONDITION]", "urgency halt if instrument.strung"),
    HANDS_OF,
    WORKS,
    GOODS,
    COST,
    many(
        "left",
        "left",
        Rule::left_clause,
        "left becomes FINDING [odds N %] [within DURATION]",
        "left becomes block-torn odds 20 % within 12 months",
    ),
    once("again", "again", Rule::again_clause, "again in DURATION", "again in 6 months"),
    many("yields", "yields to", Rule::yields_clause, "yields to FINDING, …", "yields to block-torn"),
    FIRST,
    TELL,
    REFER,
    many("care", "care", Rule::care_clause, "care \"caution\"", "care \"Do not pull at it.\""),
    BASIS,
    many("way", "way", Rule::way_clause, "way NAME \"words\"", "way patch \"Full patch\""),
];

/// The clauses of a way, which are also clauses of a finding.
const WAY: &[ClauseShape] = &[WORKS, GOODS, COST, HANDS_OF, TELL, REFER];

const WHEN: ClauseShape = once("when", "when", Rule::when_clause, "when CONDITION", "when instrument.dropped");

const RAISE: &[ClauseShape] = &[
    WHEN,
    once("on", "on", Rule::parts_clause, "on PART, …", "on seam, crack"),
    once("by", "by", Rule::by_clause, "by N steps, no higher than STEP", "by 1 step, no higher than soon"),
];

const COUNSEL: &[ClauseShape] = &[WHEN, TELL, FIRST, BASIS];

const AID: &[ClauseShape] = &[
    once("for", "for", Rule::for_clause, "for CONDITION", "for owner.owns is family"),
    many("covers", "covers", Rule::covers_clause, "covers above MONEY, or covers FINDING, …", "covers above 200 USD"),
    once("pays", "pays", Rule::pays_clause, "pays N %", "pays 75 %"),
    once("cap", "cap", Rule::cap_clause, "cap MONEY", "cap 600 USD"),
    once("family", "family pays", Rule::family_clause, "family pays at least MONEY", "family pays at least 25 USD"),
    once("not", "not beyond", Rule::not_clause, "not beyond N % of LOOK", "not beyond 50 % of instrument.worth"),
    many("needs", "needs", Rule::needs_clause, "needs LOOK, …", "needs owner.teacher-note"),
];

const EXAMPLE: &[ClauseShape] = &[
    many(
        "record",
        "record",
        Rule::record_clause,
        "record LOOK is VALUE, …",
        "record instrument.kind is viola, button.sits is crooked",
    ),
    many(
        "finds",
        "finds",
        Rule::finds_clause,
        "finds FINDING [on PLACE] [at STEP [to STEP]], or finds nothing else",
        "finds button-unseated at book",
    ),
    many("clear", "clear", Rule::clear_clause, "clear FINDING [on PLACE]", "clear peg-slips on E"),
    many("open", "open", Rule::open_clause, "open FINDING [on PLACE]", "open peg-slips on E"),
    many("suspects", "suspects", Rule::suspects_clause, "suspects FINDING [on PLACE]", "suspects crack-top on 1"),
    once("urgency", "urgency", Rule::all_urgency_clause, "urgency STEP [to STEP]", "urgency book to halt"),
    once("played", "played", Rule::played_clause, "played yes, no or open", "played no"),
    once("cost", "cost", Rule::all_cost_clause, "cost RANGE", "cost 40 to 120 USD"),
    once("left", "left", Rule::all_left_clause, "left RANGE", "left 40 to 900 USD"),
    once("tier", "tier", Rule::all_tier_clause, "tier TIER [to TIER]", "tier bench"),
    once("hands", "hands", Rule::all_hands_clause, "hands HAND [to HAND], or hands none", "hands luthier"),
    once("due", "due", Rule::due_clause, "due DATE [to DATE]", "due 2026-12-20"),
    many("looks", "looks", Rule::looks_clause, "looks [not] LOOK", "looks button.sits"),
    many("counsel", "counsel", Rule::counsel_clause, "counsel COUNSEL found, clear or open", "counsel slacken-first found"),
    once("refused", "refused", Rule::refused_clause, "refused", "refused"),
    many("aid", "aid", Rule::aid_clause, "aid AID eligible, refused or open", "aid repair-fund eligible"),
];

/// The clauses of a kind of entry.
pub(crate) fn clauses(kind: Kind) -> &'static [ClauseShape] {
    match kind {
        Kind::Rulebook => RULEBOOK,
        Kind::Urgency => URGENCY,
        Kind::Hands => HANDS,
        Kind::Tiers => TIERS,
        Kind::Work => WORK,
        Kind::Part | Kind::Context => PART,
        Kind::Table => TABLE,
        Kind::Finding => FINDING,
        Kind::Raise => RAISE,
        Kind::Counsel => COUNSEL,
        Kind::Aid => AID,
        Kind::Example => EXAMPLE,
        Kind::Place => PLACE,
        Kind::Look => LOOK,
        Kind::Way => WAY,
        Kind::Reckon | Kind::Step | Kind::Hand | Kind::Tier => &[],
    }
}

/// The clause of a kind of entry that begins with `first`.
pub(crate) fn clause(kind: Kind, first: &str) -> Option<&'static ClauseShape> {
    clauses(kind).iter().find(|shape| shape.first == first)
}

/// The kinds that start an item, in the order the reference gives them.
pub const ITEMS: [Kind; 14] = [
    Kind::Rulebook,
    Kind::Urgency,
    Kind::Hands,
    Kind::Tiers,
    Kind::Work,
    Kind::Part,
    Kind::Context,
    Kind::Table,
    Kind::Reckon,
    Kind::Finding,
    Kind::Raise,
    Kind::Counsel,
    Kind::Aid,
    Kind::Example,
];

/// The kinds that `alter` takes.
pub const ALTERED: [Kind; 17] = [
    Kind::Urgency,
    Kind::Hands,
    Kind::Tiers,
    Kind::Work,
    Kind::Part,
    Kind::Context,
    Kind::Table,
    Kind::Reckon,
    Kind::Finding,
    Kind::Raise,
    Kind::Counsel,
    Kind::Aid,
    Kind::Step,
    Kind::Hand,
    Kind::Tier,
    Kind::Place,
    Kind::Look,
];

/// The kinds that `without` takes.
pub const DROPPED: [Kind; 12] = [
    Kind::Work,
    Kind::Part,
    Kind::Context,
    Kind::Table,
    Kind::Reckon,
    Kind::Finding,
    Kind::Raise,
    Kind::Counsel,
    Kind::Aid,
    Kind::Place,
    Kind::Look,
    Kind::Way,
];

/// How an item's own line is read, its shape and one that reads.
pub(super) fn line(kind: Kind) -> (Rule, &'static str, &'static str) {
    match kind {
        Kind::Rulebook => (Rule::rulebook_line, "rulebook NAME \"title\"", "rulebook first-look \"First look\""),
        Kind::Urgency => (Rule::urgency_line, "urgency, alone on its line, with its steps below", "urgency"),
        Kind::Hands => (Rule::hands_line, "hands, alone on its line, with the hands below", "hands"),
        Kind::Tiers => (Rule::tiers_line, "tiers, alone on its line, with the tiers below", "tiers"),
        Kind::Work => (
            Rule::work_line,
            "work NAME \"words\" AMOUNT [by HAND] once, or each",
            "work seat-button \"Refit the button\" 0.2 to 0.4 h each",
        ),
        Kind::Part => (Rule::part_line, "part NAME \"words\" [apart]", "part button \"Tail button\""),
        Kind::Context => (Rule::context_line, "context NAME \"words\"", "context owner \"The owner\""),
        Kind::Table => (
            Rule::table_line,
            "table NAME \"words\" by LOOK or PART.place, …",
            "table slowness \"Bench time\" by instrument.kind",
        ),
        Kind::Reckon => (
            Rule::reckon_line,
            "reckon NAME \"words\" as VALUE",
            "reckon age \"Days since\" as days from strings.fitted to inspected-on",
        ),
        Kind::Finding => (Rule::finding_line, "finding NAME \"words\"", "finding peg-slips \"The peg slips\""),
        Kind::Raise => (Rule::raise_line, "raise NAME \"words\"", "raise after-a-knock \"It was knocked lately\""),
        Kind::Counsel => (Rule::counsel_line, "counsel NAME \"words\"", "counsel one-visit \"Small jobs together\""),
        Kind::Aid => (Rule::aid_line, "aid NAME \"words\"", "aid repair-fund \"Repair fund\""),
        Kind::Example => (Rule::example_line, "example \"words\"", "example \"a crooked button\""),
        Kind::Step | Kind::Hand | Kind::Tier | Kind::Place | Kind::Look | Kind::Way => alter(kind),
    }
}

/// How an `alter` line is read, its shape and one that reads.
pub(super) fn alter(kind: Kind) -> (Rule, &'static str, &'static str) {
    match kind {
        Kind::Urgency | Kind::Hands | Kind::Tiers | Kind::Rulebook | Kind::Example | Kind::Way => (
            Rule::alter_ladder,
            "alter urgency, hands or tiers because \"why\", with the whole ladder below",
            "alter urgency because \"our own steps\"",
        ),
        Kind::Work => (
            Rule::alter_work,
            "alter work NAME [\"words\"] [AMOUNT] [by HAND] [once, or each] because \"why\"",
            "alter work seat-button 0.5 h because \"our own time\"",
        ),
        Kind::Part | Kind::Context => {
            (Rule::alter_part, "alter part NAME [\"words\"] because \"why\"", "alter part button because \"one look more\"")
        }
        Kind::Table => (
            Rule::alter_table,
            "alter table NAME [\"words\"] [by LOOK, …] because \"why\"",
            "alter table slowness because \"our bench is slower\"",
        ),
        Kind::Reckon => (
            Rule::alter_reckon,
            "alter reckon NAME [\"words\"] [as VALUE] because \"why\"",
            "alter reckon age because \"counted anew\"",
        ),
        Kind::Finding | Kind::Raise | Kind::Counsel | Kind::Aid => (
            Rule::alter_plain,
            "alter finding NAME [\"words\"] because \"why\"",
            "alter finding button-unseated because \"seen sooner here\"",
        ),
        Kind::Look => (
            Rule::alter_look,
            "alter look PART.LOOK [\"question\"] [KIND] because \"why\"",
            "alter look button.gap because \"another quick test\"",
        ),
        Kind::Place => (
            Rule::alter_place,
            "alter place PART.PLACE [\"words\"] because \"why\"",
            "alter place peg.E because \"our own words\"",
        ),
        Kind::Step => (
            Rule::alter_step,
            "alter step NAME [\"words\"] [within DURATION | at once] [not to be played] because \"why\"",
            "alter step soon within 5 days because \"our own delay\"",
        ),
        Kind::Hand => (
            Rule::alter_hand,
            "alter hand NAME [\"words\"] [MONEY per h] because \"why\"",
            "alter hand luthier 95 USD per h because \"our own rate\"",
        ),
        Kind::Tier => (
            Rule::alter_tier,
            "alter tier NAME [\"words\"] [up to MONEY, or beyond] because \"why\"",
            "alter tier bench up to 250 USD because \"our own limit\"",
        ),
    }
}

/// The shape of a `without` line, and one that reads.
pub(super) const WITHOUT: (&str, &str) =
    ("without ITEM NAME because \"why\"", "without finding varnish-dull because \"not seen here\"");
