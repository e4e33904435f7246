"""The page numbers in the contents of a printed document are those of the pages on which its sections begin.

usage: leaves.py FILE.html FILE.pdf PLAIN.pdf
The second is the document printed with page numbers, the third the same printed by hand, without them.
"""

import html
import re
import subprocess
import sys
from pathlib import Path

page, numbered, plain = sys.argv[1:]


def pages(pdf):
    out = subprocess.run(["pdftotext", pdf, "-"], capture_output=True, text=True, check=True).stdout
    return [" ".join(text.split()) for text in out.split("\f")[:-1]]


text = Path(page).read_text("utf-8")
contents = text.split('<nav class="outline"')[1].split("</nav>")[0]
entry = r'<span class="number">([\d.]+)</span> <span dir="auto">(.*?)</span>'
sections = [(number, " ".join(html.unescape(title).split())) for number, title in re.findall(entry, contents)]
assert len(sections) > 15 and "leaf" not in contents, sections

with_numbers, without = pages(numbered), pages(plain)
assert len(with_numbers) == len(without), f"{len(with_numbers)} pages with numbers, {len(without)} without"
contents_pages = [at for at, words in enumerate(with_numbers[:6]) if " ".join(sections[-1]) in words or "Contents" in words[:200]]


def told(columns):
    """The number that stands in the contents beside each section, where they have so many columns."""
    size = re.search(r"Page size: +([\d.]+) x ([\d.]+)", subprocess.run(["pdfinfo", numbered], capture_output=True, text=True).stdout)
    width, height = (int(float(one)) for one in size.groups())
    left, wide = 40, (width - 80) // columns + 4
    words = []
    for at in contents_pages:
        for column in range(columns):
            crop = ["-x", str(left - 2 + column * wide), "-y", "60", "-W", str(wide), "-H", str(height - 120)]
            args = ["pdftotext", "-layout", "-f", str(at + 1), "-l", str(at + 1), *crop, numbered, "-"]
            words += subprocess.run(args, capture_output=True, text=True).stdout.split()
    found, text = {}, " ".join(words)
    for number, title in sections:
        # The page number stands at the end of the first line of a title that is folded.
        parts = [re.escape(part) for part in f"{number} {title}".split()]
        match = re.search(r"(?<![\d.])" + parts[0] + " " + r" (?:(\d+) )?".join(parts[1:]) + r"(?: (\d+)(?![\d.]))?", text)
        numbers = [one for one in match.groups() if one] if match else []
        if len(numbers) != 1:
            continue
        found[number] = int(numbers[0])
    return found


shown = max((told(columns) for columns in (2, 3)), key=len)
assert len(shown) == len(sections), [one for one in sections if one[0] not in shown]
for number, title in sections:
    heading = rf"(?<![\d.]){re.escape(f'{number} {title}')}"
    begins = [at + 1 for at, words in enumerate(with_numbers) if at not in contents_pages and re.search(heading, words)]
    assert begins and shown[number] == begins[0], f"{number} {title}: told {shown[number]}, begins on {begins}"
# Nothing else moved: every other page holds the same words.
for at, (one, other) in enumerate(zip(with_numbers, without)):
    assert at in contents_pages or one == other, f"page {at + 1} is another"
print(f"{len(sections)} page numbers in the contents of {Path(numbered).name}, {len(with_numbers)} pages")
