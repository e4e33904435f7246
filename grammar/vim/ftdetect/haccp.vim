autocmd BufNewFile,BufRead *.haccp setfiletype haccp
