"""What must hold when things go wrong: killed runs, runs side by side, a full disk, other clocks, zones and languages, no network,
texts that would steer a terminal, mappings and workbooks that would swell, files that may not be read.

    python tests/trust.py BOURN FOLDER [KILLS]

BOURN is the program; FOLDER holds the records of the demo's month, as `demo-month --out FOLDER/records` writes them. KILLS
is how many runs of each command are killed, at random moments that are the same in every run of this script.
"""

import hashlib
import os
import pathlib
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import zipfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
passed = failed = 0


def check(name, holds, told=""):
    global passed, failed
    if holds:
        passed += 1
    else:
        failed += 1
        print(f"trust: {name} does not hold {told}")


class Desk:
    """A folder with the demo's plan, mapping and records."""

    def __init__(self, bourn, month):
        self.bourn, self.month = bourn, month
        self.held = tempfile.TemporaryDirectory()
        self.path = pathlib.Path(self.held.name)
        shutil.copy(ROOT / "plans/smoked-goose-breast.haccp", self.path / "plan.haccp")
        shutil.copy(ROOT / "demo/mapping.yaml", self.path / "mapping.yaml")
        (self.path / "records").symlink_to(month / "records")

    def command(self, name):
        verify = ["verify", "plan.haccp", "--mapping", "mapping.yaml", "--records", ".", "--month", "2026-10"]
        return [self.bourn] + {
            "render": ["render", "plan.haccp", "--on", "2026-11-25", "--output", "out.html", "--json", "out.json"],
            "verify": verify + ["--json", "out.json", "--html", "out.html"],
            "fmt": ["fmt", "plan.haccp"],
            "sign": [
                "sign", "plan.haccp", "--role", "coordinator", "--name", "Ada Invented", "--as", "approved",
                "--on", "2026-11-25",
            ],
        }[name]

    def run(self, name, **more):
        return subprocess.run(self.command(name), cwd=self.path, capture_output=True, check=False, **more)

    def bytes(self):
        """Every file but the records and what a killed run left over under a name of its own."""
        found = {}
        for path in sorted(self.path.iterdir()):
            if path.is_file() and not path.name.startswith(".bourn-"):
                found[path.name] = hashlib.sha256(path.read_bytes()).hexdigest()
        return found


def beginning(month):
    """The first rows of each record of the month, where what is tried does not rest on their length."""
    short = month / "short"
    (short / "records").mkdir(parents=True, exist_ok=True)
    for path in (month / "records").iterdir():
        with open(path, "rb") as whole:
            (short / "records" / path.name).write_bytes(b"".join(whole.readlines()[:300]))
    return short


def before(desk, name):
    """Puts the folder into the state in which a command finds it."""
    for path in desk.path.iterdir():
        if path.is_file() and path.name not in ("plan.haccp", "mapping.yaml"):
            path.unlink()
    text = (ROOT / "plans/smoked-goose-breast.haccp").read_text(encoding="utf-8")
    (desk.path / "plan.haccp").write_text(text.replace("{\n", "{\n\n\n") if name == "fmt" else text, encoding="utf-8")
    if name in ("render", "verify"):
        for out in ("out.html", "out.json"):
            (desk.path / out).write_text("the older one\n", encoding="utf-8")


def killed(bourn, month, kills):
    """Each file is afterwards what it was or what it becomes, and the next run does the whole of it."""
    chance = random.Random(417)
    for name in ("render", "verify", "fmt", "sign"):
        desk = Desk(bourn, month)
        before(desk, name)
        old = desk.bytes()
        start = time.monotonic()
        done = desk.run(name)
        length = time.monotonic() - start
        check(f"{name} runs", done.returncode in (0, 1), done.stderr[-500:])
        new = desk.bytes()
        check(f"{name} writes", new != old)
        stopped = 0
        # A verification takes long in a build for tests: fewer kills of it, and only some followed by a whole run.
        kills_here, whole = (kills // 3, 4) if name == "verify" else (kills, 1)
        for at in range(kills_here):
            before(desk, name)
            run = subprocess.Popen(desk.command(name), cwd=desk.path, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            time.sleep(chance.uniform(0, length * 1.1))
            run.send_signal(signal.SIGKILL)
            stopped += run.wait() == -signal.SIGKILL
            for file, digest in desk.bytes().items():
                check(f"{file} after a killed {name}", digest in (old.get(file), new.get(file)))
            # A signature that was written whole needs no second one.
            signed = name == "sign" and desk.bytes() == new
            if at % whole == 0 and not signed:
                check(f"{name} after a killed run", desk.run(name).returncode == done.returncode and desk.bytes() == new)
            for left in desk.path.glob(".bourn-*"):
                left.unlink()
        print(f"trust: {name}: {stopped} of {kills_here} runs were killed before they ended, within {length:.2f} s")
        check(f"some runs of {name} are killed", stopped > kills_here // 10)


def side_by_side(bourn, month):
    desk = Desk(bourn, month)
    before(desk, "verify")
    desk.run("verify")
    new = desk.bytes()
    before(desk, "verify")
    quiet = {"cwd": desk.path, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    runs = [subprocess.Popen(desk.command("verify"), **quiet) for _ in range(4)]
    check("runs side by side end alike", len({run.wait() for run in runs}) == 1)
    check("runs side by side write one whole file", desk.bytes() == new)


def full(bourn, month):
    """No room for the output: an error, the older file, and a status that is not success. No room on standard output either."""

    def no_room():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))

    for name in ("render", "verify", "fmt", "sign"):
        desk = Desk(bourn, month)
        before(desk, name)
        old = desk.bytes()
        done = desk.run(name, preexec_fn=no_room)
        if name != "sign":
            check(f"{name} on a full disk", done.returncode == 2 and b"cannot be written" in done.stderr, done.stderr[-300:])
            check(f"{name} on a full disk leaves all as it was", desk.bytes() == old)
            check(f"{name} on a full disk leaves nothing behind", not list(desk.path.glob(".bourn-*")))
    outputs(bourn, beginning(month))
    desk = Desk(bourn, month)
    for command in (["check", "--format", "json", "plan.haccp"], ["explain", "H102"], ["clauses", "plan.haccp"]):
        with open("/dev/full", "wb") as sink:
            done = subprocess.run([bourn, *command], cwd=desk.path, stdout=sink, stderr=subprocess.PIPE, check=False)
        check(f"{command[0]} to a full disk", done.returncode == 2 and b"standard output" in done.stderr, done.stderr[-300:])


def outputs(bourn, month):
    """Each file that a command writes, alone and beside the others, on a disk that holds all but the longest of them."""
    verify = ["--json", "o.json", "--html", "o.html", "--findings", "o.csv", "--lines", "o.jsonl"]
    oven = "records/oven-1.csv"
    commands = [Desk(bourn, month).command("verify")[1:-4] + verify]
    commands += [commands[0][:-8] + verify[at : at + 2] for at in range(0, 8, 2)]
    commands += [["render", "plan.haccp", "--output", "o.html", "--json", "o.json", "--xlsx", "o.xlsx"]]
    commands += [["forms", "plan.haccp", "--output", "o.html"], ["read", oven, "--output", "o.csv"]]
    commands += [["propose", oven, "--output", "o.yaml"], ["registers", "plan.haccp", "."]]
    for command in commands:
        desk = Desk(bourn, month)
        named = [one for one in command if one.startswith("o.") and command[0] != "propose"]
        for one in named:
            (desk.path / one).write_text("the older one\n", encoding="utf-8")
        old = desk.bytes()
        sound = subprocess.run([bourn, *command], cwd=desk.path, capture_output=True, check=False)
        what = " ".join([command[0], *(one for one in command if one.startswith("--"))])
        check(f"{what} writes", sound.returncode in (0, 1, 3) and all(desk.bytes()[one] != old[one] for one in named), sound.stderr[-300:])
        written = [path for path in desk.path.iterdir() if desk.bytes().get(path.name) != old.get(path.name)]
        most = max(path.stat().st_size for path in written) - 1
        for path in written:
            path.unlink()
        for one in named:
            (desk.path / one).write_text("the older one\n", encoding="utf-8")

        def no_room(most=most):
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

        done = subprocess.run([bourn, *command], cwd=desk.path, capture_output=True, check=False, preexec_fn=no_room)
        check(f"{what} on a full disk", done.returncode == 2 and b"cannot be written" in done.stderr, done.stderr[-300:])
        check(f"{what} on a full disk leaves all as it was", desk.bytes() == old)
        check(f"{what} on a full disk leaves nothing behind", not list(desk.path.glob(".bourn-*")))


def forbidden(bourn, month):
    """What may not be read or written is named, nothing is verified, and nothing is written. Tried without the rights of root."""
    desk = Desk(bourn, month)
    (desk.path / "records").unlink()
    shutil.copytree(month / "records", desk.path / "records")
    desk.path.chmod(0o755)
    less = {}
    if os.geteuid() == 0:
        own = shutil.copy(bourn, desk.path / "bourn")
        desk.bourn, less = str(own), {"user": 65534, "group": 65534, "extra_groups": []}
        for path in (desk.path, *desk.path.rglob("*")):
            os.chown(path, 65534, 65534)
    check("a verification without the rights of root", desk.run("verify", **less).returncode in (1, 3))
    for name, code in (
        ("plan.haccp", b"X101"), ("mapping.yaml", b"X101"), ("records/oven-1.csv", b"R102"), ("records/batch-record.csv", b"R102"),
        ("records", b"R10"),
    ):
        for out in ("out.html", "out.json"):
            (desk.path / out).write_text("the older one\n", encoding="utf-8")
        path, old = desk.path / name, desk.bytes()
        mode = path.stat().st_mode
        path.chmod(0)
        done = desk.run("verify", **less)
        path.chmod(mode)
        told = done.stderr.decode()
        check(f"{name} that may not be read", done.returncode == 2 and code.decode() in told, told[-500:])
        check(f"{name} that may not be read is named", name.split("/")[-1] in told and (name == "records" or "no permission" in told), told[-500:])
        check(f"{name} that may not be read leaves all as it was", desk.bytes() == old)
    (desk.path / "out.json").write_text("the older one\n", encoding="utf-8")
    old = desk.bytes()
    desk.path.chmod(0o555)
    done = desk.run("verify", **less)
    desk.path.chmod(0o755)
    check("a folder that may not be written", done.returncode == 2 and b"cannot be written: no permission" in done.stderr, done.stderr[-300:])
    check("a folder that may not be written is as it was", desk.bytes() == old)


def alike(bourn, month):
    """Zone, language, folder and number of processors of the machine change no byte."""
    settings = [
        {"TZ": "UTC", "LANG": "C"},
        {"TZ": "Pacific/Kiritimati", "LANG": "de_DE.UTF-8", "LC_ALL": "de_DE.UTF-8"},
        {"TZ": "America/St_Johns", "LANG": "tr_TR.UTF-8", "COLUMNS": "20", "TERM": "xterm-256color"},
    ]
    for name in ("render", "verify", "fmt", "sign"):
        results = set()
        for at, more in enumerate(settings):
            desk = Desk(bourn, month)
            before(desk, name)
            pin = {"preexec_fn": lambda: os.sched_setaffinity(0, {0})} if at == 1 else {}
            done = desk.run(name, env={"PATH": os.environ["PATH"], **more}, **pin)
            results.add((done.returncode, done.stdout, done.stderr, tuple(desk.bytes().items())))
        check(f"{name} gives the same bytes in every setting", len(results) == 1)


def without_network(bourn, month):
    unshare = shutil.which("unshare")
    tried = unshare and subprocess.run([unshare, "-rn", "true"], capture_output=True, check=False).returncode == 0
    if not tried:
        print("trust: this machine lets nobody take the network away; that check is left out")
        return
    for name in ("render", "verify", "fmt", "sign"):
        results = []
        for fence in ([], [unshare, "-rn"]):
            desk = Desk(bourn, month)
            before(desk, name)
            done = subprocess.run(fence + desk.command(name), cwd=desk.path, capture_output=True, check=False)
            results.append((done.returncode, done.stdout, done.stderr, desk.bytes()))
        check(f"{name} without a network", results[0] == results[1])


def steering(bourn, month):
    """Nothing of a plan, a mapping or a record reaches the terminal as a command to it."""
    desk = Desk(bourn, month)
    text = (desk.path / "plan.haccp").read_text(encoding="utf-8")
    nasty = "\x1b]0;title\x07\x1b[2J\x9b31m\u202e\u2066"
    (desk.path / "plan.haccp").write_text(text.replace('" {\n', f'{nasty}" {{\n').replace("at cook", f"at c{nasty}k"), encoding="utf-8")
    (desk.path / "name\x1b[31m.haccp").write_text("plan p {", encoding="utf-8")
    commands = [["check", "--format", form, "plan.haccp"] for form in ("terminal", "plain", "short", "json", "sarif", "junit")]
    commands += [["clauses", "plan.haccp"], ["render", "plan.haccp"], ["forms", "plan.haccp"], ["explain", nasty]]
    commands += [["compare", "plan.haccp", str(ROOT / "plans/peanut-butter.haccp")], ["check", "name\x1b[31m.haccp"]]
    commands += [desk.command("verify")[1:]]
    for command in commands:
        done = subprocess.run([bourn, *command], cwd=desk.path, capture_output=True, check=False)
        said = (done.stdout + done.stderr).decode("utf-8")
        bad = sorted({f"U+{ord(c):04X}" for c in said if ord(c) in (0x1B, 0x07, 0x9B, 0x202E, 0x2066)})
        check(f"{' '.join(command[:3])!r} says nothing to the terminal itself", not bad, bad)
        check(f"{command[0]} ends", done.returncode in (0, 1, 2, 3), done.returncode)


def swelling(bourn, month):
    """A mapping whose aliases would fill any machine ends soon, in bounded memory, with an error."""

    def little():
        resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30))

    desk = Desk(bourn, month)
    layers = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    layers += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 12)]
    (desk.path / "mapping.yaml").write_text("\n".join(layers) + "\n", encoding="utf-8")
    start = time.monotonic()
    done = desk.run("verify", preexec_fn=little)
    check("a mapping of aliases is refused", done.returncode == 2 and done.stderr, done.stderr[-300:])
    check("and soon", time.monotonic() - start < 20)
    # A sheet of a megabyte that unpacks to six hundred, and an archive that says of it what is true, or less.
    for honest in (True, False):
        desk = Desk(bourn, month)
        (desk.path / "records").unlink()
        shutil.copytree(month / "records", desk.path / "records")
        book = desk.path / "records/oven-1.csv"
        with zipfile.ZipFile(book, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("xl/workbook.xml", "<workbook/>")
            with archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=False) as sheet:
                for _ in range(600):
                    sheet.write(b" " * (1 << 20))
        if not honest:
            size = (600 << 20).to_bytes(4, "little")
            book.write_bytes(book.read_bytes().replace(size, (4096).to_bytes(4, "little")))
        old = desk.bytes()
        done = desk.run("verify", preexec_fn=little)
        check("a workbook that swells is refused", done.returncode == 2 and b"R114" in done.stderr, done.stderr[-300:])
        check("a workbook that swells leaves all as it was", desk.bytes() == old and not list(desk.path.glob(".bourn-*")))


def main(bourn, month, kills="33"):
    bourn, month = str(pathlib.Path(bourn).resolve()), pathlib.Path(month).resolve()
    killed(bourn, month, int(kills))
    side_by_side(bourn, month)
    full(bourn, month)
    alike(bourn, month)
    without_network(bourn, month)
    steering(bourn, month)
    swelling(bourn, beginning(month))
    forbidden(bourn, beginning(month))
    print(f"{passed} passed, {failed} failed")
    sys.exit(failed > 0)


if __name__ == "__main__":
    main(*sys.argv[1:])
