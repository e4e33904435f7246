-- A real editor and the language server: Neovim opens a plan by the pack in grammar/vim, and what a person would see and
-- do is asked of it.
--
-- nvim --headless --clean --cmd 'set runtimepath^=grammar/vim' -l tests/nvim.lua   (in the folder of the project, bourn on the PATH)
local top = vim.fn.getcwd()
local folder = vim.fn.tempname()
vim.fn.mkdir(folder, 'p')
local plan = folder .. '/plan.haccp'
local text = table.concat(vim.fn.readfile(top .. '/plans/smoked-goose-breast.haccp'), '\n')
vim.fn.writefile(vim.split(text:gsub('oven%-operator using oven%-1%-probes', 'oven-operater using oven-1-probes', 1), '\n'), plan)

vim.cmd('filetype plugin on | syntax on')
vim.lsp.enable('bourn')
vim.cmd.edit(plan)
local buffer = vim.api.nvim_get_current_buf()
local faults = {}
local function want(truth, words)
  if not truth then table.insert(faults, words) end
end
local function until_true(words, ask)
  want(vim.wait(10000, ask, 20), words)
end
local function line_of(piece)
  for number, line in ipairs(vim.api.nvim_buf_get_lines(buffer, 0, -1, false)) do
    local column = line:find(piece, 1, true)
    if column then return number, column end
  end
  error(piece)
end
local function at(piece)
  local line, column = line_of(piece)
  vim.api.nvim_win_set_cursor(0, { line, column })
  return vim.lsp.util.make_position_params(0, vim.lsp.get_clients({ bufnr = buffer })[1].offset_encoding)
end
local function ask(method, params)
  local answers = vim.lsp.buf_request_sync(buffer, method, params, 10000) or {}
  for _, answer in pairs(answers) do return answer.result, answer.err end
end
local function errors()
  return vim.diagnostic.get(buffer, { severity = vim.diagnostic.severity.ERROR })
end

want(vim.bo.filetype == 'haccp', 'the kind of file is ' .. vim.bo.filetype)
until_true('no server came', function() return #vim.lsp.get_clients({ bufnr = buffer }) == 1 end)
if #faults > 0 then
  io.stderr:write(table.concat(faults, '\n') .. '\n')
  os.exit(1)
end
until_true('the slip is not shown', function() return #errors() == 1 and errors()[1].code == 'N201' end)

-- The change that the finding offers, made by the editor.
local line, column = line_of('oven-operater')
vim.api.nvim_win_set_cursor(0, { line, column })
vim.lsp.buf.code_action({ apply = true, filter = function(action) return action.kind == 'quickfix' end })
until_true('the change is not made', function() return vim.api.nvim_buf_get_lines(buffer, line - 1, line, false)[1]:find('oven-operator', 1, true) end)
until_true('the slip stays', function() return #errors() == 0 end)

-- What a limit means, in the sentence that is printed.
local hover = ask('textDocument/hover', at('core-hold'))
want(hover and hover.contents.value:find('without a break', 1, true), 'no meaning of a limit')

-- A new name, made by the editor in every place.
at('ccp lethality')
vim.api.nvim_win_set_cursor(0, { line_of('ccp lethality'), 5 })
vim.lsp.buf.rename('kill-step')
until_true('no new name', function() return vim.fn.search('control      kill-step', 'nw') > 0 and vim.fn.search('ccp kill-step', 'nw') > 0 end)
until_true('the old name stays', function() return vim.fn.search('\\<lethality\\>', 'nw') == 0 end)

-- Half a line, in a text with signs of two units before it: proposals where the cursor stands.
vim.api.nvim_buf_set_lines(buffer, -1, -1, false, { 'step last "🌡🌡 °C" { does "🌡"; after ', '' })
local row = vim.api.nvim_buf_line_count(buffer) - 2
local words = vim.api.nvim_buf_get_lines(buffer, row, row + 1, false)[1]
vim.api.nvim_win_set_cursor(0, { row + 1, #words })
local encoding = vim.lsp.get_clients({ bufnr = buffer })[1].offset_encoding
local offers = ask('textDocument/completion', {
  textDocument = { uri = vim.uri_from_bufnr(buffer) },
  position = { line = row, character = vim.str_utfindex(words, encoding) },
})
local steps = {}
for _, item in ipairs(offers and (offers.items or offers) or {}) do steps[item.label] = item end
want(steps.cook and steps.chill, 'the steps are not proposed')
vim.api.nvim_buf_set_lines(buffer, row, row + 2, false, {})

-- The outline in twelve steps, the other scale, and one form.
local symbols = ask('textDocument/documentSymbol', { textDocument = { uri = vim.uri_from_bufnr(buffer) } })
want(symbols and #symbols == 12, 'the outline has ' .. #(symbols or {}) .. ' steps')
vim.lsp.inlay_hint.enable(true, { bufnr = buffer })
until_true('no other scale', function() return #vim.lsp.inlay_hint.get({ bufnr = buffer }) > 20 end)
local number = line_of('  disposition  rework')
vim.api.nvim_buf_set_lines(buffer, number - 1, number, false, { ' disposition rework, divert, destroy by coordinator' })
vim.lsp.buf.format({ timeout_ms = 10000 })
want(vim.fn.search('^    disposition  rework, divert, destroy by coordinator$', 'nw') > 0, 'the text is not formatted')

for _, client in ipairs(vim.lsp.get_clients()) do client:stop() end
until_true('the server does not end', function() return #vim.lsp.get_clients() == 0 end)
vim.fn.delete(folder, 'rf')
if #faults > 0 then
  io.stderr:write(table.concat(faults, '\n') .. '\n')
  os.exit(1)
end
io.stdout:write('neovim: findings, changes, meanings, names, proposals, outline, scales and form in a real editor\n')
os.exit(0)
