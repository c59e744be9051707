"""What to buy, cut and fix."""
