"""Turn what pydantic found in a file into faults in a coach's words: place, what was read, what would do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from library.errors import Fault, nearest
from planner.athlete.expected import Schema, Steps, in_words, keys_at, node_at
from planner.athlete.words import as_written, listed, place

KEY = "[key]"  # pydantic's mark of a fault in a key itself


def check_shape(
    model: type[BaseModel],
    data: Any,
    file: Path,
    context: Mapping[str, Any],
    show: Callable[[Steps], str] = place,
) -> tuple[BaseModel | None, list[Fault]]:
    """Validate `data`; return the model or None, and every fault of shape and name. `show` writes a place."""
    try:
        return model.model_validate(data, context=context), []
    except ValidationError as error:
        schema = model.model_json_schema()
        return None, [_fault(detail, file, data, schema, show) for detail in error.errors(include_url=False)]


def _fault(
    detail: ErrorDetails, file: Path, data: Any, schema: Schema, show: Callable[[Steps], str]
) -> Fault:
    steps = _seen(detail["loc"], data)
    if detail["type"] == "missing":
        return Fault(
            file, show((*steps, detail["loc"][-1])), "missing", f"Add it: {_would_do(schema, detail['loc'])}"
        )
    read = (
        as_written(steps[-1])
        if detail["loc"] and detail["loc"][-1] == KEY
        else as_written(_value(data, steps))
    )
    return Fault(file, show(steps), read, _remedy(detail, schema))


def _seen(loc: Steps, data: Any) -> Steps:
    """Return the steps that lead somewhere in the file: `side = -3` has no `target.side.target`."""
    seen: list[str | int] = []
    for step in loc:
        if str(step).startswith("<"):  # a branch chosen by pydantic, no key of the file
            continue
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            break
        seen.append(step)
    return tuple(seen)


def _value(data: Any, steps: Steps) -> Any:
    for step in steps:
        data = data[step]
    return data


def _would_do(schema: Schema, loc: Steps) -> str:
    node = node_at(schema, loc[:-2] if loc and loc[-1] == KEY else loc)
    if node and loc and loc[-1] == KEY:
        node = {"type": "string", **node.get("propertyNames", {})}
    return in_words(node) if node else "another value"


def _remedy(detail: ErrorDetails, schema: Schema) -> str:
    special = REMEDIES.get(detail["type"])
    return special(detail, schema) if special else f"Write {_would_do(schema, detail['loc'])}"


def _unknown_key(detail: ErrorDetails, schema: Schema) -> str:
    keys = keys_at(node_at(schema, detail["loc"][:-1]) or {})
    hint = nearest(str(detail["loc"][-1]), keys)
    return f"There is no such key here{hint}{'' if hint else '.'} Known: {listed(keys)}"


def _unknown_choice(detail: ErrorDetails, schema: Schema) -> str:
    choices = (node_at(schema, detail["loc"]) or {}).get("enum", ())
    read = detail["input"]
    hint = nearest(read, choices) if isinstance(read, str) else ""
    return f"Write {_would_do(schema, detail['loc'])}{hint}"


def _told(detail: ErrorDetails, _: Schema) -> str:
    return str(detail["ctx"]["remedy"])


REMEDIES: dict[str, Callable[[ErrorDetails, Schema], str]] = {
    "extra_forbidden": _unknown_key,
    "literal_error": _unknown_choice,
    "told": _told,
}
