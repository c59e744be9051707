"""Where cable may lie, and the shortest way between two places."""
