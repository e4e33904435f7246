" Settings for a HACCP plan.
setlocal commentstring=#\ %s comments=:#
setlocal expandtab shiftwidth=2 softtabstop=2
setlocal iskeyword+=-
