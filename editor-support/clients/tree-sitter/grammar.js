// The tree-sitter grammar of Purfle, for editors that highlight, fold and select by a tree.
//
// Where an item, a clause and a bullet begin is decided by the first word of a line, which is the business of
// src/scanner.c; so a line that cannot be read costs itself and no more. What stands inside a clause follows
// lang/src/syntax/purfle.pest. The files in src/ but scanner.c and lib.rs are made of this one.

/// Members with commas between.
const list = member => seq(member, repeat(seq(',', member)));
/// Any comma but that of a list may be left out.
const comma = optional(',');

module.exports = grammar({
  name: 'purfle',

  externals: $ => [
    $._item_start,
    $._clause_start,
    $._detail_start,
    $.bullet_mark,
    $.unit,
    $.comment,
    // Never part of a rule: it is asked for only while the parser looks for its way out of an error.
    $._error_sentinel,
  ],

  extras: $ => [/[ \t\r\n\u00a0\ufeff]/, $.comment],

  word: $ => $.name,

  conflicts: _ => [],

  supertypes: $ => [$._item],

  rules: {
    source_file: $ => repeat($._item),

    _item: $ => choice(
      $.rulebook, $.urgency_ladder, $.hands_ladder, $.tiers_ladder, $.work, $.part, $.context, $.table, $.reckon,
      $.finding, $.raise, $.counsel, $.aid, $.example, $.alter, $.without,
    ),

    // The lines of items. What is missing at their ends is no error here, or it would reach into the next item.
    rulebook: $ => seq($._item_start, 'rulebook', optional(field('name', $.name)), optional(field('title', $.text)), repeat($._rulebook_clause)),
    urgency_ladder: $ => seq($._item_start, 'urgency', repeat($.step)),
    hands_ladder: $ => seq($._item_start, 'hands', repeat($.hand)),
    tiers_ladder: $ => seq($._item_start, 'tiers', repeat($.tier)),
    work: $ => seq(
      $._item_start, 'work',
      optional(seq(
        field('name', $.name), optional(field('title', $.text)), comma, optional(field('amount', $._amount)), comma,
        optional(seq($.by_hand, comma)), optional(choice('once', 'each')),
      )),
      repeat($.includes),
    ),
    part: $ => seq(
      $._item_start, 'part', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional('apart'), repeat($._part_clause),
    ),
    context: $ => seq($._item_start, 'context', optional(field('name', $.name)), optional(field('title', $.text)), repeat($._part_clause)),
    table: $ => seq(
      $._item_start, 'table', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional($.table_by), repeat($.row),
    ),
    reckon: $ => seq($._item_start, 'reckon', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional($.reckon_as)),
    finding: $ => seq($._item_start, 'finding', optional(field('name', $.name)), optional(field('title', $.text)), repeat($._finding_clause)),
    raise: $ => seq($._item_start, 'raise', optional(field('name', $.name)), optional(field('title', $.text)), repeat($._raise_clause)),
    counsel: $ => seq($._item_start, 'counsel', optional(field('name', $.name)), optional(field('title', $.text)), repeat($._counsel_clause)),
    aid: $ => seq($._item_start, 'aid', optional(field('name', $.name)), optional(field('title', $.text)), repeat($._aid_clause)),
    example: $ => seq($._item_start, 'example', optional(field('title', $.text)), repeat($._example_clause)),

    by_hand: $ => seq('by', field('hand', $.name)),
    table_by: $ => prec.right(seq('by', list($.path))),
    reckon_as: $ => seq('as', $._amount),
    because: $ => seq('because', $.text),

    // What stands on the line of an alter is written again as far as given.
    alter: $ => seq($._item_start, 'alter', choice(
      altered($, 'urgency', [], $.step),
      altered($, 'hands', [], $.hand),
      altered($, 'tiers', [], $.tier),
      altered($, 'work', [field('name', $.name), optional(field('title', $.text)), comma, optional(field('amount', $._amount)),
        comma, optional(seq($.by_hand, comma)), optional(choice('once', 'each'))], $.includes),
      altered($, 'part', [field('name', $.name), optional(field('title', $.text)), comma, optional('apart')], $._part_clause),
      altered($, 'context', [field('name', $.name), optional(field('title', $.text))], $._part_clause),
      altered($, 'table', [field('name', $.name), optional(field('title', $.text)), comma, optional($.table_by)], $.row),
      altered($, 'reckon', [field('name', $.name), optional(field('title', $.text)), comma, optional($.reckon_as)]),
      altered($, 'finding', [field('name', $.name), optional(field('title', $.text))], $._finding_clause),
      altered($, 'raise', [field('name', $.name), optional(field('title', $.text))], $._raise_clause),
      altered($, 'counsel', [field('name', $.name), optional(field('title', $.text))], $._counsel_clause),
      altered($, 'aid', [field('name', $.name), optional(field('title', $.text))], $._aid_clause),
      altered($, 'look', [field('name', $.path), optional(field('title', $.text)), comma, optional($._look_kind),
        optional(seq(comma, $.give_or_take))], $._detail),
      altered($, 'place', [field('name', $.path), optional(field('title', $.text)), comma, optional($._only_when)], $._detail),
      altered($, 'step', [field('name', $.name), optional(field('title', $.text)), comma, optional($.step_within), comma,
        optional($.not_played)]),
      altered($, 'hand', [field('name', $.name), optional(field('title', $.text)), comma, optional($.rate)]),
      altered($, 'tier', [field('name', $.name), optional(field('title', $.text)), comma, optional($.limit)]),
    )),
    without: $ => seq(
      $._item_start, 'without',
      choice(
        seq(choice('work', 'part', 'context', 'table', 'reckon', 'finding', 'raise', 'counsel', 'aid'), field('name', $.name)),
        seq(choice('look', 'place', 'way'), field('name', $.path)),
      ),
      comma, optional($.because),
    ),

    // The clauses of a rulebook and of the ladders.
    _rulebook_clause: $ => choice(
      $.edition, $.keeper, $.money, $.language, $.notice, $.least_charge, $.builds_on,
    ),
    edition: $ => seq($._clause_start, 'edition', $._edition),
    keeper: $ => seq($._clause_start, 'keeper', $.text),
    money: $ => seq($._clause_start, 'money', alias($.name, $.unit)),
    language: $ => seq($._clause_start, 'language', choice($.string, $.name)),
    notice: $ => seq($._clause_start, 'notice', $.text),
    least_charge: $ => seq($._clause_start, 'least', 'charge', $.quantity),
    builds_on: $ => seq(
      $._clause_start, 'builds', 'on', field('rulebook', $.name), comma, 'edition', $._edition, comma,
      optional(seq('from', field('file', $.string))),
      comma,
      optional(seq('seal', field('seal', $.string))),
    ),
    _edition: $ => choice($.string, $.edition_mark),
    edition_mark: _ => /[\p{L}\p{N}\-._\/+]+/,

    step: $ => seq(
      $._clause_start, 'step', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional(seq($.step_within, comma)),
      optional($.not_played),
    ),
    step_within: $ => choice(seq('within', $.quantity), seq('at', 'once')),
    not_played: _ => seq('not', 'to', 'be', 'played'),
    hand: $ => seq($._clause_start, 'hand', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional($.rate)),
    rate: $ => seq($.quantity, 'per', 'h'),
    tier: $ => seq($._clause_start, 'tier', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional($.limit)),
    limit: $ => choice(seq('up', 'to', $.quantity), 'beyond'),

    // The clauses of work, parts and tables.
    includes: $ => seq($._clause_start, 'includes', list(field('work', $.name))),
    _part_clause: $ => choice($.look, $.place, $.places, $._detail),
    look: $ => prec.right(seq(
      $._clause_start, 'look', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional($._look_kind),
      optional(seq(comma, $.give_or_take)), repeat($._detail),
    )),
    place: $ => prec.right(seq(
      $._clause_start, 'place', optional(field('name', $.name)), optional(field('title', $.text)), comma, optional($._only_when),
      repeat($._detail),
    )),
    places: $ => seq($._clause_start, 'places', 'as', 'found'),
    // What belongs to the look or the place above it, or to the part.
    _detail: $ => choice($.only_when, $.how, alias($.detail_care, $.care), $.private, $.good),
    only_when: $ => seq($._detail_start, $._only_when),
    _only_when: $ => seq('only', 'when', $._condition_or_checklist),
    how: $ => seq($._detail_start, 'how', $.text),
    detail_care: $ => seq($._detail_start, 'care', $.text),
    private: $ => seq($._detail_start, 'private'),
    good: $ => seq($._detail_start, 'good', choice(
      seq('one', 'of', list($._choice)),
      seq($._choice, ',', list($._choice)),
      $.string,
      $._amount,
      alias('no', $.choice),
    )),
    _look_kind: $ => choice(
      $.yes_or_no, $.one_of, $.some_of, $.measured, $.counted, $.priced, $.dated, $.written,
    ),
    yes_or_no: _ => seq('yes', 'or', 'no'),
    one_of: $ => prec.right(seq('one', 'of', list($.choice_words))),
    some_of: $ => prec.right(seq('some', 'of', list($.choice_words))),
    choice_words: $ => seq($._choice, optional($.text)),
    measured: $ => seq(
      'measured', 'in', alias(choice($.name, '%'), $.unit), comma, 'from', $.quantity, 'to', $.quantity,
    ),
    give_or_take: $ => seq('give', 'or', 'take', $.quantity),
    counted: $ => seq('counted', comma, 'from', $.quantity, 'to', $.quantity),
    priced: $ => seq('priced', comma, 'from', $.quantity, 'to', $.quantity),
    dated: _ => 'dated',
    written: _ => 'written',
    row: $ => seq($._clause_start, 'row', list($._row_key), comma, $._amount),
    _row_key: $ => prec(1, choice($.string, alias(choice($.name, 'no', 'yes', 'any'), $.choice))),

    // The clauses of a finding.
    _finding_clause: $ => choice(
      $.on, $.signs, $.unless, $.urgency, $.left_becomes, $.again, $.yields_to, $.first, $.care, $.basis, $.way, $._way_clause,
    ),
    on: $ => seq($._clause_start, 'on', optional('each'), field('part', $.name)),
    signs: $ => seq($._clause_start, 'signs', $._condition_or_checklist),
    unless: $ => seq($._clause_start, 'unless', $._condition_or_checklist),
    urgency: $ => seq(
      $._clause_start, 'urgency', field('step', $.name), comma, optional(seq('if', $._condition_or_checklist)),
    ),
    left_becomes: $ => seq(
      $._clause_start, 'left', 'becomes', field('finding', $.name), comma, optional(seq('odds', $.quantity, comma)),
      optional(seq('within', $.quantity)),
    ),
    again: $ => seq($._clause_start, 'again', 'in', $.quantity),
    yields_to: $ => seq($._clause_start, 'yields', 'to', list(field('finding', $.name))),
    first: $ => seq($._clause_start, 'first', $.text),
    care: $ => seq($._clause_start, 'care', $.text),
    basis: $ => seq($._clause_start, 'basis', $.text),
    way: $ => prec.right(seq(
      $._clause_start, 'way', optional(field('name', $.name)), optional(field('title', $.text)), repeat($._way_clause),
    )),
    // What belongs to the way above it, or to the finding.
    _way_clause: $ => choice($.needed_work, $.goods, $.cost, $.hands, $.tell, $.refer),
    needed_work: $ => seq($._detail_start, 'work', list(field('work', $.name))),
    goods: $ => seq($._detail_start, 'goods', $.text, comma, $._amount),
    cost: $ => seq($._detail_start, 'cost', choice(seq('on', 'sight'), 'nothing')),
    hands: $ => seq($._detail_start, 'hands', field('hand', $.name)),
    tell: $ => seq($._detail_start, 'tell', $.text),
    refer: $ => seq($._detail_start, 'refer', $.text),

    // The clauses of raises, counsels and repair funds.
    when: $ => seq($._clause_start, 'when', $._condition_or_checklist),
    _raise_clause: $ => choice($.when, alias($.on_parts, $.on), $.by),
    on_parts: $ => seq($._clause_start, 'on', list(field('part', $.name))),
    by: $ => seq(
      $._clause_start, 'by', $.number, choice('step', 'steps'), comma, optional(seq('no', 'higher', 'than', field('step', $.name))),
    ),
    _counsel_clause: $ => choice($.when, alias($.counsel_tell, $.tell), $.first, $.basis),
    counsel_tell: $ => seq($._clause_start, 'tell', $.text),
    _aid_clause: $ => choice($.for, $.covers, $.pays, $.cap, $.family_pays, $.not_beyond, $.needs),
    for: $ => seq($._clause_start, 'for', $._condition_or_checklist),
    covers: $ => seq($._clause_start, 'covers', choice(seq('above', $.quantity), list(field('finding', $.name)))),
    pays: $ => seq($._clause_start, 'pays', $.quantity),
    cap: $ => seq($._clause_start, 'cap', $.quantity),
    family_pays: $ => seq($._clause_start, 'family', 'pays', 'at', 'least', $.quantity),
    not_beyond: $ => seq($._clause_start, 'not', 'beyond', $.quantity, 'of', $.path),
    needs: $ => seq($._clause_start, 'needs', list($.path)),

    // The clauses of an example.
    _example_clause: $ => choice(
      $.record, $.finds, $.clear, $.open, $.suspects, alias($.all_urgency, $.urgency), $.played, alias($.all_cost, $.cost),
      $.left, alias($.all_tier, $.tier), alias($.all_hands, $.hands), $.due, $.looks, alias($.counsel_comes, $.counsel_outcome),
      $.refused, alias($.aid_comes, $.aid_outcome),
    ),
    record: $ => seq($._clause_start, 'record', list($.entry)),
    finds: $ => seq($._clause_start, 'finds', choice(
      seq('nothing', 'else'),
      seq(field('finding', $.name), optional($.on_place), comma, optional(seq('at', $._steps))),
    )),
    clear: $ => seq($._clause_start, 'clear', field('finding', $.name), optional($.on_place)),
    open: $ => seq($._clause_start, 'open', field('finding', $.name), optional($.on_place)),
    suspects: $ => seq($._clause_start, 'suspects', field('finding', $.name), optional($.on_place)),
    on_place: $ => seq('on', choice($.path, $.number)),
    _steps: $ => seq(field('step', $.name), optional(seq('to', field('step', $.name)))),
    all_urgency: $ => seq($._clause_start, 'urgency', $._steps),
    played: $ => seq($._clause_start, 'played', choice('yes', 'no', 'open')),
    all_cost: $ => seq($._clause_start, 'cost', $._amount),
    left: $ => seq($._clause_start, 'left', $._amount),
    all_tier: $ => seq($._clause_start, 'tier', field('tier', $.name), optional(seq('to', field('tier', $.name)))),
    all_hands: $ => seq($._clause_start, 'hands', field('hand', $.name), optional(seq('to', field('hand', $.name)))),
    due: $ => seq($._clause_start, 'due', $.date, optional(seq('to', $.date))),
    looks: $ => seq($._clause_start, 'looks', optional('not'), $.path),
    counsel_comes: $ => seq($._clause_start, 'counsel', field('counsel', $.name), choice('found', 'clear', 'open')),
    refused: $ => seq($._clause_start, 'refused'),
    aid_comes: $ => seq($._clause_start, 'aid', field('aid', $.name), choice('eligible', 'refused', 'open')),

    // The entries of a record. Values are those of a file of records, so that nearly anything may stand there.
    entry: $ => choice(
      seq('the', 'rest', 'is', 'good'),
      seq('no', field('part', $.name)),
      seq($.path, 'may', 'be', 'more'),
      seq(optional('last'), $.path, optional(seq('is', repeat1($._written_value)))),
      seq($.path, 'not', 'told'),
      seq($.path, 'does', 'not', 'apply'),
    ),
    _written_value: $ => choice(
      $.date, $.quantity, $.string, alias(choice($.name, 'no', 'yes', 'good', 'none'), $.choice), 'or', 'and', 'to', 'at', 'least', 'most',
      $.other,
    ),
    other: _ => token(prec(-1, /[^\s",#]+/)),

    // Conditions. A bracket holds a condition or a value; which of them is no matter of the grammar.
    _condition_or_checklist: $ => choice($._condition, $.checklist),
    checklist: $ => seq(
      choice(seq('all', 'of'), seq('any', 'of'), seq('at', 'least', $.number, 'of')),
      repeat($.bullet),
    ),
    bullet: $ => seq($.bullet_mark, $._condition),
    _condition: $ => choice($.and, $.or, $.not, $.places_with, $._single),
    and: $ => prec.left(1, seq($._condition, 'and', $._condition)),
    or: $ => prec.left(1, seq($._condition, 'or', $._condition)),
    not: $ => prec(3, seq('not', choice($._single, $.places_with))),
    places_with: $ => prec(3, seq(
      choice('any', 'no', 'every', seq('at', 'least', $.number)), field('part', $.name), 'with',
      choice($._single, alias($.not_single, $.not)),
    )),
    not_single: $ => seq('not', $._single),
    _single: $ => choice($.found, $.test, $._value),
    found: $ => seq('found', field('finding', $.name)),
    test: $ => prec.right(choice(
      seq($._value, 'is', $.comparison, $._value),
      seq($._value, 'is', 'from', $._value, 'to', $._value),
      seq($._value, 'is', optional('not'), optional(seq('one', 'of')), list($._choice)),
      seq($._value, 'is', alias(choice('above', 'below', 'one'), $.choice), repeat(seq(',', $._choice))),
      seq($._value, 'has', optional(seq('any', 'of')), list($._choice)),
    )),
    comparison: _ => choice('above', 'below', seq('at', choice('least', 'most'))),
    _choice: $ => choice($.string, alias(choice($.name, 'no'), $.choice)),

    // Values, which conditions compare, and amounts, where a range may stand.
    _value: $ => choice($.sum, $.product, $._operand, $.group, $.quantity),
    sum: $ => prec.left(5, seq($._value, choice('+', '-'), $._value)),
    product: $ => prec.left(6, seq($._value, choice('*', '/'), $._value)),
    group: $ => seq('(', $._condition, ')'),

    _amount: $ => choice(
      alias($.amount_sum, $.sum), alias($.amount_product, $.product), $._operand, alias($.amount_group, $.group), $.range, $.quantity,
    ),
    amount_sum: $ => prec.left(5, seq($._amount, choice('+', '-'), $._amount)),
    amount_product: $ => prec.left(6, seq($._amount, choice('*', '/'), $._amount)),
    amount_group: $ => seq('(', $._amount, ')'),
    range: $ => seq($.quantity, 'to', $.quantity),

    // What both have.
    _operand: $ => choice($.date, $.negative, $.lower, $.higher, $.days_from, $.last, $.total, $.place_in_hand, $.path, $.call),
    _argument: $ => choice($.date, $.quantity, $.last, $.total, $.group, $.path, $.call),
    negative: $ => prec(7, seq('-', $._argument)),
    lower: $ => seq('lower', 'of', $._argument, 'and', $._argument),
    higher: $ => seq('higher', 'of', $._argument, 'and', $._argument),
    days_from: $ => seq('days', 'from', $._argument, 'to', $._argument),
    last: $ => seq('last', $.path),
    total: _ => seq('total', choice('cost', 'urgency', 'tier')),
    place_in_hand: _ => 'place',
    call: $ => seq(field('name', $.path), '(', list($._value), ')'),
    path: $ => seq(
      choice($.name, alias(choice('lower', 'higher', 'days'), $.name)),
      repeat(seq(token.immediate('.'), alias(token.immediate(/[\p{L}\p{N}\-]+/), $.segment))),
    ),

    quantity: $ => seq($.number, optional($.unit)),
    number: _ => /-?\d+(\.\d+)?/,
    date: _ => /\d+-\d+-\d+/,
    name: _ => /\p{L}[\p{L}\p{N}\-]*/,

    text: $ => prec.right(repeat1($.string)),
    string: $ => choice(token(/"([^"\\\r\n]|\\[^\r\n])*"/), $.unclosed),
    // A text ends on its line, so what is not closed costs the rest of the line.
    unclosed: _ => token(/"([^"\\\r\n]|\\[^\r\n])*\\?/),
  },
});

/// What follows `alter`: the kind, what is written again, the reason, and the clauses below.
function altered($, kind, rest, clause) {
  return seq(kind, ...rest, comma, optional($.because), ...(clause ? [repeat(clause)] : []));
}
