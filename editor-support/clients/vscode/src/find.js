// Where the language server is: where the setting says, else among the programs, else where Cargo installs them.

'use strict';

const fs = require('fs');
const os = require('os');
const path = require('path');

const PROGRAM = process.platform === 'win32' ? 'purfle-editor.exe' : 'purfle-editor';

function runs(file) {
  try {
    fs.accessSync(file, fs.constants.X_OK);
    return fs.statSync(file).isFile();
  } catch {
    return false;
  }
}

/// The path of the language server. `asked` is the setting: it may begin with `~`, and may name the folder.
function find(asked) {
  if (asked) {
    const given = asked.replace(/^~(?=$|[\\/])/, os.homedir());
    return [given, path.join(given, PROGRAM)].find(runs);
  }
  const folders = (process.env.PATH ?? '').split(path.delimiter).filter(Boolean);
  const cargo = process.env.CARGO_HOME ?? path.join(os.homedir(), '.cargo');
  return [...folders, path.join(cargo, 'bin')].map(folder => path.join(folder, PROGRAM)).find(runs);
}

module.exports = { find };
