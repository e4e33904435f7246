#!/usr/bin/env bash
# Installs what the tests need, then runs them all. With --no-install it only runs them.
set -eu
cd "$(dirname "$0")/.."
if [ "${1:-}" != "--no-install" ]; then
  sudo=""
  [ "$(id -u)" -eq 0 ] || sudo=sudo
  if ! command -v chromium >/dev/null || ! command -v pdftotext >/dev/null || ! command -v pdfinfo >/dev/null; then
    $sudo apt-get update -qq
    $sudo apt-get install -y -qq --no-install-recommends chromium poppler-utils fonts-dejavu-core >/dev/null
  fi
  python3 -m venv target/python
  target/python/bin/pip install --quiet --disable-pip-version-check -r tests/requirements.txt
fi
cargo fmt --check
cargo clippy --all-targets --quiet -- -D warnings
counts="${CARGO_TARGET_DIR:-target}/tmp/counts"
rm -rf "$counts"
cargo test --quiet
target/python/bin/python tests/published/second_opinion.py --check
target/python/bin/python tests/reference/stl.py --check
tests/paper.sh
# What was counted, where the harness cannot hide it.
cat "$counts"/*.txt
