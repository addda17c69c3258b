"""How stock is cut: problems in whole grains, plans found by filling, bounds proven in whole numbers."""
