"""Looks leaves to write on over, given the PDF that Chromium made of them, or tags with their codes.

    python leaf_print.py PDF PAPER EXPECTED.json        needs: pdfplumber, zxing-cpp, pillow

PAPER is a4 or letter. EXPECTED holds `pages` (what each page must name, in order), `day`, `coop`, `words` (what must
stand somewhere on the paper) and, for tags, `codes`: what each QR code must say, in any order, once each.
Every page must be of the paper's size, must say what it is, the day, whose mill it is, and which page of how many it is, and
must keep all of its letters inside. Exit 1 when anything is off.
"""

import json
import sys

import pdfplumber
import zxingcpp

MM = 72 / 25.4
PAPERS = {"a4": (210, 297), "letter": (215.9, 279.4)}


def check_page(page, number, of, what, day, paper, coop):
    """What is wrong with one page."""
    wrong = []
    size = (float(page.width) / MM, float(page.height) / MM)
    if max(abs(a - b) for a, b in zip(size, PAPERS[paper])) > 0.5:
        wrong.append(f"is {size[0]:.1f} x {size[1]:.1f} mm, not {paper}")
    text = " ".join((page.extract_text() or "").split())
    for words in (what, day, f"page {number} of {of}", coop):
        if words not in text:
            wrong.append(f"does not say “{words}”: {text[:120]}")
    outside = [c for c in page.chars if c["x0"] < 0 or c["x1"] > page.width or c["bottom"] > page.height]
    if outside:
        wrong.append(f"{len(outside)} letters are off the paper")
    return wrong


def codes_of(pdf):
    """What every QR code on the paper says."""
    said = []
    for page in pdf.pages:
        picture = page.to_image(resolution=200).original.convert("L")
        said += [code.text for code in zxingcpp.read_barcodes(picture)]
    return said


def main(pdf_path, paper, expected_path):
    with open(expected_path, encoding="utf-8") as file:
        expected = json.load(file)
    wrong = []
    with pdfplumber.open(pdf_path) as pdf:
        of = len(expected["pages"])
        if len(pdf.pages) != of:
            wrong.append(f"{len(pdf.pages)} pages, not {of}")
        for number, (page, what) in enumerate(zip(pdf.pages, expected["pages"]), 1):
            found = check_page(page, number, of, what, expected["day"], paper, expected["coop"])
            wrong += [f"page {number} {w}" for w in found]
        whole = " ".join(" ".join((page.extract_text() or "").split()) for page in pdf.pages)
        # A cell may go over two lines, and its neighbours stand between them: part by part.
        parts = [part for w in expected["words"] for part in w.replace("-", "- ").split()]
        wrong += [f"“{part}” is nowhere on the paper" for part in parts if part not in whole]
        if "codes" in expected:
            said = codes_of(pdf)
            if sorted(said) != sorted(expected["codes"]):
                wrong.append(f"the codes say {sorted(said)}, not {sorted(expected['codes'])}")
            print(f"{len(said)} codes read")
        print(f"{len(pdf.pages)} pages on {paper}")
    for line in wrong:
        print(line)
    return 1 if wrong or not expected["pages"] or not expected["words"] else 0


if __name__ == "__main__":
    if len(sys.argv) != 4:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    sys.exit(main(*sys.argv[1:]))
