"""What pydantic finds wrong in a file, in a coach's words: the place, what was read, what would do. What would do is
read from the JSON schema of the model."""

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from library.errors import Fault, nearest
from planner.files.text import Steps, as_written, listed, place
from planner.method import FOLDER

Schema = Mapping[str, Any]
KEY = "[key]"  # pydantic's mark of a fault in a key itself


def told(remedy: str) -> PydanticCustomError:
    """Make the error of a validator that says itself what would do."""
    return PydanticCustomError("told", "{remedy}", {"remedy": remedy})


Show = Callable[[Steps], str]


def check_shape(
    model: type[BaseModel], data: Any, file: Path, context: Schema | None = None, show: Show = place
) -> tuple[BaseModel | None, list[Fault]]:
    """Validate `data`; return the model or None, and the faults of shape and name. `show` writes a place. Of very
    many faults the first are told and the others counted."""
    try:
        return model.model_validate(data, context=dict(context or {})), []
    except ValidationError as error:
        schema, details = _schema(model), error.errors(include_url=False)
        shown = [_fault(detail, file, data, schema, show) for detail in islice(details, FOLDER.faults_shown)]
        return None, shown + _more(file, len(details) - len(shown))


@lru_cache(maxsize=8)
def _schema(model: type[BaseModel]) -> Schema:
    return model.model_json_schema()


def first_of(faults: Iterable[Fault], file: Path) -> list[Fault]:
    """Return as many faults as a person reads, and the number of the others."""
    every = list(faults)
    return every[: FOLDER.faults_shown] + _more(file, len(every) - FOLDER.faults_shown)


def _more(file: Path, count: int) -> list[Fault]:
    return [Fault(file, "", f"{count} faults more", "Mend these first")] if count > 0 else []


def _fault(detail: ErrorDetails, file: Path, data: Any, schema: Schema, show: Show) -> Fault:
    loc = detail["loc"]
    steps, value = _seen(loc, data)
    if detail["type"] == "missing":
        return Fault(file, show((*steps, loc[-1])), "missing", f"Add it: {_would_do(schema, loc)}")
    read = as_written(steps[-1] if loc and loc[-1] == KEY else value)
    special = REMEDIES.get(detail["type"])
    remedy = special(detail, schema) if special else f"Write {_would_do(schema, loc)}"
    return Fault(file, show(steps), read, remedy)


def _seen(loc: Steps, data: Any) -> tuple[Steps, Any]:
    """Return the steps that lead somewhere in the file, and what stands there: `side = -3` has no `side.target`."""
    seen: list[str | int] = []
    for step in loc:
        if str(step).startswith("<"):  # a branch chosen by pydantic, no key of the file
            continue
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            break
        seen.append(step)
    return tuple(seen), data


def _would_do(schema: Schema, loc: Steps) -> str:
    node = node_at(schema, loc[:-2] if loc and loc[-1] == KEY else loc)
    if node and loc and loc[-1] == KEY:
        node = {"type": "string", **node.get("propertyNames", {})}
    return in_words(node) if node else "another value"


def _unknown_key(detail: ErrorDetails, schema: Schema) -> str:
    keys = (node_at(schema, detail["loc"][:-1]) or {}).get("properties", {})
    hint = nearest(str(detail["loc"][-1])[:100], keys)
    return f"There is no such key here{hint or '.'} Known: {listed(keys)}"


def _unknown_choice(detail: ErrorDetails, schema: Schema) -> str:
    choices, read = (node_at(schema, detail["loc"]) or {}).get("enum", ()), detail["input"]
    hint = nearest(read[:100], choices) if isinstance(read, str) else ""
    return f"Write {_would_do(schema, detail['loc'])}{hint}"


REMEDIES: dict[str, Callable[[ErrorDetails, Schema], str]] = {
    "extra_forbidden": _unknown_key,
    "literal_error": _unknown_choice,
    "told": lambda detail, _: str(detail["ctx"]["remedy"]),
}


def node_at(schema: Schema, steps: Steps, node: Schema | None = None) -> Schema | None:
    """Return the part of a JSON schema that describes the place `steps` (below `node`; None: the whole), or None."""
    node = schema if node is None else node
    if "$ref" in node:  # what stands beside a reference describes it further
        beside = {key: value for key, value in node.items() if key != "$ref"}
        node = {**schema["$defs"][node["$ref"].rsplit("/", 1)[1]], **beside}
    if not steps:
        return node
    if str(steps[0]).startswith("<"):
        return node_at(schema, steps[1:], node)
    below = node.get("properties", {}).get(steps[0], node.get("additionalProperties"))
    below = node.get("items") if isinstance(steps[0], int) else below
    nodes = [(steps, branch) for branch in _branches(node)]
    nodes += [(steps[1:], below)] if isinstance(below, Mapping) else []
    return next((found for entry in nodes if (found := node_at(schema, *entry)) is not None), None)


def _branches(node: Schema) -> list[Schema]:
    return [*node.get("anyOf", ()), *node.get("oneOf", ())]


BOUNDS = {"from": "minimum", "above": "exclusiveMinimum", "to": "maximum", "below": "exclusiveMaximum"}
NUMBERS = {"integer": "a whole number", "number": "a number"}


def in_words(node: Schema) -> str:
    """Return what would do: "a whole number from 10 to 240 (minutes, warm-up included)"."""
    kind, keys = node.get("type", ""), node.get("properties")
    if "remedy" in node:
        return str(node["remedy"])
    if branches := [branch for branch in _branches(node) if branch.get("type") != "null"]:
        return " or ".join(in_words(branch) for branch in branches)
    if "enum" in node or "const" in node:
        return f"one of {listed(map(str, node.get('enum', [node.get('const')])))}"
    if kind == "boolean":
        return "true or false"
    if kind == "object":
        return f"a table with the keys {listed(keys)}" if keys else "a table"
    if kind == "array":
        least = "at least one " if node.get("minItems") else ""
        texts = node.get("items", {}).get("type") == "string"
        return f"a list of {least}texts in quotes" if texts else f"a list with {least}entry"
    if kind in NUMBERS:
        bounds = (f"{word} {node[key]:.12g}" for word, key in BOUNDS.items() if key in node)
        text = " ".join([NUMBERS[kind], *bounds])
    elif kind != "string":
        return "another value"
    elif node.get("format") == "date":
        text = "a date such as 2026-09-01, without quotes"
    else:
        text = "text in quotes"
        if "maxLength" in node:
            text += f", {node.get('minLength', 0)} to {node['maxLength']} characters"
    return f"{text} ({node['description']})" if node.get("description") else text
