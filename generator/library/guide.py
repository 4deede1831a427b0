"""Every key that an entry may hold, from the JSON Schemas: what it means, which form it takes, what it is by itself.

The schemas are made from the typed entries, so the guide cannot say less or more than the tool reads.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from limberleaf.library.schemas import SCHEMAS, schema

_FORMS = {
    "^[a-z]{2,4}-[0-9]{2,3}$": "a code such as kn-03",
    "^[a-z][a-z0-9]*(-[a-z0-9]+)*$": "a name in small letters with hyphens",
    "^[a-z][a-z0-9_-]*$": "a name in small letters",
    "^https?://[^\\s]+/$": "an address with its last /",
}
"""What the commonest patterns ask for, in words; a pattern that is not here is shown by its example."""
_KINDS = {
    "string": "text",
    "integer": "whole number",
    "number": "number",
    "boolean": "true or false",
    "object": "keys",
}


@dataclass(frozen=True)
class Key:
    """One key: `path` from the top of the entry, lists marked by `[]`, such as `steps[].when`.

    `default` is None where the key has none and `required` says that it must be there.
    """

    kind: str
    path: str
    meaning: str
    form: str
    required: bool
    default: object = None

    @property
    def name(self) -> str:
        """Give the kind and the path: `exercise dose.hold`."""
        return f"{self.kind} {self.path}"

    @property
    def paths(self) -> tuple[str, str]:
        """Give the path as one types it, without and with the kind before it."""
        plain = self.path.replace("[]", "")
        return plain, f"{self.kind} {plain}"


@cache
def keys(kind: str) -> tuple[Key, ...]:
    """Give every key of a kind, in the order of its entry; KeyError when there is no such kind."""
    whole = schema(kind)
    return tuple(_keys(kind, whole, whole.get("$defs", {}), "", ()))


def find_keys(words: str) -> list[Key]:
    """Give the keys that answer `words`: all of a kind, those at and below a path, or those that end in a name."""
    every = [key for kind in SCHEMAS for key in keys(kind)]
    exact = [key for key in every if key.kind == words or any(_at(path, words) for path in key.paths)]
    return exact or [key for key in every if key.paths[0].split(".")[-1] == words]


def _at(path: str, words: str) -> bool:
    return path == words or path.startswith(f"{words}.")


def _keys(
    kind: str, part: Mapping[str, Any], models: Mapping[str, Any], path: str, above: tuple[str, ...]
) -> Iterator[Key]:
    required = set(part.get("required", ()))
    for name, value in part.get("properties", {}).items():
        here = f"{path}.{name}" if path else name
        yield Key(
            kind,
            here,
            str(value.get("description") or _model_words(value, models)),
            form_of(value, models),
            name in required,
            value.get("default"),
        )
        for model, mark in _models_in(value, models):
            if model not in above:  # a key whose parts hold the same key again is listed once
                yield from _keys(kind, models[model], models, here + mark, (*above, model))


def _models_in(value: Mapping[str, Any], models: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Name the models a key holds, with the mark of a list (`[]`) or of names of one's own (`.NAME`)."""
    for choice in [value, *value.get("anyOf", ())]:
        if (name := _model(choice, models)) is not None:
            yield name, ""
        named = [choice.get("additionalProperties"), *choice.get("patternProperties", {}).values()]
        for inside, mark in ((choice.get("items"), "[]"), *((one, ".NAME") for one in named)):
            if isinstance(inside, Mapping) and (name := _model(inside, models)) is not None:
                yield name, mark


def _model(value: Mapping[str, Any], models: Mapping[str, Any]) -> str | None:
    name = str(value.get("$ref", "")).removeprefix("#/$defs/")
    return name if name in models else None


def _model_words(value: Mapping[str, Any], models: Mapping[str, Any]) -> str:
    """Give what the model of a key says of itself, where the key says nothing."""
    names = [name for name, _ in _models_in(value, models)]
    return str(models[names[0]].get("description", "")).split("\n\n", 1)[0] if names else ""


def form_of(value: Mapping[str, Any], models: Mapping[str, Any]) -> str:
    """Say which form a value takes, in words."""
    if "enum" in value or "const" in value:
        choices = value.get("enum", [value.get("const")])
        return "one of: " + ", ".join("true" if one is True else str(one) for one in choices)
    if "$ref" in value:
        return "keys"
    named = [value.get("additionalProperties"), *value.get("patternProperties", {}).values()]
    if value.get("type") == "object" and (inside := [one for one in named if isinstance(one, Mapping)]):
        language = ", such as a language" if "patternProperties" not in value else ""
        return f"one a name{language}: {form_of(inside[0], models)}"
    if "anyOf" in value and "type" not in value:
        choices = [form_of(one, models) for one in value["anyOf"] if one.get("type") != "null"]
        return _text_or_number(list(dict.fromkeys(choices)))
    if value.get("type") == "array":
        return f"a list: {form_of(value.get('items', {}), models)}"
    return _plain_form(value)


def _plain_form(value: Mapping[str, Any]) -> str:
    if value.get("pattern") in _FORMS:
        return _FORMS[value["pattern"]]
    if value.get("examples"):
        return "such as " + ", ".join(map(str, value["examples"]))
    if value.get("format") == "date":
        return "a day: 2026-09-14"
    kind = value.get("type", "text")
    return " or ".join(_KINDS.get(one, one) for one in ([kind] if isinstance(kind, str) else kind))


def _text_or_number(choices: list[str]) -> str:
    """Put choices into words; a bare number is read as that text, so it is no choice of its own."""
    if "text" in choices and "whole number" in choices:
        choices.remove("whole number")
    return " or ".join(choices)
