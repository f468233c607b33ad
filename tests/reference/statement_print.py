"""Looks a printed statement over, given the PDF that Chromium made of the statement's page.

    python statement_print.py PDF PAPER EXPECTED        needs: pypdfium2

PAPER is a4 or letter. EXPECTED is a file of JSON, read from the page on the screen: the member's
"name", the "head" that every page repeats (what it is, whose, the day), the "first" lines that must stand on
the first page, the "parts" (each a list of the lines of one section that must stand on one page), the
"sums" that must be on the paper, and the most pages it may take ("most", 0: any number). Checked: the size of
every page, its head and "page 2 of 3", that nothing is printed within 10 mm of an edge, that no page of several
is half empty, the last one neither, but for the space between two parts, that no part is cut in two nor takes more
than half a page, and that every line is there, white space aside. Exit 1 when anything is off.

Of many statements in one print EXPECTED holds a "run" alone: of each statement its "head" and how it "ends".
Each is checked like one by itself, and counts its own pages: "page 2 of this statement". With "alone" it is one
statement printed by itself, whose pages say "page 2 of 3".
"""

import json
import re
import sys

import pypdfium2
from pypdfium2.raw import FPDFText_GetUnicode

MM = 72 / 25.4  # points
# ISO 216 and ANSI/ASME Y14.1, mm.
PAPERS = {"a4": (210, 297), "letter": (215.9, 279.4)}
WITHIN_MM = 0.3
EDGE_MM = 10
BETWEEN_MM = 5


def bare(text):
    """Without white space, which printing moves about."""
    return re.sub(r"\s+", "", text)


class Page:
    """A page of a PDF: its number, its size and its signs in the order they were drawn, points from the top left."""

    def __init__(self, number, page):
        self.page_number = number
        self.width, self.height = page.get_size()
        drawn = page.get_textpage()
        self.chars = []
        for n in range(drawn.count_chars()):
            text = chr(FPDFText_GetUnicode(drawn, n))
            # Where a line ends PDFium adds signs of its own, which are white space.
            if text.isspace() or text in "\0\ufffe\uffff":
                continue
            left, bottom, right, top = drawn.get_charbox(n, loose=True)
            self.chars.append({"text": text, "x0": left, "x1": right, "top": self.height - top, "bottom": self.height - bottom})


def check_page(page, paper):
    """What is wrong with the size and edges of one page."""
    wrong = []
    size = (page.width / MM, page.height / MM)
    if max(abs(size[0] - paper[0]), abs(size[1] - paper[1])) > WITHIN_MM:
        wrong.append(f"{size[0]:.2f} x {size[1]:.2f} mm, not {paper[0]} x {paper[1]}")
    for char in page.chars:
        nearest = min(char["x0"], char["top"], page.width - char["x1"], page.height - char["bottom"])
        if nearest / MM < EDGE_MM:
            wrong.append(f"“{char['text']}” is {nearest / MM:.1f} mm from an edge")
            break
    return wrong


def check_head(page, text, head, pages):
    """What is wrong with the lines that make a loose page known."""
    wrong = []
    if bare(head) not in text:
        wrong.append(f"does not say {head}")
    if bare(f"page {page.page_number} of {pages}") not in text:
        wrong.append(f"does not say page {page.page_number} of {pages}")
    return wrong + (half_empty(page) if pages > 1 else [])


def half_empty(page):
    """That a page ends before its middle, give or take the space between two parts."""
    foot = page.height - 20 * MM
    lowest = max(char["bottom"] for char in page.chars if char["bottom"] < foot)
    return [f"is half empty: nothing below {lowest / MM:.0f} mm"] if lowest < page.height / 2 - BETWEEN_MM * MM else []


def check_run(printed, texts, run, alone):
    """What is wrong with many statements in one print, each on pages of its own."""
    wrong = []
    at = 0
    for one in run:
        mine = []
        while at < len(texts) and bare(one["head"]) in texts[at]:
            mine.append(at)
            at += 1
        if not mine:
            wrong.append(f"no page of {one['head']} where it belongs")
            continue
        for number, index in enumerate(mine, 1):
            counted = f"page {number} of {len(texts) if alone else 'this statement'}"
            if bare(counted) not in texts[index]:
                wrong.append(f"page {index + 1}: does not say {counted}")
            if len(mine) > 1:
                wrong += [f"page {index + 1}: {w}" for w in half_empty(printed[index])]
        if bare(one["ends"]) not in texts[mine[-1]]:
            wrong.append(f"page {mine[-1] + 1}: does not say {one['ends']}")
    if at != len(texts):
        wrong.append(f"page {at + 1} belongs to no statement")
    return wrong


def places(text, words):
    """Where some words begin in a text, every time."""
    at = text.find(words)
    while at >= 0:
        yield at
        at = text.find(words, at + 1)


def height_of(lines, page):
    """From the head of a part to its last line, as a part of the page; 0 where either is not found. Words of the head
    that stand elsewhere, too, are told from it by the last line being nearest to the head itself."""
    chars = [char for char in page.chars if bare(char["text"])]
    text = "".join(bare(char["text"]) for char in chars)
    if len(text) != len(chars):
        return 1  # a sign of several letters: the places would not be those of the signs
    first, last = bare(lines[0]), bare(lines[-1])
    spans = [(text.find(last, at), at) for at in places(text, first)]
    spans = [(end - at, at, end) for end, at in spans if end >= 0]
    if not spans:
        return 0
    _, at, end = min(spans)
    return (chars[end + len(last) - 1]["bottom"] - chars[at]["top"]) / page.height


def part_pages(lines, pages):
    """Numbers of the pages that hold all lines of a part; empty when it is cut in two."""
    return [n for n, text in enumerate(pages, 1) if all(bare(line) in text for line in lines)]


def main(pdf_path, paper, expected_path):
    with open(expected_path, encoding="utf-8") as file:
        expected = json.load(file)
    wrong = []
    printed = [Page(number, page) for number, page in enumerate(pypdfium2.PdfDocument(pdf_path), 1)]
    for page in printed:
        wrong += [f"page {page.page_number}: {w}" for w in check_page(page, PAPERS[paper])]
    # In the order they were drawn: cells of a table one after the other.
    pages = [bare("".join(char["text"] for char in page.chars)) for page in printed]
    if "run" in expected:
        wrong += check_run(printed, pages, expected["run"], expected.get("alone", False))
        print(f"{paper}: {len(pages)} pages, {len(expected['run'])} statements")
        print("\n".join(wrong))
        return 1 if wrong else 0
    for page, text in zip(printed, pages):
        wrong += [f"page {page.page_number}: {w}" for w in check_head(page, text, expected["head"], len(pages))]
    for lines in expected["parts"]:
        for number in part_pages(lines, pages)[:1]:
            height = height_of(lines, printed[number - 1])
            if height > 0.5:
                wrong.append(f"{lines[0]} takes {height:.2f} of a page")
    whole = "".join(pages)
    wrong += [f"not on the first page: {line}" for line in [expected["name"], *expected["first"]] if bare(line) not in pages[0]]
    if expected["most"] and len(pages) > expected["most"]:
        wrong.append(f"{len(pages)} pages, {expected['most']} at most")
    wrong += [f"cut in two: {lines[0]}" for lines in expected["parts"] if not part_pages(lines, pages)]
    wrong += [f"not printed: {line}" for line in expected["sums"] if bare(line) not in whole]
    print(f"{paper}: {len(pages)} pages, {len(expected['parts'])} parts, {len(expected['sums'])} sums")
    for line in wrong:
        print(line)
    return 1 if wrong else 0


if __name__ == "__main__":
    if len(sys.argv) != 4:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    sys.exit(main(*sys.argv[1:]))
