"""Template tags of the pages of pay."""
