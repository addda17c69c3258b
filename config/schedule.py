"""What beat sends to the worker, and when (UTC). The one list of it."""

from __future__ import annotations

from typing import Any

SCHEDULE: dict[str, dict[str, Any]] = {}
