"""TOML documents: read, validated by a pydantic model, every fault a `Problem` with its place."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from fleetstats.errors import InputRefused, Problem


class Document(BaseModel):
    """Base of every model read from TOML: unknown keys are refused, values are frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True)


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
        remedy = "Mend the line named; text values stand in double quotes."
        raise InputRefused(Problem(what=f"not valid TOML: {error}", file=path.name, remedy=remedy)) from None


def read_document(path: Path, model: type[Model]) -> Model:
    """A TOML file as `model`. Raises InputRefused with one Problem per fault, unknown keys with the nearest known one."""
    return validate(read_toml(path), model, file=path.name)


def validate(data: dict[str, Any], model: type[Model], *, file: str) -> Model:
    """`data` as `model`. Raises InputRefused with one Problem per fault; `file` names the origin in each."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise InputRefused(_problem(fault, model, file) for fault in error.errors()) from None


def _problem(fault: Any, model: type[BaseModel], file: str) -> Problem:
    place = ".".join(str(part) for part in fault["loc"])
    if fault["type"] == "extra_forbidden":
        key, known = str(fault["loc"][-1]), sorted(_keys(model))
        near = difflib.get_close_matches(key, known, n=1)
        hint = f'The nearest known key is "{near[0]}".' if near else f"Known keys: {', '.join(known)}."
        return Problem(what=f"unknown key '{key}' at {place}", file=file, remedy=hint)
    if fault["type"] == "missing":
        return Problem(what=f"the key '{place}' is missing", file=file, remedy=f"Add {fault['loc'][-1]} = ... there.")
    found = None if isinstance(fault["input"], dict | list) else str(fault["input"])
    message = str(fault["msg"]).removeprefix("Value error, ")
    return Problem(what=f"'{place}': {message}" if place else message, found=found, file=file, remedy="Mend this value. Nothing was changed.")


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
