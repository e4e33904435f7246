#!/usr/bin/env bash
# The main job on the demo: write the invented month, check the plan, render it, verify the month.
# Ends with the exit status of the verification: 1, since the month has planted deviations.
set -u
cd "$(dirname "$0")/.." || exit 2
plan=plans/smoked-goose-breast.haccp
echo "Building the program and the invented month; the first time this takes some minutes."
cargo build --quiet --release --bin bourn --example demo-month || exit 2
target=${CARGO_TARGET_DIR:-target}/release
"$target/examples/demo-month" || exit 2
echo
echo "== bourn check $plan"
"$target/bourn" check "$plan" || exit 2
echo
echo "== bourn render $plan"
"$target/bourn" render "$plan" --output demo/out/plan.html || exit 2
echo
echo "== bourn verify $plan --mapping demo/mapping.yaml --records demo/out --month 2026-10"
"$target/bourn" verify "$plan" --mapping demo/mapping.yaml --records demo/out --month 2026-10 \
  --json demo/out/verification.json --html demo/out/verification.html 2>demo/out/remarks.txt
status=$?
echo
echo "exit status $status. Now open demo/out/plan.html and demo/out/verification.html in a browser."
echo "Remarks on the records are in demo/out/remarks.txt; the promises are in demo/README.md."
exit $status
