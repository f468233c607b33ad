"""Reads the QR code in each file given, with zxing-cpp, and prints what it says.

    python qr_read.py FILE...        needs: zxing-cpp, cairosvg, pillow

A file is an SVG or any picture that Pillow opens. An SVG with a <title> must say just that. Each
picture is read upright, turned, and small (an SVG: 2 pixels a module). Exit 1 when a file has no
code or another text.
"""

import io
import re
import sys
from html import unescape

import cairosvg
import zxingcpp
from PIL import Image


def pictures(path):
    """The text expected, if the file says one, and the file as pictures of several sizes."""
    if not path.endswith(".svg"):
        return None, [Image.open(path).convert("L")]
    with open(path, encoding="utf-8") as file:
        svg = file.read()
    title = re.search(r"<title>(.*?)</title>", svg, re.S)
    box = re.search(r'viewBox="0 0 (\d+) (\d+)"', svg)
    found = []
    for pixels_a_module in (8, 5, 3, 2):
        width = int(box.group(1)) * pixels_a_module if box else 250 * pixels_a_module
        png = cairosvg.svg2png(svg.encode(), output_width=width, background_color="white")
        found.append(Image.open(io.BytesIO(png)).convert("L"))
    found.append(found[0].rotate(17, expand=True, fillcolor=255))
    return unescape(title.group(1)) if title else None, found


def main(paths):
    wrong = 0
    for path in paths:
        expected, found = pictures(path)
        said = {tuple(code.text for code in zxingcpp.read_barcodes(each)) for each in found}
        texts = next(iter(said)) if len(said) == 1 else ()
        good = len(texts) == 1 and expected in (None, texts[0])
        wrong += not good
        print(f"{'ok' if good else 'NOT READ'}\t{path}\t{sorted(said)}")
    if not paths:
        print("no files given", file=sys.stderr)
    return 1 if wrong or not paths else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
