// Where items, clauses and bullets begin, what is a unit, and comments.
//
// The first word of a line decides what the line is, as in lang/src/syntax/split.rs. Each such beginning is a token
// without width before the word. It is handed out even where the parser does not expect it: so the parser sees that a
// line is over, and a mistake stays on its line. Comments may stand anywhere, which is why the parser asks here before
// every token.

#include "tree_sitter/alloc.h"
#include "tree_sitter/parser.h"

#include <string.h>

enum Token { ITEM_START, CLAUSE_START, DETAIL_START, BULLET_MARK, UNIT, COMMENT, ERROR_SENTINEL };

enum Kind {
  NOTHING, RULEBOOK, URGENCY, HANDS, TIERS, WORK, PART, CONTEXT, TABLE, RECKON, FINDING, RAISE, COUNSEL, AID, EXAMPLE,
  LOOK, PLACE, STEP, HAND, TIER, KINDS,
};

/// The words of items and of what can be altered.
static const char *const kinds[KINDS] = {
  "", "rulebook", "urgency", "hands", "tiers", "work", "part", "context", "table", "reckon", "finding", "raise", "counsel",
  "aid", "example", "look", "place", "step", "hand", "tier",
};

/// The words of each kind's clauses.
static const char *const clauses[KINDS] = {
  [RULEBOOK] = " edition keeper money language notice least builds ",
  [URGENCY] = " step ",
  [HANDS] = " hand ",
  [TIERS] = " tier ",
  [WORK] = " includes ",
  [PART] = " look place places ",
  [CONTEXT] = " look place places ",
  [TABLE] = " row ",
  [FINDING] = " on signs unless urgency left again yields first care basis way ",
  [RAISE] = " when on by ",
  [COUNSEL] = " when tell first basis ",
  [AID] = " for covers pays cap family not needs ",
  [EXAMPLE] = " record finds clear open suspects urgency played cost left tier hands due looks counsel refused aid ",
};

/// The words of those clauses that belong to the look, the place or the way above them, if there is one.
static const char *const details[KINDS] = {
  [PART] = " only how care private good ",
  [CONTEXT] = " only how care private good ",
  [LOOK] = " only how care private good ",
  [PLACE] = " only how care private good ",
  [FINDING] = " work goods cost hands tell refer ",
};

/// Words that are no unit though they follow a number.
static const char not_units[] =
  " all and any as at because beyond by each every found from give has if in is last no not of on once only or per place step"
  " steps to total with within ";

/// The most letters of a word that means something.
#define LONGEST 15

typedef struct {
  /// The kind of the item in hand.
  uint8_t kind;
  /// Whether an item has begun.
  uint8_t started;
} Scanner;

/// A word, with a space before and behind; empty where it is longer than all words that mean something.
typedef struct {
  char text[LONGEST + 3];
  unsigned length;
  /// Whether there was a word at all.
  bool there;
} Word;

static bool is_blank(int32_t c) { return c == ' ' || c == '\t' || c == 0xA0 || c == 0xFEFF; }
static bool is_break(int32_t c) { return c == '\n' || c == '\r'; }
static bool is_digit(int32_t c) { return c >= '0' && c <= '9'; }
// Letters outside ASCII are in no word of the language, so that which of them are letters does not matter here.
static bool is_letter(int32_t c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c > 0xBF; }
static bool is_word(int32_t c) { return is_letter(c) || is_digit(c) || c == '-'; }

static Word read_word(TSLexer *lexer) {
  Word word = {" ", 1, false};
  bool fits = true;
  while (is_word(lexer->lookahead)) {
    word.there = true;
    if (word.length > LONGEST || lexer->lookahead > 'z') fits = false;
    else word.text[word.length++] = (char)lexer->lookahead;
    lexer->advance(lexer, false);
  }
  if (fits) word.text[word.length++] = ' ';
  else word.length = 0;
  word.text[word.length] = 0;
  return word;
}

static bool among(const char *words, const Word *word) { return words && word->length > 2 && strstr(words, word->text); }

static bool is(const Word *word, const char *text) {
  size_t length = strlen(text);
  return word->length == length + 2 && strncmp(word->text + 1, text, length) == 0;
}

static enum Kind kind_of(const Word *word) {
  for (enum Kind kind = RULEBOOK; kind < KINDS; kind++) {
    if (is(word, kinds[kind])) return kind;
  }
  return NOTHING;
}

static void pass_blanks(TSLexer *lexer) {
  while (is_blank(lexer->lookahead)) lexer->advance(lexer, false);
}

static bool at_line_end(TSLexer *lexer) {
  return lexer->eof(lexer) || is_break(lexer->lookahead) || lexer->lookahead == '#';
}

/// Whether the rest of the line gives a reason.
static bool gives_reason(TSLexer *lexer) {
  while (!at_line_end(lexer)) {
    Word word = read_word(lexer);
    if (is(&word, "because")) return true;
    if (!word.there) lexer->advance(lexer, false);
  }
  return false;
}

/// Whether a word that is also a clause of the item above surely starts an item, when it stands at the margin.
static bool starts_item(enum Kind kind, bool alone, bool quote) {
  switch (kind) {
    case URGENCY: case HANDS: case TIERS: return alone;
    case WORK: case COUNSEL: case AID: return quote;
    default: return kind == EXAMPLE;
  }
}

/// What the line begins whose first word comes next. ERROR_SENTINEL where it goes on with the line above.
static enum Token begins(Scanner *scanner, TSLexer *lexer, bool indented) {
  Word first = read_word(lexer);
  bool detail = among(details[scanner->kind], &first);
  bool clause = detail || among(clauses[scanner->kind], &first);
  enum Kind kind = kind_of(&first);
  if (kind > EXAMPLE) kind = NOTHING;
  pass_blanks(lexer);
  bool alone = at_line_end(lexer);
  Word second = read_word(lexer);
  pass_blanks(lexer);
  bool quote = lexer->lookahead == '"';

  bool item;
  if (is(&first, "alter") || is(&first, "without")) {
    kind = is(&first, "alter") ? kind_of(&second) : NOTHING;
    item = !indented || (second.there && gives_reason(lexer));
  } else if (indented) {
    // An item's word, a name and a quote can go on with nothing.
    item = kind != NOTHING && quote && second.there == (kind != EXAMPLE);
  } else {
    item = !clause || starts_item(kind, alone, quote);
  }
  if (item) {
    scanner->kind = kind;
    scanner->started = true;
    return ITEM_START;
  }
  // A condition may go on with a `not`.
  if (is(&first, "not") && !is(&second, "beyond")) clause = false;
  return detail ? DETAIL_START : clause ? CLAUSE_START : ERROR_SENTINEL;
}

static bool scan(Scanner *scanner, TSLexer *lexer, const bool *valid) {
  bool line_start = !scanner->started, crossed = false;
  while (is_blank(lexer->lookahead) || is_break(lexer->lookahead)) {
    if (is_break(lexer->lookahead)) line_start = crossed = true;
    lexer->advance(lexer, true);
  }
  if (lexer->eof(lexer)) return false;
  if (lexer->lookahead == '#') {
    while (!lexer->eof(lexer) && !is_break(lexer->lookahead)) lexer->advance(lexer, false);
    lexer->mark_end(lexer);
    lexer->result_symbol = COMMENT;
    return true;
  }
  if (line_start) {
    bool indented = lexer->get_column(lexer) > 0;
    lexer->mark_end(lexer);
    if (lexer->lookahead == '-') {
      lexer->advance(lexer, false);
      if (!is_blank(lexer->lookahead) && !at_line_end(lexer)) return false;
      lexer->mark_end(lexer);
      lexer->result_symbol = BULLET_MARK;
      return true;
    }
    enum Token token = begins(scanner, lexer, indented);
    lexer->result_symbol = token;
    return token != ERROR_SENTINEL;
  }
  // A number and its unit stand on one line.
  if (valid[UNIT] && !valid[ERROR_SENTINEL] && !crossed) {
    if (lexer->lookahead == '%') {
      lexer->advance(lexer, false);
    } else {
      if (!is_letter(lexer->lookahead)) return false;
      Word word = read_word(lexer);
      if (among(not_units, &word)) return false;
    }
    lexer->mark_end(lexer);
    lexer->result_symbol = UNIT;
    return true;
  }
  return false;
}

void *tree_sitter_purfle_external_scanner_create(void) { return ts_calloc(1, sizeof(Scanner)); }

void tree_sitter_purfle_external_scanner_destroy(void *scanner) { ts_free(scanner); }

unsigned tree_sitter_purfle_external_scanner_serialize(void *scanner, char *buffer) {
  memcpy(buffer, scanner, sizeof(Scanner));
  return sizeof(Scanner);
}

void tree_sitter_purfle_external_scanner_deserialize(void *scanner, const char *buffer, unsigned length) {
  memset(scanner, 0, sizeof(Scanner));
  if (length == sizeof(Scanner)) memcpy(scanner, buffer, length);
}

bool tree_sitter_purfle_external_scanner_scan(void *scanner, TSLexer *lexer, const bool *valid) {
  return scan(scanner, lexer, valid);
}
