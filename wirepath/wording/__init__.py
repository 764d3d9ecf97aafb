"""Every text printed for people on paper, in one place, so that it can be translated.

`Words` names the texts; each is a sentence or a template with {named} places. A
translation is another `Words`: all texts must be given, or it cannot be made. Figures
come in ready to print. Instructions are short, one action each, as a colleague says it.
"""

from __future__ import annotations

from wirepath.wording.dutch import DUTCH
from wirepath.wording.english import ENGLISH
from wirepath.wording.german import GERMAN
from wirepath.wording.words import Words
from wirepath.workshop import Language

LANGUAGES: dict[Language, Words] = {"en": ENGLISH, "de": GERMAN, "nl": DUTCH}

__all__ = ["DUTCH", "ENGLISH", "GERMAN", "LANGUAGES", "Words"]
