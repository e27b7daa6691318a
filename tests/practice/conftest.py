"""The clients of this folder, each planned once."""

from __future__ import annotations

from practice_clients import client  # noqa: F401
