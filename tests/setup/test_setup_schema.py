"""The JSON schema that ships with the planner is the one its models describe."""

import json
from importlib.resources import files

from planner.document import WeekDocument


def test_the_shipped_schema_is_the_models():
    shipped = json.loads((files("planner") / "week.schema.json").read_text(encoding="utf-8"))
    assert shipped == WeekDocument.model_json_schema(), "run make schema"
