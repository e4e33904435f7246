#!/usr/bin/env bash
# Colours a worked example with Vim by the pack in grammar/vim, and asks what colour stands at known words.
set -eu
cd "$(dirname "$0")/.."
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cat >"$folder/ask.vim" <<'VIM'
set nocompatible encoding=utf-8
set runtimepath^=grammar/vim
filetype plugin on
syntax on
edit plans/smoked-goose-breast.haccp
let s:out = ['filetype ' . &filetype]
function s:Ask(pattern, wanted)
  call cursor(1, 1)
  let [l:line, l:column] = searchpos(a:pattern, 'cW')
  let l:got = synIDattr(synID(l:line, l:column, 1), 'name')
  call add(s:out, (l:got ==# a:wanted ? 'ok ' : 'WRONG ') . a:pattern . ' is ' . l:got)
endfunction
call s:Ask('^\zsccp ', 'haccpBlock')
call s:Ask('^ccp \zsle', 'haccpName')
call s:Ask('^  \zslimit core-hold', 'haccpStatement')
call s:Ask('core >= \zs70', 'haccpNumber')
call s:Ask('core >= 70 \zs°C', 'haccpUnit')
call s:Ask('core \zs>= 70', 'haccpSign')
call s:Ask('70 °C \zsheld', 'haccpInside')
call s:Ask('flow-confirmed  \zs2026', 'haccpDate')
call s:Ask('does   "\zsS', 'haccpText')
call s:Ask('^# \zsS', 'haccpComment')
call writefile(s:out, $ANSWERS)
quitall!
VIM
ANSWERS="$folder/answers" vim -u NONE -N -i NONE -es -S "$folder/ask.vim" </dev/null >/dev/null 2>&1 || true
[ -s "$folder/answers" ] || { echo "vim: no answers"; exit 1; }
if ! grep -q '^filetype haccp$' "$folder/answers" || grep -q WRONG "$folder/answers" || [ "$(grep -c '^ok' "$folder/answers")" -ne 10 ]; then
  cat "$folder/answers"
  exit 1
fi
echo "vim: the worked example has its colours"
