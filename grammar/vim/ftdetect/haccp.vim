autocmd BufNewFile,BufRead *.haccp set filetype=haccp
