" Vim syntax of a HACCP plan. Made from grammar/words.csv and the table of units; a test keeps it so.
if exists('b:current_syntax')
  finish
endif
syntax case match
syntax iskeyword @,48-57,_,-,192-255
syntax match haccpInside /\<\%(continuously\|degree-hours\|throughout\|otherwise\|reduction\|whichever\|humidity\|relative\|shown-by\|between\|counted\|not-met\|reaches\|samples\|stretch\|working\|absent\|before\|begins\|chosen\|during\|longer\|relies\|sample\|within\|above\|alert\|bands\|below\|check\|every\|falls\|lasts\|least\|meets\|model\|other\|rises\|times\|total\|until\|using\|value\|worst\|down\|each\|ends\|good\|held\|last\|late\|less\|lots\|more\|most\|than\|time\|when\|with\|all\|and\|any\|for\|lot\|met\|not\|one\|per\|the\|as\|at\|by\|in\|is\|of\|on\|or\|to\|up\|F\|M\|a\|c\|m\|n\)\>/
syntax match haccpStatement /\%(^\s\+\|[{;]\s*\)\@<=\%(listeria-alternative\|acceptable-level\|not-significant\|operating-limit\|flow-confirmed\|establishment\|not-concerned\|specification\|storage-class\|distribution\|working-days\|description\|disposition\|may-contain\|significant\|considered\|credit-gap\|likelihood\|reassessed\|registered\|resolution\|shelf-life\|stands-for\|supersedes\|allergens\|calibrate\|consumers\|deviation\|hold-back\|packaging\|procedure\|publisher\|qualified\|time-zone\|validated\|accuracy\|category\|concerns\|decision\|dispatch\|diverted\|holidays\|identity\|in-force\|measures\|property\|reassess\|recorded\|replaces\|required\|responds\|revision\|severity\|supplier\|address\|answers\|because\|carries\|changed\|cleaned\|control\|edition\|finding\|maximum\|minimum\|monitor\|optimum\|outside\|pairing\|prevent\|regimes\|restore\|routine\|storage\|trained\|adjust\|covers\|duties\|hazard\|judged\|leader\|member\|number\|option\|probes\|serial\|series\|shifts\|verify\|after\|allow\|cause\|cites\|gives\|guide\|label\|limit\|meets\|range\|reset\|scope\|stage\|start\|stuck\|where\|date\|does\|file\|from\|hold\|kept\|kind\|only\|rate\|tree\|unit\|uses\|zone\|row\|use\|no\|D\|z\)\>/
syntax match haccpBlock /^\%(inactivation\|instrument\|equipment\|exception\|parameter\|programme\|material\|control\|include\|product\|growth\|hazard\|record\|source\|event\|study\|table\|plan\|role\|step\|team\|ccp\)\>/ nextgroup=haccpName skipwhite
syntax match haccpName /\a[^ \t"{]*/ contained
syntax match haccpNumber /\<[0-9]\+\%(\.[0-9]\+\)\?/ nextgroup=haccpUnit skipwhite
syntax match haccpDate /\<[0-9]\{4}-[0-9]\{2}-[0-9]\{2}\>/
syntax match haccpUnit /\%(log10\/h\|CFU\/mL\|cfu\/mL\|cfu\/ml\|degC\.h\|degF\.h\|number\|pieces\|°C·h\|°F·h\|µg\/kg\|μg\/kg\|CFU\/g\|L\/min\|cfu\/g\|hours\|l\/min\|log10\|m\/min\|mg\/kg\|piece\|ratio\|ug\/kg\|weeks\|days\|degC\|degF\|g\/kg\|g\/mL\|g\/ml\|hour\|inch\|mbar\|week\|%RH\|L\/h\|bar\|day\|gal\|hPa\|kPa\|l\/h\|log\|m\/s\|min\|ppb\|ppm\|psi\|sec\|°C\|°F\|µm\|ºC\|ºF\|μm\|℃\|℉\|Pa\|aw\|cm\|kg\|lb\|mL\|mg\|ml\|mm\|ms\|oz\|pH\|um\|%\|K\|L\|d\|g\|h\|l\|m\|s\|t\)\ze\%([^A-Za-z0-9\/]\|$\)/ contained
syntax match haccpSign /<=\|>=\|[<>=≤≥±]/
syntax match haccpBlank /\<___\+\>/
syntax region haccpText start=/["“”„]/ end=/["“”„]\|$/
syntax match haccpComment /\%(^\|\s\)\@<=#\%(\s.*\)\?$/
highlight default link haccpBlock Keyword
highlight default link haccpName Type
highlight default link haccpStatement Statement
highlight default link haccpInside Keyword
highlight default link haccpNumber Number
highlight default link haccpUnit Special
highlight default link haccpDate Constant
highlight default link haccpSign Operator
highlight default link haccpBlank Todo
highlight default link haccpText String
highlight default link haccpComment Comment
let b:current_syntax = 'haccp'
