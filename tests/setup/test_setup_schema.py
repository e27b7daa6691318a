"""The JSON schema that ships with the planner is the one its models describe."""

import json
from importlib.resources import files

import jsonschema

from planner.document import WeekDocument


def shipped():
    return json.loads((files("planner") / "week.schema.json").read_text(encoding="utf-8"))


def test_the_shipped_schema_is_the_models():
    assert shipped() == WeekDocument.model_json_schema(), "run make schema"


def test_the_shipped_schema_is_itself_valid_and_refuses_another_version():
    jsonschema.Draft202012Validator.check_schema(shipped())
    faults = list(jsonschema.Draft202012Validator(shipped()).iter_errors({"version": 2, "surprise": 1}))
    told = " ".join(fault.message for fault in faults)
    assert "1 was expected" in told
    assert "surprise" in told
