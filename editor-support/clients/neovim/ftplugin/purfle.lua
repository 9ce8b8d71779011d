-- How a rulebook is edited: two spaces, comments with a number sign, hyphens inside words.
if vim.b.did_ftplugin then
  return
end
vim.b.did_ftplugin = 1

vim.bo.commentstring = '# %s'
vim.bo.comments = 'b:#,fb:-'
vim.bo.shiftwidth = 2
vim.bo.softtabstop = 2
vim.bo.expandtab = true
vim.opt_local.iskeyword:append('-')
vim.b.undo_ftplugin = 'setlocal commentstring< comments< shiftwidth< softtabstop< expandtab< iskeyword<'
