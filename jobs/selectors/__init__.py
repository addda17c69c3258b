"""Selectors: questions to the records that change nothing."""
