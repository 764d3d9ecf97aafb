"""What is said of roughing, on paper, on the phone and on the screen, in each language."""

from __future__ import annotations

from wirepath.wording.roughing.dutch import DUTCH
from wirepath.wording.roughing.english import ENGLISH
from wirepath.wording.roughing.german import GERMAN
from wirepath.wording.roughing.words import RoughingWords, blank_name, note_text, way_name
from wirepath.workshop import Language

ROUGHING: dict[Language, RoughingWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}

__all__ = [
    "DUTCH",
    "ENGLISH",
    "GERMAN",
    "ROUGHING",
    "RoughingWords",
    "blank_name",
    "note_text",
    "way_name",
]
