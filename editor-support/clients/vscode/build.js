// Puts what the extension is made of into dist/: its program with the one library it needs, and the grammar.

'use strict';

const fs = require('fs');
const path = require('path');

fs.mkdirSync(path.join(__dirname, 'dist'), { recursive: true });
const grammar = 'purfle.tmLanguage.json';
fs.copyFileSync(path.join(__dirname, '..', 'textmate', grammar), path.join(__dirname, 'dist', grammar));
fs.copyFileSync(path.join(__dirname, '..', '..', '..', 'LICENSE'), path.join(__dirname, 'dist', 'LICENSE'));
// Packing renames the one beside this file; the extension opens this one.
fs.copyFileSync(path.join(__dirname, 'README.md'), path.join(__dirname, 'dist', 'README.md'));

require('esbuild').buildSync({
  entryPoints: [path.join(__dirname, 'src', 'extension.js')],
  outfile: path.join(__dirname, 'dist', 'extension.js'),
  bundle: true,
  minify: true,
  platform: 'node',
  target: 'node18',
  external: ['vscode'],
});
