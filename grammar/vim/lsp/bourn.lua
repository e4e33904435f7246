-- Neovim 0.11 or newer: the language server of a HACCP plan.
return {
cmd = { 'bourn', 'lsp' },
filetypes = { 'haccp' },
root_markers = { '.git' },
}
