-- Does in a real Neovim what a keeper of rulebooks does, and writes down what came of it, as JSON, into the file that the
-- variable PURFLE_RESULT names. Started by the test editor-support/tests/clients/neovim.rs in a folder made for it.

local result = {}

local function text(buffer)
  return table.concat(vim.api.nvim_buf_get_lines(buffer, 0, -1, false), '\n') .. '\n'
end

-- Waits until something holds. What never comes is noted, and the rest goes on.
local function await(what, holds)
  if not vim.wait(15000, holds, 20) then
    result.missed = result.missed or {}
    table.insert(result.missed, what)
    return false
  end
  return true
end

local function open(name)
  vim.cmd('edit ' .. name)
  return vim.api.nvim_get_current_buf()
end

-- Puts the cursor on the first place of some words, or behind them.
local function go(words, behind)
  for number, line in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
    local at, last = line:find(words, 1, true)
    if at then
      vim.api.nvim_win_set_cursor(0, { number, behind and last or at - 1 })
      return
    end
  end
  error('not found: ' .. words)
end

local function messages(buffer)
  local found = {}
  for _, diagnostic in ipairs(vim.diagnostic.get(buffer)) do
    table.insert(found, (diagnostic.lnum + 1) .. ': ' .. diagnostic.message)
  end
  table.sort(found)
  return found
end

local function ask(method, parameters)
  for _, answer in pairs(vim.lsp.buf_request_sync(0, method, parameters, 10000) or {}) do
    if answer.result then
      return answer.result
    end
  end
end

local function position()
  local made, parameters = pcall(vim.lsp.util.make_position_params)
  return made and parameters or vim.lsp.util.make_position_params(0, 'utf-16')
end

local function run()
  result.version = tostring(vim.version().major) .. '.' .. tostring(vim.version().minor)

  -- Mistakes are told.
  local broken = open('broken.purfle')
  result.filetype = vim.bo.filetype
  await('diagnostics of broken.purfle', function()
    return #vim.diagnostic.get(broken) > 0
  end)
  result.diagnostics = messages(broken)

  -- The text is coloured by its tree.
  result.coloured = vim.treesitter.highlighter.active[broken] ~= nil
  local parsed, root = pcall(function()
    return vim.treesitter.get_parser(broken, 'purfle'):parse()[1]:root()
  end)
  result.root = parsed and root:type() or tostring(root)

  -- What can stand behind `turns is` are the choices of that look.
  go('turns is ', true)
  local labels = {}
  local answer = ask('textDocument/completion', position()) or {}
  for _, item in ipairs(answer.items or answer) do
    table.insert(labels, item.label)
  end
  table.sort(labels)
  result.completion = labels

  -- What a name means.
  go('peg-paste-dear')
  local hover = ask('textDocument/hover', position())
  result.hover = hover and hover.contents and (hover.contents.value or vim.inspect(hover.contents)) or ''

  -- The fix is taken from the list that is offered.
  go('slipps')
  local offered = {}
  vim.ui.select = function(items, options, choose)
    for _, item in ipairs(items) do
      local shown = (options.format_item or tostring)(item)
      table.insert(offered, shown)
    end
    for index, item in ipairs(items) do
      if offered[index]:find('`slips`', 1, true) then
        return choose(item, index)
      end
    end
    choose(nil)
  end
  vim.lsp.buf.code_action()
  await('the fix', function()
    return not text(broken):find('slipps', 1, true)
  end)
  result.offered = offered
  result.fixed = text(broken)
  await('no mistake after the fix', function()
    return #vim.diagnostic.get(broken) == 0
  end)
  result.after = messages(broken)

  -- The layout is put in order.
  if vim.lsp.buf.format then
    vim.lsp.buf.format({ async = false, timeout_ms = 10000 })
  else
    vim.lsp.buf.formatting_sync(nil, 10000)
  end
  result.formatted = text(broken)

  -- A name is changed in both rulebooks.
  local shop = open('shop.purfle')
  await('the server for shop.purfle', function()
    return next(vim.lsp.buf_get_clients and vim.lsp.buf_get_clients(shop) or vim.lsp.get_clients({ bufnr = shop })) ~= nil
  end)
  local house = open('house.purfle')
  vim.cmd('buffer ' .. shop)
  go('peg-slips')
  vim.lsp.buf.rename('peg-lets-go')
  await('the new name in both rulebooks', function()
    return text(shop):find('peg-lets-go', 1, true) and text(house):find('peg-lets-go', 1, true)
  end)
  result.renamed = { shop = text(shop), house = text(house) }
  vim.cmd('wall')

  -- A report is shown.
  vim.cmd('PurfleTriage records.csv')
  await('the report', function()
    return text(0):find('records read', 1, true)
  end)
  result.report = text(0)
end

local done, failed = pcall(run)
if not done then
  result.failed = tostring(failed)
end
local encode = vim.json and vim.json.encode or vim.fn.json_encode
vim.fn.writefile({ encode(result) }, vim.env.PURFLE_RESULT)
vim.cmd('qall!')
