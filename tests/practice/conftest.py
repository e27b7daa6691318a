"""The clients of this folder, each planned once."""

from practice_clients import client  # noqa: F401
