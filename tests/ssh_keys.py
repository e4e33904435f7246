"""Signatures by SSH keys, held against ssh-keygen of OpenSSH in both directions. All names are invented.

usage: ssh_keys.py PROGRAM
"""

import base64
import hashlib
import html
import os
import re
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

HERE = Path(__file__).resolve().parent
PROGRAM = str(Path(sys.argv[1]).resolve())
PLAN = (HERE / "findings" / "base.haccp").read_text("utf-8")
PURPOSE = "bourn-sign-off"
SIGN_OFF, SIGNERS = "plan.sign-off", "plan.allowed-signers"
DAY = "2026-01-22"
counts = {}


def run(*args, given=None, env=None):
    done = subprocess.run(args, input=given, capture_output=True, text=True, env=env, timeout=60)
    return done.returncode, done.stdout, done.stderr


def keygen(*args, given=None, env=None):
    return run("ssh-keygen", *args, given=given, env=env)


def make(name, *args):
    status, _, said = keygen("-q", "-C", "invented", "-f", name, *args)
    assert status == 0, said


def sign(*args, name="Ada Invented", role="chef", meaning="approved", on=DAY):
    status, out, said = run(
        PROGRAM, "sign", "plan.haccp", "--role", role, "--name", name, "--as", meaning, "--on", on, *args
    )
    # What is said, without the lines and folds of the terminal.
    return status, out, " ".join(re.sub("[│×⚠☞]", " ", said).split())


def check(*args, on="2026-02-10"):
    status, out, said = run(PROGRAM, "check", "plan.haccp", "--on", on, "--format", "short", *args)
    assert status in (0, 1), said
    return re.findall(r"\[([UX]\d+) ", out), out


def fresh():
    Path("plan.haccp").write_text(PLAN, "utf-8")
    for name in (SIGN_OFF, SIGNERS, "line", "line.sig"):
        Path(name).unlink(missing_ok=True)


def public(key):
    return " ".join(Path(f"{key}.pub").read_text().split()[:2])


def allow(text):
    Path(SIGNERS).write_text(text, "utf-8")


def armoured(text):
    lines = [text[at : at + 70] for at in range(0, len(text), 70)]
    return "\n".join(["-----BEGIN SSH SIGNATURE-----", *lines, "-----END SSH SIGNATURE-----", ""])


def taken_apart(row):
    """What is signed of a line of the file, and the signature as ssh-keygen reads it."""
    line = Path(SIGN_OFF).read_text("utf-8").split("\n")[row - 1]
    own, key = line.rsplit(" | key ", 1)
    return own + "\n", armoured(key)


def verifies(line, signature, signers, name="Ada Invented", at=None):
    Path("theirs.sig").write_text(signature)
    Path("theirs.signers").write_text(signers, "utf-8")
    when = ["-O", f"verify-time={at}"] if at else []
    args = ["-Y", "verify", *when, "-f", "theirs.signers", "-I", name, "-n", PURPOSE, "-s", "theirs.sig"]
    return keygen(*args, given=line)[0] == 0


def count(what):
    counts[what] = counts.get(what, 0) + 1


def rechained(lines):
    """The file with every line's digest of the line before, and the closing line, made anew; as a forger would."""
    out = lines[:1]
    for line in lines[1:]:
        before = hashlib.sha256(out[-1].encode()).hexdigest()
        out.append(re.sub(r"\| after [0-9a-f]{64}", f"| after {before}", line))
    return "\n".join(out) + "\n"


def ours_by_theirs():
    """What the program signs, ssh-keygen verifies; and no longer when one letter is another."""
    fresh()
    allow(f'"Ada Invented" {public("ada")}\n')
    status, _, said = sign("--ssh-key", "ada")
    assert status == 0 and said.startswith(
        "plan.haccp: approved by Ada Invented (chef) on 2026-01-22, revision 1, with a key listed for this name plan.haccp: "
    ), said
    assert check() == ([], ""), check()
    line, signature = taken_apart(2)
    signers = Path(SIGNERS).read_text("utf-8")
    assert verifies(line, signature, signers)
    # As docs/sign-off.md tells it, for a line elsewhere.
    page = (HERE.parent / "docs" / "sign-off.md").read_text("utf-8")
    told = page.split("line 4:\n\n```console\n")[1].split("```")[0].replace("$ ", "")
    told = told.replace("4s/", "2s/").replace("N. N. (invented)", "Ada Invented")
    status, out, said = run("sh", "-e", "-c", told)
    assert status == 0 and out.startswith(f'Good "{PURPOSE}" signature for Ada Invented'), out + said
    for at in range(0, len(line) - 1, 3):
        other = line[:at] + ("x" if line[at] != "x" else "y") + line[at + 1 :]
        assert not verifies(other, signature, signers), other
        count("letters of a line changed, refused by ssh-keygen")
    assert not verifies(line, signature, signers, name="Bo Invented")


def theirs_by_ours():
    """What ssh-keygen signs with a key in a file, a locked one in an agent, and both of its digests."""
    agent = dict(re.findall(r"(SSH_\w+)=([^;]+);", run("ssh-agent", "-s")[1]))
    env = {**os.environ, **agent}
    ask = Path("ask")
    ask.write_text("#!/bin/sh\necho invented-words\n")
    ask.chmod(0o700)
    try:
        asking = {**env, "SSH_ASKPASS": str(ask.resolve()), "SSH_ASKPASS_REQUIRE": "force"}
        assert run("ssh-add", "locked", env=asking)[0] == 0
        for key, args in [("ada", []), ("ada", ["-O", "hashalg=sha256"]), ("locked.pub", [])]:
            fresh()
            allow(f'"Ada Invented" {public("ada")}\n"Ada Invented" {public("locked")}\n')
            status, _, said = sign("--to-sign", "line")
            assert status == 0 and "nothing is signed yet" in said, said
            assert not Path(SIGN_OFF).exists()
            status, _, why = keygen("-Y", "sign", *args, "-n", PURPOSE, "-f", key, "line", env=env)
            assert status == 0, why
            status, _, said = sign("--ssh-signature", "line.sig")
            assert status == 0, said
            assert check() == ([], ""), check()
            assert taken_apart(2)[0] == Path("line").read_text("utf-8")
            count("signatures of ssh-keygen taken")
            # Not a second time, not for another line, not on another day.
            for change in ({}, {"name": "Bo Invented"}, {"role": "cook"}, {"meaning": "prepared"}, {"on": "2026-01-23"}):
                before = Path(SIGN_OFF).read_bytes()
                status, _, said = sign("--ssh-signature", "line.sig", **change)
                assert status == 2 and ("does not fit the line" in said or "signed so already" in said), said
                assert Path(SIGN_OFF).read_bytes() == before
                count("signatures of another line refused")
        # Line ends as a text from Windows has them.
        fresh()
        assert sign("--to-sign", "line")[0] == 0
        keygen("-Y", "sign", "-n", PURPOSE, "-f", "ada", "line")
        Path("line.sig").write_bytes(Path("line.sig").read_bytes().replace(b"\n", b"\r\n"))
        assert sign("--ssh-signature", "line.sig")[0] == 0
        # For another purpose.
        fresh()
        assert sign("--to-sign", "line")[0] == 0
        keygen("-Y", "sign", "-n", "file", "-f", "ada", "line")
        status, _, said = sign("--ssh-signature", "line.sig")
        assert status == 2 and "is made for `file`" in said and "U127" in said, said
        assert not Path(SIGN_OFF).exists()
    finally:
        subprocess.run(["kill", agent["SSH_AGENT_PID"]], check=False)


def refused():
    """Keys that are not read, each in words, and without a letter of the key."""
    make("ecdsa", "-t", "ecdsa", "-N", "")
    make("rsa", "-t", "rsa", "-b", "2048", "-N", "")
    make("pem", "-t", "rsa", "-b", "2048", "-m", "PEM", "-N", "")
    Path("text").write_text("no key at all\n")
    Path("cut").write_text("\n".join(Path("ada").read_text().split("\n")[:3]))
    for key, words in [
        ("locked", "locked with a passphrase"),
        ("ecdsa", "of the kind `ecdsa-sha2-nistp256`"),
        ("rsa", "of the kind `ssh-rsa`"),
        ("pem", "not a private key in the form of OpenSSH"),
        ("ada.pub", "a public key, which signs nothing"),
        ("text", "cannot be read as a private key"),
        ("cut", "cannot be read as a private key"),
        ("none", "no such file"),
    ]:
        fresh()
        status, out, said = sign("--ssh-key", key)
        assert status == 2 and out == "" and "nothing was signed" in said, said
        assert words in said or words in said.replace("- ", "-"), f"{key}: {said}"
        assert not Path(SIGN_OFF).exists()
        if Path(key).exists():
            secrets = [line for line in Path(key).read_text().split() if len(line) > 30]
            assert not any(secret in said for secret in secrets)
        count("keys refused")
    for key in ("ecdsa", "rsa"):
        fresh()
        assert sign("--to-sign", "line")[0] == 0
        assert keygen("-Y", "sign", "-n", PURPOSE, "-f", key, "line")[0] == 0
        status, _, said = sign("--ssh-signature", "line.sig")
        assert status == 2 and "U127" in said and "only Ed25519 is read here" in said, said
        # Put into the file by hand it is said that nobody knows.
        assert sign()[0] == 0
        lines = Path(SIGN_OFF).read_text("utf-8").split("\n")[:-1]
        bare = "".join(Path("line.sig").read_text().split("\n")[1:-2])
        lines[1] += f" | key {bare}"
        Path(SIGN_OFF).write_text(rechained(lines), "utf-8")
        allow(f'"Ada Invented" {public(key)}\n')
        assert check()[0] == ["U109"], check()


def tampered():
    """Two signed lines, forged with a sound chain: the keys still tell."""
    fresh()
    allow(f'"Ada Invented" {public("ada")}\n"Bo Invented" {public("bo")}\n')
    assert sign("--ssh-key", "bo", name="Bo Invented", role="cook", meaning="reviewed", on="2026-01-21")[0] == 0
    assert sign("--ssh-key", "ada")[0] == 0
    assert check() == ([], "")
    sound = Path(SIGN_OFF).read_text("utf-8").split("\n")[:-1]
    assert rechained(sound) == "\n".join(sound) + "\n"
    keys = [line.rsplit(" | key ", 1)[1] for line in sound[1:3]]

    def forged(change, codes):
        lines = change(list(sound))
        Path(SIGN_OFF).write_text(rechained(lines), "utf-8")
        have, said = check()
        assert have == codes, f"{have} instead of {codes}: {said}"
        count("forged files found")

    def put(row, old, new):
        def change(lines):
            assert old in lines[row]
            lines[row] = lines[row].replace(old, new)
            return lines

        return change

    for old, new in [
        ("2026-01-22", "2026-01-23"),
        ("approved", "prepared"),
        ("| chef |", "| cook |"),
        ("Ada Invented", "Bo Invented"),
        ("revision 1", "revision 2"),
    ]:
        forged(put(2, old, new), ["U115"])
    digest = re.search(r"plan-1:([0-9a-f]{64})", sound[2])[1]
    forged(put(2, digest, digest[::-1]), ["U115"])
    forged(put(2, keys[1], keys[0]), ["U115"])
    # A line that was signed with a key is changed: the one behind it no longer fits its chain.
    forged(put(1, f" | key {keys[0]}", ""), ["U115"])
    # A line without its key, or with that of somebody else.
    forged(put(2, f" | key {keys[1]}", ""), ["U110"])
    own = sound[2].rsplit(" | key ", 1)[0] + "\n"
    Path("line").write_text(own, "utf-8")
    Path("line.sig").unlink(missing_ok=True)
    assert keygen("-Y", "sign", "-n", PURPOSE, "-f", "bo", "line")[0] == 0
    other = "".join(Path("line.sig").read_text().split("\n")[1:-2])
    forged(put(2, keys[1], other), ["U108"])
    # The first line removed and the count mended.
    forged(lambda lines: [lines[0], lines[2], lines[3].replace("2 signatures", "1 signature")], ["U115"])
    raw = base64.b64decode(keys[1])
    shorter, longer = (base64.b64encode(bytes).decode() for bytes in (raw[:-1], raw + b"\0"))
    for broken, code in [("AAAA", "U111"), (shorter, "U115"), (longer, "U115"), ("", "U111"), ("ä", "U111")]:
        forged(put(2, keys[1], broken), [code])
    # Every tenth letter of the signature itself.
    for at in range(0, len(keys[1]), 10):
        letter = "A" if keys[1][at] != "A" else "B"
        lines = list(sound)
        lines[2] = lines[2].replace(keys[1], keys[1][:at] + letter + keys[1][at + 1 :])
        Path(SIGN_OFF).write_text(rechained(lines), "utf-8")
        have, said = check()
        assert have and set(have) <= {"U111", "U115", "U109", "U108"}, f"letter {at}: {said}"
        count("letters of a signature changed")
    # Nothing is put behind a broken line.
    Path(SIGN_OFF).write_text(rechained(put(2, "approved", "prepared")(list(sound))), "utf-8")
    status, _, said = sign("--ssh-key", "ada", on="2026-01-25")
    assert status == 2 and "U115" in said, said


def listed():
    """Files of allowed signers: the program and ssh-keygen say the same of each."""
    ada, bo = public("ada"), public("bo")
    name = "Ada Invented"
    tables = [
        (f'"{name}" {ada}\n', True),
        (f"# remark\n\n\t\"{name}\"\t{ada} a remark of words\n", True),
        (f'"{name}" {bo}\n', False),
        (f'"Bo Invented" {ada}\n', False),
        (f'"ada invented" {ada}\n', False),
        (f'"Bo Invented,{name}" {ada}\n', True),
        (f'"Ada*" {ada}\n', True),
        (f'"A?a Invented" {ada}\n', True),
        (f'"A?da Invented" {ada}\n', False),
        (f"* {ada}\n", True),
        (f'"*,!Ada*" {ada}\n', False),
        (f'"!Ada*,*" {ada}\n', False),
        (f'"*,!Bo*" {ada}\n', True),
        (f'"{name}" namespaces="{PURPOSE}" {ada}\n', True),
        (f'"{name}" NAMESPACES="file,{PURPOSE}" {ada}\n', True),
        (f'"{name}" namespaces="bourn-*" {ada}\n', True),
        (f'"{name}" namespaces="file,git" {ada}\n', False),
        (f'"{name}" valid-after="20260101" {ada}\n', True),
        (f'"{name}" valid-after="20260122" {ada}\n', True),
        (f'"{name}" valid-after="20260123" {ada}\n', False),
        (f'"{name}" valid-before="20260123" {ada}\n', True),
        (f'"{name}" valid-before="20260122" {ada}\n', False),
        (f'"{name}" valid-after="202601010830",valid-before="20270101083000Z" {ada}\n', True),
        (f'"{name}" valid-after="20260101",namespaces="git",valid-before="20270101" {ada}\n', False),
        (f'"{name}" {bo}\n"{name}" {ada}\n', True),
        (f'"{name}" namespaces="git" {ada}\n"{name}" {ada}\n', True),
        (f'"{name}" cert-authority {ada}\n', False),
        (f'"{name}" no-such-option {ada}\n', False),
        (f'"{name}" valid-after="soon" {ada}\n', False),
        (f'"{name}" ssh-ed25519 AAAA\n', False),
        (f"{name} {ada}\n", False),
        (f'"{name} {ada}\n', False),
        (f'"{name}"\n', False),
        ("", False),
    ]
    fresh()
    assert sign("--ssh-key", "ada")[0] == 0
    codes, said = check()
    assert codes == ["U117"] and ": note: " in said, said
    line, signature = taken_apart(2)
    fault = 0
    for text, expected in tables:
        theirs = verifies(line, signature, text, at=DAY.replace("-", "") + "1200")
        assert theirs == expected, f"ssh-keygen: {text}"
        Path("other.signers").write_text(text, "utf-8")
        if text:
            allow(text)
            codes, said = check()
            named = check("--allowed-signers", "other.signers")
            assert ("U108" not in codes) == expected and "U108" not in said if expected else "U108" in codes, f"{text}{said}"
            assert named[0] == codes
            fault += "U116" in codes
            count("files of allowed signers on which both agree")
            # Nobody signs with a key that would be found unlisted at once.
            Path(SIGN_OFF).unlink()
            status, _, why = sign("--ssh-key", "ada")
            assert (status == 0) == expected and (expected or "U128" in why), why
            if not expected:
                Path(SIGNERS).unlink()
                assert sign("--ssh-key", "ada")[0] == 0
    assert fault == 7, fault
    status, _, said = run(PROGRAM, "check", "plan.haccp", "--allowed-signers", "none")
    assert status == 2 and "no such file" in said, said
    status, _, said = run(PROGRAM, "render", "plan.haccp", "--allowed-signers", "none")
    assert status == 2 and "no such file" in said and not Path("plan.html").exists(), said


def without_a_key():
    """A typed line beside listed keys is found, and is made good by the same person with a key."""
    fresh()
    assert sign()[0] == 0
    allow(f'"Ada Invented" {public("ada")}\n')
    assert check()[0] == ["U110"]
    assert sign()[0] == 2, "the same line twice"
    status, _, said = sign("--ssh-key", "ada")
    assert status == 0, said
    assert check() == ([], "")
    status, _, said = run(PROGRAM, "render", "plan.haccp", "--on", "2026-02-10")
    assert status == 0, said
    page = html.unescape(Path("plan.html").read_text("utf-8"))
    key = keygen("-l", "-f", "ada.pub")[1].split()[1]
    assert f"a key listed for this name, {key}" in page and "Signed with" in page
    status, _, said = sign(name="Bo Invented", role="cook", meaning="reviewed")
    assert status == 0 and "U110" in said and "no key of this person is listed" in said, said
    assert check()[0] == ["U110"]


def device():
    """A key in a device, whose signature PROTOCOL.u2f of OpenSSH tells; made here, as no device is at hand."""
    key = Ed25519PrivateKey.generate()
    raw = key.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)
    pack = lambda part: struct.pack(">I", len(part)) + part
    kind, application = b"sk-ssh-ed25519@openssh.com", b"ssh:"
    blob = pack(kind) + pack(raw) + pack(application)
    listed = f'"Ada Invented" {kind.decode()} {base64.b64encode(blob).decode()}\n'
    fresh()
    allow(listed)
    assert sign("--to-sign", "line")[0] == 0
    line = Path("line").read_text("utf-8")
    text = line.encode()
    head = pack(PURPOSE.encode()) + pack(b"") + pack(b"sha512")
    message = b"SSHSIG" + head + pack(hashlib.sha512(text).digest())
    trailer = b"\x01" + struct.pack(">I", 7)
    over = hashlib.sha256(application).digest() + trailer + hashlib.sha256(message).digest()
    made = pack(kind) + pack(key.sign(over)) + trailer
    whole = b"SSHSIG" + struct.pack(">I", 1) + pack(blob) + head + pack(made)
    signature = armoured(base64.b64encode(whole).decode())
    assert verifies(line, signature, listed)
    Path("line.sig").write_text(signature)
    status, _, said = sign("--ssh-signature", "line.sig")
    assert status == 0, said
    assert check() == ([], ""), check()
    wrong = armoured(base64.b64encode(whole[:-1] + b"\x08").decode())
    assert not verifies(line, wrong, listed)
    fresh()
    allow(listed)
    Path("line.sig").write_text(wrong)
    status, _, said = sign("--ssh-signature", "line.sig")
    assert status == 2 and "U127" in said, said


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    os.environ["TZ"] = "UTC"
    make("ada", "-t", "ed25519", "-N", "")
    make("bo", "-t", "ed25519", "-N", "")
    make("locked", "-t", "ed25519", "-N", "invented-words")
    for one in (ours_by_theirs, theirs_by_ours, refused, tampered, listed, without_a_key, device):
        one()
    os.chdir("/")
for what, number in counts.items():
    print(f"{number} {what}")
