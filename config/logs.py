"""What the log leaves out."""

from __future__ import annotations

import logging


class ShortRefusals(logging.Filter):
    """A request that was refused (status below 500) is one line; only what broke here brings its traceback."""

    def filter(self, record: logging.LogRecord) -> bool:
        if getattr(record, "status_code", 500) < 500:
            record.exc_info = None
            record.exc_text = None
        return True
