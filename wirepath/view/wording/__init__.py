"""Every text of the view that the sheets do not share: English, German, Dutch."""

from __future__ import annotations

from wirepath.view.wording.dutch import DUTCH
from wirepath.view.wording.english import ENGLISH
from wirepath.view.wording.german import GERMAN
from wirepath.view.wording.words import ViewWords
from wirepath.workshop import Language

LANGUAGES: dict[Language, ViewWords] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}

__all__ = ["DUTCH", "ENGLISH", "GERMAN", "LANGUAGES", "ViewWords"]
