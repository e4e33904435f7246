#!/usr/bin/env bash
# Prints the demo's document and report with headless Chromium and reads the PDF back: page size, page count,
# running heads, page numbers, and that no page is empty. Then looks at the same pages on screens, and at a plan whose
# every text is hostile (tests/pages/).
set -eu
cd "$(dirname "$0")/.."
target=${CARGO_TARGET_DIR:-target}
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cargo build --quiet --bin bourn --example demo-month
"$target/debug/examples/demo-month" --out "$folder/records" >/dev/null
plan=plans/smoked-goose-breast.haccp
"$target/debug/bourn" render "$plan" --on 2026-11-25 --output "$folder/plan.html" 2>/dev/null
"$target/debug/bourn" render "$plan" --on 2026-11-25 --paper letter --output "$folder/letter.html" 2>/dev/null
"$target/debug/bourn" verify "$plan" --mapping demo/mapping.yaml --records "$folder" --month 2026-10 \
  --html "$folder/report.html" >/dev/null 2>&1 || [ $? -eq 1 ]
"$target/debug/bourn" forms "$plan" --on 2026-11-25 --output "$folder/forms.html" 2>/dev/null
failed=0
say() { echo "paper: $*"; }
check() { # name, least pages, most pages, page size
  chromium --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --disable-component-update \
    --user-data-dir="$folder/browser" --no-pdf-header-footer --print-to-pdf="$folder/$1.pdf" "file://$folder/$1.html" >/dev/null 2>&1
  pages=$(pdfinfo "$folder/$1.pdf" | awk '/^Pages:/ {print $2}')
  size=$(pdfinfo "$folder/$1.pdf" | awk '/^Page size:/ {print int($3+.5) "x" int($5+.5)}')
  say "$1: $pages pages, $size"
  if [ "$pages" -lt "$2" ] || [ "$pages" -gt "$3" ] || [ "$size" != "$4" ]; then say "$1: wanted $2 to $3 pages of $4"; failed=1; fi
  page=1
  while [ "$page" -le "$pages" ]; do
    text=$(pdftotext -f "$page" -l "$page" "$folder/$1.pdf" - | tr '\n' ' ')
    case "$text" in *"Page $page of $pages"*) ;; *) say "$1: page $page has no number"; failed=1 ;; esac
    words=$(printf '%s' "$text" | wc -w)
    if [ "$words" -lt 25 ]; then say "$1: page $page is all but empty ($words words)"; failed=1; fi
    page=$((page + 1))
  done
}
check plan 15 40 595x842
check letter 15 40 612x792
check report 65 80 595x842
check forms 21 26 595x842
# The tool's own way to paper comes to the same number of pages.
cp "$plan" "$folder/own.haccp"
"$target/debug/bourn" forms "$folder/own.haccp" --on 2026-11-25 --pdf 2>/dev/null
own=$(pdfinfo "$folder/own.forms.pdf" | awk '/^Pages:/ {print $2}')
if [ "$own" != "$pages" ]; then say "forms: --pdf prints $own pages, the browser by hand $pages"; failed=1; fi
# With page numbers in the contents, and no page moved by them.
mkdir "$folder/front"
printf 'Who we are\n\nA plant that is invented.\n' >"$folder/front/front.txt"
for own in "$plan" plans/cured-cooked-ham.haccp "$plan --style $folder/front --paper letter"; do
  # shellcheck disable=SC2086
  "$target/debug/bourn" render $own --on 2026-11-25 --output "$folder/leaves.html" --pdf 2>/dev/null
  mv "$folder/leaves.pdf" "$folder/numbered.pdf"
  chromium --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --disable-component-update \
    --user-data-dir="$folder/browser" --no-pdf-header-footer --print-to-pdf="$folder/leaves.pdf" "file://$folder/leaves.html" >/dev/null 2>&1
  python3 tests/leaves.py "$folder/leaves.html" "$folder/numbered.pdf" "$folder/leaves.pdf" || failed=1
done
[ "$failed" -eq 0 ] && echo "8 passed, 0 failed"
node tests/pages/hostile.mjs "$plan" >"$folder/hostile.haccp"
"$target/debug/bourn" render "$folder/hostile.haccp" --on 2026-11-25 --output "$folder/hostile.html" >/dev/null 2>&1 || [ $? -eq 1 ]
node tests/pages/check.mjs target/pages "$folder/plan.html" "$folder/report.html" "$folder/forms.html" "$folder/hostile.html" || failed=1
exit "$failed"
