"""Benchmarks: `make bench`. Every figure is a ratio against a limit taken in the same run, on the same machine."""
