-- Sets the client up when Neovim starts, unless `vim.g.purfle_setup = false` stands in the configuration.
if vim.g.purfle_setup ~= false then
  require('purfle').setup()
end
