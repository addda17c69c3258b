"""The API of pay: one's own statements for everybody, weeks and their closing for the office."""
