" Tenterhook in Vim 9 with ALE. Paste this into ~/.vimrc, or source it from there. Leave out 'packadd ale' if a plugin
" manager loads ALE. Plain text and Markdown are proofed only in folders that hold a tenterhook.toml, which may be empty.

filetype plugin on
packadd ale

autocmd BufRead,BufNewFile *.crochet setfiletype crochet

let g:ale_linters = get(g:, 'ale_linters', {})
let g:ale_linters.crochet = ['tenterhook']
let g:ale_linters.text = ['tenterhook']
let g:ale_linters.markdown = ['tenterhook']

function! s:TenterhookRoot(buffer) abort
  let l:marker = findfile('tenterhook.toml', expand('#' . a:buffer . ':p:h') . ';')
  if !empty(l:marker)
    return fnamemodify(l:marker, ':p:h')
  endif
  return getbufvar(a:buffer, '&filetype') ==# 'crochet' ? expand('#' . a:buffer . ':p:h') : ''
endfunction

for s:type in ['crochet', 'text', 'markdown']
  call ale#linter#Define(s:type, {
  \ 'name': 'tenterhook',
  \ 'lsp': 'stdio',
  \ 'executable': 'tenterhook',
  \ 'command': '%e serve',
  \ 'project_root': function('s:TenterhookRoot'),
  \ 'lsp_config': {'tenterhook': {'calm': v:true, 'rest': 1, 'hints': 'unstated'}},
  \})
endfor
