-- Purfle in Neovim, from 0.7 on: starts the language server for rulebooks, colours them by their tree where the parser is
-- there, and shows reports in a window of their own.
--
-- Everything can be set before it is set up, in `vim.g.purfle`, a table with
--   cmd       how the language server is started, { 'purfle-editor' } if nothing is said
--   settings  what the language server hears, as in `defaults` below
--   colour    false if the tree is not to colour

local M = {}

local defaults = {
  inlayHints = { enable = true },
  codeLens = { enable = true },
  proof = { run = 'type' },
  diagnostics = { delay = 200 },
}

local function tell(words, level)
  vim.notify('Purfle: ' .. words, level or vim.log.levels.INFO)
end

local function options()
  return vim.g.purfle or {}
end

-- Shows text in a window below, which `q` closes.
local function show(title, text)
  local buffer = vim.api.nvim_create_buf(false, true)
  vim.api.nvim_buf_set_lines(buffer, 0, -1, false, vim.split((text:gsub('\r', '')), '\n'))
  vim.bo[buffer].modifiable = false
  vim.bo[buffer].bufhidden = 'wipe'
  pcall(vim.api.nvim_buf_set_name, buffer, 'purfle://' .. title)
  vim.cmd('botright split')
  vim.api.nvim_win_set_buf(0, buffer)
  vim.keymap.set('n', 'q', '<cmd>close<cr>', { buffer = buffer })
end

local function clients(buffer)
  if vim.lsp.get_clients then
    return vim.lsp.get_clients({ bufnr = buffer, name = 'purfle' })
  end
  local found = {}
  for _, client in pairs(vim.lsp.buf_get_clients(buffer)) do
    if client.name == 'purfle' then
      table.insert(found, client)
    end
  end
  return found
end

-- Lets the language server carry a command out, and shows what it answers.
local function execute(command, arguments)
  local buffer = vim.api.nvim_get_current_buf()
  local client = clients(buffer)[1]
  if not client then
    return tell('the language server does not run for this window. Open a rulebook, and see :help vim.lsp.', vim.log.levels.ERROR)
  end
  local function answered(failed, answer)
    if failed then
      return tell(failed.message or 'the language server could not do that', vim.log.levels.ERROR)
    end
    local text = type(answer) == 'table' and (answer.report or answer.text) or answer
    if type(text) == 'string' then
      show(command:match('[^.]+$'), text)
    end
  end
  local parameters = { command = command, arguments = arguments }
  if vim.fn.has('nvim-0.11') == 1 then
    client:request('workspace/executeCommand', parameters, answered, buffer)
  else
    client.request('workspace/executeCommand', parameters, answered, buffer)
  end
end

-- The triage of a file of records by the rulebook in this window.
function M.triage(records)
  execute('purfle.triage', { vim.uri_from_bufnr(0), vim.fn.fnamemodify(records, ':p') })
end

-- The slip of one record.
function M.slip(records, record)
  execute('purfle.slip', { vim.uri_from_bufnr(0), vim.fn.fnamemodify(records, ':p'), record })
end

local function colour(buffer)
  if options().colour == false then
    return
  end
  if vim.treesitter.start then
    pcall(vim.treesitter.start, buffer, 'purfle')
  else
    local known = vim.treesitter.highlighter.hl_map
    if known and not rawget(known, 'attribute') then
      known['attribute'] = 'PreProc'
    end
    local there, parser = pcall(vim.treesitter.get_parser, buffer, 'purfle')
    if there then
      vim.treesitter.highlighter.new(parser)
    end
  end
end

local function configuration(buffer)
  local given = options()
  local settings = vim.tbl_deep_extend('force', defaults, given.settings or {})
  local capabilities = vim.lsp.protocol.make_client_capabilities()
  return {
    name = 'purfle',
    cmd = given.cmd or { 'purfle-editor' },
    root_dir = vim.fn.fnamemodify(vim.api.nvim_buf_get_name(buffer), ':p:h'),
    capabilities = capabilities,
    init_options = vim.tbl_extend('force', settings, { showsReports = true }),
    settings = { purfle = settings },
    commands = {
      ['purfle.showExample'] = function(command)
        execute(command.command, command.arguments)
      end,
    },
  }
end

-- Before 0.8 there is no `vim.lsp.start`, which takes care that one folder has one server.
local started = {}

local function start(buffer)
  local wanted = configuration(buffer)
  if vim.fn.executable(wanted.cmd[1]) == 0 then
    if not M.told then
      M.told = true
      tell(
        '"' .. wanted.cmd[1] .. '" was not found, so rulebooks are not checked. Put it where your programs are, or say where it is '
          .. 'with vim.g.purfle = { cmd = { "/path/to/purfle-editor" } } in your init.lua.',
        vim.log.levels.WARN
      )
    end
    return
  end
  if vim.lsp.start then
    vim.lsp.start(wanted, { bufnr = buffer })
    return
  end
  local id = started[wanted.root_dir]
  if not id or vim.lsp.client_is_stopped(id) then
    id = vim.lsp.start_client(wanted)
    started[wanted.root_dir] = id
  end
  if id then
    vim.lsp.buf_attach_client(buffer, id)
  end
end

-- Sets up what happens when a rulebook is opened, and the commands.
function M.setup()
  local group = vim.api.nvim_create_augroup('purfle', { clear = true })
  vim.api.nvim_create_autocmd('FileType', {
    group = group,
    pattern = 'purfle',
    callback = function(event)
      colour(event.buf)
      if vim.api.nvim_buf_get_name(event.buf) ~= '' then
        start(event.buf)
      end
    end,
  })
  vim.api.nvim_create_user_command('PurfleTriage', function(given)
    M.triage(given.fargs[1])
  end, { nargs = 1, complete = 'file', desc = 'Run triage on a file of records by this rulebook' })
  vim.api.nvim_create_user_command('PurfleSlip', function(given)
    if #given.fargs ~= 2 then
      return tell('write :PurfleSlip FILE RECORD', vim.log.levels.ERROR)
    end
    M.slip(given.fargs[1], given.fargs[2])
  end, { nargs = '+', complete = 'file', desc = 'Show the slip of a record by this rulebook' })
end

return M
