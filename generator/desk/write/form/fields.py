"""The form of an entry, from the same typed models as its schema: fields in the order of the page, with their words.

`form_of(kind, words)` gives plain data that the page's script builds the form from; `typed(model, value)` turns what
people type into the numbers an entry is written with.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from limberleaf.data_files import data_of
from limberleaf.desk.write.words import DeskWords
from limberleaf.diagrams.language.spec import FigureSpec
from limberleaf.library.models.exercise import AsComfortable, TranslatedFigure
from limberleaf.library.models.values import Band, Count, Duration, LocalText, Span
from limberleaf.library.schemas import SCHEMAS

Form = dict[str, Any]
_BLANK: tuple[Any, ...] = (None, "", {})
_WRITTEN: Mapping[type, str] = {
    Count: "count",
    Duration: "duration",
    Span: "span",
    Band: "band",
    LocalText: "local",
}


@cache
def form_layout() -> Mapping[str, Any]:
    """Read how forms are laid out."""
    return dict(data_of("limberleaf.desk.write", "form.yml"))


def form_of(kind: str, words: DeskWords) -> list[Form]:
    """Give the sections of a kind's form, each with its fields."""
    model = SCHEMAS[kind]
    layout: Mapping[str, Sequence[str]] = form_layout()["sections"][kind]
    named = {name for names in layout.values() for name in names}
    rest = [name for name in model.model_fields if name not in named]
    last = list(layout)[-1]
    return [
        {
            "key": section,
            "label": words.say(f"sections.{section}"),
            "fields": [
                _field(name, model.model_fields[name], name, words)
                for name in [*names, *(rest if section == last else [])]
            ],
        }
        for section, names in layout.items()
    ]


def _field(name: str, info: FieldInfo, path: str, words: DeskWords) -> Form:
    made = {
        "key": name,
        "label": words.field(path),
        "help": words.help(path) or info.description or "",
        "required": info.is_required(),
    }
    made.update(_shape(info.annotation, path, words))
    if not made["help"] and "fields" in made:
        made["help"] = made.get("about", "")
    if path in form_layout()["fixed"]:
        made["fixed"] = True
    if not info.is_required() and info.default is not None and isinstance(info.default, str | int | bool):
        made["default"] = info.default
    return made


def _shape(annotation: Any, path: str, words: DeskWords) -> Form:  # noqa: PLR0911 - one line for each kind of field
    plain = bare(annotation)
    pick = _pick(path)
    if get_origin(plain) is list:
        return _list(get_args(plain)[0], path, words, pick)
    if pick:
        return {"kind": "pick", "pick": pick}
    if get_origin(plain) is Literal:
        options = [str(one) for one in get_args(plain)]
        return {"kind": "choice", "options": [[one, words.option(path, one)] for one in options]}
    if plain is bool:
        return {"kind": "yes"}
    if plain in (int, float):
        return {"kind": "number"}
    if plain is date:
        return {"kind": "day"}
    for kind, name in _WRITTEN.items():
        if plain is kind:
            return {"kind": name}
    if get_origin(plain) in (Union, types.UnionType) and AsComfortable in get_args(plain):
        return {"kind": "repetitions"}
    if plain is FigureSpec:
        return {"kind": "figure"}
    if plain is TranslatedFigure:
        return {"kind": "captions"}
    if isinstance(plain, type) and issubclass(plain, BaseModel):
        return {"kind": "group", "fields": _fields(plain, path, words), "about": _first_line(plain)}
    return {"kind": "suggested" if path in form_layout()["suggested"] else "text"}


def _list(item: Any, path: str, words: DeskWords, pick: str) -> Form:
    inner = bare(item)
    if pick:
        return {"kind": "picks", "pick": pick}
    if get_origin(inner) is Literal:
        options = [str(one) for one in get_args(inner)]
        return {"kind": "choices", "options": [[one, words.option(path, one)] for one in options]}
    if isinstance(inner, type) and issubclass(inner, BaseModel):
        return {"kind": "list", "fields": _fields(inner, path, words), "item": words.item(path)}
    return {"kind": "texts", "item": words.item(path)}


def _fields(model: type[BaseModel], path: str, words: DeskWords) -> list[Form]:
    return [_field(name, info, f"{path}.{name}", words) for name, info in model.model_fields.items()]


def _first_line(model: type[BaseModel]) -> str:
    return (model.__doc__ or "").split("\n\n", 1)[0]


def _pick(path: str) -> str:
    picks: Mapping[str, str] = form_layout()["picks"]
    ends = (path, ".".join(path.split(".")[-2:]), path.rpartition(".")[2])
    return next((picks[end] for end in ends if end in picks), "")


def bare(annotation: Any) -> Any:
    """Give a type without None and without its notes for validation."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return bare(get_args(annotation)[0])
    if origin in (Union, types.UnionType):
        others = [one for one in get_args(annotation) if one is not types.NoneType]
        return bare(others[0]) if len(others) == 1 else annotation
    return annotation


# --- from what is typed to what is written -----------------------------------------------------------------------


def typed(annotation: Any, value: Any, *, by_line: bool = False) -> Any:
    """Give a value as its entry is written: numbers where the model counts, nothing where nothing was typed.

    In a translation lines belong together by their number (`by_line`): an empty one stays while a later one is filled.
    """
    plain = bare(annotation)
    if isinstance(value, Mapping):
        model = next(_models(plain), None)
        inner = {name: info.annotation for name, info in model.model_fields.items()} if model else {}
        made = {key: typed(inner.get(key, Any), item, by_line=by_line) for key, item in value.items()}
        return {key: item for key, item in made.items() if item not in (None, "")}
    if isinstance(value, list):
        of = get_args(plain)[0] if get_origin(plain) is list else Any
        items = [typed(of, one, by_line=by_line) for one in value]
        if by_line:
            return _without_last_blanks(["" if one is None else one for one in items])
        return [item for item in items if item not in _BLANK]
    return _typed_text(plain, value.strip()) if isinstance(value, str) else value


def _without_last_blanks(items: list[Any]) -> list[Any]:
    while items and items[-1] in _BLANK:
        items = items[:-1]
    return items


def _models(plain: Any) -> Iterator[type[BaseModel]]:
    for one in (plain, *get_args(plain)):
        if isinstance(one, type) and issubclass(one, BaseModel):
            yield one


def _typed_text(plain: Any, text: str) -> Any:
    if (
        plain in (int, float)
        or plain in (Count, Duration, Span, Band)
        or get_origin(plain) in (Union, types.UnionType)
    ):
        if text.isdigit() and str(int(text)) == text:
            return int(text)
        if plain is float:
            try:
                return float(text)
            except ValueError:
                return text
    if plain is bool and text in ("true", "false"):
        return text == "true"
    return text
