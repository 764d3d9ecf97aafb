"""Nothing a user can write goes undocumented."""

import dataclasses
import typing
from pathlib import Path

import pytest

from wirepath.model import Job
from wirepath.workshop import Workshop

ROOT = Path(__file__).parent.parent


def keys_of(noun: type) -> set[str]:
    """Return every key a settings file may hold for `noun`, tables inside included."""
    keys = set()
    for field, hint in typing.get_type_hints(noun).items():
        keys.add(field)
        for inner in (hint, *typing.get_args(hint)):
            if dataclasses.is_dataclass(inner):
                keys |= keys_of(inner)
    return keys


@pytest.mark.parametrize("noun", [Job, Workshop])
def test_every_key_of_a_settings_file_stands_in_the_reference(noun):
    reference = (ROOT / "docs" / "files.md").read_text(encoding="utf-8")
    told = [f"`{key}`" in reference or f"[{key}]" in reference for key in sorted(keys_of(noun))]
    assert [
        key for key, is_told in zip(sorted(keys_of(noun)), told, strict=True) if not is_told
    ] == []


def test_every_command_stands_in_the_readme():
    from wirepath.cli import app

    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    names = [command.name or command.callback.__name__ for command in app.registered_commands]
    assert [name for name in names if f"wirepath {name}" not in readme] == []
