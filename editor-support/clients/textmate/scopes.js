// Reads a JSON list of texts from the standard input and writes, for each of them, what the grammar makes of it: a list of
// [first byte, byte behind, innermost scope], as VS Code's own highlighter says. For the tests.
//
//   node scopes.js FOLDER_WITH_NODE_MODULES < texts.json

'use strict';

const fs = require('fs');
const path = require('path');

const modules = path.join(path.resolve(process.argv[2]), 'node_modules');
const textmate = require(path.join(modules, 'vscode-textmate'));
const oniguruma = require(path.join(modules, 'vscode-oniguruma'));

/// The tokens of one text.
function tokens(grammar, text) {
  const found = [];
  let stack = textmate.INITIAL;
  let at = 0;
  for (const piece of text.split(/(\r\n|\r|\n)/)) {
    if (!/^[\r\n]/.test(piece)) {
      const line = grammar.tokenizeLine(piece, stack);
      stack = line.ruleStack;
      for (const { startIndex, endIndex, scopes } of line.tokens) {
        const start = at + Buffer.byteLength(piece.slice(0, startIndex));
        const end = at + Buffer.byteLength(piece.slice(0, endIndex));
        if (start < end) found.push([start, end, scopes[scopes.length - 1]]);
      }
    }
    at += Buffer.byteLength(piece);
  }
  return found;
}

async function main() {
  const wasm = fs.readFileSync(path.join(modules, 'vscode-oniguruma', 'release', 'onig.wasm'));
  await oniguruma.loadWASM(wasm);
  const registry = new textmate.Registry({
    onigLib: Promise.resolve({
      createOnigScanner: patterns => new oniguruma.OnigScanner(patterns),
      createOnigString: text => new oniguruma.OnigString(text),
    }),
    loadGrammar: async () => {
      const file = path.join(__dirname, 'purfle.tmLanguage.json');
      return textmate.parseRawGrammar(fs.readFileSync(file, 'utf8'), file);
    },
  });
  const grammar = await registry.loadGrammar('source.purfle');
  const texts = JSON.parse(fs.readFileSync(0, 'utf8'));
  process.stdout.write(JSON.stringify(texts.map(text => tokens(grammar, text))));
}

main().catch(error => {
  console.error(error);
  process.exit(1);
});
