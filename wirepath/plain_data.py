"""Plain data (TOML tables, JSON) from and to frozen nouns, with the key path in every fault.

cattrs does the work from the nouns' own type hints. What is added here: numbers are
taken strictly (no "12" for 12, no true for 1), their `Range` is kept, geometry has a
plain form, and all faults come out together as `Fault`s a user can read.
"""

from __future__ import annotations

import dataclasses
import difflib
import math
import tomllib
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin, get_type_hints

import cattrs
from cattrs import BaseConverter
from cattrs.dispatch import StructureHook
from cattrs.errors import BaseValidationError, ForbiddenExtraKeysError
from shapely import Geometry, LineString, Polygon, get_coordinates
from shapely.geometry import mapping, shape

from wirepath.errors import Fault, FileError
from wirepath.units import Range

Noun = TypeVar("Noun")

_WORDS = {str: "text in quotes", int: "a whole number", float: "a number", bool: "true or false"}


def from_plain(data: object, kind: type[Noun]) -> tuple[Noun | None, tuple[Fault, ...]]:
    """Return `data` as a `kind`, or None and every fault found, its key path as `where`."""
    try:
        return _CONVERTER.structure(data, kind), ()
    except BaseValidationError as error:
        lines = cattrs.transform_error(error, path="", format_exception=_in_words)
    faults = []
    for line in lines:
        text, _, path = line.rpartition(" @ ")
        what, _, mend = text.partition("\n")
        faults.append(Fault(what, where=path.lstrip("."), mend=mend))
    return None, tuple(faults)


def to_plain(noun: object) -> Any:
    """Return `noun` as dicts, lists, texts and numbers; geometry as lists of points in mm."""
    return _CONVERTER.unstructure(noun)


def read_toml(path: Path) -> dict[str, Any]:
    """Return the tables of a TOML file. Raises FileError where it is missing or not TOML."""
    try:
        with path.open("rb") as file:
            return tomllib.load(file)
    except FileNotFoundError:
        raise FileError(
            Fault("there is no such file", str(path), "check the name and the folder")
        ) from None
    except IsADirectoryError:
        raise FileError(
            Fault("this is a folder, not a file", str(path), "give the file's own name")
        ) from None
    except OSError as error:
        raise FileError(Fault(f"cannot be read: {error.strerror}", str(path))) from None
    except UnicodeDecodeError:
        raise FileError(
            Fault("is not plain text (UTF-8)", str(path), "save it again as plain text, UTF-8")
        ) from None
    except tomllib.TOMLDecodeError as error:
        raise FileError(
            Fault(
                f"is not written as a settings file (TOML): {error}",
                str(path),
                "look at that line: texts need quotes, numbers a point, tables [brackets]",
            )
        ) from None


def _in_words(error: BaseException, kind: type[Any] | None) -> str:
    """Return what is wrong, then the remedy on a second line."""
    if isinstance(error, ForbiddenExtraKeysError):
        known = [field.name for field in dataclasses.fields(error.cl)]
        texts = []
        for key in sorted(error.extra_fields):
            near = difflib.get_close_matches(key, known, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"known keys: {', '.join(known)}"
            texts.append(f"unknown key {key!r} ({hint})")
        return "; ".join(texts) + "\nremove it or spell it as the reference does"
    if isinstance(error, KeyError):
        return "this key is missing\nadd it"
    if isinstance(error, (ValueError, TypeError)) and error.args:
        return str(error.args[0])
    return f"cannot be used ({type(error).__name__})"


def _strict(kind: type) -> StructureHook:
    def structure(value: Any, _: Any) -> Any:
        fits = isinstance(value, kind) and (kind is bool or not isinstance(value, bool))
        if kind is float:
            fits = isinstance(value, (int, float)) and not isinstance(value, bool)
            if fits and not math.isfinite(value):
                raise ValueError(f"must be a finite number, is {value}\ngive a plain number")
        if not fits:
            raise ValueError(f"must be {_WORDS[kind]}, is {value!r}\ngive {_WORDS[kind]}")
        return kind(value)

    return structure


def _ranges(kind: Any) -> list[Range]:
    if get_origin(kind) is not Annotated:
        return []
    return [extra for extra in kind.__metadata__ if isinstance(extra, Range)]


def _ranged(value: Any, kind: Any) -> Any:
    number = _CONVERTER.structure(value, get_args(kind)[0])
    for limit in _ranges(kind):
        complaint = limit.complaint(number)
        if complaint:
            raise ValueError(f"{complaint}\ngive a number in that range")
    return number


def _is_choice(kind: Any) -> bool:
    return str(get_origin(kind)) == "typing.Literal"


def _choice(value: Any, kind: Any) -> Any:
    choices = get_args(kind)
    # By type as well: True == 1, and a list cannot be looked up in a set.
    if any(value == choice and type(value) is type(choice) for choice in choices):
        return value
    words = " or ".join(repr(choice) for choice in choices)
    raise ValueError(f"must be {words}, is {value!r}\nuse one of these words")


def _is_optional(kind: Any) -> bool:
    return get_origin(kind) in (Union, UnionType) and type(None) in get_args(kind)


def _optional(value: Any, kind: Any) -> Any:
    if value is None:
        return None
    (inner,) = (option for option in get_args(kind) if option is not type(None))
    return _CONVERTER.structure(value, inner)


def _is_tuple(kind: Any) -> bool:
    return get_origin(kind) is tuple


def _list_first(kind: Any, converter: BaseConverter) -> StructureHook:
    wanted = get_args(kind)
    many = list[wanted[0]]  # type: ignore[valid-type]
    repeated = wanted[-1] is Ellipsis

    def structure(value: Any, _: Any) -> Any:
        if not isinstance(value, list):
            raise ValueError(f"must be a list, is {value!r}\nput it in [ ] or in [[tables]]")
        if repeated:
            return tuple(converter.structure(value, many))
        if len(value) != len(wanted):
            raise ValueError(f"must be a list of {len(wanted)}, is {value!r}\ngive {len(wanted)}")
        return tuple(map(converter.structure, value, wanted))

    return structure


def _table_first(kind: Any, converter: BaseConverter) -> StructureHook:
    # cattrs asks for the type hints without their extras, which would lose every Range.
    hints = get_type_hints(kind, include_extras=True)
    inner = cattrs.gen.make_dict_structure_fn(
        kind,
        converter,
        _cattrs_forbid_extra_keys=True,
        _cattrs_detailed_validation=True,
        **{  # type: ignore[arg-type]
            name: cattrs.override(struct_hook=_as(hint, converter)) for name, hint in hints.items()
        },
    )

    def structure(value: Any, _: Any) -> Any:
        if not isinstance(value, dict):
            raise ValueError(f"must be a table, is {value!r}\nwrite it as [table] with keys")
        return inner(value, kind)

    return structure


def _as(hint: Any, converter: BaseConverter) -> StructureHook:
    return lambda value, _: converter.structure(value, hint)


def _points(geometry: Any) -> list[list[float]]:
    points: list[list[float]] = get_coordinates(geometry).tolist()
    return points


def _polygon(value: Any, _: Any) -> Polygon:
    return Polygon(value["outer"], value["holes"])


def _make_converter() -> cattrs.Converter:
    converter = cattrs.Converter(forbid_extra_keys=True, detailed_validation=True)
    converter.register_structure_hook_factory(dataclasses.is_dataclass)(_table_first)
    converter.register_structure_hook_factory(_is_tuple)(_list_first)
    converter.register_structure_hook_func(_is_optional, _optional)
    converter.register_structure_hook_func(_is_choice, _choice)
    converter.register_structure_hook_func(lambda kind: bool(_ranges(kind)), _ranged)
    for kind in (str, int, float, bool):
        converter.register_structure_hook(kind, _strict(kind))
    converter.register_structure_hook(Polygon, _polygon)
    converter.register_unstructure_hook(
        Polygon,
        lambda polygon: {
            "outer": _points(polygon.exterior),
            "holes": [_points(ring) for ring in polygon.interiors],
        },
    )
    converter.register_structure_hook(LineString, lambda value, _: LineString(value))
    converter.register_unstructure_hook(LineString, _points)
    # Geometry of any kind, as RFC 7946 (GeoJSON) writes it.
    converter.register_structure_hook(Geometry, lambda value, _: shape(value))
    converter.register_unstructure_hook(Geometry, mapping)
    return converter


_CONVERTER = _make_converter()
