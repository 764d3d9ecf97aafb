"""Typefaces in a PDF: their glyphs called by number, and the letters they stand for.

Clauses named are those of ISO 32000-1:2008.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from hashlib import sha256

from wirepath.sheets.lettering import CAP_PER_EM
from wirepath.sheets.pdf import Entries, PdfFile, array, dictionary, reference
from wirepath.sheets.typeface import Typeface

MOST_LINES = 100
"""Of a list in a table of characters (9.10.3)."""


def add_font(file: PdfFile, face: Typeface, letters: Collection[str]) -> int:
    """Add a typeface with the glyphs of `letters` only (9.7); return its number."""
    used = {face.glyphs[ord(letter)]: letter for letter in sorted(letters)}
    data = face.subset(used)
    name = b"/%b+%b" % (_tag(used), face.name.encode("ascii"))
    descriptor: Entries = {
        "Type": b"/FontDescriptor",
        "FontName": name,
        "Flags": 4,
        "FontBBox": array(round(1000 * side) for side in face.box),
        "ItalicAngle": 0,
        "Ascent": round(1000 * face.ascent),
        "Descent": round(1000 * face.descent),
        "CapHeight": round(1000 * CAP_PER_EM),
        "StemV": 0,
        "FontFile2": reference(file.add_stream(data, {"Length1": len(data)})),
    }
    glyphs: Entries = {
        "Type": b"/Font",
        "Subtype": b"/CIDFontType2",
        "BaseFont": name,
        "CIDSystemInfo": b"<</Registry (Adobe) /Ordering (Identity) /Supplement 0>>",
        "FontDescriptor": reference(file.add(dictionary(descriptor))),
        "W": array(b"%d [%.3f]" % (glyph, 1000 * face.advances[glyph]) for glyph in used),
        "CIDToGIDMap": b"/Identity",
    }
    font: Entries = {
        "Type": b"/Font",
        "Subtype": b"/Type0",
        "BaseFont": name,
        "Encoding": b"/Identity-H",
        "DescendantFonts": array([reference(file.add(dictionary(glyphs)))]),
        "ToUnicode": reference(file.add_stream(_meaning(used))),
    }
    return file.add(dictionary(font))


def _tag(used: Mapping[int, str]) -> bytes:
    """Return six capitals that tell this part of a typeface from others of it (9.6.4)."""
    digest = sha256("".join(used.values()).encode()).digest()
    return bytes(ord("A") + byte % 26 for byte in digest[:6])


def _meaning(used: Mapping[int, str]) -> bytes:
    """Return the table that tells which letter a glyph is, for search and copying (9.10.3)."""
    lines = [
        b"<%04x> <%b>" % (glyph, letter.encode("utf-16-be").hex().encode("ascii"))
        for glyph, letter in used.items()
    ]
    parts = [lines[at : at + MOST_LINES] for at in range(0, len(lines), MOST_LINES)]
    lists = [b"%d beginbfchar\n%b\nendbfchar" % (len(part), b"\n".join(part)) for part in parts]
    return b"""/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def
/CMapName /Adobe-Identity-UCS def
/CMapType 2 def
1 begincodespacerange
<0000> <ffff>
endcodespacerange
%b
endcmap
CMapName currentdict /CMap defineresource pop
end
end""" % b"\n".join(lists)
