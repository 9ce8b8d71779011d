" Files that end in .purfle are rulebooks.
autocmd BufRead,BufNewFile *.purfle setfiletype purfle
