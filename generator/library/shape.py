"""From pydantic's errors to findings in plain words, each at its place.

A record is read whole, so that everything wrong with a file is reported in one go.
"""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from limberleaf.findings import Finding, did_you_mean
from limberleaf.library.yaml.source import Source

Model = TypeVar("Model", bound=BaseModel)


def shape(model: type[Model], value: object, source: Source) -> tuple[Model | None, list[Finding]]:
    """Make a typed entry of plain values, or say everything that is wrong with them."""
    if not isinstance(value, dict):
        finding = Finding(
            "error",
            "not-a-mapping",
            "The file must hold keys and values, such as `title: ...`.",
            "`limberleaf new` writes a starter to begin from.",
            source.place(),
        )
        return None, [finding]
    try:
        return model.model_validate(value), []
    except ValidationError as error:
        found = [_finding(model, value, source, item) for item in error.errors(include_url=False)]
        return None, list(dict.fromkeys(found))


def _finding(model: type[BaseModel], value: object, source: Source, error: Mapping[str, Any]) -> Finding:
    loc = written_loc(value, error["loc"])
    kind = error["type"]
    name = next((str(step) for step in reversed(loc) if isinstance(step, str)), "the entry")
    if kind == "extra_forbidden":
        if " " in name:
            return Finding(
                "error",
                "comma-in-text",
                f"“{name}” reads as a key of its own.",
                "A comma inside { } ends a text. Put the whole sentence in double quotes.",
                source.place(loc, key=True),
            )
        known = _keys_at(model, error["loc"][:-1])
        return Finding(
            "error",
            "unknown-key",
            f"“{name}” is not a key that belongs here.",
            did_you_mean(name, known),
            source.place(loc, key=True),
        )
    if kind == "missing":
        missing = str(error["loc"][-1])
        return Finding(
            "error",
            "missing-key",
            f"“{missing}” is missing.",
            _description(model, error["loc"]) or f"Add `{missing}:` here.",
            source.place_of_missing(loc, missing),
        )
    code, message, hint = _say(kind, name, error)
    return Finding("error", code, message, hint, source.place(loc))


def _say(kind: str, name: str, error: Mapping[str, Any]) -> tuple[str, str, str]:
    """Give the code, the message and the way out for one kind of mistake."""
    context = error.get("ctx", {})
    given = error.get("input")
    if kind in ("too_short", "too_long"):
        return _say_length(name, given, context)
    if kind == "string_too_short" or (given is None and kind != "value_error"):
        return "empty-value", f"“{name}” has no value.", "Write the value after the colon, or delete the key."
    if kind in ("literal_error", "enum"):
        return _say_choice(name, given, context)
    if kind in _WANTED:
        return _say_type(kind, name, given)
    if kind == "string_pattern_mismatch":
        return "wrong-form", f"“{given}” does not have the form of “{name}”.", _pattern_hint(name, context)
    if kind == "value_error":
        reason = str(context.get("error", error["msg"])).rstrip(".")
        written = f"“{name}” is “{given}”" if isinstance(given, str | int) else f"“{name}”"
        return "not-possible", f"{written}: {reason}.", f"`limberleaf guide {name}` explains it."
    return "wrong-value", f"“{name}”: {error['msg'].lower()}.", "Correct the value."


_WANTED = {
    "string_type": "a text",
    "list_type": "a list, each line with a dash",
    "dict_type": "keys and values",
    "model_type": "keys and values",
    "model_attributes_type": "keys and values",
    "bool_type": "true or false",
    "int_type": "a whole number",
}


def _say_length(name: str, given: object, context: Mapping[str, Any]) -> tuple[str, str, str]:
    if given == []:
        return "empty-list", f"“{name}” is an empty list.", "Write at least one line, or leave the key out."
    least, most, there = context.get("min_length"), context.get("max_length"), context.get("actual_length", 0)
    message = f"“{name}” has {there} {'line' if there == 1 else 'lines'}"
    if least is not None:
        missing = least - there
        return "wrong-length", f"{message}; at least {least} are needed.", f"Add {missing} more."
    return "wrong-length", f"{message}; at most {most} are shown.", f"Leave out {there - (most or 0)}."


def _say_choice(name: str, given: object, context: Mapping[str, Any]) -> tuple[str, str, str]:
    choices = str(context.get("expected", "")).replace("'", "")
    known = choices.replace(" or ", ", ").split(", ")
    hint = f"{did_you_mean(str(given), known)} Choose from: {choices}."
    return "not-a-choice", f"“{given}” is not a choice for “{name}”.", hint


def _say_type(kind: str, name: str, given: object) -> tuple[str, str, str]:
    if kind == "string_type" and isinstance(given, dict):
        return (
            "text-with-colon",
            f"“{name}” should be a text, but it reads as a key and a value.",
            'A colon and a space make a key. Put the sentence in double quotes: "Remember: sit tall."',
        )
    return "wrong-type", f"“{name}” should be {_WANTED[kind]}.", f"Write {_WANTED[kind]}."


def _pattern_hint(name: str, context: Mapping[str, Any]) -> str:
    if name in ("code", "exercise", "replaced_by", "replaces", "exercises"):
        return "A code is two to four small letters, a hyphen and two or three digits: kn-03."
    if name == "site":
        return "Write the whole address with its last slash: https://exercises.example.org/."
    if name == "languages":
        return "Write two small letters: en, nl, ar."
    return f"Small letters, digits and hyphens, as in knee-locking. ({context.get('pattern')})"


def written_loc(value: object, loc: Sequence[str | int]) -> tuple[str | int, ...]:
    """Keep only the parts of pydantic's path that are in the file (it also names union members)."""
    written: list[str | int] = []
    for step in loc:
        if isinstance(value, Mapping) and step in value:
            value = value[step]
        elif isinstance(value, Sequence) and not isinstance(value, str) and isinstance(step, int):
            value = value[step] if step < len(value) else None
        else:
            continue
        written.append(step)
    return tuple(written)


def _models_in(annotation: object) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    origin = get_origin(annotation)
    if origin in (Union, types.UnionType, Annotated) or origin is not None:
        return [model for part in get_args(annotation) for model in _models_in(part)]
    return []


def _models_at(model: type[BaseModel], loc: Sequence[str | int]) -> list[type[BaseModel]]:
    models = [model]
    for step in loc:
        named = [m for m in models if isinstance(step, str) and step in m.model_fields]
        if named:
            models = [inner for m in named for inner in _models_in(m.model_fields[str(step)].annotation)]
    return models


def _keys_at(model: type[BaseModel], loc: Sequence[str | int]) -> list[str]:
    return sorted({name for found in _models_at(model, loc) for name in found.model_fields})


def _description(model: type[BaseModel], loc: Sequence[str | int]) -> str | None:
    for found in _models_at(model, loc[:-1]):
        field = found.model_fields.get(str(loc[-1]))
        if field and field.description:
            return f"Add `{loc[-1]}:`. {field.description}"
    return None
