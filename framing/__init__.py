"""Walls to pieces: light-gauge steel and board, exact and explained. Pure: no web framework, no database, no clock."""
