"""Pages to paper: the only place that knows how a PDF draws.

A millimetre drawn is one printed (docs/sheets.md tells how that is measured). Clauses named
are those of ISO 32000-1:2008.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import groupby
from pathlib import Path

from wirepath.sheets.embedding import add_font
from wirepath.sheets.lettering import MM_PER_POINT, points
from wirepath.sheets.page import Page, Points, pen
from wirepath.sheets.pdf import PdfFile, array, dictionary, reference, text
from wirepath.sheets.typeface import typeface

FONTS = {False: "Plain", True: "Bold"}
"""What the typefaces are called in the file, by whether they are bold."""


def write_pdf(pages: Sequence[Page], path: Path, *, title: str) -> None:
    """Write `pages` to `path`; the same pages give the same bytes."""
    file = PdfFile()
    root, tree = file.add(), file.add()
    fonts = {
        FONTS[bold]: reference(add_font(file, typeface(bold), letters))
        for bold, letters in _letters(pages).items()
    }
    resources = reference(file.add(dictionary({"Font": dictionary(fonts)})))
    numbers = [_add_page(file, page, tree, resources) for page in pages]
    kids = array(map(reference, numbers))
    file.fill(tree, dictionary({"Type": b"/Pages", "Kids": kids, "Count": len(pages)}))
    contents = _add_contents(file, [page.title for page in pages], numbers)
    catalog = {"Type": b"/Catalog", "Pages": reference(tree), "Outlines": reference(contents)}
    file.fill(root, dictionary(catalog))
    made_by = text("wirepath")
    info = {"Title": text(title), "Creator": made_by, "Producer": made_by}
    path.write_bytes(file.ended(root=root, info=file.add(dictionary(info))))


def _add_page(file: PdfFile, page: Page, tree: int, resources: bytes) -> int:
    content = file.add_stream(b"".join(_content(page)))
    size = (page.width_mm / MM_PER_POINT, page.height_mm / MM_PER_POINT)
    entries = {
        "Type": b"/Page",
        "Parent": reference(tree),
        "MediaBox": b"[0 0 %.4f %.4f]" % size,
        "Resources": resources,
        "Contents": reference(content),
    }
    return file.add(dictionary(entries))


def _add_contents(file: PdfFile, titles: Sequence[str], pages: Sequence[int]) -> int:
    """Add the titles of all pages as what a reader lists beside them (12.3.3)."""
    top = file.add()
    # Pages that go on with what the page before them began are reached through that one.
    firsts = [n for n in range(len(titles)) if n == 0 or titles[n] != titles[n - 1]]
    items = [file.add() for _ in firsts]
    for place, (item, n) in enumerate(zip(items, firsts, strict=True)):
        beside = {
            key: reference(items[other])
            for key, other in (("Prev", place - 1), ("Next", place + 1))
            if 0 <= other < len(items)
        }
        begin = b"[%b /Fit]" % reference(pages[n])
        entry = {"Title": text(titles[n]), "Parent": reference(top), "Dest": begin, **beside}
        file.fill(item, dictionary(entry))
    ends = {"First": reference(items[0]), "Last": reference(items[-1])} if items else {}
    file.fill(top, dictionary({"Type": b"/Outlines", **ends, "Count": len(items)}))
    return top


def _letters(pages: Sequence[Page]) -> dict[bool, set[str]]:
    """Return the letters that are written, by whether they are bold; none for no typeface."""
    texts = [one for page in pages for one in page.texts]
    used = {
        bold: {letter for one in texts if one.bold == bold for letter in one.text} for bold in FONTS
    }
    return {bold: letters for bold, letters in used.items() if letters}


def _content(page: Page) -> Iterator[bytes]:
    """Yield what draws a page: lines, over them areas, over them texts (8.5, 9.4)."""
    for (width_mm, dashes), strokes in groupby(sorted(page.strokes, key=pen), key=pen):
        pattern = b" ".join(b"%.3f" % (dash / MM_PER_POINT) for dash in dashes)
        yield b"%.4f w [%b] 0 d\n" % (width_mm / MM_PER_POINT, pattern)
        for stroke in strokes:
            yield _line(stroke.points)
        yield b"S\n"
    for black in (False, True):
        areas = [fill.points for fill in page.fills if fill.black == black]
        if areas:
            yield b"0 g\n" if black else b"1 g\n"
        for area in areas:
            yield _line(area) + b"f\n"
    yield b"0 g\nBT\n"
    size: tuple[bool, float] | None = None
    for one in page.texts:
        if size != (one.bold, one.cap_mm):
            size = (one.bold, one.cap_mm)
            yield b"/%b %.4f Tf\n" % (FONTS[one.bold].encode(), points(one.cap_mm))
        x, y = (value / MM_PER_POINT for value in one.origin)
        turn = b"0 1 -1 0" if one.upwards else b"1 0 0 1"
        yield b"%b %.3f %.3f Tm %b TJ\n" % (turn, x, y, _shown(one.text, one.bold))
    yield b"ET\n"


def _line(through: Points) -> bytes:
    """Return a line through points (n, 2) as a part of a path."""
    flat = (through / MM_PER_POINT).ravel().tolist()
    return b"%.3f %.3f m\n" % (*flat[:2],) + b"%.3f %.3f l\n" * (len(through) - 1) % (*flat[2:],)


@cache
def _shown(written: str, bold: bool) -> bytes:
    """Return glyphs, each as two bytes, and how much nearer some stand to the one before."""
    face = typeface(bold)
    shown, before = b"", None
    for letter in written:
        glyph = face.glyphs[ord(letter)]
        by = face.kerning.get((before, glyph)) if before is not None else None
        # In thousandths of an em, to be taken off (9.4.3).
        shown += b"%04x" % glyph if by is None else b">%d<%04x" % (round(-1000 * by), glyph)
        before = glyph
    return b"[<%b>]" % shown
