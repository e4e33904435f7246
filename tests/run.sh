#!/usr/bin/env bash
# Installs what the tests need, then runs them all. With --no-install it only runs them.
set -eu
cd "$(dirname "$0")/.."
if [ "${1:-}" != "--no-install" ]; then
  sudo=""
  [ "$(id -u)" -eq 0 ] || sudo=sudo
  if ! command -v chromium >/dev/null || ! command -v pdftotext >/dev/null || ! command -v pdfinfo >/dev/null ||
    ! command -v java >/dev/null || ! command -v vim >/dev/null || ! command -v ssh-keygen >/dev/null; then
    $sudo apt-get update -qq
    $sudo apt-get install -y -qq --no-install-recommends chromium poppler-utils vim openssh-client fonts-dejavu-core default-jre-headless >/dev/null
  fi
  mkdir -p target/pages
  cp tests/pages/package.json tests/pages/package-lock.json target/pages
  (cd target/pages && npm ci --ignore-scripts --no-audit --no-fund --silent)
  python3 -m venv target/python
  target/python/bin/python -m pip install --quiet --disable-pip-version-check -r tests/requirements.txt
  # Schemas of the standards, from packages that ship them.
  schemas=target/schemas
  mkdir -p "$schemas/fetch/src"
  printf '[package]\nname = "fetch"\nversion = "0.0.0"\nedition = "2024"\n[workspace]\n[dependencies]\nserde-sarif = "=0.8.0"\n' \
    >"$schemas/fetch/Cargo.toml"
  : >"$schemas/fetch/src/lib.rs"
  cargo vendor --quiet --manifest-path "$schemas/fetch/Cargo.toml" "$schemas/vendor" >/dev/null
  target/python/bin/python -m pip download --quiet --disable-pip-version-check --no-deps --no-binary pytest --dest "$schemas" pytest==8.4.2
  tar xzf "$schemas/pytest-8.4.2.tar.gz" -O pytest-8.4.2/testing/example_scripts/junit-10.xsd >"$schemas/junit-10.xsd"
fi
cargo fmt --check
cargo clippy --all-targets --quiet -- -D warnings
counts="${CARGO_TARGET_DIR:-target}/tmp/counts"
rm -rf "$counts"
cargo test --quiet
"${CARGO_TARGET_DIR:-target}/debug/examples/demo-month" --out target/machine/records >/dev/null
target/python/bin/python tests/machine.py "${CARGO_TARGET_DIR:-target}/debug/bourn" target/schemas target/machine
target/python/bin/python tests/editor.py "${CARGO_TARGET_DIR:-target}/debug/bourn"
target/python/bin/python tests/terminal.py "${CARGO_TARGET_DIR:-target}/debug/bourn"
target/python/bin/python tests/ssh_keys.py "${CARGO_TARGET_DIR:-target}/debug/bourn"
target/python/bin/python tests/recipes.py "${CARGO_TARGET_DIR:-target}/debug/bourn"
node tests/pages/textmate.mjs target/pages
node tests/pages/vsix.mjs target/pages
node tests/pages/preview.mjs target/pages "${CARGO_TARGET_DIR:-target}/debug/bourn"
tests/vim.sh
PATH="$(realpath "${CARGO_TARGET_DIR:-target}/debug"):$PATH" timeout 120 target/python/bin/nvim --headless --clean \
  --cmd 'set runtimepath^=grammar/vim' -l tests/nvim.lua
target/python/bin/python tests/published/second_opinion.py --check
target/python/bin/python tests/reference/stl.py --check
tests/paper.sh
"${CARGO_TARGET_DIR:-target}/debug/examples/demo-month" --out target/trust/records >/dev/null
target/python/bin/python tests/trust.py "${CARGO_TARGET_DIR:-target}/debug/bourn" target/trust
target/python/bin/python benches/peers/run.py "${CARGO_TARGET_DIR:-target}/debug/bourn" --readings 60000 --agree
target/python/bin/python tests/fleet.py "${CARGO_TARGET_DIR:-target}/debug/bourn" target/fleet
BOURN_POLLUTED="$PWD/target/polluted" cargo test --quiet --test read the_files_for_other_readers
target/python/bin/python tests/readers.py "${CARGO_TARGET_DIR:-target}/debug/bourn" target/polluted
# What was counted, where the harness cannot hide it.
cat "$counts"/*.txt
