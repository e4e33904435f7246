"""`bourn new` on a terminal: it asks, takes answers, and leaves blank what is not answered.

usage: terminal.py BOURN
"""

import os
import pty
import select
import sys
import tempfile
from pathlib import Path

BOURN = str(Path(sys.argv[1]).resolve())


def talk(folder, answers):
    """Runs the program on a terminal of its own, answers each question; what was said, and the status."""
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(folder)
        os.execv(BOURN, [BOURN, "new", "plan.haccp", "--on", "2026-09-14"])
    said = ""
    left = list(answers)
    while True:
        ready, _, _ = select.select([terminal], [], [], 20)
        assert ready, f"it waits: {said}"
        try:
            piece = os.read(terminal, 4096).decode(errors="replace")
        except OSError:
            break
        if not piece:
            break
        said += piece
        if said.endswith("? "):
            os.write(terminal, (left.pop(0) if left else "").encode() + b"\n")
            said += "\n"
    _, status = os.waitpid(child, 0)
    return said, os.waitstatus_to_exitcode(status), left


with tempfile.TemporaryDirectory() as folder:
    said, status, left = talk(folder, ["eu", "Duck slices", "Quernside Kitchen", "", "Europe/London"])
    assert status == 0 and not left, (status, left, said)
    plan = (Path(folder) / "plan.haccp").read_text(encoding="utf-8")
    for line in ("regimes         eu", 'establishment   "Quernside Kitchen"', "address         ___", "time-zone       Europe/London",
                 'product my-product "Duck slices" {'):
        assert line in plan, (line, plan)
    assert "Who eats it" in said and "values are blank" in said, said
    said, status, _ = talk(folder, [])
    assert status == 2 and "is there already" in said and "?" not in said, said
print("terminal: it asks, takes the answers, leaves the rest blank, and overwrites nothing")
