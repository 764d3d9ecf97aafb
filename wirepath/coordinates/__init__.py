"""Coordinate files: what a wire table, or two patient people, follow.

One file for each layout, or setup of a layout; always as CSV, on request as DXF and as
address words too.
docs/coordinates.md describes the formats.

    writing       which files are written
    heading       what every file says of itself, in words
    spelling      how they spell numbers
    laying        how the block lies in a setup: figures on the table, and back
    table         CSV, written and read back: what the check proves
    two_ended     the same for a wire whose two ends part
    drawn         DXF R2000
    words         address words (ISO 6983, NIST RS274/NGC)
"""

from wirepath.coordinates.roughing import (
    RoughingFile,
    read_roughing_coordinates,
    write_roughing_coordinates,
)
from wirepath.coordinates.table import CoordinateFile, coordinate_text, read_coordinates
from wirepath.coordinates.words import word_text
from wirepath.coordinates.writing import write_coordinates

__all__ = [
    "CoordinateFile",
    "RoughingFile",
    "coordinate_text",
    "read_coordinates",
    "read_roughing_coordinates",
    "word_text",
    "write_coordinates",
    "write_roughing_coordinates",
]
