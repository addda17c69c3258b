"""Pages of pay: weeks, statements, reports and prices. Each parses, calls one service or selector, and answers."""
