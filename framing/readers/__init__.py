"""Readers: each turns a file into the same `Plan`, or says everything that is wrong with it at once."""

from __future__ import annotations

from framing.readers.plan_file import read_plan

__all__ = ["read_plan"]
