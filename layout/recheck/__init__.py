"""Check answers again, sharing nothing with the engine."""
