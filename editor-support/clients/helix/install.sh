#!/bin/sh
# Puts what colours rulebooks where Helix finds it: the parser, which a C compiler makes, and the queries. The languages.toml
# beside this file is copied only where there is none yet. Run it again after an update.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
helix=${XDG_CONFIG_HOME:-$HOME/.config}/helix
mkdir -p "$helix/runtime/grammars" "$helix/runtime/queries"
cp -R "$here/../tree-sitter/queries/purfle" "$helix/runtime/queries/"
case $(uname) in Darwin) ending=dylib ;; *) ending=so ;; esac
if command -v cc >/dev/null 2>&1; then
  source=$here/../tree-sitter/src
  cc -O2 -shared -fPIC -std=c11 -I "$source" "$source/parser.c" "$source/scanner.c" -o "$helix/runtime/grammars/purfle.$ending"
else
  echo "There is no C compiler here (the program cc), so rulebooks are checked and not coloured."
fi
if [ ! -e "$helix/languages.toml" ]; then
  cp "$here/languages.toml" "$helix/languages.toml"
  echo "Helix knows Purfle from $helix/languages.toml"
elif ! grep -q 'language-server\.purfle-editor' "$helix/languages.toml"; then
  echo "There is a $helix/languages.toml already. Write at its end what stands in $here/languages.toml"
fi
command -v purfle-editor >/dev/null 2>&1 || echo "The language server, purfle-editor, is not among your programs yet; see README.md beside this file."
