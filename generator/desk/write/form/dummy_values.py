"""An entry that is not whole yet, completed with dummy values: what is empty or cannot be read gets one.

So one mistake hides no other, and the patient's page can be shown from the first word on. Nothing of it is written.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from limberleaf.desk.write.form.fields import bare, form_layout
from limberleaf.library import Library
from limberleaf.library.shape import written_loc
from limberleaf.library.yaml.source import Loc

ELLIPSIS = "…"
"""The dummy for words: no word, so that no check on words has anything to find."""
_MOST_ROUNDS = 8


@dataclass(frozen=True)
class Completed:
    """A completed value, and the places of the dummy values in it."""

    value: dict[str, Any]
    added: tuple[Loc, ...]

    def covers(self, loc: Loc) -> bool:
        """Tell whether a finding at a place is about a dummy value."""
        return any(
            loc[: len(one)] == one or (len(one) > 1 and loc == one[:-1] and isinstance(one[-1], str))
            for one in self.added
        )


def made_whole(
    model: type[BaseModel], value: Mapping[str, Any], library: Library, variant: int
) -> Completed | None:
    """Make a value whole; `variant` 0 or 1 chooses between the dummies of a choice. None when that fails."""
    made: dict[str, Any] = copy.deepcopy(dict(value))
    added: dict[Loc, None] = {}
    for _ in range(_MOST_ROUNDS):
        try:
            model.model_validate(made)
        except ValidationError as error:
            for one in error.errors(include_url=False):
                _mend(model, made, one, added, library, variant)
        else:
            return Completed(made, tuple(added))
    return None


def _mend(
    model: type[BaseModel],
    made: dict[str, Any],
    error: Mapping[str, Any],
    added: dict[Loc, None],
    library: Library,
    variant: int,
) -> None:
    loc: Loc = tuple(written_loc(made, error["loc"]))
    if error["type"] == "missing":
        loc = (*loc, str(error["loc"][-1]))
    if not loc:  # something is wrong between fields of the whole entry
        return
    if error["type"] == "extra_forbidden":
        _put(made, loc, None)
        return
    given = _for(model, loc, library, variant)
    if loc == ("position",):  # the picture says it, where there is one
        given = _at(made, ("figure", "poses", 0, "posture")) or given
    now = _at(made, loc)
    if (
        error["type"] == "value_error"
        and isinstance(now, dict)
        and isinstance(given, dict)
        and loc not in added
    ):
        fresh = [key for key in given if key not in now]
        added.update(dict.fromkeys((*loc, key) for key in fresh))
        added.setdefault(loc if not fresh else (*loc, fresh[0]))
        given = {**given, **now}
        if not fresh:
            given = _for(model, loc, library, variant)
    else:
        added[loc] = None
    _put(made, loc, given)


def _for(model: type[BaseModel], loc: Loc, library: Library, variant: int) -> Any:
    """Give the dummy value of a place: from the table, else by what kind of value it is."""
    name = next(step for step in reversed(loc) if isinstance(step, str))
    if name in ("exercise", "exercises", "replaces") and isinstance(loc[-1], int | str):
        return next(iter(library.published()), "kn-00")
    table: Mapping[str, Sequence[Any]] = form_layout()["dummy_values"]
    if name in table and isinstance(loc[-1], str):
        choices = table[name]
        return copy.deepcopy(choices[min(variant, len(choices) - 1)])
    return _by_kind(_annotation(model, loc))


def _annotation(model: type[BaseModel], loc: Loc) -> Any:
    annotation: Any = model
    for step in loc:
        plain = bare(annotation)
        if isinstance(step, int):
            annotation = get_args(plain)[0] if get_origin(plain) is list else Any
            continue
        models = [
            one for one in (plain, *get_args(plain)) if isinstance(one, type) and issubclass(one, BaseModel)
        ]
        field = next((one.model_fields[step] for one in models if step in one.model_fields), None)
        annotation = field.annotation if field else Any
    return annotation


def _by_kind(annotation: Any) -> Any:
    plain = bare(annotation)
    if get_origin(plain) is list:
        return [_by_kind(get_args(plain)[0])]
    if isinstance(plain, type) and issubclass(plain, BaseModel):
        return {}
    if plain is bool:
        return False
    if plain in (int, float):
        return 1
    arguments = get_args(plain)
    if arguments and all(isinstance(one, str) for one in arguments):
        return arguments[0]
    example = getattr(plain, "example", None)
    return example if isinstance(example, str) else ELLIPSIS


def _at(value: Any, loc: Loc) -> Any:
    for step in loc:
        if isinstance(value, Mapping):
            value = value.get(str(step))
        elif isinstance(value, list) and isinstance(step, int) and step < len(value):
            value = value[step]
        else:
            return None
    return value


def _put(value: Any, loc: Loc, given: Any) -> None:
    """Put a value at its place (None takes it out), where the way to it is there."""
    above = _at(value, loc[:-1]) if loc[:-1] else value
    last = loc[-1]
    if isinstance(above, dict):
        if given is None:
            above.pop(str(last), None)
        else:
            above[str(last)] = given
    elif isinstance(above, list) and isinstance(last, int) and last < len(above):
        if given is None:
            del above[last]
        else:
            above[last] = given
