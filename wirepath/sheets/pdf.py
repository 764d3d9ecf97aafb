"""A PDF file as numbered objects, to ISO 32000-1:2008, whose clauses are named.

What is written is a plain file of PDF 1.4: no forms, no scripts, no dates.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping

COMPRESSION = 6

Entries = Mapping[str, bytes | int]
"""Of a dictionary: what is not a whole number is given as it is to be written."""


class PdfFile:
    """Gathers objects; `ended` puts them into a file, each byte after what was added."""

    def __init__(self) -> None:
        self._objects: list[bytes] = []

    def add(self, body: bytes = b"") -> int:
        """Add an object, which `fill` may fill later; return its number."""
        self._objects.append(body)
        return len(self._objects)

    def fill(self, number: int, body: bytes) -> None:
        """Give an object its body."""
        self._objects[number - 1] = body

    def add_stream(self, data: bytes, about: Entries | None = None) -> int:
        """Add a stream, compressed (7.3.8, 7.4.4); return its number."""
        packed = zlib.compress(data, COMPRESSION)
        keys = dictionary({**(about or {}), "Length": len(packed), "Filter": b"/FlateDecode"})
        return self.add(keys + b"\nstream\n" + packed + b"\nendstream")

    def ended(self, *, root: int, info: int) -> bytes:
        """Return the whole file: header, objects, where each begins, trailer (7.5)."""
        # Bytes above 127 in the second line tell that the file is no text (7.5.2).
        parts = [b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"]
        begins, at = [], len(parts[0])
        for number, body in enumerate(self._objects, 1):
            parts.append(b"%d 0 obj\n%b\nendobj\n" % (number, body))
            begins.append(at)
            at += len(parts[-1])
        count = len(self._objects) + 1
        parts.append(b"xref\n0 %d\n0000000000 65535 f \n" % count)
        parts += [b"%010d 00000 n \n" % begin for begin in begins]
        keys = dictionary({"Size": count, "Root": reference(root), "Info": reference(info)})
        parts.append(b"trailer\n%b\nstartxref\n%d\n%%%%EOF\n" % (keys, at))
        return b"".join(parts)


def reference(number: int) -> bytes:
    """Return what refers to an object (7.3.10)."""
    return b"%d 0 R" % number


def array(items: Iterable[bytes | int]) -> bytes:
    """Return an array (7.3.6)."""
    return b"[%b]" % b" ".join(map(_written, items))


def dictionary(entries: Entries) -> bytes:
    """Return a dictionary (7.3.7)."""
    return b"<<%b>>" % b" ".join(
        b"/%b %b" % (key.encode("ascii"), _written(value)) for key, value in entries.items()
    )


def text(value: str) -> bytes:
    """Return a text string (7.9.2.2): UTF-16 behind its mark, in hexadecimal digits."""
    return b"<%b>" % ("\ufeff" + value).encode("utf-16-be").hex().encode("ascii")


def _written(value: bytes | int) -> bytes:
    return b"%d" % value if isinstance(value, int) else value
