"""TOML documents: read, validated by a pydantic model, every fault a `Problem` with its place."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from fleetstats.errors import InputRefused, Problem


class Document(BaseModel):
    """Base of every model read from TOML: unknown keys are refused, values are frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True)


TWICE = re.compile(r"Cannot declare \((.*?),?\) twice")
"""How the parser tells of a section that stands twice: with its path as a tuple."""

Model = TypeVar("Model", bound=BaseModel)


def read_toml(path: Path) -> dict[str, Any]:
    """The content of a TOML file.

    Raises InputRefused, naming the file and the parser's line, when it is missing, not UTF-8 or not TOML.
    """
    try:
        return tomllib.loads(path.read_bytes().decode("utf-8"))
    except FileNotFoundError:
        remedy = f"Write {path.name}, or name another file."
        raise InputRefused(Problem(what="the file does not exist", file=path.name, remedy=remedy)) from None
    except UnicodeDecodeError as error:
        raise InputRefused(Problem(what=f"not UTF-8 text at byte {error.start}", file=path.name, remedy="Save the file as UTF-8.")) from None
    except tomllib.TOMLDecodeError as error:
        raise InputRefused(_not_toml(str(error), path.name)) from None


def _not_toml(error: str, file: str) -> Problem:
    """What the parser says of a text that is not TOML; of what stands twice in our own words."""
    line = f" in line {found[1]}" if (found := re.search(r"at line (\d+)", error)) else ""
    if twice := TWICE.match(error):
        section = ".".join(re.findall(r"'([^']*)'", twice[1]))
        return Problem(what=f"the section [{section}] stands a second time{line}", file=file, remedy="Move its lines below the first one, and take it out.")
    if error.startswith(("Cannot overwrite a value", "Duplicate inline table key")):
        line = line or " in the last line"
        return Problem(what=f"a key stands a second time in its section{line}", file=file, remedy="Write it once, a list with all its values.")
    return Problem(what=f"not valid TOML: {error}", file=file, remedy="Mend the line named; text values stand in double quotes.")


def read_document(path: Path, model: type[Model]) -> Model:
    """A TOML file as `model`. Raises InputRefused with one Problem per fault, unknown keys with the nearest known one."""
    return validate(read_toml(path), model, file=path.name)


def validate(data: dict[str, Any], model: type[Model], *, file: str) -> Model:
    """`data` as `model`. Raises InputRefused with one Problem per fault; `file` names the origin in each."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise InputRefused(_problems(error, model, file)) from None


KINDS = {
    "string": ("a text", "Write it in double quotes."), "int": ("a whole number", "Write it without quotes."),
    "float": ("a number", "Write it without quotes."),
    "bool": ("true or false", "Write one of these, without quotes."), "date": ("a day", "Write it as 2026-01-31, without quotes."),
    "dict": ("a section of its own", "Write it as a section, with a line for each key."), "model": ("a section of its own", "Write it as a section."),
    "tuple": ("a list", 'Write it in brackets, e.g. ["..."].'), "list": ("a list", 'Write it in brackets, e.g. ["..."].'),
}
"""First word of a fault's kind -> what the value should be, and how that is written."""

LIMITS = {"greater_than_equal": ("at least", "ge"), "greater_than": ("more than", "gt"), "less_than_equal": ("at most", "le"), "less_than": ("less than", "lt")}
BRANCHES = {"str": "a text", "float": "a number", "int": "a whole number", "bool": "true or false", "date": "a day"}
"""Last part of the place of a fault, where a value may be one of several things."""


SHAPES = {"^[A-Z]{3}$": "three capital letters, such as EUR", r"^\d{4}-(0[1-9]|1[0-2])$": "year and month, such as 2026-01"}
"""A pattern of ours -> in words."""


def _problems(error: ValidationError, model: type[BaseModel], file: str) -> Iterable[Problem]:
    """A Problem for each fault; a value that might be one of several things has one fault."""
    told: set[tuple[int | str, ...]] = set()
    for fault in error.errors():
        branched = len(fault["loc"]) > 1 and fault["loc"][-1] in BRANCHES and fault["type"] not in ("extra_forbidden", "missing")
        place = fault["loc"][:-1] if branched else fault["loc"]
        if place not in told:
            told.add(place)
            yield _problem(fault, place, branched, model, file)


def _problem(fault: Any, loc: tuple[int | str, ...], branched: bool, model: type[BaseModel], file: str) -> Problem:
    place = ".".join(str(part) for part in loc)
    if fault["type"] == "extra_forbidden":
        key, known = str(loc[-1]), sorted(_keys(model))
        near = difflib.get_close_matches(key, known, n=1)
        hint = f'The nearest known key is "{near[0]}".' if near else f"Known keys: {', '.join(known)}."
        return Problem(what=f"unknown key '{key}' at {place}", file=file, remedy=hint)
    if fault["type"] == "missing":
        return Problem(what=f"the key '{place}' is missing", file=file, remedy=f"Add {loc[-1]} = ... there.")
    found = None if isinstance(fault["input"], dict | list) else str(fault["input"])
    if branched:
        either = f"one of: {', '.join(BRANCHES.values())}"
        return Problem(what=f"'{place}' has a value of the wrong kind", found=found, wanted=either, file=file, remedy="Mend this value.")
    what, wanted, remedy = _in_words(fault)
    return Problem(what=f"'{place}': {what}" if place else what, found=found, wanted=wanted, file=file, remedy=remedy)


def _in_words(fault: Any) -> tuple[str, str | None, str]:
    """What is wrong with a value, what would be right and what to do: in the words of the model where it has its own."""
    kind, context = str(fault["type"]), fault.get("ctx", {})
    if kind == "value_error":
        return str(fault["msg"]).removeprefix("Value error, "), None, "Mend this value."
    if kind == "literal_error":
        return "no word that is known here", str(context["expected"]).replace("'", '"'), "Write one of these."
    if kind in LIMITS:
        words, limit = LIMITS[kind]
        return "a number out of its range", f"{words} {context[limit]}", "Mend this value."
    if kind == "string_pattern_mismatch":
        return "not written as it should be", SHAPES.get(context["pattern"], f"a text of the form {context['pattern']}"), "Mend this value."
    if kind in ("string_too_short", "string_too_long"):
        length = f"at least {context['min_length']}" if "min_length" in context else f"at most {context['max_length']}"
        return "a text of the wrong length", f"{length} signs", "Mend this value."
    right, remedy = KINDS.get(kind.split("_")[0], (None, "Mend this value."))
    return "a value of the wrong kind", right, remedy


def _keys(model: type[BaseModel]) -> set[str]:
    """Every key of the model and of the models nested in it."""
    names: set[str] = set()
    for name, field in model.model_fields.items():
        names.add(field.alias or name)
        for nested in _nested(field.annotation):
            names |= _keys(nested)
    return names


def _nested(annotation: Any) -> Iterable[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in getattr(annotation, "__args__", ()):
        yield from _nested(part)
