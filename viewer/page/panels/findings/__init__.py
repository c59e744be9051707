"""What the rules found, the must first, and what mends it: a button where that was tried."""
