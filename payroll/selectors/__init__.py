"""Reading pay: rates and why one wins, a week's work and what it would pay, statements, the weekly figures."""
