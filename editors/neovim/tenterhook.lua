-- Tenterhook in Neovim 0.11 or later. Paste this into ~/.config/nvim/init.lua, or load it from there with dofile().

vim.filetype.add({ extension = { crochet = "crochet" } })

vim.lsp.config("tenterhook", {
  cmd = { "tenterhook", "serve" },
  filetypes = { "crochet", "text", "markdown" },
  -- Plain text and Markdown are proofed only in folders that hold a tenterhook.toml, which may be empty.
  root_dir = function(buffer, begin)
    local root = vim.fs.root(buffer, "tenterhook.toml")
    if root or vim.bo[buffer].filetype == "crochet" then
      begin(root or vim.fs.dirname(vim.api.nvim_buf_get_name(buffer)))
    end
  end,
  settings = { tenterhook = { calm = true, rest = 1, hints = "unstated" } },
})
vim.lsp.enable("tenterhook")

vim.diagnostic.config({ virtual_text = true })

vim.api.nvim_create_autocmd("LspAttach", {
  callback = function(args)
    local client = vim.lsp.get_client_by_id(args.data.client_id)
    if not client or client.name ~= "tenterhook" then
      return
    end
    vim.lsp.inlay_hint.enable(true, { bufnr = args.buf })
    vim.lsp.completion.enable(true, client.id, args.buf, { autotrigger = true })
    vim.lsp.codelens.refresh({ bufnr = args.buf })
    vim.api.nvim_create_autocmd({ "BufEnter", "InsertLeave", "TextChanged" }, {
      buffer = args.buf,
      callback = function()
        vim.lsp.codelens.refresh({ bufnr = args.buf })
      end,
    })
    vim.api.nvim_create_autocmd({ "CursorHold" }, {
      buffer = args.buf,
      callback = function()
        vim.lsp.buf.clear_references()
        vim.lsp.buf.document_highlight()
      end,
    })
  end,
})
