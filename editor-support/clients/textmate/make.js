// Writes purfle.tmLanguage.json, the grammar for editors that highlight line by line with regular expressions.
//
//   node make.js          writes the file
//   node make.js --print  prints it, to be held against the file
//
// As everywhere in Purfle, the first word of a line decides what the line is: a word at the margin opens an item, which
// lasts to the next one, and within it a clause word opens a clause, which lasts to the next of that item. A word of the
// language is coloured only in the clauses that have it, since elsewhere it may be a name.

'use strict';

const BLANK = '[ \\t\\x{a0}]';
const WORD = '[\\p{L}\\p{N}-]';
const NAME = `\\p{L}${WORD}*`;
const PATH = `${NAME}(?:\\.${WORD}+)*`;
/// The end of a word, and its beginning.
const END = `(?!${WORD})`;
const START = `(?<![\\p{L}\\p{N}.-])`;

/// Words with spaces between them.
const phrase = words => words.replaceAll(' ', `${BLANK}+`);
const scope = name => `${name}.purfle`;
const include = name => ({ include: `#${name}` });

/// Words or phrases of the language inside a clause.
const words = (...phrases) => ({
  match: `${START}(?:${phrases.map(phrase).join('|')})${END}`,
  name: scope('keyword.operator.word'),
});
/// A phrase and the name that it is followed by.
const named = (before, name = 'variable.other') => ({
  match: `${START}(${phrase(before)})${BLANK}+(${NAME})${END}`,
  captures: { 1: { name: scope('keyword.operator.word') }, 2: { name: scope(name) } },
});
/// Words of which one is chosen.
const chosen = (...phrases) => ({
  match: `${START}(?:${phrases.join('|')})${END}`,
  name: scope('variable.other.enummember'),
});

const repository = {
  comment: {
    patterns: [
      {
        match: `(#)${BLANK}*(quiet)${END}(${BLANK}+${NAME})?(?:${BLANK}+(because)${BLANK}+("[^"]*"))?.*$`,
        name: scope('comment.line.number-sign'),
        captures: {
          2: { name: scope('keyword.other.documentation') },
          3: { name: scope('variable.other.documentation') },
          4: { name: scope('keyword.other.documentation') },
        },
      },
      { match: '#.*$', name: scope('comment.line.number-sign') },
    ],
  },
  text: {
    patterns: [
      {
        match: '"(?:[^"\\\\]|\\\\.)*"',
        name: scope('string.quoted.double'),
        captures: { 0: { patterns: [{ match: '\\\\.', name: scope('constant.character.escape') }] } },
      },
      { match: '"(?:[^"\\\\]|\\\\.)*\\\\?$', name: scope('invalid.illegal.unclosed-text') },
    ],
  },
  date: { match: `(?<!${WORD})\\d+-\\d+-\\d+${END}`, name: scope('constant.numeric.date') },
  quantity: {
    match:
      `(?<!${WORD})(-?\\d+(?:\\.\\d+)?)(?:${BLANK}*(%|(?!(?:all|and|any|as|at|because|beyond|by|each|every|found|from|give|has|if|in|is` +
      `|last|no|not|of|on|once|only|or|per|place|step|steps|to|total|with|within)${END})\\p{L}+${END}))?`,
    captures: { 1: { name: scope('constant.numeric') }, 2: { name: scope('keyword.other.unit') } },
  },
  // A number that is counted has no unit.
  number: { match: `(?<!${WORD})\\d+(?:\\.\\d+)?`, name: scope('constant.numeric') },
  path: { match: `${START}${PATH}`, name: scope('variable.other') },
  choice: { match: `${START}${NAME}`, name: scope('variable.other.enummember') },
  bullet: { match: `^${BLANK}*(-)(?=${BLANK}|$)`, captures: { 1: { name: scope('punctuation.definition.list') } } },
  sign: { match: '[-+*/]', name: scope('keyword.operator.arithmetic') },
  because: { match: `${START}because(?=${BLANK}*("|$))`, name: scope('keyword.operator.word') },
  // What stands between the choices of a look.
  choices: { patterns: [include('text'), include('comment'), chosen('no'), include('choice')] },
  value: {
    patterns: [
      include('comment'), include('text'), include('date'), include('quantity'),
      words('(?:lower|higher) of', 'days from', 'total(?: (?:cost|urgency|tier))?', 'last', 'and', 'to'),
      // Its second segment may have the look of a word.
      { match: `${START}place${END}`, name: scope('keyword.operator.word') },
      include('path'), include('sign'),
    ],
  },
  condition: {
    patterns: [
      include('comment'), include('text'), include('bullet'), include('date'),
      // The words behind `is` are words only with what belongs to them.
      {
        match: `${START}(is)${BLANK}+(?:(from)${END}|(at)${BLANK}+(least|most)${END}|(above|below)(?=${BLANK}+(?!(?:and|or|because)${END})[\\p{L}\\d("-]))`,
        captures: Object.fromEntries([1, 2, 3, 4, 5].map(at => [at, { name: scope('keyword.operator.word') }])),
      },
      {
        match: `${START}(is|has)${END}(?:${BLANK}+(not)${END})?(?:${BLANK}+(one|any)${BLANK}+(of)${END})?(${BLANK}+(?:"(?:[^"\\\\]|\\\\.)*"|${NAME})(?:${BLANK}*,${BLANK}*(?:"(?:[^"\\\\]|\\\\.)*"|${NAME}))*)?`,
        captures: {
          ...Object.fromEntries([1, 2, 3, 4].map(at => [at, { name: scope('keyword.operator.word') }])),
          5: { patterns: [include('choices')] },
        },
      },
      {
        match: `${START}(at)${BLANK}+(least)${BLANK}+(\\d+)${END}(?:${BLANK}+(of)${END})?`,
        captures: {
          1: { name: scope('keyword.operator.word') }, 2: { name: scope('keyword.operator.word') },
          3: { name: scope('constant.numeric') }, 4: { name: scope('keyword.operator.word') },
        },
      },
      named('found'),
      words('all of', 'any of', 'and', 'or', 'not', 'any', 'no', 'every', 'with', 'is', 'has', 'from', 'of', 'at'),
      include('because'),
      include('value'),
    ],
  },
  // Where a range may stand: it ends in a `to`, which values have already.
  amount: { patterns: [include('because'), include('value')] },
  texts: { patterns: [include('comment'), include('text'), include('because')] },
  names: { patterns: [include('comment'), include('path')] },
  kind: {
    patterns: [
      include('comment'), include('text'),
      {
        match: `${START}(measured)${BLANK}+(in)${BLANK}+(%|${NAME})`,
        captures: {
          1: { name: scope('keyword.operator.word') }, 2: { name: scope('keyword.operator.word') },
          3: { name: scope('keyword.other.unit') },
        },
      },
      {
        begin: `${START}((?:one|some)${BLANK}+of)${END}`,
        beginCaptures: { 1: { name: scope('keyword.operator.word') } },
        end: `(?=${START}because${BLANK}*")|^(?=[^\\s#])|^(?=${BLANK}+(?:look|place|places|only|how|care|private|good)${END})`,
        patterns: [include('choices')],
      },
      words('yes or no', 'counted', 'priced', 'dated', 'written', 'give or take', 'from', 'to'),
      include('because'), include('quantity'),
    ],
  },
  entry: {
    patterns: [
      include('comment'), include('text'), include('date'),
      // A day as it is not written here is no number.
      { match: `(?<!${WORD})(\\d+\\.\\d+)\\.\\d+|(?<!${WORD})(\\d+)/\\d+(?:/\\d+)*`, captures: { 1: { name: scope('constant.numeric') }, 2: { name: scope('constant.numeric') } } },
      include('quantity'),
      words('the rest is good', 'may be more', 'not told', 'does not apply'),
      {
        match: `${START}(is)${BLANK}+(no)${END}`,
        captures: { 1: { name: scope('keyword.operator.word') }, 2: { name: scope('variable.other.enummember') } },
      },
      {
        match: `${START}(is)${BLANK}+(at)${BLANK}+(least|most)${END}`,
        captures: Object.fromEntries([1, 2, 3].map(at => [at, { name: scope('keyword.operator.word') }])),
      },
      named('no'),
      words('is', 'last', 'or', 'and', 'to', 'at least', 'at most', 'at'),
      include('path'), include('sign'),
    ],
  },
};

/// A clause: the words it begins with, and what stands in it.
const clause = (first, ...patterns) => ({ first, patterns });
const texts = [include('texts')];
const names = [include('names')];
const condition = [include('condition')];
const amount = [include('amount')];
const edition = { match: `${START}[\\p{L}\\p{N}._/+-]+`, name: scope('constant.numeric.edition') };

const DETAILS = [
  clause('only when', ...condition), clause('how', ...texts), clause('care', ...texts), clause('private', include('comment')),
  clause('good', words('one of', 'to'), include('amount')),
];
const PARTS = [
  clause('look', include('kind'), include('names')),
  clause('place', words('only when'), { match: `^${BLANK}+\\K${NAME}`, name: scope('entity.name.place') }, ...condition),
  clause('places as found', include('comment')),
  ...DETAILS,
];
const WHEN = clause('when', ...condition);
const within = words('within', 'at once', 'not to be played');
const ways = [
  clause('work', ...names), clause('goods', ...amount),
  clause('cost', include('comment'), words('on sight', 'nothing')), clause('hands', ...names),
  clause('tell', ...texts), clause('refer', ...texts),
];
const onPlace = [include('comment'), words('on'), include('number'), include('path')];
const ends = [include('comment'), words('to'), include('path')];

/// The kinds of items: what stands on their own line, and their clauses.
const KINDS = {
  rulebook: {
    line: texts,
    clauses: [
      clause('edition', include('texts'), edition), clause('keeper', ...texts),
      clause('money', include('comment'), { match: NAME, name: scope('keyword.other.unit') }),
      clause('language', include('texts'), include('choice')), clause('notice', ...texts),
      clause('least charge', include('comment'), include('quantity')),
      clause(
        'builds on', include('texts'),
        {
          match: `${START}(edition)${BLANK}+([\\p{L}\\p{N}._/+-]+)`,
          captures: { 1: { name: scope('keyword.operator.word') }, 2: { name: scope('constant.numeric.edition') } },
        },
        words('edition', 'from', 'seal'), include('path'),
      ),
    ],
  },
  urgency: { line: texts, clauses: [clause('step', include('texts'), include('quantity'), within, include('path'))] },
  hands: { line: texts, clauses: [clause('hand', include('texts'), include('quantity'), words('per h'), include('path'))] },
  tiers: { line: texts, clauses: [clause('tier', include('texts'), include('quantity'), words('up to', 'beyond'), include('path'))] },
  work: { line: [named('by'), words('once', 'each'), include('amount')], clauses: [clause('includes', ...names)] },
  part: { line: [include('texts'), words('apart')], clauses: PARTS },
  context: { line: texts, clauses: PARTS },
  table: {
    line: [include('texts'), words('by'), include('path')],
    clauses: [clause('row', include('comment'), include('text'), include('quantity'), chosen('any', 'no', 'yes'), include('value'))],
  },
  reckon: { line: [words('as'), include('amount')], clauses: [] },
  finding: {
    line: texts,
    clauses: [
      clause('on', words('each'), ...names), clause('signs', ...condition), clause('unless', ...condition),
      clause('urgency', words('if'), ...condition),
      clause('left becomes', include('comment'), words('odds', 'within'), include('quantity'), include('path')),
      clause('again in', include('comment'), include('quantity')), clause('yields to', ...names),
      clause('first', ...texts), clause('care', ...texts), clause('basis', ...texts), clause('way', include('texts'), include('path')),
      ...ways,
    ],
  },
  raise: {
    line: texts,
    clauses: [
      WHEN, clause('on', ...names),
      clause('by', include('comment'), include('number'), words('no higher than', 'steps?'), include('path')),
    ],
  },
  counsel: { line: texts, clauses: [WHEN, clause('tell', ...texts), clause('first', ...texts), clause('basis', ...texts)] },
  aid: {
    line: texts,
    clauses: [
      clause('for', ...condition), clause('covers', include('comment'), words('above'), include('quantity'), include('path')),
      clause('pays', include('comment'), include('quantity')), clause('cap', include('comment'), include('quantity')),
      clause('family pays', include('comment'), words('at least'), include('quantity')),
      clause('not beyond', include('comment'), words('of'), include('quantity'), include('path')), clause('needs', ...names),
    ],
  },
  example: {
    line: texts,
    clauses: [
      clause('record', include('entry')),
      clause('finds', words('nothing else', 'at', 'to'), ...onPlace), clause('clear', ...onPlace), clause('open', ...onPlace),
      clause('suspects', ...onPlace), clause('urgency', ...ends), clause('played', include('comment'), chosen('yes', 'no', 'open')),
      clause('cost', ...amount), clause('left', ...amount), clause('tier', ...ends), clause('hands', ...ends),
      clause('due', include('comment'), include('date'), words('to')), clause('looks', words('not'), ...names),
      clause('counsel', include('comment'), outcome('found', 'clear', 'open')), clause('refused', include('comment')),
      clause('aid', include('comment'), outcome('eligible', 'refused', 'open')),
    ],
  },
};
/// What can be altered and is no item.
const RUNGS = {
  look: { line: [include('kind'), include('names')], clauses: DETAILS },
  place: { line: [words('only when'), ...condition], clauses: DETAILS },
  step: { line: KINDS.urgency.clauses[0].patterns, clauses: [] },
  hand: { line: KINDS.hands.clauses[0].patterns, clauses: [] },
  tier: { line: KINDS.tiers.clauses[0].patterns, clauses: [] },
};

/// A name and what comes out of it.
function outcome(...words) {
  return {
    match: `\\G${BLANK}+(${NAME})(?:${BLANK}+(${words.join('|')})${END})?`,
    captures: { 1: { name: scope('variable.other') }, 2: { name: scope('variable.other.enummember') } },
  };
}

/// An item or an alter: its own line, then its clauses.
function item(kind, { line, clauses }, altering) {
  return {
    begin: altering
      ? `^(alter)${BLANK}+(${kind})${END}(?:${BLANK}+(?!because${END})(${PATH}))?`
      : `^(${kind})${END}(?:${BLANK}+(${NAME}))?`,
    beginCaptures: altering
      ? {
          1: { name: scope('keyword.control') }, 2: { name: scope('keyword.control') },
          3: { name: scope(`entity.name.function.${kind}`) },
        }
      : { 1: { name: scope('keyword.control') }, 2: { name: scope(`entity.name.function.${kind}`) } },
    end: '^(?=[^\\s#])',
    name: scope(`meta.item.${kind}`),
    patterns: [
      ...(clauses.length > 0 ? [include(clausesOf(kind, clauses))] : []),
      ...line,
      ...(altering ? [include('because')] : []),
    ],
  };
}

/// Puts the clauses of a kind where both the item and its alter find them.
function clausesOf(kind, clauses) {
  const name = `clauses-${kind}`;
  const begin = (first, name) => {
    const [word, ...more] = first.split(' ');
    const rest = more.map(next => `(?:${BLANK}+(${next})${END})?`).join('');
    return `${word === 'not' ? `(not)(?=${BLANK}+beyond${END})` : `(${word})${END}`}${rest}${name ? `(?:${BLANK}+(${name}))?` : ''}`;
  };
  const givesName = ['look', 'place', 'step', 'hand', 'tier', 'way'];
  const firsts = clauses.map(({ first }) => (first === 'not beyond' ? phrase(first) : first.split(' ')[0]));
  const over = `^(?=[^\\s#])|^(?=${BLANK}+(?:${firsts.join('|')})${END})`;
  repository[name] = {
    patterns: clauses.map(({ first, patterns }) => {
      const gives = kind !== 'example' && givesName.includes(first);
      const count = first.split(' ').length;
      const captures = Object.fromEntries(
        Array.from({ length: count }, (_, at) => [at + 1, { name: scope('keyword.other.clause') }]),
      );
      if (gives) captures[count + 1] = { name: scope(`entity.name.function.${first}`) };
      return { begin: `^${BLANK}+${begin(first, gives ? NAME : null)}`, beginCaptures: captures, end: over, patterns };
    }),
  };
  return name;
}

const grammar = {
  name: 'Purfle',
  scopeName: 'source.purfle',
  fileTypes: ['purfle'],
  patterns: [
    ...Object.entries({ ...KINDS, ...RUNGS }).map(([kind, shape]) => item(kind, shape, true)),
    ...Object.entries(KINDS).map(([kind, shape]) => item(kind, shape, false)),
    {
      begin: `^(without)${BLANK}+(work|part|context|table|reckon|finding|raise|counsel|aid|look|place|way)${END}(?:${BLANK}+(${PATH}))?`,
      beginCaptures: {
        1: { name: scope('keyword.control') }, 2: { name: scope('keyword.control') }, 3: { name: scope('entity.name.function') },
      },
      end: '^(?=[^\\s#])',
      patterns: texts,
    },
    include('comment'),
    include('text'),
  ],
  repository,
};

const text = `${JSON.stringify(grammar, null, 2)}\n`;
if (process.argv.includes('--print')) process.stdout.write(text);
else require('fs').writeFileSync(require('path').join(__dirname, 'purfle.tmLanguage.json'), text);
