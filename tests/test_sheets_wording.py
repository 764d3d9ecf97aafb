"""Every language says everything, with the same figures in it."""

import re
from dataclasses import fields
from pathlib import Path
from string import Formatter

import pytest

import wirepath.sheets
from wirepath.sheets.lettering import printable
from wirepath.wording import ENGLISH, LANGUAGES, Words

NAMES = [field.name for field in fields(Words)]
OTHERS = sorted(set(LANGUAGES) - {"en"})


def texts(value):
    """Return all texts of a field, one below the other."""
    if isinstance(value, str):
        return [value]
    return [text for part in value for text in texts(part)]


def places(text):
    return {name for _, name, _, _ in Formatter().parse(text) if name}


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", NAMES)
def test_a_translation_has_the_same_figures_in_as_many_texts(language, name):
    english, other = texts(getattr(ENGLISH, name)), texts(getattr(LANGUAGES[language], name))
    assert [places(text) for text in other] == [places(text) for text in english]


@pytest.mark.parametrize("language", OTHERS)
def test_every_sentence_is_translated(language):
    same = [
        name
        for name in NAMES
        for one, two in zip(
            texts(getattr(ENGLISH, name)), texts(getattr(LANGUAGES[language], name)), strict=True
        )
        if one == two and len(one.split()) > 3 and name not in ("size", "lift_piece")
    ]
    assert same == []


@pytest.mark.parametrize("language", sorted(LANGUAGES))
def test_the_typeface_has_every_letter(language):
    lacking = [
        text
        for name in NAMES
        for text in texts(getattr(LANGUAGES[language], name))
        if printable(text) != text
    ]
    assert lacking == []


def test_every_text_is_used():
    folder = Path(wirepath.sheets.__file__).parent
    code = "\n".join(path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.py")))
    used = set(re.findall(r"words\.(\w+)", code))
    assert set(NAMES) - used == set()
