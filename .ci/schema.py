"""Write the JSON schema of week.json beside its models, as they describe it (`make schema`)."""

import json
from pathlib import Path

from planner import document

TARGET = Path(document.__file__).with_name("week.schema.json")

if __name__ == "__main__":
    schema = document.WeekDocument.model_json_schema()
    TARGET.write_text(json.dumps(schema, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
