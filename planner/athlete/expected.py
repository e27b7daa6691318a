"""What would do in one place of a file, in words, read from the JSON schema of its model."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from planner.athlete.words import listed

Schema = Mapping[str, Any]
Steps = tuple[str | int, ...]


def node_at(schema: Schema, steps: Steps) -> Schema | None:
    """Return the part of a JSON schema that describes the place `steps`, or None."""
    return _follow(schema, schema, steps)


def _follow(whole: Schema, node: Schema, steps: Steps) -> Schema | None:
    if "$ref" in node:  # what stands beside a reference describes it further
        beside = {key: value for key, value in node.items() if key != "$ref"}
        node = {**whole["$defs"][node["$ref"].rsplit("/", 1)[1]], **beside}
    if not steps:
        return node
    if str(steps[0]).startswith("<"):  # a branch chosen by pydantic, no key of the file
        return _follow(whole, node, steps[1:])
    for branch in _branches(node):
        if (found := _follow(whole, branch, steps)) is not None:
            return found
    below = _below(node, steps[0])
    return None if below is None else _follow(whole, below, steps[1:])


def _branches(node: Schema) -> Iterable[Schema]:
    return [*node.get("anyOf", ()), *node.get("oneOf", ())]


def _below(node: Schema, step: str | int) -> Schema | None:
    if isinstance(step, int):
        found = node.get("items")
    else:
        found = node.get("properties", {}).get(step, node.get("additionalProperties"))
    return found if isinstance(found, Mapping) else None


def keys_at(node: Schema) -> tuple[str, ...]:
    """Return the keys that a table may have there."""
    return tuple(node.get("properties", {}))


def in_words(node: Schema) -> str:
    """Return what would do: "a whole number from 10 to 240 (minutes, warm-up included)"."""
    if "remedy" in node:
        return str(node["remedy"])
    branches = [branch for branch in _branches(node) if branch.get("type") != "null"]
    if branches:
        return " or ".join(in_words(branch) for branch in branches)
    if "enum" in node or "const" in node:
        return f"one of {listed(map(str, node.get('enum', [node.get('const')])))}"
    described = _TYPES.get(node.get("type", ""))
    text = described(node) if described else "another value"
    note = node.get("description") if node.get("type") in ("integer", "number", "string") else None
    return f"{text} ({note})" if note else text


def _numeric(noun: str, node: Schema) -> str:
    low, high = (
        node.get("minimum", node.get("exclusiveMinimum")),
        node.get("maximum", node.get("exclusiveMaximum")),
    )
    start = (
        f"above {low:.12g}" if "exclusiveMinimum" in node else f"from {low:.12g}" if low is not None else ""
    )
    end = (
        f"below {high:.12g}" if "exclusiveMaximum" in node else f"to {high:.12g}" if high is not None else ""
    )
    return " ".join(filter(None, (noun, start, end)))


def _text(node: Schema) -> str:
    if node.get("format") == "date":
        return "a date such as 2026-09-01, without quotes"
    if "maxLength" in node:
        return f"text in quotes, {node.get('minLength', 0)} to {node['maxLength']} characters"
    return "text in quotes"


def _list(node: Schema) -> str:
    least = "at least one " if node.get("minItems") else ""
    items = node.get("items", {})
    return (
        f"a list of {least}texts in quotes" if items.get("type") == "string" else f"a list with {least}entry"
    )


def _table(node: Schema) -> str:
    keys = keys_at(node)
    return f"a table with the keys {listed(keys)}" if keys else "a table"


_TYPES: dict[str, Callable[[Schema], str]] = {
    "integer": lambda node: _numeric("a whole number", node),
    "number": lambda node: _numeric("a number", node),
    "boolean": lambda _: "true or false",
    "string": _text,
    "array": _list,
    "object": _table,
}
