"""Changing pay: setting rates, opening and closing weeks, making reports; each checked, written and audited at once."""
