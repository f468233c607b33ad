"""Looks a printed sheet of labels over, given the PDF that Chromium made of the sheet's page.

    python label_print.py PDF SHEET LABELS GONE ADDRESS        needs: pdfplumber, zxing-cpp, pillow

SHEET is one of the keys below, LABELS how many were asked for, GONE how many places of the first
page were taken, ADDRESS what each QR code must say. The page must have been asked for with
`outline=yes`, so that each label's edge is on the paper. Checked: the size of every page, the
places of all labels to 0.3 mm against dimensions written here anew (common practice, from memory;
the same as on such sheets' packets), that all printing stays on its label, the ruler's 100 mm, the
height of the small letter o of the net contents, and every QR code. Exit 1 when anything is off.
"""

import sys

import pdfplumber
import zxingcpp

IN = 25.4
MM = 72 / 25.4  # points
WITHIN_MM = 0.3
# paper, columns, rows, width, height, left, top, gap to the right, gap below: all in mm
SHEETS = {
    "letter-30": ((8.5 * IN, 11 * IN), 3, 10, 2.625 * IN, 1 * IN, 0.1875 * IN, 0.5 * IN, 0.125 * IN, 0),
    "letter-10": ((8.5 * IN, 11 * IN), 2, 5, 4 * IN, 2 * IN, 0.15625 * IN, 0.5 * IN, 0.1875 * IN, 0),
    "a4-21": ((210, 297), 3, 7, 63.5, 38.1, 7.21, 15.15, 2.54, 0),
    "a4-8": ((210, 297), 2, 4, 99.1, 67.7, 4.65, 13.1, 2.5, 0),
}
# Least height of the letters, mm, by panel; the page was asked for a round jar of 4 × 3 in.
LETTERS_MM = 3.2
# Liberation Sans: height of the small letter x over the size of the face (its OS/2 table).
X_HEIGHT = 0.528


def places(sheet, labels, gone):
    """For each page the left and top edges, in mm, of the labels on it."""
    _, columns, rows, w, h, left, top, gap_x, gap_y = sheet
    pages = []
    for n in range(gone, gone + labels):
        page, on_page = divmod(n, columns * rows)
        row, column = divmod(on_page, columns)
        while len(pages) <= page:
            pages.append([])
        pages[page].append((left + column * (w + gap_x), top + row * (h + gap_y)))
    return pages


def outlines(page, w, h):
    """Left and top edges, in mm, of the rectangles of a label's size."""
    found = []
    for shape in page.rects + page.curves:
        if abs(shape["width"] / MM - w) < 1 and abs(shape["height"] / MM - h) < 1:
            found.append((shape["x0"] / MM, shape["top"] / MM, shape["width"] / MM, shape["height"] / MM))
    return sorted(found, key=lambda place: (round(place[1]), place[0]))


def check_page(page, sheet, expected, address):
    """What is wrong with one page."""
    wrong = []
    (paper_w, paper_h), _, _, w, h, *_ = sheet
    size = (float(page.width) / MM, float(page.height) / MM)
    if max(abs(size[0] - paper_w), abs(size[1] - paper_h)) > WITHIN_MM:
        wrong.append(f"the page is {size[0]:.2f} x {size[1]:.2f} mm, not {paper_w:.2f} x {paper_h:.2f}")
    found = outlines(page, w, h)
    if len(found) != len(expected):
        wrong.append(f"{len(found)} labels, not {len(expected)}")
    off = [
        max(abs(x - ex), abs(y - ey), abs(fw - w), abs(fh - h))
        for (x, y, fw, fh), (ex, ey) in zip(found, sorted(expected, key=lambda e: (round(e[1]), e[0])))
    ]
    print(f"page {page.page_number}: {len(found)} labels, worst place off by {max(off, default=9):.3f} mm")
    if max(off, default=9) > WITHIN_MM:
        wrong.append(f"a label is {max(off, default=9):.2f} mm off its place")

    first_top = sheet[6]
    for char in page.chars:
        x, y = (char["x0"] + char["x1"]) / 2 / MM, (char["top"] + char["bottom"]) / 2 / MM
        on_a_label = any(ex <= x <= ex + w and ey <= y <= ey + h for ex, ey in expected)
        if not on_a_label and y > first_top:
            wrong.append(f"“{char['text']}” at {x:.1f}, {y:.1f} mm is on no label")
            break
    sizes = [c["size"] / MM for c in page.chars if c["text"] in "Noz" and c["size"] / MM > 6]
    lowest = min(sizes, default=0) * X_HEIGHT
    if lowest < LETTERS_MM:
        wrong.append(f"the letters of the net weight are {lowest:.2f} mm high")
    # The ruler is the one drawing that is 100 mm wide and above the first labels.
    drawn = page.lines + page.curves + page.rects
    ruler = [d["width"] / MM for d in drawn if d["bottom"] / MM < first_top and 90 < d["width"] / MM < 110]
    if not any(abs(width - 100) <= WITHIN_MM for width in ruler):
        wrong.append(f"no ruler of 100 mm: {ruler}")

    picture = page.to_image(resolution=300).original.convert("L")
    dots = 300 / 25.4
    unread = 0
    for x, y in expected:
        box = tuple(round(edge * dots) for edge in (x, y, x + w, y + h))
        codes = zxingcpp.read_barcodes(picture.crop(box))
        unread += [code.text for code in codes] != [address]
    if unread:
        wrong.append(f"{unread} of {len(expected)} QR codes do not read as {address}")
    return wrong


def main(pdf_path, sheet_name, labels, gone, address):
    sheet = SHEETS[sheet_name]
    expected = places(sheet, int(labels), int(gone))
    with pdfplumber.open(pdf_path) as pdf:
        wrong = [] if len(pdf.pages) == len(expected) else [f"{len(pdf.pages)} pages, not {len(expected)}"]
        for page, on_page in zip(pdf.pages, expected):
            wrong += [f"page {page.page_number}: {w}" for w in check_page(page, sheet, on_page, address)]
    for line in wrong:
        print(line)
    print("ok" if not wrong else "NOT AS THE SHEET SAYS")
    return 1 if wrong else 0


if __name__ == "__main__":
    if len(sys.argv) != 6:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    sys.exit(main(*sys.argv[1:]))
