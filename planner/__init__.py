"""The planner: from an athlete's brief to a proven week on paper, and back from the log to the next week."""

__version__ = "0.1.0"
