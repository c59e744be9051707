"""The boat as it is measured: spaces, openings, what is fixed, and every size with its ±."""
