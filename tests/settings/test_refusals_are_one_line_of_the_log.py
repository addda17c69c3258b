"""What is refused is one line of the log; what broke brings its traceback."""

from __future__ import annotations

import logging
import sys

import pytest

from config.logs import ShortRefusals


@pytest.mark.parametrize(("status", "traceback"), [(403, False), (404, False), (500, True), (None, True)])
def test_only_what_broke_brings_its_traceback(status: int | None, traceback: bool) -> None:
    try:
        raise PermissionError("not for the role worker")
    except PermissionError:
        told = sys.exc_info()
    record = logging.LogRecord("django.request", logging.WARNING, __file__, 1, "Forbidden: %s", ("/prices/",), told)
    if status is not None:
        record.status_code = status
    assert ShortRefusals().filter(record)
    assert ("Traceback" in logging.Formatter().format(record)) is traceback
