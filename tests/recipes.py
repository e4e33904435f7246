"""Tries the recipes of docs/automation.md, taken from the page: hooks in a real repository, the files for hosts against
the schemas that the hosts publish, and their lines run one by one, with a clean plan and with a broken one.

usage: recipes.py BOURN   (run by the Python that has pre-commit and check-jsonschema)
"""

import os
import re
import shutil
import stat
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from ruamel.yaml import YAML

TOP = Path(__file__).resolve().parent.parent
BOURN = Path(sys.argv[1]).resolve()
BIN = Path(sys.executable).parent
SCHEMAS = {".github": "vendor.github-workflows", ".forgejo": "vendor.github-workflows", ".gitlab-ci.yml": "vendor.gitlab-ci"}

page = (TOP / "docs/automation.md").read_text(encoding="utf-8")
blocks = re.findall(r"^```(\w+)\n(.*?)^```$", page, re.M | re.S)
hook = next(text for kind, text in blocks if kind == "sh")
files = {re.match(r"# file: (\S+)\n", text)[1]: text for kind, text in blocks if kind == "yml"}
assert len(files) == 4, files.keys()
clean = (TOP / "plans/smoked-goose-breast.haccp").read_text(encoding="utf-8")
broken = clean.replace("oven-operator using oven-1-probes", "oven-operater using oven-1-probes")
untidy = clean.replace("  leader   coordinator ", " leader coordinator ")
assert broken != clean and untidy != clean


def run(folder, *command, **more):
    env = dict(os.environ, PATH=f"{folder}/bin:{BIN}:{os.environ['PATH']}", GIT_CONFIG_GLOBAL=os.devnull,
               PRE_COMMIT_HOME=f"{folder}/cache", GIT_AUTHOR_NAME="A", GIT_AUTHOR_EMAIL="a@example.org",
               GIT_COMMITTER_NAME="A", GIT_COMMITTER_EMAIL="a@example.org")
    return subprocess.run(command, cwd=folder / "repository", env=env, capture_output=True, text=True, **more)


def repository(folder):
    (folder / "bin").mkdir()
    shutil.copy(BOURN, folder / "bin/bourn")
    (folder / "repository").mkdir()
    assert run(folder, "git", "init", "--quiet").returncode == 0
    return folder / "repository"


def commits(folder, text):
    """Whether a commit of this text is taken, and what was said."""
    (folder / "repository/my-plan.haccp").write_text(text, encoding="utf-8")
    run(folder, "git", "add", "--all")
    done = run(folder, "git", "commit", "--quiet", "--allow-empty", "--message", "plan")
    return done.returncode == 0, done.stdout + done.stderr


def asks(folder, name):
    taken, said = commits(folder, clean)
    assert taken, f"{name}: a clean plan is refused: {said}"
    taken, said = commits(folder, broken)
    assert not taken and "oven-operater" in said, f"{name}: a plan with an error is taken: {said}"
    taken, said = commits(folder, untidy)
    assert not taken and "+  leader   coordinator" in said, f"{name}: an untidy plan is taken: {said}"


with tempfile.TemporaryDirectory() as folder:
    folder = Path(folder)
    path = repository(folder) / ".git/hooks/pre-commit"
    path.write_text(hook, encoding="utf-8")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    asks(folder, "the hook")

with tempfile.TemporaryDirectory() as folder:
    folder = Path(folder)
    name = ".pre-commit-config.yaml"
    (repository(folder) / name).write_text(files.pop(name), encoding="utf-8")
    done = run(folder, "pre-commit", "install")
    assert done.returncode == 0, done
    asks(folder, "pre-commit")

# The settings for Helix are TOML, and name the server by the name they give it.
helix = tomllib.loads((TOP / "grammar/helix/languages.toml").read_text(encoding="utf-8"))
for language in helix["language"]:
    assert all(name in helix["language-server"] for name in language["language-servers"]), helix

lines = 0
for name, text in files.items():
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        path = repository(folder) / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        schema = next(schema for start, schema in SCHEMAS.items() if name.startswith(start))
        done = run(folder, "check-jsonschema", "--builtin-schema", schema, name)
        assert done.returncode == 0, f"{name}: {done.stdout}{done.stderr}"
        job = YAML(typ="safe").load(text)
        job = job["plan"] if "plan" in job else job["jobs"]["plan"]
        steps = job.get("script") or [step["run"] for step in job["steps"] if "run" in step]
        steps = [step for step in steps if not step.startswith("cargo install")]
        assert len(steps) >= 2, (name, steps)
        for plan, wanted in ((clean, 0), (broken, 1)):
            (folder / "repository/my-plan.haccp").write_text(plan, encoding="utf-8")
            failed = [step for step in steps if run(folder, "sh", "-c", step).returncode != 0]
            checks = [step for step in failed if step.startswith("bourn check")]
            assert (len(checks) == 1) if wanted else not failed, (name, failed)
            lines += len(steps)
        for made in ("plan.sarif", "plan.xml", "my-plan.html"):
            if made in text:
                assert (folder / "repository" / made).stat().st_size > 500, (name, made)
print(f"recipes: two hooks refuse what they should; {len(files)} files for hosts fit their schemas, {lines} lines run")
