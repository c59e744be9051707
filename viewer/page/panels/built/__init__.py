"""As built: what was done otherwise on the boat, kept apart from the plan."""
