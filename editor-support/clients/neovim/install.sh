#!/bin/sh
# Puts the Purfle client where Neovim finds it by itself, and makes the parser that colours rulebooks if there is a C
# compiler. Run it again after an update; delete the folder it names to take it out.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
data=${XDG_DATA_HOME:-$HOME/.local/share}/nvim/site/pack/purfle/start/purfle
mkdir -p "$data"
cp -R "$here/ftdetect" "$here/ftplugin" "$here/lua" "$here/plugin" "$here/../tree-sitter/queries" "$data/"
if command -v cc >/dev/null 2>&1; then
  mkdir -p "$data/parser"
  source=$here/../tree-sitter/src
  cc -O2 -shared -fPIC -std=c11 -I "$source" "$source/parser.c" "$source/scanner.c" -o "$data/parser/purfle.so"
else
  echo "There is no C compiler here (the program cc), so rulebooks are checked and not coloured."
fi
echo "Neovim finds the Purfle client in $data"
command -v purfle-editor >/dev/null 2>&1 || echo "The language server, purfle-editor, is not among your programs yet; see README.md beside this file."
