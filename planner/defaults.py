"""Every settings record of both packages, by name: what `planner check` prints and what a brief may change.

Records are imported only when asked for; a test walks all settings modules and fails if one is missing here.
"""

from __future__ import annotations

import importlib
from typing import Any

# in the order of the flow: what is known, who trains, the week, its check, measuring, training, paper
RECORDS = (
    "library.pool_settings:PoolSettings",
    "library.pool_settings:OwnRowSettings",
    "library.pool_settings:OrderingSettings",
    "library.credit_settings:CreditSettings",
    "planner.athlete.settings:AthleteSettings",
    "planner.athlete.folder_settings:FolderSettings",
    "planner.athlete.log_settings:LogSettings",
    "planner.week.settings:WeekSettings",
    "planner.week.told_settings:ToldSettings",
    "planner.week.solve.settings:SolveSettings",
    "planner.week.cautious.settings:CautiousSettings",
    "planner.recheck.settings:MethodDefaults",
    "planner.recheck.settings:GradeLimits",
    "planner.recheck.settings:Tolerances",
    "planner.recheck.settings:Redraws",
    "planner.recheck.settings:Slack",
    "planner.measure.settings:MeasureSettings",
    "planner.measure.quality.settings:QualitySettings",
    "planner.train.settings:TrainSettings",
    "planner.sheets.settings:SheetSettings",
)

# what [method] of a brief may change; their names are unique among them
OVERRIDABLE = (
    "planner.week.settings:WeekSettings",
    "library.credit_settings:CreditSettings",
    "planner.athlete.settings:AthleteSettings",
    "planner.train.settings:TrainSettings",
)


def load(name: str) -> type[Any]:
    """Import one record by "module:Class"."""
    module, record = name.split(":")
    found: type[Any] = getattr(importlib.import_module(module), record)
    return found


def records() -> list[type[Any]]:
    """Import every settings record."""
    return [load(name) for name in RECORDS]


def overridable() -> list[type[Any]]:
    """Import the records that a brief's [method] may change."""
    return [load(name) for name in OVERRIDABLE]
