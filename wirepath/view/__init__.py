"""The plan on a phone or tablet: one file that needs nothing else, not even a network."""

from __future__ import annotations

import base64
import hashlib
import html
import json
from importlib import resources
from pathlib import Path
from string import Template

from wirepath.errors import Fault, FileError
from wirepath.model import Plan
from wirepath.view.contents import contents
from wirepath.view.wording import LANGUAGES
from wirepath.wording import LANGUAGES as SHEET_LANGUAGES

SCRIPTS = (
    "tools",
    "layout_picture",
    "cutting",
    "solid",
    "roughing",
    "joining",
    "lists",
    "beginning",
)
"""The parts of the page's script, in the order they need each other."""


def write_view(
    plan: Plan,
    path: Path,
) -> None:
    """Write `plan` to `path` as one page that asks for nothing from anywhere.

    Texts are in the language of the workshop's paper. The same plan gives the same
    bytes. Raises FileError where `path` cannot be written.
    """
    text = view_page(plan)
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise FileError(
            Fault(
                f"the view cannot be written: {error.strerror or error}",
                str(path),
                "choose another place, or make room",
            )
        ) from error


def view_page(plan: Plan) -> str:
    """Return the page's text. Only its own script and style may run: their hashes are in it."""
    source = resources.files("wirepath.view") / "page"
    style = (source / "look.css").read_text(encoding="utf-8")
    parts = [(source / f"{name}.js").read_text(encoding="utf-8") for name in SCRIPTS]
    script = '"use strict";\n(() => {\n' + "\n".join(parts) + "})();\n"
    language = plan.workshop.paper.language
    words = LANGUAGES[language]
    data = contents(plan, words, SHEET_LANGUAGES[language])
    plain = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    # Ticks belong to one plan: a changed plan has another name, and begins without any.
    data["id"] = hashlib.sha256(plain.encode()).hexdigest()[:16]
    plain = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    frame = Template((source / "frame.html").read_text(encoding="utf-8"))
    return frame.substitute(
        lang=html.escape(words.lang),
        title=html.escape(plan.job.name),
        no_script=html.escape(words.no_script),
        style=style,
        style_hash=_hash(style),
        script=script,
        script_hash=_hash(script),
        # No name in the data can end the element it stands in.
        data=plain.replace("<", "\\u003c"),
    )


def _hash(text: str) -> str:
    """Return the source expression of Content Security Policy Level 3 for an inline element."""
    digest = hashlib.sha256(text.encode()).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"
