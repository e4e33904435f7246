"""Drives `bourn lsp` with a client library that is not ours (pygls with lsprotocol): opens plans, edits them at random,
asks everything an editor asks, and compares the last findings with `bourn check` on the same text.

usage: editor.py BOURN [EDITS]   (300 edits a run unless said; BOURN_LONG=1 makes it 10,000)
"""

import asyncio
import json
import os
import random
import subprocess
import sys
import tempfile
from pathlib import Path

from lsprotocol import types as t
from pygls.lsp.client import LanguageClient

TOP = Path(__file__).resolve().parent.parent
BOURN = str(Path(sys.argv[1]).resolve())
EDITS = int(sys.argv[2]) if len(sys.argv) > 2 else 10_000 if os.environ.get("BOURN_LONG") else 300
DAY = "2026-09-14"


class Lines:
    """Positions in a text, counted anew and by no code of the server."""

    def __init__(self, text, encoding):
        self.text, self.encoding, self.starts = text, encoding, [0]
        at = 0
        while at < len(text):
            if text[at] == "\r" and text[at + 1 : at + 2] == "\n":
                at += 1
            if text[at] in "\r\n":
                self.starts.append(at + 1)
            at += 1

    def size(self, char):
        return len(char.encode(self.encoding))

    def line(self, number):
        start = self.starts[number]
        end = self.starts[number + 1] if number + 1 < len(self.starts) else len(self.text)
        return start, self.text[start:end].rstrip("\r\n")

    def unit(self):
        return 2 if self.encoding == "utf-16-le" else 1

    def offset(self, line, character):
        """Rounds a place inside a character down, one past the end to the end."""
        if line >= len(self.starts):
            return len(self.text)
        start, words = self.line(line)
        units = 0
        for index, char in enumerate(words):
            units += self.size(char) // self.unit()
            if units > character:
                return start + index
        return start + len(words)


def units_of(words, encoding):
    return len(words.encode(encoding)) // (2 if encoding == "utf-16-le" else 1)


PIECES = ["°", "😀", "é", "{", "}", '"', "\n", " ", ";", ",", "#", "# ", "___", "limit ", "72 °C", "\r\n", "ccp x at ", "0",
          "-", "hazard ", "include ", "“", "\t", "𝄞𝄞", "at a stretch at most 2 h", "by coordinator", "😀", "🌡"]


async def main():
    rng = random.Random(20260914)
    for encoding in (t.PositionEncodingKind.Utf16, t.PositionEncodingKind.Utf8):
        for name in ("smoked-goose-breast", "smoked-turkey-strips"):
            await drive(rng, encoding, name)
    await several()
    await trouble()


class Client(LanguageClient):
    def __init__(self):
        super().__init__("bourn-test", "1")
        self.found, self.shown, self.versions = {}, [], {}

        @self.feature(t.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def _(params):
            self.found[params.uri] = params.diagnostics
            self.versions[params.uri] = params.version

        @self.feature(t.WINDOW_SHOW_MESSAGE)
        def _(params):
            self.shown.append(params.message)


async def start(folder, encoding):
    client = Client()
    await client.start_io(BOURN, "lsp", "--stdio", "--on", DAY)
    capabilities = t.ClientCapabilities(
        general=t.GeneralClientCapabilities(position_encodings=[encoding]),
        text_document=t.TextDocumentClientCapabilities(
            completion=t.CompletionClientCapabilities(
                completion_item=t.ClientCompletionItemOptions(snippet_support=True))),
    )
    result = await client.initialize_async(t.InitializeParams(
        capabilities=capabilities, root_uri=folder.as_uri(),
        workspace_folders=[t.WorkspaceFolder(uri=folder.as_uri(), name="plans")]))
    assert result.capabilities.position_encoding == encoding, result.capabilities.position_encoding
    client.initialized(t.InitializedParams())
    return client


async def stop(client):
    await client.shutdown_async(None)
    client.exit(None)
    await asyncio.wait_for(client._server.wait(), 20)
    assert client._server.returncode == 0, client._server.returncode
    await client.stop()


def checked(path, text):
    """What `bourn check` says of a text under this name: code, bytes, severity, message."""
    with tempfile.TemporaryDirectory() as folder:
        plan = Path(folder) / path.name
        plan.write_bytes(text.encode())
        run = subprocess.run([BOURN, "check", "--format", "json", "--on", DAY, path.name], cwd=folder, capture_output=True)
        assert run.returncode in (0, 1, 2), run
        starts = [0]
        for at, char in enumerate(text):
            if char == "\n":
                starts.append(at + 1)

        def at(line, column):
            place = min(starts[line - 1] + column - 1, len(text))
            # Within the end of a line an editor has no place.
            return place - 1 if text[place - 1:place + 1] == "\r\n" else place

        out = []
        for one in json.loads(run.stdout)["checked"][0]["findings"]:
            place = one["place"]
            if "line" in place:
                span = (at(place["line"], place["column"]), at(place["end-line"], place["end-column"]))
            else:
                span = (0, 0)
            out.append((one["code"], span, one["severity"], one["message"]))
        return sorted(out)


SEVERITY = {t.DiagnosticSeverity.Error: "error", t.DiagnosticSeverity.Warning: "warning",
            t.DiagnosticSeverity.Information: "note"}


def shown(diagnostics, text, encoding):
    lines = Lines(text, encoding)
    out = []
    for one in diagnostics:
        span = tuple(lines.offset(p.line, p.character) for p in (one.range.start, one.range.end))
        out.append((one.code, span, SEVERITY[one.severity], one.message.split("\n")[0]))
    return sorted(out)


def agree(ours, theirs, text):
    strip = lambda found: [(code, span, severity) for code, span, severity, _ in found]
    if strip(ours) != strip(theirs):
        left = Path(tempfile.gettempdir()) / "editor-disagrees.haccp"
        left.write_bytes(text.encode())
        for line in sorted(set(strip(ours)) ^ set(strip(theirs)))[:10]:
            print("  only one of both:", line)
        raise SystemExit(f"the editor and `check` disagree; the text is in {left}")
    for (_, _, _, said), (_, _, _, asked) in zip(ours, theirs):
        # What stands outside every text of the plan is told with its place.
        assert said == asked or said.endswith(asked), (said, asked)


async def settled(client, uri, version):
    for _ in range(3000):
        if client.versions.get(uri) == version:
            return client.found[uri]
        await asyncio.sleep(0.02)
    raise SystemExit(f"no findings for version {version} within a minute")


async def drive(rng, kind, name):
    encoding = "utf-16-le" if kind == t.PositionEncodingKind.Utf16 else "utf-8"
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        path = folder / f"{name}.haccp"
        original = (TOP / "plans" / f"{name}.haccp").read_text(encoding="utf-8")
        path.write_text(original, encoding="utf-8")
        uri = path.as_uri()
        client = await start(folder, kind)
        text, version = original, 1
        client.text_document_did_open(t.DidOpenTextDocumentParams(
            t.TextDocumentItem(uri=uri, language_id="haccp", version=1, text=text)))
        asked, compared, broken = [], 0, 0
        source = original.splitlines()
        for step in range(EDITS):
            version += 1
            lines = Lines(text, encoding)
            if step % 97 == 96:
                change = t.TextDocumentContentChangeWholeDocument(text=original)
                text = original
            else:
                line = rng.randrange(len(lines.starts))
                _, words = lines.line(line)
                begin = rng.randrange(units_of(words, encoding) + 3)
                wide = [at for at, char in enumerate(text) if lines.size(char) // lines.unit() > 1]
                if wide and rng.random() < 0.3:
                    # Into the middle of a character of more than one unit.
                    at = rng.choice(wide)
                    line = max(number for number, first in enumerate(lines.starts) if first <= at)
                    first, words = lines.line(line)
                    begin = units_of(text[first:at], encoding) + 1
                # Any unit: inside a pair of halves, inside the bytes of a character, past the end of the line.
                width = units_of(words, encoding)
                end_line = line if rng.random() < 0.9 else min(line + rng.randrange(4), len(lines.starts) + 1)
                end = begin + rng.randrange(6) if end_line == line else rng.randrange(40)
                if rng.random() < 0.6:
                    end_line, end = line, begin
                a, b = lines.offset(line, begin), lines.offset(end_line, end)
                a, b = min(a, b), max(a, b)
                for place in (begin, end):
                    within = lines.offset(line, place)
                    if place <= width and units_of(text[lines.starts[line]:within], encoding) != place:
                        broken += 1
                new = rng.choice(PIECES) if rng.random() < 0.8 else rng.choice(source) + "\n"
                # A single carriage return ends a line for an editor and none for a plan.
                if text[a - 1:a] == "\r" or (new.endswith("\r") or text[b:b + 1] == "\n" and text[b - 1:b] == "\r"):
                    new, b = "", a
                    a = b
                change = t.TextDocumentContentChangePartial(
                    range=t.Range(t.Position(line, begin), t.Position(end_line, end)), text=new) if b > a or new else None
                if change is None:
                    version -= 1
                    continue
                text = text[:a] + new + text[b:]
            client.text_document_did_change(t.DidChangeTextDocumentParams(
                t.VersionedTextDocumentIdentifier(version=version, uri=uri), [change]))
            if step % 7 == 0:
                asked.append(asyncio.ensure_future(ask(client, rng, uri, text, lines)))
            if step % 50 == 49 or step == EDITS - 1:
                found = await settled(client, uri, version)
                agree(shown(found, text, encoding), checked(path, text), text)
                compared += 1
            if len(asked) > 40:
                await asyncio.wait_for(asyncio.gather(*asked), 120)
                asked = []
        await asyncio.wait_for(asyncio.gather(*asked), 120)
        await stop(client)
        assert compared > 0
        print(f"editor: {name}, {kind.value}: {EDITS} edits, {broken} of them at no boundary of a character; "
              f"{compared} times the same findings as `check`; no request unanswered")


async def ask(client, rng, uri, text, lines):
    """One of the requests of an editor at a random place; an error that is an answer is an answer."""
    line = rng.randrange(len(lines.starts))
    place = t.Position(line, rng.randrange(80))
    document = t.TextDocumentIdentifier(uri)
    everything = t.Range(t.Position(0, 0), t.Position(len(lines.starts), 0))
    requests = [
        lambda: client.text_document_completion_async(t.CompletionParams(document, place)),
        lambda: client.text_document_hover_async(t.HoverParams(document, place)),
        lambda: client.text_document_definition_async(t.DefinitionParams(document, place)),
        lambda: client.text_document_references_async(t.ReferenceParams(t.ReferenceContext(True), document, place)),
        lambda: client.text_document_document_highlight_async(t.DocumentHighlightParams(document, place)),
        lambda: client.text_document_prepare_rename_async(t.PrepareRenameParams(document, place)),
        lambda: client.text_document_rename_async(t.RenameParams(document, place, "another-name")),
        lambda: client.text_document_document_symbol_async(t.DocumentSymbolParams(document)),
        lambda: client.text_document_folding_range_async(t.FoldingRangeParams(document)),
        lambda: client.text_document_inlay_hint_async(t.InlayHintParams(document, everything)),
        lambda: client.text_document_code_action_async(
            t.CodeActionParams(document, everything, t.CodeActionContext(diagnostics=[]))),
        lambda: client.text_document_formatting_async(
            t.DocumentFormattingParams(document, t.FormattingOptions(2, True))),
    ]
    try:
        await rng.choice(requests)()
    except Exception as error:  # the library raises an answer that is an error
        assert type(error).__name__.startswith("JsonRpc"), error


PLAN = 'plan a "A" {\n  establishment "Invented"\n}\n\ninclude "parts/roles.haccp"\n\nteam {\n  leader chef "Cooking"\n}\n'
ROLES = 'role chef "Chef" {\n  trained "HACCP" on 2026-01-05\n  duties "Cooks"\n}\n'


async def several():
    """A plan of two files: findings in both, a new name in both, and the findings of an unsaved part."""
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        (folder / "parts").mkdir()
        plan, roles = folder / "a.haccp", folder / "parts" / "roles.haccp"
        plan.write_text(PLAN)
        roles.write_text(ROLES)
        client = await start(folder, t.PositionEncodingKind.Utf16)
        # The part alone is opened: it belongs to the plan that includes it.
        client.text_document_did_open(t.DidOpenTextDocumentParams(
            t.TextDocumentItem(roles.as_uri(), "haccp", 1, ROLES)))
        await settled(client, roles.as_uri(), 1)
        assert plan.as_uri() in client.found, client.found.keys()
        edit = await client.text_document_rename_async(
            t.RenameParams(t.TextDocumentIdentifier(roles.as_uri()), t.Position(0, 6), "cook"))
        assert set(edit.changes) == {plan.as_uri(), roles.as_uri()}, edit
        client.text_document_did_change(t.DidChangeTextDocumentParams(
            t.VersionedTextDocumentIdentifier(2, roles.as_uri()),
            [t.TextDocumentContentChangePartial(t.Range(t.Position(0, 5), t.Position(0, 9)), "cook")]))
        await settled(client, roles.as_uri(), 2)
        assert any(one.code == "N201" for one in client.found[plan.as_uri()]), client.found
        # The plan lets the part go: it stands by itself, and says so. Then the plan takes it up again.
        def whole(version, text):
            client.text_document_did_change(t.DidChangeTextDocumentParams(
                t.VersionedTextDocumentIdentifier(version, plan.as_uri()),
                [t.TextDocumentContentChangeWholeDocument(text)]))

        client.text_document_did_open(t.DidOpenTextDocumentParams(
            t.TextDocumentItem(plan.as_uri(), "haccp", 1, PLAN.replace("chef", "cook"))))
        await settled(client, plan.as_uri(), 1)
        within = shown(client.found[roles.as_uri()], ROLES, "utf-16-le")
        whole(2, PLAN.replace("chef", "cook").replace("include", "# include"))
        await settled(client, plan.as_uri(), 2)
        for _ in range(500):
            if any(d.code == "B101" for d in client.found[roles.as_uri()]):
                break
            await asyncio.sleep(0.02)
        assert any(d.code == "B101" for d in client.found[roles.as_uri()]), client.found[roles.as_uri()]
        whole(3, PLAN.replace("chef", "cook"))
        await settled(client, plan.as_uri(), 3)
        await client.text_document_hover_async(t.HoverParams(t.TextDocumentIdentifier(plan.as_uri()), t.Position(0, 0)))
        again = shown(client.found[roles.as_uri()], ROLES, "utf-16-le")
        assert again == within, (again, within)
        client.text_document_did_close(t.DidCloseTextDocumentParams(t.TextDocumentIdentifier(roles.as_uri())))
        await stop(client)
        print("editor: a plan of two files: findings and new names cross between them")


async def trouble():
    """A file that goes away, includes that lead in a circle and out of the folder, a text of 20 MB."""
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        client = await start(folder, t.PositionEncodingKind.Utf16)
        one, other = folder / "one.haccp", folder / "other.haccp"
        text = 'plan one "One" {\n}\ninclude "other.haccp"\ninclude "../../etc/passwd"\ninclude "gone.haccp"\n'
        other.write_text('include "one.haccp"\n')
        one.write_text(text)
        client.text_document_did_open(t.DidOpenTextDocumentParams(t.TextDocumentItem(one.as_uri(), "haccp", 1, text)))
        await settled(client, one.as_uri(), 1)
        said = [d.message.split("\n")[0] for uri in client.found for d in client.found[uri] if d.code == "X105"]
        for part in ("is included already", "cannot be read: no such file"):
            assert any(part in line for line in said), (part, said)
        assert any("passwd" in line for line in said), said
        one.unlink()
        other.unlink()
        client.workspace_did_change_watched_files(t.DidChangeWatchedFilesParams(
            [t.FileEvent(other.as_uri(), t.FileChangeType.Deleted)]))
        client.text_document_did_change(t.DidChangeTextDocumentParams(
            t.VersionedTextDocumentIdentifier(2, one.as_uri()),
            [t.TextDocumentContentChangePartial(t.Range(t.Position(0, 0), t.Position(0, 0)), "# \n")]))
        found = await settled(client, one.as_uri(), 2)
        assert any("`other.haccp` cannot be read" in d.message for d in found), found
        # 20 MB: one long plan, most of it comments.
        line = "# " + "x" * 997 + "\n"
        large = folder / "large.haccp"
        text = 'plan large "Large" {\n}\n' + line * 20_000
        client.text_document_did_open(t.DidOpenTextDocumentParams(t.TextDocumentItem(large.as_uri(), "haccp", 1, text)))
        await settled(client, large.as_uri(), 1)
        client.text_document_did_change(t.DidChangeTextDocumentParams(
            t.VersionedTextDocumentIdentifier(2, large.as_uri()),
            [t.TextDocumentContentChangePartial(t.Range(t.Position(2, 0), t.Position(2, 0)), "ccp\n")]))
        client.text_document_did_save(t.DidSaveTextDocumentParams(t.TextDocumentIdentifier(large.as_uri())))
        await settled(client, large.as_uri(), 2)
        assert any("is checked when it is saved" in words for words in client.shown), client.shown
        assert any(d.range.start.line == 2 for d in client.found[large.as_uri()])
        await stop(client)
        print("editor: files that go away, circles, ways out of the folder and 20 MB: told, and the server lives")


asyncio.run(main())
